/* SPDX-License-Identifier: MIT */
#include "watcher/cause.h"

#include <stdlib.h>

#include "check/check.h"

void
causes_init(struct causes *causes)
{
    *causes = (struct causes){0};
}

/* Which preamp feeds the input; each input has its own where the profile does not say. */
static int
preamp_of(const struct desk *desk, int input)
{
    const struct value *preamp = desk_value(desk, PARAM_INPUT_PREAMP, input, 0);

    return preamp->state != VALUE_UNKNOWN ? (int)value_last_heard(preamp) : input;
}

static enum cause_kind
kind_of(enum param_id id)
{
    switch (params[id].row) {
    case INDEX_INPUT:
        return id == PARAM_INPUT_PREAMP_GAIN || id == PARAM_INPUT_PAD || id == PARAM_INPUT_PHANTOM
                   ? CAUSE_PREAMP
                   : CAUSE_INPUT;
    case INDEX_MIX:
        return CAUSE_MIX;
    case INDEX_GROUP:
        return CAUSE_GROUP;
    default:
        return CAUSE_NONE;
    }
}

static struct open_cause *
make_room(struct causes *causes)
{
    for (int i = 0; i < CAUSES_KEPT; i++)
        if (!causes->list[i].open)
            return &causes->list[i];
    return NULL;
}

static struct open_cause *
begin(struct causes *causes, enum cause_kind kind, int number, int64_t now_ms)
{
    struct open_cause *cause = make_room(causes);

    if (!cause)
        return NULL;
    *cause = (struct open_cause){.cause = {.kind = kind,
                                           .number = number,
                                           .id = PARAMS,
                                           .begun_ms = now_ms,
                                           .last_ms = now_ms},
                                 .open = true,
                                 .due_ms = INT64_MAX};
    return cause;
}

int
causes_begin(struct causes *causes, enum cause_kind kind, int number, int64_t now_ms)
{
    struct open_cause *cause;

    for (int i = 0; i < CAUSES_KEPT; i++)
        if (causes->list[i].open && !causes->list[i].closed && causes->list[i].cause.kind == kind &&
            causes->list[i].cause.number == number)
            return i;
    cause = begin(causes, kind, number, now_ms);
    return cause ? (int)(cause - causes->list) : -1;
}

/* The cause that still takes moves of this thing. */
static struct open_cause *
going_on(struct causes *causes, enum cause_kind kind, int number, int64_t now_ms)
{
    for (int i = 0; i < CAUSES_KEPT; i++) {
        struct open_cause *cause = &causes->list[i];

        if (cause->open && !cause->closed && cause->cause.kind == kind &&
            cause->cause.number == number && now_ms - cause->cause.last_ms <= CAUSE_TOGETHER_MS)
            return cause;
    }
    return NULL;
}

void
causes_note(struct causes *causes, const struct desk *desk, const struct move *move, int64_t now_ms)
{
    enum cause_kind kind = kind_of(move->id);
    int number = kind == CAUSE_PREAMP ? preamp_of(desk, move->row) : move->row;
    struct open_cause *cause;

    if (kind == CAUSE_NONE)
        return;
    cause = going_on(causes, kind, number, now_ms);
    if (!cause)
        cause = begin(causes, kind, number, now_ms);
    if (!cause)
        return;
    if (cause->cause.id == PARAMS) {
        cause->cause.id = move->id;
        cause->cause.row = move->row;
        cause->cause.column = move->column;
        cause->cause.from = move->from;
    }
    if (cause->cause.id == move->id && cause->cause.row == move->row &&
        cause->cause.column == move->column)
        cause->cause.to = move->to;
    else if (move->first_ms == move->last_ms)
        cause->cause.others++;
    cause->moved[move->id] = true;
    cause->cause.last_ms = now_ms;
}

static bool
reads_any(const struct finding *finding, const bool moved[PARAMS])
{
    const enum param_id *id = check_reads(finding->check, finding->object.mix >= 0);

    while (*id != PARAMS && !moved[*id])
        id++;
    return *id != PARAMS;
}

static bool
covers(const struct open_cause *cause, const struct desk *desk, const struct finding *finding)
{
    int input = finding->object.input, mix = finding->object.mix;

    if (!reads_any(finding, cause->moved))
        return false;
    switch (cause->cause.kind) {
    case CAUSE_INPUT:
        return input < 0 || input == cause->cause.number || finding->check->spread == SPREAD_PREAMP;
    case CAUSE_PREAMP:
        return input < 0 || preamp_of(desk, input) == cause->cause.number;
    case CAUSE_MIX:
        return mix < 0 || mix == cause->cause.number ||
               (finding->check->spread == SPREAD_PAIR && abs(mix - cause->cause.number) == 1);
    case CAUSE_GROUP:
        return true;
    default:
        return false; /* told at once, or begun for the findings that hang on it */
    }
}

int
causes_find(const struct causes *causes, const struct desk *desk, const struct finding *finding,
            int64_t now_ms)
{
    int best = -1;

    for (int i = 0; i < CAUSES_KEPT; i++) {
        const struct open_cause *cause = &causes->list[i];

        if (!cause->open || cause->closed || now_ms - cause->cause.last_ms > CAUSE_TOGETHER_MS ||
            !covers(cause, desk, finding))
            continue;
        if (best < 0 || cause->cause.kind > causes->list[best].cause.kind ||
            (cause->cause.kind == causes->list[best].cause.kind &&
             cause->cause.last_ms > causes->list[best].cause.last_ms))
            best = i;
    }
    return best;
}

void
causes_age(struct causes *causes, int64_t now_ms)
{
    for (int i = 0; i < CAUSES_KEPT; i++) {
        struct open_cause *cause = &causes->list[i];

        if (cause->open && cause->links == 0 &&
            (cause->closed || now_ms - cause->cause.last_ms > CAUSE_TOGETHER_MS))
            cause->open = false;
    }
}

void
causes_close_all(struct causes *causes)
{
    for (int i = 0; i < CAUSES_KEPT; i++)
        causes->list[i].closed = true;
}
