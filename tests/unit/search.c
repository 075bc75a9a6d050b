/* SPDX-License-Identifier: MIT */
#include "search.h"

#include <math.h>
#include <stdlib.h>

#include "loudness.h"
#include "search_reach.h"

enum { INPUTS = SCENE_INPUTS, MIXES = SCENE_MIXES, CARDS = INPUTS + MIXES, TRIES = 3000 };
enum { MOVES = 1 + 3 * INPUTS + INPUTS * MIXES };

#define TOLERANCE_DB 0.1

/* ---- all choices ---- */

static void
push(struct search *search, struct choice choice)
{
    if (search->count == search->room) {
        search->room = search->room * 2 + 64;
        search->choices = realloc(search->choices, search->room * sizeof *search->choices);
        assert_non_null(search->choices);
    }
    choice.gives_db = 0;
    for (int input = 0; input < INPUTS; input++)
        choice.gives_db += choice.preamp[input];
    for (int mix = 0; mix < MIXES; mix++)
        choice.gives_db += fabs(choice.master[mix]);
    if (choice.gives_db > 0)
        search->choices[search->count++] = choice;
}

/* The masters stand; with every choice of the preamps that can come down then. */
static void
add_preamps(struct search *search, struct choice choice)
{
    for (int input = 0; input < INPUTS; input++)
        choice.preamp[input] = reach_down_db(search, &choice, input);
    for (unsigned out = 0; out < 1U << INPUTS; out++) {
        struct choice some = choice;
        bool again = false;

        for (int input = 0; input < INPUTS; input++)
            if (out >> input & 1) {
                again |= some.preamp[input] == 0;
                some.preamp[input] = 0;
            }
        if (!again && reach_fits(search, &some))
            push(search, some);
    }
}

static void
add_masters(struct search *search, struct choice choice, int mix)
{
    double master_db = mix < MIXES ? reach_get(search->desk, PARAM_MIX_FADER, mix, 0) : 0;

    if (mix == MIXES) {
        add_preamps(search, choice);
        return;
    }
    choice.master[mix] = 0;
    add_masters(search, choice, mix + 1);
    if (!search->may_master[mix] || fabs(master_db) < SEARCH_LEAST_DB)
        return;
    for (double by = SEARCH_LEAST_DB; by < fabs(master_db); by += SEARCH_GRID_DB) {
        choice.master[mix] = copysign(by, master_db);
        add_masters(search, choice, mix + 1);
    }
    choice.master[mix] = master_db;
    add_masters(search, choice, mix + 1);
}

static int
more_first(const void *one, const void *other)
{
    double a = ((const struct choice *)one)->gives_db, b = ((const struct choice *)other)->gives_db;

    return (a < b) - (a > b);
}

/* ---- cards ---- */

struct moves {
    struct card_move of[MOVES];
    int count;
};

static void
add_move(struct moves *moves, const struct desk *desk, enum param_id id, int row, int column,
         double by, bool up)
{
    double now = reach_get(desk, id, row, column), step = desk_step(desk, id), to = now + by;

    if (step > 0 && id != PARAM_INPUT_PREAMP_GAIN)
        to = (up ? ceil(to / step - 1e-6) : floor(to / step + 1e-6)) * step;
    if (fabs(to - now) > 1e-9)
        moves->of[moves->count++] = (struct card_move){id, row, column, now, to};
}

/* What takes level away stands first. */
static void
add_trim(const struct search *search, const struct desk *desk, int preamp, double x,
         struct moves *moves)
{
    add_move(moves, desk, PARAM_INPUT_PREAMP_GAIN, preamp, 0, -x, false);
    for (int input = preamp; input < INPUTS; input++)
        if (search->first[input] == preamp && reach_get(desk, PARAM_INPUT_COMP_ON, input, 0) != 0)
            add_move(moves, desk, PARAM_INPUT_COMP_THRESHOLD, input, 0, -x, false);
    for (int input = preamp; input < INPUTS; input++) {
        if (search->first[input] != preamp)
            continue;
        if (reach_get(desk, PARAM_INPUT_GATE_ON, input, 0) != 0)
            add_move(moves, desk, PARAM_INPUT_GATE_THRESHOLD, input, 0, -x, true);
        if (reach_is_house(search) && reach_get(desk, PARAM_INPUT_FADER, input, 0) > -HUGE_VAL)
            add_move(moves, desk, PARAM_INPUT_FADER, input, 0, x, false);
        for (int mix = 0; mix < MIXES; mix++)
            if (reach_send_db(desk, input, mix) > -HUGE_VAL &&
                !reach_goes_with_fader(search, input, mix))
                add_move(moves, desk, PARAM_SEND_LEVEL, input, mix, x, false);
    }
}

/* The same when x is above 0; when it is below, what takes away stands last. */
static void
add_master(const struct desk *desk, int mix, double x, struct moves *moves)
{
    add_move(moves, desk, PARAM_MIX_FADER, mix, 0, -x, false);
    for (int input = 0; input < INPUTS; input++)
        if (reach_send_db(desk, input, mix) > -HUGE_VAL)
            add_move(moves, desk, PARAM_SEND_LEVEL, input, mix, x, false);
}

/* The card that moves a preamp, or behind those a master. */
static void
make(const struct search *search, const struct choice *choice, const struct desk *desk, int card,
     struct moves *moves)
{
    double x = card < INPUTS ? choice->preamp[card] : choice->master[card - INPUTS];

    moves->count = 0;
    if (card < INPUTS)
        add_trim(search, desk, card, x, moves);
    else
        add_master(desk, card - INPUTS, x, moves);
    for (int i = 0, j = moves->count - 1; x < 0 && i < j; i++, j--) {
        struct card_move move = moves->of[i];

        moves->of[i] = moves->of[j];
        moves->of[j] = move;
    }
}

/* ---- the rules ---- */

struct sound {
    double path[INPUTS][MIXES][LOUDNESS_LEVELS], house[INPUTS];
};

static void
listen(const struct search *search, const struct desk *desk, struct sound *sound)
{
    for (int input = 0; input < INPUTS; input++) {
        sound->house[input] = reach_is_house(search) ? loudness_house_db(desk, input) : -HUGE_VAL;
        for (int mix = 0; mix < MIXES; mix++)
            loudness_of(desk, input, mix, sound->path[input][mix]);
    }
}

static bool
is_more(double now, double one, double other)
{
    return now > -HUGE_VAL && now - fmax(one, other) > TOLERANCE_DB;
}

/* Whether anything is louder than the louder of two others. */
static bool
is_louder(const struct sound *now, const struct sound *one, const struct sound *other)
{
    bool louder = false;

    for (int input = 0; input < INPUTS; input++) {
        louder |= is_more(now->house[input], one->house[input], other->house[input]);
        for (int mix = 0; mix < MIXES; mix++)
            for (int level = 0; level < LOUDNESS_LEVELS; level++)
                louder |= is_more(now->path[input][mix][level], one->path[input][mix][level],
                                  other->path[input][mix][level]);
    }
    return louder;
}

static bool
may_move(const struct search *search, const struct card_move *move)
{
    struct travel ends = reach_ends_of(search->desk, move->id, move->now);

    return !(move->to > ends.most + 1e-6) && !(move->to < ends.least - 1e-6) &&
           param_accepts(move->id, move->to) && !reach_is_accepted(search, move->id, move->row);
}

/* Makes the moves if the rules allow them, each listened to. */
static bool
do_moves(const struct search *search, struct desk *desk, const struct moves *moves)
{
    struct sound before, now, after;
    struct desk *whole = desk_copy(desk);
    bool kept;

    listen(search, desk, &before);
    for (int i = 0; i < moves->count; i++)
        scene_apply(whole, &moves->of[i]);
    listen(search, whole, &after);
    kept = !is_louder(&after, &before, &before);
    for (int i = 0; i < moves->count && kept; i++) {
        kept = may_move(search, &moves->of[i]);
        scene_apply(desk, &moves->of[i]);
        listen(search, desk, &now);
        kept &= !is_louder(&now, &before, &after);
    }
    desk_free(whole);
    return kept;
}

static bool
is_nothing_new(const struct search *search, const struct desk *desk)
{
    for (int check = 0; check < CHECKS; check++) {
        for (int input = 0; input < INPUTS; input++)
            if (scene_is_new(search->scene, search->base, desk, check, (struct object){input, -1}))
                return false;
        for (int mix = 0; mix < MIXES; mix++)
            if (scene_is_new(search->scene, search->base, desk, check, (struct object){-1, mix}))
                return false;
    }
    return true;
}

/* Whether the cards that are left can be done in some order. Where a set of them ends does not
 * depend on the order, so each set is tried once. */
static bool
do_rest(const struct search *search, const struct choice *choice, const struct desk *desk,
        unsigned left, bool *failed)
{
    bool done = left == 0;

    for (int card = 0; card < CARDS && !done && !failed[left]; card++) {
        struct desk *next;
        struct moves moves;

        if (!(left >> card & 1))
            continue;
        next = desk_copy(desk);
        make(search, choice, desk, card, &moves);
        done = do_moves(search, next, &moves) &&
               do_rest(search, choice, next, left & ~(1U << card), failed);
        desk_free(next);
    }
    failed[left] |= !done;
    return done;
}

static bool
can_be_done(const struct search *search, const struct choice *choice)
{
    struct desk *end = desk_copy(search->desk);
    bool failed[1 << CARDS] = {false};
    unsigned cards = 0;
    bool done;

    for (int card = 0; card < CARDS; card++) {
        struct moves moves;

        if ((card < INPUTS ? choice->preamp[card] : choice->master[card - INPUTS]) == 0)
            continue;
        cards |= 1U << card;
        make(search, choice, end, card, &moves);
        for (int i = 0; i < moves.count; i++)
            scene_apply(end, &moves.of[i]);
    }
    done = is_nothing_new(search, end) && do_rest(search, choice, search->desk, cards, failed);
    desk_free(end);
    return done;
}

/* ---- the search ---- */

static void
read_patch(struct search *search)
{
    for (int input = 0; input < INPUTS; input++) {
        double preamp = reach_get(search->desk, PARAM_INPUT_PREAMP, input, 0);

        search->first[input] = isnan(preamp) ? -1 : 0;
        while (search->first[input] >= 0 &&
               reach_get(search->desk, PARAM_INPUT_PREAMP, search->first[input], 0) != preamp)
            search->first[input]++;
    }
}

double
search_given_db(const struct desk *before, const struct desk *after)
{
    double given_db = 0;

    for (int input = 0; input < INPUTS; input++) {
        bool again = false; /* a preamp that feeds an input before this one, too */

        for (int other = 0; other < input; other++)
            again |= reach_get(before, PARAM_INPUT_PREAMP, other, 0) ==
                     reach_get(before, PARAM_INPUT_PREAMP, input, 0);
        if (!again)
            given_db += fmax(0, reach_get(before, PARAM_INPUT_PREAMP_GAIN, input, 0) -
                                    reach_get(after, PARAM_INPUT_PREAMP_GAIN, input, 0));
    }
    for (int mix = 0; mix < MIXES; mix++)
        if (isfinite(reach_get(before, PARAM_MIX_FADER, mix, 0)))
            given_db += fabs(reach_get(before, PARAM_MIX_FADER, mix, 0)) -
                        fabs(reach_get(after, PARAM_MIX_FADER, mix, 0));
    return given_db;
}

static double
most_from(const struct scene *scene, const struct desk *base, const struct desk *desk,
          size_t *turned_down)
{
    struct search search = {.scene = scene,
                            .base = base,
                            .desk = desk,
                            .told_from_db =
                                scene->show->checks[CHECK_UNUSED_PREAMP_GAIN].settings[0]};
    double most_db = 0;

    read_patch(&search);
    for (int input = 0; input < INPUTS; input++)
        search.may_trim[input] = reach_may_trim(&search, input);
    for (int mix = 0; mix < MIXES; mix++)
        search.may_master[mix] = reach_may_master(&search, mix);
    add_masters(&search, (struct choice){.gives_db = 0}, 0);
    if (search.count > 0)
        qsort(search.choices, search.count, sizeof *search.choices, more_first);
    for (size_t i = 0; i < search.count && i < TRIES && most_db == 0; i++) {
        if (can_be_done(&search, &search.choices[i]))
            most_db = search.choices[i].gives_db;
        else
            ++*turned_down;
    }
    free(search.choices);
    return most_db;
}

/* ---- room ---- */

/* Takes out what is found to be too much at the input: make-up gain, and what is open though nothing
 * is plugged in. */
static void
soften_input(const struct search *search, struct desk *desk, int input)
{
    struct object object = {input, -1};

    if (scene_finds(search->scene, desk, CHECK_MAKE_UP_INTO_WEDGE, object))
        scene_put(desk, PARAM_INPUT_COMP_MAKEUP, input, 0, 0);
    if (scene_finds(search->scene, desk, CHECK_OPEN_UNUSED_INPUT, object) &&
        !reach_is_accepted(search, PARAM_SEND_ON, input))
        for (int mix = 0; mix < MIXES; mix++)
            scene_put(desk, PARAM_SEND_ON, input, mix, 0);
}

/* The send as loud from before the fader as it is from behind it. False: its travel ends before. */
static bool
tap_send(const struct search *search, struct desk *desk, int input, int mix)
{
    double now = reach_send_db(desk, input, mix), fader = reach_fader_db(desk, input);
    struct travel ends = reach_ends_of(desk, PARAM_SEND_LEVEL, now);
    struct moves moves = {.count = 0};

    if (reach_get(desk, PARAM_SEND_TAP, input, mix) != TAP_POST_FADER || now + fader == -HUGE_VAL ||
        (search->scene->show->role == ROLE_MONITOR && fabs(fader) < 0.5))
        return true;
    add_move(&moves, desk, PARAM_SEND_LEVEL, input, mix, fader, false);
    if (moves.count > 0)
        scene_apply(desk, moves.of);
    scene_put(desk, PARAM_SEND_TAP, input, mix, TAP_PRE_FADER);
    return now + fader <= ends.most && !(now + fader < ends.least) &&
           !reach_is_accepted(search, PARAM_SEND_LEVEL, input);
}

/* All sends of a mix where that is found, or none. */
static void
tap_mix(const struct search *search, struct desk **desk, int mix)
{
    struct desk *tapped = desk_copy(*desk);
    bool all =
        scene_finds(search->scene, *desk, CHECK_SEND_FOLLOWS_FADER, (struct object){-1, mix});

    for (int input = 0; input < INPUTS && all; input++)
        all = tap_send(search, tapped, input, mix);
    desk_free(all ? *desk : tapped);
    if (all)
        *desk = tapped;
}

double
search_most_db(const struct scene *scene, const struct desk *desk, size_t *turned_down)
{
    const struct search search = {.scene = scene, .desk = desk};
    double most_db = most_from(scene, desk, desk, turned_down);

    /* what was approved so was meant */
    for (unsigned how = 1; how < 4 && !scene->approved; how++) {
        struct desk *roomy = desk_copy(desk);

        for (int input = 0; input < INPUTS && how & 1; input++)
            soften_input(&search, roomy, input);
        for (int mix = 0; mix < MIXES && how & 2; mix++)
            tap_mix(&search, &roomy, mix);
        most_db = fmax(most_db, most_from(scene, desk, roomy, turned_down));
        desk_free(roomy);
    }
    return most_db;
}
