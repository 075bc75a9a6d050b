/* SPDX-License-Identifier: MIT */
#include "engine/marks.h"

#include <stdlib.h>

#include "core/need.h"

/* Where the slots of one check begin: the desk's, then one per input, then one per mix. */
struct span {
    size_t desk, input, mix, end;
};

/* A check that reads a parameter, and whether it does so for mixes too. */
struct reader {
    int check; /* -1 ends a list */
    bool of_mix;
};

struct marks {
    const struct desk *desk;
    const struct check_set *set;
    struct span spans[CHECKS]; /* empty where the set lacks it */
    size_t slots;
    bool *marked;
    uint64_t
        *of_others; /* which slots a change of any input touches: into which mixes, a bit each */
    size_t others[CHECKS]; /* how many there are of each check */
    size_t *list;          /* marked slots; each stands here at most once */
    size_t count;
    bool of_proofs, of_spectra; /* checks that rest on these are read for, too */
    struct reader *readers[PARAMS];
};

static void
mark_slot(struct marks *marks, size_t slot)
{
    if (marks->marked[slot])
        return;
    marks->marked[slot] = true;
    marks->list[marks->count++] = slot;
}

static void
mark_range(struct marks *marks, size_t from, size_t to)
{
    for (size_t slot = from; slot < to; slot++)
        mark_slot(marks, slot);
}

void
marks_all(struct marks *marks)
{
    mark_range(marks, 0, marks->slots);
}

static int
preamp_of(const struct marks *marks, int input)
{
    const struct value *preamp = desk_value(marks->desk, PARAM_INPUT_PREAMP, input, 0);

    return preamp->state == VALUE_KNOWN ? (int)value_number(preamp) : -1;
}

/* Marks the input's object and, where the check asks for it, all that share its preamp. They are
 * only ever marked together, so a marked one needs no second search. */
static void
mark_input(struct marks *marks, int check, int input)
{
    const struct span *span = &marks->spans[check];
    int preamp;

    if (marks->marked[span->input + (size_t)input])
        return;
    mark_slot(marks, span->input + (size_t)input);
    if (marks->set->of[check]->spread != SPREAD_PREAMP)
        return;
    preamp = preamp_of(marks, input);
    for (int other = 0; preamp >= 0 && other < desk_count(marks->desk, INDEX_INPUT); other++)
        if (preamp_of(marks, other) == preamp)
            mark_slot(marks, span->input + (size_t)other);
}

static uint64_t
bit_of(int mix)
{
    return UINT64_C(1) << (mix % 64);
}

void
marks_rest_on_others(struct marks *marks, int check, size_t slot, uint64_t mixes)
{
    if ((marks->of_others[slot] != 0) != (mixes != 0))
        marks->others[check] += mixes != 0 ? 1 : (size_t)-1;
    marks->of_others[slot] = mixes;
}

/* The inputs whose verdict rests on what other inputs send into the mix, or into any (-1). */
static void
mark_others(struct marks *marks, int check, int mix)
{
    const struct span *span = &marks->spans[check];
    uint64_t mixes = mix < 0 ? UINT64_MAX : bit_of(mix);

    for (size_t slot = span->input; marks->others[check] > 0 && slot < span->mix; slot++)
        if (marks->of_others[slot] & mixes)
            mark_slot(marks, slot);
}

static bool
reads(const enum param_id *list, enum param_id id)
{
    while (*list != PARAMS && *list != id)
        list++;
    return *list == id;
}

static void
mark_mix(struct marks *marks, int check, int mix)
{
    const struct span *span = &marks->spans[check];
    bool pair = marks->set->of[check]->spread == SPREAD_PAIR;
    bool all = marks->set->of[check]->spread == SPREAD_MIXES;
    int last = (int)(span->end - span->mix) - 1;

    mark_range(marks, span->mix + (all ? 0 : (size_t)mix),
               all ? span->end : span->mix + (size_t)mix + 1);
    if (pair && mix > 0)
        mark_slot(marks, span->mix + (size_t)mix - 1);
    if (pair && mix < last)
        mark_slot(marks, span->mix + (size_t)mix + 1);
}

/* Marks the objects of one check that a change of (input, mix) can touch: those with the same input
 * or mix, or all of a kind that the parameter has no index for (-1). */
static void
mark_objects(struct marks *marks, const struct reader *reader, int input, int mix)
{
    const struct span *span = &marks->spans[reader->check];

    mark_range(marks, span->desk, span->input);
    if (input < 0)
        mark_range(marks, span->input, span->mix);
    else if (span->mix > span->input) {
        mark_input(marks, reader->check, input);
        mark_others(marks, reader->check, mix);
    }
    if (!reader->of_mix)
        return;
    if (mix < 0)
        mark_range(marks, span->mix, span->end);
    else
        mark_mix(marks, reader->check, mix);
}

static bool
may_be(const struct marks *marks, enum param_id id, int row, int column, double number)
{
    const struct value *value = desk_value(marks->desk, id, row, column);

    return value->state != VALUE_KNOWN || value_number(value) == number;
}

/* Whether an input of the group may send into the mix from behind its fader. */
static bool
reaches(const struct marks *marks, int group, int mix)
{
    for (int input = 0; input < desk_count(marks->desk, INDEX_INPUT); input++)
        if (may_be(marks, PARAM_INPUT_GROUP, input, group, 1) &&
            may_be(marks, PARAM_SEND_TAP, input, mix, TAP_POST_FADER))
            return true;
    return false;
}

/* A group touches its inputs and the mixes that they reach from behind their faders. */
static void
mark_group(struct marks *marks, const struct reader *reader, int group)
{
    const struct span *span = &marks->spans[reader->check];

    mark_range(marks, span->desk, span->input);
    for (int input = 0; span->mix > span->input && input < desk_count(marks->desk, INDEX_INPUT);
         input++)
        if (may_be(marks, PARAM_INPUT_GROUP, input, group, 1))
            mark_input(marks, reader->check, input);
    mark_others(marks, reader->check, -1);
    for (int mix = 0; reader->of_mix && mix < desk_count(marks->desk, INDEX_MIX); mix++)
        if (reaches(marks, group, mix))
            mark_slot(marks, span->mix + (size_t)mix);
}

void
marks_readers(struct marks *marks, enum param_id id, int row, int column)
{
    int input = params[id].row == INDEX_INPUT && id != PARAM_INPUT_PREAMP ? row : -1;
    int mix = params[id].row == INDEX_MIX ? row : params[id].column == INDEX_MIX ? column : -1;

    for (const struct reader *reader = marks->readers[id]; reader->check >= 0; reader++)
        if (params[id].row == INDEX_GROUP)
            mark_group(marks, reader, row);
        else
            mark_objects(marks, reader, input, mix);
}

/* Once, because every value that moves asks for it. */
static void
list_readers(struct marks *marks)
{
    for (int id = 0; id < PARAMS; id++) {
        struct reader *list = need_memory((size_t)CHECKS + 1, sizeof *list);
        int count = 0;

        free(marks->readers[id]);
        for (int number = 0; number < CHECKS; number++) {
            const struct check *check = marks->set->of[number];

            if (check && (marks->of_proofs || !check->of_proofs) &&
                (marks->of_spectra || !check->of_spectra) && reads(check->reads, (enum param_id)id))
                list[count++] =
                    (struct reader){number, (check->objects & OBJECT_MIX) &&
                                                reads(check_reads(check, true), (enum param_id)id)};
        }
        list[count] = (struct reader){-1, false};
        marks->readers[id] = list;
    }
}

static void
lay_out(struct marks *marks)
{
    size_t inputs = (size_t)desk_count(marks->desk, INDEX_INPUT);
    size_t mixes = (size_t)desk_count(marks->desk, INDEX_MIX);
    size_t at = 0;

    for (int check = 0; check < CHECKS; check++) {
        struct span *span = &marks->spans[check];
        unsigned objects = marks->set->of[check] ? marks->set->of[check]->objects : 0;

        span->desk = at;
        span->input = span->desk + (objects & OBJECT_DESK ? 1 : 0);
        span->mix = span->input + (objects & OBJECT_INPUT ? inputs : 0);
        span->end = span->mix + (objects & OBJECT_MIX ? mixes : 0);
        at = span->end;
    }
    marks->slots = at;
}

struct marks *
marks_new(const struct desk *desk, const struct check_set *set)
{
    struct marks *marks = need_memory(1, sizeof *marks);

    marks->desk = desk;
    marks->set = set;
    lay_out(marks);
    marks->marked = need_memory(marks->slots + 1, sizeof *marks->marked);
    marks->of_others = need_memory(marks->slots + 1, sizeof *marks->of_others);
    marks->list = need_memory(marks->slots + 1, sizeof *marks->list);
    list_readers(marks);
    return marks;
}

void
marks_set_proofs(struct marks *marks, bool kept)
{
    marks->of_proofs = kept;
    list_readers(marks);
    marks_all(marks);
}

void
marks_set_spectra(struct marks *marks, bool heard)
{
    marks->of_spectra = heard;
    list_readers(marks);
    marks_all(marks);
}

void
marks_one(struct marks *marks, int check, struct object object)
{
    size_t slot = marks_find(marks, check, object);

    if (slot < marks->slots)
        mark_slot(marks, slot);
}

void
marks_free(struct marks *marks)
{
    if (!marks)
        return;
    for (int id = 0; id < PARAMS; id++)
        free(marks->readers[id]);
    free(marks->marked);
    free(marks->of_others);
    free(marks->list);
    free(marks);
}

size_t
marks_slots(const struct marks *marks)
{
    return marks->slots;
}

size_t
marks_count(const struct marks *marks)
{
    return marks->count;
}

const size_t *
marks_take(struct marks *marks, size_t *count)
{
    *count = marks->count;
    for (size_t i = 0; i < marks->count; i++)
        marks->marked[marks->list[i]] = false;
    marks->count = 0;
    return marks->list;
}

const size_t *
marks_take_some(struct marks *marks, marks_want_fn *want, void *context, size_t *count)
{
    size_t all = marks->count, kept = all;

    for (size_t i = 0; i < kept;) {
        size_t slot = marks->list[i];

        if (!want(context, slot)) {
            i++;
            continue;
        }
        marks->list[i] = marks->list[--kept];
        marks->list[kept] = slot;
        marks->marked[slot] = false;
    }
    marks->count = kept;
    *count = all - kept;
    return marks->list + kept;
}

const size_t *
marks_list(const struct marks *marks, size_t *count)
{
    *count = marks->count;
    return marks->list;
}

struct object
marks_object(const struct marks *marks, size_t slot, int *check)
{
    const struct span *span;

    *check = 0;
    while (slot >= marks->spans[*check].end)
        ++*check;
    span = &marks->spans[*check];
    if (slot < span->input)
        return (struct object){-1, -1};
    if (slot < span->mix)
        return (struct object){(int)(slot - span->input), -1};
    return (struct object){-1, (int)(slot - span->mix)};
}

size_t
marks_find(const struct marks *marks, int check, struct object object)
{
    const struct span *span = &marks->spans[check];
    size_t slot = object.input >= 0 ? span->input + (size_t)object.input
                  : object.mix >= 0 ? span->mix + (size_t)object.mix
                                    : span->desk;
    size_t end = object.input >= 0 ? span->mix : object.mix >= 0 ? span->end : span->input;

    return slot < end ? slot : marks->slots;
}

void
marks_span(const struct marks *marks, int check, size_t *from, size_t *to)
{
    *from = marks->spans[check].desk;
    *to = marks->spans[check].end;
}
