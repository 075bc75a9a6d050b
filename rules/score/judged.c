/* SPDX-License-Identifier: MIT */
#include "score/judged.h"

#include <stddef.h>

#include "core/need.h"
#include "score/there.h"

/* What could hurt somebody counts also where nothing is heard yet: the mute may be gone in a
 * moment. */
static bool
is_closed(const struct there *there, const struct finding *finding, enum outcome outcome)
{
    struct object object = finding->object;

    if (outcome == OUTCOME_FINDING && finding->check->subject == SUBJECT_PROTECTION)
        return false;
    return (object.input >= 0 && !there->inputs[object.input]) ||
           (object.mix >= 0 && !there->mixes[object.mix]);
}

/* An input's equaliser that nobody uses is nothing to ask for; a ring-out is. */
static enum judged
equaliser_is(const struct there *there, struct object object, enum judged touched)
{
    if (object.input >= 0)
        return there_input_equaliser(there, object.input) ? touched : JUDGED_NOT_ASKED;
    return there_mix_equaliser(there, object.mix) ? touched : JUDGED_UNTOUCHED;
}

static enum judged
open_one(const struct there *there, const struct finding *finding, enum outcome outcome)
{
    if (outcome == OUTCOME_FOLDED)
        return JUDGED_TOLD_BY_ANOTHER;
    if (outcome == OUTCOME_PASS)
        return finding->check->subject == SUBJECT_EQUALISERS
                   ? equaliser_is(there, finding->object, JUDGED_RIGHT)
                   : JUDGED_RIGHT;
    if (finding->accept >= 0)
        return JUDGED_ACCEPTED;
    return finding->check->number == CHECK_OWN_SEND_OFF_UNITY &&
                   there_in_ears(there, finding->verdict.mix)
               ? JUDGED_NOT_ASKED
               : JUDGED_WRONG;
}

static enum judged
judge(const struct there *there, const struct finding *finding, enum outcome outcome)
{
    switch (outcome) {
    case OUTCOME_NOT_KNOWN:
        return JUDGED_NOT_KNOWN;
    case OUTCOME_CLOSED:
        return JUDGED_CLOSED;
    case OUTCOME_PASS:
    case OUTCOME_FINDING:
    case OUTCOME_FOLDED:
        return is_closed(there, finding, outcome) ? JUDGED_CLOSED
                                                  : open_one(there, finding, outcome);
    case OUTCOME_NOT_ASKED:
    case OUTCOMES:
        break;
    }
    return JUDGED_NOT_ASKED;
}

/* The corner of a filter that is not there: that it is missing tells it. */
static void
fold_corners(const struct engine *engine, enum judged *judged)
{
    static const int corners[] = {CHECK_HIGH_PASS_LOW, CHECK_HIGH_PASS_HIGH};

    for (int input = 0; input < desk_count(engine_desk(engine), INDEX_INPUT); input++) {
        struct object object = {input, -1};

        if (judged[engine_find(engine, CHECK_HIGH_PASS_MISSING, object)] != JUDGED_WRONG)
            continue;
        for (size_t i = 0; i < sizeof corners / sizeof *corners; i++) {
            size_t slot = engine_find(engine, corners[i], object);

            if (judged[slot] == JUDGED_NOT_ASKED)
                judged[slot] = JUDGED_TOLD_BY_ANOTHER;
        }
    }
}

enum judged *
judged_of(const struct engine *engine)
{
    size_t count = engine_slots(engine);
    enum judged *judged = need_memory(count + 1, sizeof *judged);
    struct there there = there_read(engine_desk(engine), engine_show(engine));

    for (size_t slot = 0; slot < count; slot++)
        judged[slot] = judge(&there, engine_slot(engine, slot), engine_outcome(engine, slot));
    there_release(&there);
    fold_corners(engine, judged);
    return judged;
}
