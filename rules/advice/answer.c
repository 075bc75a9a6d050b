/* SPDX-License-Identifier: MIT */
#include "advice/answer.h"

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

/* A card can end findings of these checks besides that which it was made for; one that puts things
 * back, of any. */
static bool
may_end(enum card_kind kind, int check)
{
    switch (kind) {
    case CARD_PUT_BACK:
        return true;
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
add(struct plan *plan, int check, struct object object)
{
    if (plan_card_of(plan, check, object) != PLAN_NO_CARD)
        return;
    plan->answers = need_more(plan->answers, plan->answer_count + 1, sizeof *plan->answers);
    plan->answers[plan->answer_count++] = (struct plan_answer){check, object, plan->count};
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
            add(planner->plan, check, object);
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

        if (at < 0 || at == last)
            continue;
        last = at;
        add_failing(planner, card->kind,
                    kind == INDEX_INPUT ? (struct object){at, -1} : (struct object){-1, at});
    }
}

void
answer_before(struct planner *planner, const struct draft *draft)
{
    add(planner->plan, draft->cause.check, draft->cause.object);
    each_object(planner, &draft->card, INDEX_INPUT);
    if (draft->card.kind == CARD_PUT_BACK) {
        each_object(planner, &draft->card, INDEX_MIX);
        add_failing(planner, CARD_PUT_BACK, (struct object){-1, -1});
    }
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
