/* SPDX-License-Identifier: MIT */
/* Ten thousand random desks and what is advised for them: any of the cards is carried out, or none,
 * in their order, and the person may stop behind any move. Whatever is done, no path into a mix or
 * to the house is louder than before the card or than behind it; behind a card that puts nothing
 * back none is louder than before; no control leaves its travel, none moves that is accepted, no
 * input is raised into its meter. All done, nothing is found that was not, but for what putting back
 * alone brings to light, and there is nothing left to advise. Loudness is summed up anew by loudness.c.
 */
#include "loudness.h"
#include "scene.h"

#include <math.h>

enum { DESKS = 10000, INPUTS = SCENE_INPUTS, MIXES = SCENE_MIXES };

#define TOLERANCE_DB 0.1

/* ---- how loud everything is ---- */

struct loudness {
    double level[INPUTS][MIXES][LOUDNESS_LEVELS];
    bool filtered[INPUTS][MIXES];
    double input[INPUTS][LOUDNESS_FREQUENCIES], mix[MIXES][LOUDNESS_FREQUENCIES];
    double house[INPUTS];
};

static bool
is_filter(enum param_id id)
{
    return params[id].kind == DIFFERENCE_OF_FILTERS && id != PARAM_INPUT_COMP_THRESHOLD &&
           id != PARAM_INPUT_GATE_THRESHOLD;
}

static void
listen_to_paths(const struct scene *scene, const struct desk *desk, struct loudness *loudness)
{
    for (int input = 0; input < INPUTS; input++) {
        loudness->house[input] =
            scene->show->role == ROLE_HOUSE ? loudness_house_db(desk, input) : -HUGE_VAL;
        for (int mix = 0; mix < MIXES; mix++) {
            loudness_of(desk, input, mix, loudness->level[input][mix]);
            loudness->filtered[input][mix] = loudness_is_filtered(desk, input, mix);
        }
    }
}

static void
listen_to_filters(const struct desk *desk, struct loudness *loudness)
{
    for (int input = 0; input < INPUTS; input++)
        loudness_input_filters(desk, input, loudness->input[input]);
    for (int mix = 0; mix < MIXES; mix++)
        loudness_mix_filters(desk, mix, loudness->mix[mix]);
}

/* What a move changed. */
static void
listen_again(const struct scene *scene, const struct desk *desk, const struct card_move *moved,
             struct loudness *loudness)
{
    listen_to_paths(scene, desk, loudness);
    if (!is_filter(moved->id))
        return;
    if (params[moved->id].row == INDEX_INPUT)
        loudness_input_filters(desk, moved->row, loudness->input[moved->row]);
    else
        loudness_mix_filters(desk, moved->row, loudness->mix[moved->row]);
}

static double
at(const struct loudness *loudness, int input, int mix, int level, int hz)
{
    double db = loudness->level[input][mix][level] + loudness->mix[mix][hz];

    return loudness->filtered[input][mix] ? db + loudness->input[input][hz] : db;
}

/* The most that one path is louder than the louder of two others; what is not known does not count. */
static double
path_excess_db(const struct loudness *now, const struct loudness *one, const struct loudness *other,
               int input, int mix, int frequencies)
{
    double most_db = 0;

    for (int level = 0; level < LOUDNESS_LEVELS; level++)
        for (int hz = 0; hz < frequencies; hz++) {
            double db = at(now, input, mix, level, hz);

            if (db > -HUGE_VAL)
                db -= fmax(at(one, input, mix, level, hz), at(other, input, mix, level, hz));
            if (db > most_db)
                most_db = db;
        }
    return most_db;
}

/* The same for all paths. Where no filter and no tap moves, one frequency stands for all. */
static double
excess_db(const struct loudness *now, const struct loudness *one, const struct loudness *other,
          bool filtered)
{
    double most_db = 0;

    for (int input = 0; input < INPUTS; input++) {
        double house = now->house[input] - fmax(one->house[input], other->house[input]);

        if (now->house[input] > -HUGE_VAL && house > most_db)
            most_db = house;
        for (int mix = 0; mix < MIXES; mix++)
            most_db = fmax(most_db, path_excess_db(now, one, other, input, mix,
                                                   filtered ? LOUDNESS_FREQUENCIES : 1));
    }
    return most_db;
}

/* ---- the person ---- */

static bool
often(struct dice *dice, int in)
{
    return dice_below(dice, in) > 0;
}

static bool
is_same(const struct card_move *one, const struct card_move *other)
{
    return one->id == other->id && one->row == other->row && one->column == other->column;
}

/* Whether all its controls read what the card says, move by move. */
static bool
reads_now(const struct desk *desk, const struct card *card)
{
    for (size_t i = 0; i < card->count; i++) {
        bool before = false;

        for (size_t j = 0; j < i; j++)
            before |= is_same(&card->moves[i], &card->moves[j]);
        if (!before && value_last_heard(desk_value(desk, card->moves[i].id, card->moves[i].row,
                                                   card->moves[i].column)) != card->moves[i].now)
            return false;
    }
    return true;
}

/* Whether the accept is of that input, or of one that the same preamp feeds. */
static bool
shares_preamp(const struct desk *desk, int input, int accepted)
{
    const struct value *one = desk_value(desk, PARAM_INPUT_PREAMP, input, 0);
    const struct value *other = desk_value(desk, PARAM_INPUT_PREAMP, accepted, 0);

    return input == accepted || (one->state == VALUE_KNOWN && other->state == VALUE_KNOWN &&
                                 value_last_heard(one) == value_last_heard(other));
}

static void
check_move(const struct scene *scene, const struct card *card, const struct card_move *move)
{
    struct travel travel = desk_travel(scene->desk, move->id);
    const struct accept *accept = &scene->accept;
    bool may_leave = card->kind == CARD_PUT_BACK; /* to where it stood, wherever that was */

    if (isfinite(move->to) && !may_leave) {
        assert_false(move->to < travel.least - 1e-6 || move->to > travel.most + 1e-6);
    }
    if (scene->show->accept_count > 0) {
        assert_false(accept->check == CHECK_UNUSED_PREAMP_GAIN &&
                     move->id == PARAM_INPUT_PREAMP_GAIN &&
                     shares_preamp(scene->desk, move->row, accept->input));
        assert_false(accept->check == CHECK_MASTER_OFF_UNITY && move->id == PARAM_MIX_FADER &&
                     move->row == accept->mix);
    }
    if (move->id != PARAM_INPUT_PREAMP_GAIN)
        return;
    if (move->to > move->now)
        assert_true(
            value_last_heard(desk_value(scene->desk, PARAM_INPUT_LEVEL, move->row, 0)) + move->to -
                value_last_heard(desk_value(scene->desk, PARAM_INPUT_PREAMP_GAIN, move->row, 0)) <=
            -6 + 1e-6);
    if (card->kind != CARD_TRIM)
        return;
    assert_int_not_equal(scene->show->role, ROLE_UNKNOWN);
    assert_false(scene->show->inputs[move->row].also_feeds ||
                 scene->show->inputs[move->row].house_preamp);
}

static void
print_card(const struct card *card)
{
    print_message("card %s of input %d mix %d\n", card_word(card->kind), card->object.input,
                  card->object.mix);
    for (size_t i = 0; i < card->count; i++)
        print_message("  %s %d %d: %g -> %g\n", params[card->moves[i].id].name, card->moves[i].row,
                      card->moves[i].column, card->moves[i].now, card->moves[i].to);
}

/* Whether it moves a filter or a tap, so that frequencies differ. */
static bool
is_filtered(const struct card *card)
{
    for (size_t i = 0; i < card->count; i++)
        if (is_filter(card->moves[i].id) || card->moves[i].id == PARAM_SEND_TAP)
            return true;
    return false;
}

static void
check_loudness(const struct card *card, const char *what, size_t moves, double excess)
{
    if (excess <= TOLERANCE_DB)
        return;
    print_card(card);
    fail_msg("behind %zu of %zu moves it is %g dB louder than %s", moves, card->count, excess,
             what);
}

/* Does the first `moves` of a card, listening behind each. */
static void
carry_out(const struct scene *scene, struct desk *desk, const struct card *card, size_t moves)
{
    static struct loudness before, now, after;
    bool filtered = is_filtered(card);
    struct desk *whole = desk_copy(desk);

    listen_to_paths(scene, desk, &before);
    if (filtered)
        listen_to_filters(desk, &before);
    after = now = before;
    for (size_t i = 0; i < card->count; i++) {
        scene_apply(whole, &card->moves[i]);
        listen_again(scene, whole, &card->moves[i], &after);
    }
    for (size_t i = 0; i < moves; i++) {
        check_move(scene, card, &card->moves[i]);
        scene_apply(desk, &card->moves[i]);
        listen_again(scene, desk, &card->moves[i], &now);
        check_loudness(card, "before it and behind it", i + 1,
                       excess_db(&now, &before, &after, filtered));
    }
    if (card->kind != CARD_PUT_BACK)
        check_loudness(card, "before it", card->count,
                       excess_db(&after, &before, &before, filtered));
    desk_free(whole);
}

struct seen {
    size_t cards[CARD_KINDS], moves, stops, skipped, rests, none;
};

/* Some of the cards, the last of them perhaps by half. */
static void
do_some(struct dice *dice, const struct scene *scene, const struct plan *plan, struct seen *seen)
{
    struct desk *desk = desk_copy(scene->desk);
    bool stop = false;

    for (size_t i = 0; i < plan->count && !stop; i++) {
        const struct card *card = &plan->cards[i];

        if (!often(dice, 2) || !reads_now(desk, card)) {
            seen->skipped++;
            continue;
        }
        stop = !often(dice, 6);
        carry_out(scene, desk, card,
                  stop ? (size_t)dice_below(dice, (int)card->count + 1) : card->count);
    }
    desk_free(desk);
}

static void
nothing_new(const struct scene *scene, const struct desk *base, const struct desk *after,
            struct object object)
{
    for (int check = 0; check < CHECKS; check++)
        if (scene_is_new(scene, base, after, check, object))
            fail_msg("%s is new on input %d mix %d", check_set_all.of[check]->id, object.input,
                     object.mix);
}

/* The meters stand behind the preamps. */
static void
follow_meters(const struct desk *before, struct desk *after)
{
    for (int input = 0; input < INPUTS; input++) {
        double rose_db = value_last_heard(desk_value(after, PARAM_INPUT_PREAMP_GAIN, input, 0)) -
                         value_last_heard(desk_value(before, PARAM_INPUT_PREAMP_GAIN, input, 0));
        const struct value *level = desk_value(after, PARAM_INPUT_LEVEL, input, 0);

        if (level->state == VALUE_KNOWN && rose_db != 0)
            scene_put(after, PARAM_INPUT_LEVEL, input, 0,
                      fmin(0, value_last_heard(level) + rose_db));
    }
}

/* All of the cards. */
static void
do_all(const struct scene *scene, const struct plan *plan)
{
    struct desk *desk = desk_copy(scene->desk), *base = desk_copy(scene->desk);
    struct plan *again;

    for (size_t i = 0; i < plan->count; i++) {
        assert_true(reads_now(desk, &plan->cards[i]));
        carry_out(scene, desk, &plan->cards[i], plan->cards[i].count);
        for (size_t move = 0; plan->cards[i].kind == CARD_PUT_BACK && move < plan->cards[i].count;
             move++)
            scene_apply(base, &plan->cards[i].moves[move]);
    }
    for (int input = 0; input < INPUTS; input++)
        nothing_new(scene, base, desk, (struct object){input, -1});
    for (int mix = 0; mix < MIXES; mix++)
        nothing_new(scene, base, desk, (struct object){-1, mix});
    follow_meters(scene->desk, desk);
    again = scene_plan(scene, desk);
    for (size_t i = 0; i < again->count; i++)
        print_card(&again->cards[i]);
    assert_int_equal(again->count, 0);
    plan_free(again);
    desk_free(base);
    desk_free(desk);
}

static void
count_cards(const struct plan *plan, struct seen *seen)
{
    for (size_t i = 0; i < plan->count; i++) {
        const struct card *card = &plan->cards[i];

        seen->cards[card->kind]++;
        seen->moves += card->count;
        seen->rests += card->rest_count > 0;
        assert_true(card->count > 0);
        for (size_t rest = 0; rest < card->rest_count; rest++)
            assert_true(card->rests_on[rest] < i);
    }
    seen->stops += plan->stop_count;
    seen->none += plan->count == 0;
}

static void
cards_cannot_hurt(void **state)
{
    struct dice dice = dice_new();
    struct seen seen = {0};

    (void)state;
    for (int i = 0; i < DESKS; i++) {
        struct scene scene = scene_random(&dice);
        struct plan *plan = scene_plan(&scene, scene.desk);

        count_cards(plan, &seen);
        do_some(&dice, &scene, plan, &seen);
        do_all(&scene, plan);
        plan_free(plan);
        scene_free(&scene);
    }
    for (int kind = 0; kind < CARD_KINDS; kind++) {
        print_message("%s %zu, ", card_word((enum card_kind)kind), seen.cards[kind]);
        assert_true(seen.cards[kind] > DESKS / 100);
    }
    print_message("%zu moves, %zu stops, %zu skipped, %zu rest on others, %zu desks without\n",
                  seen.moves, seen.stops, seen.skipped, seen.rests, seen.none);
    assert_true(seen.stops > DESKS / 10 && seen.skipped > DESKS / 10 && seen.rests > DESKS / 100);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(cards_cannot_hurt)};

    return cmocka_run_group_tests_name("plan_property", tests, NULL, NULL);
}
