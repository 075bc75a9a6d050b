/* SPDX-License-Identifier: MIT */
#include "advice/answer.h"

#include <stdlib.h>

#include "core/need.h"

size_t
plan_card_of(const struct plan *plan, int check, struct object object)
{
    for (size_t i = 0; i < plan->answer_count; i++)
        if (plan->answers[i].check == check && plan->answers[i].object.input == object.input &&
            plan->answers[i].object.mix == object.mix)
            return plan->answers[i].card;
    return PLAN_NO_CARD;
}

size_t
plan_card_moving(const struct plan *plan, enum param_id id, int row, int column)
{
    for (size_t card = 0; card < plan->count; card++)
        for (size_t i = 0; i < plan->cards[card].count; i++) {
            const struct card_move *move = &plan->cards[card].moves[i];

            if (move->id == id && move->row == row && move->column == column &&
                move->to != move->now)
                return card;
        }
    return PLAN_NO_CARD;
}

/* A card can end findings of these checks besides that which it was made for; one that puts things
 * back, of any. */
static bool
may_end(enum card_kind kind, int check)
{
    switch (kind) {
    case CARD_PUT_BACK:
        return true;
    case CARD_MASTER:
        return check == CHECK_OWN_SEND_OFF_UNITY;
    case CARD_CLOSE:
        return check == CHECK_OPEN_MICROPHONES;
    case CARD_TRIM:
        return check == CHECK_UNUSED_PREAMP_GAIN || check == CHECK_OWN_SEND_OFF_UNITY ||
               check == CHECK_INPUT_HOT;
    case CARD_HIGH_PASS:
        return check == CHECK_HIGH_PASS_MISSING || check == CHECK_HIGH_PASS_LOW;
    default:
        return false;
    }
}

/* One that has a card already keeps it. */
static void
add(struct plan *plan, int check, struct object object, size_t card)
{
    if (plan_card_of(plan, check, object) != PLAN_NO_CARD)
        return;
    plan->answers = need_more(plan->answers, plan->answer_count + 1, sizeof *plan->answers);
    plan->answers[plan->answer_count++] = (struct plan_answer){check, object, card};
}

static unsigned
kind_of(struct object object)
{
    return object.input >= 0 ? OBJECT_INPUT : object.mix >= 0 ? OBJECT_MIX : OBJECT_DESK;
}

static void
add_failing(struct planner *planner, enum card_kind kind, struct object object)
{
    const struct check_set *set = planner->wish->set;
    struct verdict verdict;

    for (int check = 0; check < CHECKS; check++)
        if (may_end(kind, check) && set->of[check] && set->of[check]->objects & kind_of(object) &&
            planner_finds(planner, check, object, &verdict))
            add(planner->plan, check, object, planner->plan->count);
}

/* A master ends findings of own sends into its mix alone. */
static bool
may_answer(const struct planner *planner, const struct card *card, int input)
{
    return card->kind != CARD_MASTER || planner->own_mixes[input] == card->object.mix;
}

void
answer_note_own_sends(struct planner *planner)
{
    struct verdict verdict;

    for (int input = 0; input < desk_count(planner->desk, INDEX_INPUT); input++)
        planner->own_mixes[input] =
            planner_finds(planner, CHECK_OWN_SEND_OFF_UNITY, (struct object){input, -1}, &verdict)
                ? verdict.mix
                : -1;
}

/* Calls for each input or mix that a move of the card touches, once while moves of it stand in a
 * row. */
static void
each_object(struct planner *planner, const struct card *card, enum index_kind kind)
{
    int last = -1;

    for (size_t i = 0; i < card->count; i++) {
        const struct card_move *move = &card->moves[i];
        int at = params[move->id].row == kind      ? move->row
                 : params[move->id].column == kind ? move->column
                                                   : -1;

        if (at < 0 || at == last || !may_answer(planner, card, at))
            continue;
        last = at;
        add_failing(planner, card->kind,
                    kind == INDEX_INPUT ? (struct object){at, -1} : (struct object){-1, at});
    }
}

void
answer_before(struct planner *planner, const struct draft *draft)
{
    if (planner->offsets)
        return;
    add(planner->plan, draft->cause.check, draft->cause.object, planner->plan->count);
    each_object(planner, &draft->card, INDEX_INPUT);
    if (draft->card.kind == CARD_PUT_BACK || draft->card.kind == CARD_CLOSE)
        each_object(planner, &draft->card, INDEX_MIX);
    if (draft->card.kind == CARD_PUT_BACK)
        add_failing(planner, CARD_PUT_BACK, (struct object){-1, -1});
}

void
answer_after(struct planner *planner, const struct draft *draft, size_t first)
{
    struct plan *plan = planner->plan;
    struct verdict verdict;
    size_t kept = first;

    for (size_t i = first; i < plan->answer_count; i++) {
        const struct plan_answer *answer = &plan->answers[i];
        bool cause = answer->check == draft->cause.check &&
                     answer->object.input == draft->cause.object.input &&
                     answer->object.mix == draft->cause.object.mix;

        if (cause || !planner_finds(planner, answer->check, answer->object, &verdict))
            plan->answers[kept++] = *answer;
    }
    plan->answer_count = kept;
}

/* ---- when everything goes back ---- */

/* What stood before the cards: the answers that are still to be found. */
struct faults {
    struct fault {
        int check;
        struct object object;
        double severity;
        bool answered;
    } * list;
    size_t count;
};

static void
add_faults(const struct planner *planner, struct faults *faults, struct object object)
{
    struct verdict verdict;

    for (int check = 0; check < CHECKS; check++) {
        const struct check *row = planner->wish->set->of[check];

        if (!row || !(row->objects & kind_of(object)) ||
            !planner_finds(planner, check, object, &verdict))
            continue;
        faults->list = need_more(faults->list, faults->count + 1, sizeof *faults->list);
        faults->list[faults->count++] = (struct fault){check, object, verdict.severity, false};
    }
}

static struct faults
faults_of(const struct planner *planner)
{
    struct faults faults = {0};

    add_faults(planner, &faults, (struct object){-1, -1});
    for (int input = 0; input < desk_count(planner->desk, INDEX_INPUT); input++)
        add_faults(planner, &faults, (struct object){input, -1});
    for (int mix = 0; mix < desk_count(planner->desk, INDEX_MIX); mix++)
        add_faults(planner, &faults, (struct object){-1, mix});
    return faults;
}

/* What is gone, or milder: what stood when the desk was approved stands then as it did. */
static void
answer_by(const struct planner *planner, struct faults *faults, size_t card)
{
    for (size_t i = 0; i < faults->count; i++) {
        struct fault *fault = &faults->list[i];
        struct verdict verdict;

        if (fault->answered || (planner_finds(planner, fault->check, fault->object, &verdict) &&
                                verdict.severity >= fault->severity))
            continue;
        add(planner->plan, fault->check, fault->object, card);
        fault->answered = true;
    }
}

void
answer_all_back(struct planner *planner)
{
    struct planner again = *planner;
    struct faults faults;

    again.desk = desk_copy(planner->wish->ground->desk);
    again.ground.desk = again.desk;
    planner_forget_loudest(&again);
    faults = faults_of(&again);
    for (size_t card = 0; card < planner->plan->count; card++) {
        planner_make_moves(&again, &planner->plan->cards[card]);
        answer_by(&again, &faults, card);
    }
    planner_forget_loudest(planner);
    desk_free(again.desk);
    free(faults.list);
}
