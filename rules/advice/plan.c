/* SPDX-License-Identifier: MIT */
#include "advice/plan.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "advice/draft.h"
#include "core/need.h"

enum { ROUNDS = 8 };             /* what one card makes room for another takes */
enum { SLIPS_FIRST_DB = 10000 }; /* more than any card gives */

/* ---- nothing new ---- */

static void
free_card(struct card *card)
{
    free(card->moves);
    free(card->rests_on);
}

/* Takes the marked cards out, and those that rest on them; what the others rest on and the answers
 * follow. */
static void
drop(struct plan *plan, bool *dropped, size_t *old)
{
    size_t *places = need_memory(plan->count + 1, sizeof *places);
    size_t kept = 0, answers = 0, first = *old;

    for (size_t i = 0; i < plan->count; i++) {
        struct card *card = &plan->cards[i];

        for (size_t rest = 0; rest < card->rest_count; rest++)
            dropped[i] |= dropped[card->rests_on[rest]];
        if (dropped[i]) {
            *old -= i < first;
            free_card(card);
            continue;
        }
        for (size_t rest = 0; rest < card->rest_count; rest++)
            card->rests_on[rest] = places[card->rests_on[rest]];
        places[i] = kept;
        plan->cards[kept++] = *card;
    }
    for (size_t i = 0; i < plan->answer_count; i++) {
        struct plan_answer *answer = &plan->answers[i];

        if (dropped[answer->card])
            continue;
        answer->card = places[answer->card];
        plan->answers[answers++] = *answer;
    }
    plan->answer_count = answers;
    plan->count = kept;
    free(places);
}

/* Whether the check fails on the object with nothing but the slips put back, or did when the desk
 * was approved. */
static bool
is_old(const struct planner *planner, const struct check *check, struct object object)
{
    const struct desk *approved = planner->wish->ground->approved;

    return planner_fails_on(planner, planner->base, check->number, object) ||
           (approved && planner_fails_on(planner, approved, check->number, object));
}

/* The parameters that the check reads of such an object, a bit each. */
static uint64_t
reads_of(const struct check *check, struct object object)
{
    uint64_t set = 0;

    for (const enum param_id *reads = check_reads(check, object.mix >= 0); *reads != PARAMS;
         reads++)
        set |= UINT64_C(1) << *reads;
    return set;
}

/* Inputs that one preamp feeds are one to some checks. */
static bool
is_same_input(const struct planner *planner, const struct check *check, int one, int other)
{
    return one == other || (check->spread == SPREAD_PREAMP && planner->preamps[one] >= 0 &&
                            planner->preamps[one] == planner->preamps[other]);
}

/* The mix that the move is in, -1: none, or all. */
static int
mix_of(const struct card_move *move)
{
    return params[move->id].row == INDEX_MIX      ? move->row
           : params[move->id].column == INDEX_MIX ? move->column
                                                  : -1;
}

/* What fails now. */
struct fault {
    const struct check *check;
    struct object object;
    bool of_others; /* it rests on other inputs of the same mixes, too */
    uint64_t reads; /* what it rests on */
};

/* Whether the card moves something that the check looked at. */
static bool
touches(const struct planner *planner, const struct card *card, const struct fault *fault)
{
    struct object object = fault->object;

    for (size_t i = 0; i < card->count; i++) {
        const struct card_move *move = &card->moves[i];
        int input = params[move->id].row == INDEX_INPUT ? move->row : -1, mix = mix_of(move);

        if (move->to != move->now && fault->reads >> move->id & 1 &&
            (object.input < 0 || input < 0 || fault->of_others ||
             is_same_input(planner, fault->check, object.input, input)) &&
            (object.mix < 0 || mix < 0 || mix == object.mix))
            return true;
    }
    return false;
}

/* Whether the card rests on another, also through a third. */
static bool
rests_on(const struct plan *plan, size_t card, size_t other)
{
    bool rests = card == other;

    for (size_t i = 0; i < plan->cards[card].rest_count && !rests; i++)
        rests = rests_on(plan, plan->cards[card].rests_on[i], other);
    return rests;
}

/* Whether the object would pass without the card and what rests on it: on the planner's desk, which
 * is as it was behind that. What moves a control again rests on what moved it before. */
static bool
is_to_blame(const struct planner *planner, size_t card, const struct fault *fault)
{
    const struct plan *plan = planner->plan;
    struct planner without = *planner;
    bool fails;

    without.ground.loudest_db = NULL;
    for (size_t i = plan->count; i > card; i--)
        if (rests_on(plan, i - 1, card))
            planner_take_back(&without, &plan->cards[i - 1]);
    fails = planner_fails_on(planner, without.desk, fault->check->number, fault->object);
    for (size_t i = card; i < plan->count; i++)
        if (rests_on(plan, i, card))
            planner_make_moves(&without, &plan->cards[i]);
    return !fails;
}

/* The last card but a put-back that moved what fails now: the one without which it would not, where
 * there is such a one. PLAN_NO_CARD: none did. */
static size_t
card_to_blame(const struct planner *planner, const struct fault *fault)
{
    const struct plan *plan = planner->plan;
    size_t last = PLAN_NO_CARD;

    for (size_t i = plan->count; i > 0; i--) {
        if (plan->cards[i - 1].kind == CARD_PUT_BACK ||
            !touches(planner, &plan->cards[i - 1], fault))
            continue;
        if (is_to_blame(planner, i - 1, fault))
            return i - 1;
        last = last == PLAN_NO_CARD ? i - 1 : last;
    }
    return last;
}

/* Notes what the cards move but those that put back. */
static void
note_moved(struct planner *planner)
{
    int mixes = desk_count(planner->desk, INDEX_MIX);

    memset(planner->moved, 0, ((size_t)mixes + 1) * sizeof *planner->moved);
    for (size_t i = 0; i < planner->plan->count; i++) {
        const struct card *card = &planner->plan->cards[i];

        for (size_t j = 0; j < card->count && card->kind != CARD_PUT_BACK; j++) {
            int in = mix_of(&card->moves[j]);

            for (int mix = in < 0 ? 0 : in; mix <= (in < 0 ? mixes : in); mix++)
                planner->moved[mix] |= UINT64_C(1) << card->moves[j].id;
            planner->moved[mixes] |= UINT64_C(1) << card->moves[j].id;
        }
    }
}

/* Whether the check may have looked at something that they move; where not it is as it was. */
static bool
is_moved(const struct planner *planner, const struct fault *fault)
{
    int mixes = desk_count(planner->desk, INDEX_MIX);
    uint64_t moved = planner->moved[fault->object.mix >= 0 ? fault->object.mix : mixes];

    return (moved & fault->reads) != 0;
}

/* A finding, or what another finding tells. */
static bool
is_bad(const struct planner *planner, struct fault *fault)
{
    struct verdict verdict;
    bool found;

    fault->reads = reads_of(fault->check, fault->object);
    if (!is_moved(planner, fault))
        return false;
    found = planner_finds(planner, fault->check->number, fault->object, &verdict);
    fault->of_others = verdict.of_others != 0;
    return found || verdict.outcome == OUTCOME_FOLDED;
}

/* Whether it failed before, remembered once it did: what cards start from does not change. */
static bool *
old_of(const struct planner *planner, const struct fault *fault)
{
    int inputs = desk_count(planner->desk, INDEX_INPUT);
    int mixes = desk_count(planner->desk, INDEX_MIX);
    int place = fault->object.input >= 0 ? fault->object.input : inputs + fault->object.mix;

    return &planner->old[fault->check->number * (inputs + mixes) + place];
}

/* What it made room for must not rest on it again. */
static void
ban(struct planner *planner, const struct card *card, const struct fault *fault)
{
    planner->bans = need_more(planner->bans, planner->ban_count + 1, sizeof *planner->bans);
    planner->bans[planner->ban_count++] =
        (struct ban){card->kind, card->object, fault->check->number, fault->object};
}

/* Marks and bans the cards behind which the object has a finding that it did not have. */
static bool
mark_new(struct planner *planner, struct object object, unsigned kind, bool *dropped)
{
    bool any = false;

    for (int number = 0; number < CHECKS; number++) {
        struct fault fault = {.check = planner->wish->set->of[number], .object = object};
        size_t card;

        if (!fault.check || !(fault.check->objects & kind) || *old_of(planner, &fault) ||
            !is_bad(planner, &fault))
            continue;
        *old_of(planner, &fault) = is_old(planner, fault.check, object);
        if (*old_of(planner, &fault))
            continue;
        card = card_to_blame(planner, &fault);
        if (card == PLAN_NO_CARD)
            continue;
        dropped[card] = any = true;
        ban(planner, &planner->plan->cards[card], &fault);
    }
    return any;
}

/* Drops what leads to something new. `old` counts those of the first cards that are left. */
static bool
drop_new(struct planner *planner, size_t *old)
{
    struct plan *plan = planner->plan;
    bool *dropped = need_memory(plan->count + 1, sizeof *dropped);
    bool any = false;

    note_moved(planner);
    for (int input = 0; input < desk_count(planner->desk, INDEX_INPUT); input++)
        any |= mark_new(planner, (struct object){input, -1}, OBJECT_INPUT, dropped);
    for (int mix = 0; mix < desk_count(planner->desk, INDEX_MIX); mix++)
        any |= mark_new(planner, (struct object){-1, mix}, OBJECT_MIX, dropped);
    if (any)
        drop(plan, dropped, old);
    free(dropped);
    return any;
}

/* The desk as the cards that are left leave it, and who moves what. */
static void
start_again(struct planner *planner)
{
    desk_carry(planner->desk, planner->wish->ground->desk);
    planner_forget_loudest(planner);
    planner_forget_movers(planner);
    for (size_t i = 0; i < planner->plan->count; i++) {
        planner_make_moves(planner, &planner->plan->cards[i]);
        planner_note_movers(planner, &planner->plan->cards[i], i);
    }
}

/* One round of all makers. True when it left other cards than it found, or will another time. */
static bool
go_round(struct planner *planner)
{
    const struct plan *plan = planner->plan;
    size_t before = plan->count, old = before, bans = planner->ban_count;

    planner->plan->small = 0;
    plan_softer(planner);
    plan_taps(planner);
    plan_masters(planner);
    plan_trims(planner);
    plan_slips(planner); /* those that a master hid */
    if (plan->count == before)
        return false;
    while (drop_new(planner, &old)) {
        start_again(planner);
        if (plan->count == before && old == before)
            break; /* as it was, and nothing was new then */
    }
    return plan->count != before || old != before || planner->ban_count != bans;
}

/* Rounds until nothing comes any more, also of what was banned on the way. */
static void
go_rounds(struct planner *planner)
{
    size_t before = (size_t)-1;

    for (int pass = 0; pass < ROUNDS && planner->plan->count != before; pass++) {
        before = planner->plan->count;
        planner->ban_count = 0;
        for (int round = 0; round < ROUNDS && go_round(planner); round++)
            continue;
    }
}

static bool
has_card(const struct plan *plan, enum card_kind kind, struct object object)
{
    size_t i = 0;

    while (i < plan->count &&
           (plan->cards[i].kind != kind || plan->cards[i].object.input != object.input ||
            plan->cards[i].object.mix != object.mix))
        i++;
    return i < plan->count;
}

/* Says what keeps back the cards that were banned to the last. */
static void
say_bans(const struct planner *planner)
{
    for (size_t i = 0; i < planner->ban_count; i++) {
        const struct ban *ban = &planner->bans[i];

        if (!has_card(planner->plan, ban->kind, ban->object))
            draft_say_stop(planner->plan, (struct card_stop){.kind = ban->kind,
                                                             .object = ban->object,
                                                             .reason = STOP_BRINGS,
                                                             .id = PARAMS,
                                                             .brings = ban->brings,
                                                             .on = ban->on});
    }
}

/* ---- the order ---- */

/* Worth, for the order: what puts a slip back comes first, what is not in dB last. */
static double
worth(const struct card *card)
{
    double gives_db = isnan(card->gives_db) ? 0 : card->gives_db;

    return card->kind == CARD_PUT_BACK ? SLIPS_FIRST_DB + gives_db : gives_db;
}

static bool
is_ready(const struct card *card, const size_t *places)
{
    for (size_t i = 0; i < card->rest_count; i++)
        if (places[card->rests_on[i]] == PLAN_NO_CARD)
            return false;
    return true;
}

/* The most worth of those that can come now. */
static size_t
next_card(const struct plan *plan, const size_t *places)
{
    size_t best = PLAN_NO_CARD;

    for (size_t i = 0; i < plan->count; i++)
        if (places[i] == PLAN_NO_CARD && is_ready(&plan->cards[i], places) &&
            (best == PLAN_NO_CARD || worth(&plan->cards[i]) > worth(&plan->cards[best])))
            best = i;
    return best;
}

/* Largest first, but each behind what it rests on: cards that share no control may change places. */
static void
put_in_order(struct plan *plan)
{
    struct card *cards = need_memory(plan->count + 1, sizeof *cards);
    size_t *places = need_memory(plan->count + 1, sizeof *places);

    for (size_t i = 0; i < plan->count; i++)
        places[i] = PLAN_NO_CARD;
    for (size_t place = 0; place < plan->count; place++) {
        size_t at = next_card(plan, places);

        places[at] = place;
        cards[place] = plan->cards[at];
    }
    for (size_t i = 0; i < plan->count; i++)
        for (size_t rest = 0; rest < cards[i].rest_count; rest++)
            cards[i].rests_on[rest] = places[cards[i].rests_on[rest]];
    for (size_t i = 0; i < plan->answer_count; i++)
        plan->answers[i].card = places[plan->answers[i].card];
    free(plan->cards);
    plan->cards = cards;
    free(places);
}

/* ---- opening and closing ---- */

struct plan *
plan_new(const struct plan_wish *wish)
{
    struct plan *plan = need_memory(1, sizeof *plan);
    struct planner planner = {
        .wish = wish, .desk = desk_copy(wish->ground->desk), .ground = *wish->ground, .plan = plan};

    planner.ground.desk = planner.desk;
    planner_open(&planner);
    plan_put_back(&planner);
    if (!(wish->ways & PLAN_ALL_BACK)) {
        plan_margins(&planner);
        plan_rings(&planner);
    }
    planner.base = desk_copy(planner.desk);
    if (!(wish->ways & PLAN_ALL_BACK))
        go_rounds(&planner);
    say_bans(&planner);
    put_in_order(plan);
    planner_close(&planner);
    return plan;
}

void
plan_free(struct plan *plan)
{
    if (!plan)
        return;
    for (size_t i = 0; i < plan->count; i++)
        free_card(&plan->cards[i]);
    free(plan->cards);
    free(plan->stops);
    free(plan->answers);
    free(plan);
}
