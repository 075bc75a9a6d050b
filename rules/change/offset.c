/* SPDX-License-Identifier: MIT */
#include "change/offset.h"

#include <math.h>
#include <stdlib.h>

#include "change/difference.h"
#include "core/need.h"
#include "look/look.h"

static const enum param_id reads[] = {PATH_LEVEL_READS, PARAM_INPUT_PREAMP, PARAMS};

static const enum param_id head_parts[] = {PARAM_INPUT_PREAMP_GAIN, PARAM_INPUT_PAD,
                                           PARAM_INPUT_TRIM, PARAMS};
static const enum param_id master_parts[] = {PARAM_MIX_FADER, PARAM_MIX_TRIM, PARAMS};

/* The work sheet: what is needed until the offsets are found. */
struct sheet {
    struct offsets *offsets;
    struct desk *before, *after; /* copies that know nothing of what one side alone is taken for */
    bool *repatched;             /* another preamp feeds the input, or joined its preamp */
    bool patch_known;            /* which preamp feeds which input, on both sides */
    struct offset_miss patch;    /* why it is not */
};

/* ---- paths ---- */

static struct path_pair *
pair_of(const struct offsets *offsets, int input, int mix)
{
    return &offsets->paths[input * offsets->mixes + mix];
}

const struct path_pair *
offsets_path(const struct offsets *offsets, int input, int mix)
{
    return pair_of(offsets, input, mix);
}

static bool
agree(const struct offsets *offsets, double was_db, double is_db)
{
    return was_db == is_db || fabs(was_db - is_db) < offsets->tolerance_db;
}

/* Says what the look missed. */
static void
keep_why(struct offset_miss *miss, const struct look *look)
{
    struct text why;

    text_init(&why, miss->why, sizeof miss->why);
    misses_add(&why, &look->misses);
}

/* The level of the path on one desk; false with the reason, which goes into `miss` unless NULL. */
static bool
read_level(const struct desk *desk, int input, int mix, struct path_level *level,
           struct offset_miss *miss)
{
    struct verdict verdict;
    struct look look = look_reader(desk, NULL, reads, &verdict);
    bool known = path_level(&look, input, mix, level);

    if (!known && miss)
        keep_why(miss, &look);
    return known;
}

static void
judge_path(const struct offsets *offsets, struct path_pair *pair)
{
    const struct path_level *was = &pair->was, *is = &pair->is;

    if (was->sum_db == -HUGE_VAL && is->sum_db == -HUGE_VAL)
        pair->same = PATH_CLOSED;
    else /* off lies further from any level than the tolerance */
        pair->same = agree(offsets, was->sum_db, is->sum_db) ? PATH_AGREES : PATH_DIFFERS;
    pair->balanced = pair->same == PATH_AGREES &&
                     agree(offsets, was->fader_db + was->makeup_db, is->fader_db + is->makeup_db);
}

static void
read_path(const struct sheet *sheet, int input, int mix)
{
    struct offsets *offsets = sheet->offsets;
    struct path_pair *pair = pair_of(offsets, input, mix);

    pair->same = PATH_NOT_KNOWN;
    if (read_level(sheet->before, input, mix, &pair->was, NULL) &&
        read_level(sheet->after, input, mix, &pair->is, NULL))
        judge_path(offsets, pair);
    offsets->of[pair->same]++;
    offsets->input_open[input] |= pair->same == PATH_AGREES || pair->same == PATH_DIFFERS;
}

/* What is not known of a path that is not. */
static void
read_miss(const struct sheet *sheet, int input, int mix, struct offset_miss *miss)
{
    struct path_level level;

    miss->before = !read_level(sheet->before, input, mix, &level, miss);
    if (!miss->before)
        read_level(sheet->after, input, mix, &level, miss);
}

static void
read_paths(const struct sheet *sheet)
{
    struct offsets *offsets = sheet->offsets;

    offsets->miss_input = offsets->miss_mix = -1;
    for (int input = 0; input < offsets->inputs; input++)
        for (int mix = 0; mix < offsets->mixes; mix++) {
            read_path(sheet, input, mix);
            if (offsets->miss_input >= 0 ||
                offsets_path(offsets, input, mix)->same != PATH_NOT_KNOWN)
                continue;
            offsets->miss_input = input;
            offsets->miss_mix = mix;
            read_miss(sheet, input, mix, &offsets->miss);
        }
}

/* ---- preamps ---- */

/* Which preamp feeds the input on one side; false with the reason kept. */
static bool
read_preamp(struct sheet *sheet, bool before, int input, int *preamp)
{
    struct verdict verdict;
    struct look look = look_reader(before ? sheet->before : sheet->after, NULL, reads, &verdict);

    if (look_preamp(&look, input, preamp))
        return true;
    sheet->patch.before = before;
    keep_why(&sheet->patch, &look);
    return false;
}

/* The patch is published on one side alone: then inputs that share a preamp are not known. */
static bool
half_patched(struct sheet *sheet)
{
    bool before = desk_supplied(sheet->before, PARAM_INPUT_PREAMP) == SUPPLY_NONE;
    bool after = desk_supplied(sheet->after, PARAM_INPUT_PREAMP) == SUPPLY_NONE;
    struct text why;

    text_init(&why, sheet->patch.why, sizeof sheet->patch.why);
    sheet->patch.before = before;
    if (before != after)
        text_add(&why, "%s is not told", params[PARAM_INPUT_PREAMP].name);
    return before != after;
}

/* Groups inputs by the preamp that fed them, and marks those of a preamp whose inputs changed. */
static void
group_inputs(struct sheet *sheet, const int was[], const int is[])
{
    struct offsets *offsets = sheet->offsets;

    for (int input = 0; input < offsets->inputs; input++) {
        int first = 0;

        while (was[first] != was[input])
            first++;
        offsets->preamp_of[input] = first;
        for (int other = 0; other < offsets->inputs; other++)
            sheet->repatched[input] |=
                was[other] != is[other] && (was[other] == was[input] || is[other] == was[input]);
    }
}

static void
read_patch(struct sheet *sheet)
{
    size_t inputs = (size_t)sheet->offsets->inputs;
    int *was = need_memory(inputs, sizeof *was), *is = need_memory(inputs, sizeof *is);

    for (int input = 0; input < sheet->offsets->inputs; input++)
        sheet->offsets->preamp_of[input] = input;
    sheet->patch_known = !half_patched(sheet);
    for (int input = 0; sheet->patch_known && input < sheet->offsets->inputs; input++)
        sheet->patch_known = read_preamp(sheet, true, input, &was[input]) &&
                             read_preamp(sheet, false, input, &is[input]);
    if (sheet->patch_known)
        group_inputs(sheet, was, is);
    free(was);
    free(is);
}

/* ---- offsets ---- */

/* Whether any of the parts of the row differs. */
static bool
part_differs(const struct offsets *offsets, const enum param_id parts[], int row)
{
    for (; *parts != PARAMS; parts++)
        if (difference_of(offsets->before, offsets->after, *parts, row, 0) == OTHER)
            return true;
    return false;
}

/* What the paths of a candidate come to. */
struct tally {
    int open;
    bool broken; /* one differs, or others than head, send and master balance it */
    int unknown_input, unknown_mix; /* the first that is not known, or -1 */
};

static void
add_path(const struct offsets *offsets, struct tally *tally, int input, int mix)
{
    const struct path_pair *pair = offsets_path(offsets, input, mix);

    if (pair->same == PATH_NOT_KNOWN && tally->unknown_input < 0) {
        tally->unknown_input = input;
        tally->unknown_mix = mix;
    }
    tally->open += pair->same == PATH_AGREES || pair->same == PATH_DIFFERS;
    tally->broken |= pair->same == PATH_DIFFERS || (pair->same == PATH_AGREES && !pair->balanced);
}

/* Keeps the candidate unless it is a difference; true when it is recognised. */
static bool
keep(struct sheet *sheet, const struct tally *tally, struct offset offset)
{
    struct offsets *offsets = sheet->offsets;
    bool patch = offset.input < 0 || sheet->patch_known;

    if (tally->broken || (tally->open == 0 && tally->unknown_input < 0))
        return false;
    offset.paths = tally->open;
    offset.recognised = patch && tally->unknown_input < 0;
    if (tally->unknown_input >= 0)
        read_miss(sheet, tally->unknown_input, tally->unknown_mix, &offset.miss);
    else if (!patch)
        offset.miss = sheet->patch;
    offsets->list[offsets->count++] = offset;
    offsets->recognised += offset.recognised;
    return offset.recognised;
}

/* The offset of the preamp whose first input this is. */
static void
find_of_preamp(struct sheet *sheet, int first)
{
    struct offsets *offsets = sheet->offsets;
    struct tally tally = {.unknown_input = -1};
    bool differs = false, recognised;

    for (int input = first; input < offsets->inputs; input++) {
        if (offsets->preamp_of[input] != first)
            continue;
        differs |= part_differs(offsets, head_parts, input);
        for (int mix = 0; mix < offsets->mixes; mix++)
            add_path(offsets, &tally, input, mix);
    }
    if (!differs || sheet->repatched[first])
        return;
    recognised = keep(sheet, &tally, (struct offset){.input = first, .mix = -1});
    for (int input = first; input < offsets->inputs; input++)
        if (offsets->preamp_of[input] == first)
            offsets->input_folds[input] = recognised;
}

static void
find_of_mix(struct sheet *sheet, int mix)
{
    struct offsets *offsets = sheet->offsets;
    struct tally tally = {.unknown_input = -1};

    if (!part_differs(offsets, master_parts, mix))
        return;
    for (int input = 0; input < offsets->inputs; input++)
        add_path(offsets, &tally, input, mix);
    offsets->mix_folds[mix] = keep(sheet, &tally, (struct offset){.input = -1, .mix = mix});
}

static void
find_all(struct sheet *sheet)
{
    for (int input = 0; input < sheet->offsets->inputs; input++)
        if (sheet->offsets->preamp_of[input] == input)
            find_of_preamp(sheet, input);
    for (int mix = 0; mix < sheet->offsets->mixes; mix++)
        find_of_mix(sheet, mix);
}

/* How far the number of the row went, where both desks know it; else 0. */
static double
moved(const struct offsets *offsets, enum param_id id, int row)
{
    double moved = value_number(desk_value(offsets->after, id, row, 0)) -
                   value_number(desk_value(offsets->before, id, row, 0));

    return isnan(moved) ? 0 : moved;
}

/* How much higher the head of an input stands afterwards, where both desks know it. */
static double
head_db_of(const struct offsets *offsets, int input)
{
    return moved(offsets, PARAM_INPUT_PREAMP_GAIN, input) - moved(offsets, PARAM_INPUT_PAD, input) +
           moved(offsets, PARAM_INPUT_TRIM, input);
}

double
offsets_meets_db(const struct offsets *offsets, enum param_id on, enum param_id threshold,
                 int input)
{
    const struct value *in_circuit = desk_value(offsets->after, on, input, 0);
    double head_db = head_db_of(offsets, input), moved_db = moved(offsets, threshold, input);

    if (in_circuit->state != VALUE_KNOWN || value_number(in_circuit) == 0 ||
        difference_of(offsets->before, offsets->after, threshold, input, 0) == SAME_NOT_KNOWN ||
        !isfinite(moved_db) || agree(offsets, moved_db, head_db))
        return 0;
    return head_db - moved_db;
}

/* What of an input without an open path is folded: the preamp's own, when it feeds others. */
static bool
is_of_preamp(enum param_id id)
{
    return id == PARAM_INPUT_PREAMP_GAIN || id == PARAM_INPUT_PAD;
}

static bool
is_threshold(enum param_id id)
{
    return id == PARAM_INPUT_COMP_THRESHOLD || id == PARAM_INPUT_GATE_THRESHOLD;
}

bool
offsets_fold(const struct offsets *offsets, enum param_id id, int row, int column)
{
    if (id == PARAM_SEND_LEVEL)
        return offsets_path(offsets, row, column)->balanced &&
               (offsets->input_folds[row] || offsets->mix_folds[column]);
    if (id == PARAM_MIX_FADER || id == PARAM_MIX_TRIM)
        return offsets->mix_folds[row];
    if (is_of_preamp(id))
        return offsets->input_folds[row];
    if (id == PARAM_INPUT_TRIM)
        return offsets->input_folds[row] && offsets->input_open[row];
    /* a threshold sees the head: one that went along with it meets what it met */
    return is_threshold(id) && offsets->input_folds[row] && offsets->input_open[row] &&
           agree(offsets, moved(offsets, id, row), head_db_of(offsets, row));
}

/* ---- opening and closing ---- */

/* A copy of the desk without what it is taken to lack while the other desk has it. */
static struct desk *
honest_copy(const struct desk *desk, const struct desk *other)
{
    struct desk *copy = desk_copy(desk);

    for (int id = 0; id < PARAMS; id++)
        if (desk_supplied(desk, (enum param_id)id) == SUPPLY_ABSENT &&
            difference_half_absent(desk, other, (enum param_id)id))
            desk_supply(copy, (enum param_id)id, SUPPLY_HEARD);
    return copy;
}

static void
sheet_init(struct sheet *sheet)
{
    struct offsets *offsets = sheet->offsets;
    size_t inputs = (size_t)offsets->inputs + 1, mixes = (size_t)offsets->mixes + 1;

    sheet->before = honest_copy(offsets->before, offsets->after);
    sheet->after = honest_copy(offsets->after, offsets->before);
    sheet->repatched = need_memory(inputs, sizeof *sheet->repatched);
    offsets->paths = need_memory(inputs * mixes, sizeof *offsets->paths);
    offsets->list = need_memory(inputs + mixes, sizeof *offsets->list);
    offsets->preamp_of = need_memory(inputs, sizeof *offsets->preamp_of);
    offsets->input_open = need_memory(inputs, sizeof *offsets->input_open);
    offsets->input_folds = need_memory(inputs, sizeof *offsets->input_folds);
    offsets->mix_folds = need_memory(mixes, sizeof *offsets->mix_folds);
}

void
offsets_free(struct offsets *offsets)
{
    if (!offsets)
        return;
    free(offsets->paths);
    free(offsets->list);
    free(offsets->preamp_of);
    free(offsets->input_open);
    free(offsets->input_folds);
    free(offsets->mix_folds);
    free(offsets);
}

struct offsets *
offsets_new(const struct desk *before, const struct desk *after)
{
    struct offsets *offsets = need_memory(1, sizeof *offsets);
    struct sheet sheet = {.offsets = offsets};

    offsets->before = before;
    offsets->after = after;
    offsets->inputs = desk_count(after, INDEX_INPUT);
    offsets->mixes = desk_count(after, INDEX_MIX);
    /* a whole step must not be lost to rounding */
    offsets->tolerance_db =
        fmax(OFFSET_TOLERANCE_DB, desk_step(after, PARAM_SEND_LEVEL)) * (1 - 1e-6);
    sheet_init(&sheet);
    read_patch(&sheet);
    read_paths(&sheet);
    find_all(&sheet);
    desk_free(sheet.before);
    desk_free(sheet.after);
    free(sheet.repatched);
    return offsets;
}
