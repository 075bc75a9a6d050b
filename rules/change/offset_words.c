/* SPDX-License-Identifier: MIT */
/* Offsets as people say them. */
#include <math.h>

#include "change/difference.h"
#include "change/offset.h"

/* A list under way: what stands between two of its entries. */
struct listing {
    struct text *text;
    const struct offsets *offsets;
    int first; /* the input that needs no naming */
    bool begun;
};

/* ", input 4 " */
static void
add_entry(struct listing *listing, int row)
{
    if (listing->begun)
        text_add(listing->text, ", ");
    if (row != listing->first)
        text_add(listing->text, "input %d ", row + 1);
    listing->begun = true;
}

static void
add_difference(struct listing *listing, enum param_id id, int row)
{
    add_entry(listing, row);
    difference_says(listing->text, listing->offsets->before, listing->offsets->after, id, row, 0);
}

static bool
differs(const struct offsets *offsets, enum param_id id, int row)
{
    return difference_of(offsets->before, offsets->after, id, row, 0) == OTHER;
}

/* ---- sends ---- */

/* How far the sends of an offset's paths went. */
struct span {
    int paths, moved;
    double least_db, most_db;
};

static bool
is_of(const struct offsets *offsets, const struct offset *offset, int input, int mix)
{
    return offset->input < 0 ? mix == offset->mix : offsets->preamp_of[input] == offset->input;
}

static void
add_send(const struct offsets *offsets, struct span *span, int input, int mix)
{
    const struct path_pair *pair = offsets_path(offsets, input, mix);
    double moved_db = pair->is.send_db - pair->was.send_db;

    if (pair->same != PATH_AGREES)
        return;
    span->least_db = span->paths == 0 ? moved_db : fmin(span->least_db, moved_db);
    span->most_db = span->paths == 0 ? moved_db : fmax(span->most_db, moved_db);
    span->paths++;
    span->moved +=
        difference_of(offsets->before, offsets->after, PARAM_SEND_LEVEL, input, mix) == OTHER;
}

static struct span
sends_of(const struct offsets *offsets, const struct offset *offset)
{
    struct span span = {0};

    for (int input = 0; input < offsets->inputs; input++)
        for (int mix = 0; mix < offsets->mixes; mix++)
            if (is_of(offsets, offset, input, mix))
                add_send(offsets, &span, input, mix);
    return span;
}

/* To the tenths that are printed. */
static double
tenths(double number_db)
{
    return round(number_db * 10) / 10;
}

/* "its sends 6 dB lower", "its sends 3 to 9 dB lower", "its sends from 3 dB lower to 2 dB higher"
 */
static void
add_sends(struct listing *listing, const struct span *span)
{
    double least_db = tenths(span->least_db), most_db = tenths(span->most_db);
    double near_db = fmin(fabs(least_db), fabs(most_db));
    double far_db = fmax(fabs(least_db), fabs(most_db));
    const char *way = least_db + most_db > 0 ? "higher" : "lower";

    if (span->moved == 0)
        return;
    add_entry(listing, listing->first);
    text_add(listing->text, span->paths == 1 ? "its send " : "its sends ");
    if (least_db < 0 && most_db > 0)
        text_add(listing->text, "from %f dB lower to %f dB higher", -least_db, most_db);
    else if (near_db == far_db)
        text_add(listing->text, "%f dB %s", far_db, way);
    else
        text_add(listing->text, "%f to %f dB %s", near_db, far_db, way);
}

/* ---- head and master ---- */

static bool
is_equal(const struct desk *desk, enum param_id id, int one, int other)
{
    return value_last_heard(desk_value(desk, id, one, 0)) ==
           value_last_heard(desk_value(desk, id, other, 0));
}

/* Preamp and pad are one for all inputs they feed, so they are said once, unless the desk tells
 * them differently. */
static bool
is_said(const struct listing *listing, enum param_id id, int row)
{
    return id != PARAM_INPUT_TRIM && row != listing->first &&
           differs(listing->offsets, id, listing->first) &&
           is_equal(listing->offsets->before, id, listing->first, row) &&
           is_equal(listing->offsets->after, id, listing->first, row);
}

static void
add_head(struct listing *listing, int input)
{
    static const enum param_id parts[] = {PARAM_INPUT_PREAMP_GAIN, PARAM_INPUT_PAD,
                                          PARAM_INPUT_TRIM};

    for (size_t i = 0; i < sizeof parts / sizeof *parts; i++)
        if (differs(listing->offsets, parts[i], input) && !is_said(listing, parts[i], input))
            add_difference(listing, parts[i], input);
}

static void
add_master(struct listing *listing, int mix)
{
    static const enum param_id parts[] = {PARAM_MIX_FADER, PARAM_MIX_TRIM};

    for (size_t i = 0; i < sizeof parts / sizeof *parts; i++)
        if (differs(listing->offsets, parts[i], mix))
            add_difference(listing, parts[i], mix);
}

/* ---- thresholds ---- */

static const struct {
    enum param_id on, threshold;
    const char *name;
} dynamics[] = {{PARAM_INPUT_COMP_ON, PARAM_INPUT_COMP_THRESHOLD, "compressor"},
                {PARAM_INPUT_GATE_ON, PARAM_INPUT_GATE_THRESHOLD, "gate"}};

enum { DYNAMICS = (int)(sizeof dynamics / sizeof *dynamics) };

/* Those that went along with the head. */
static void
add_thresholds(struct listing *listing, int input)
{
    for (int i = 0; i < DYNAMICS; i++)
        if (differs(listing->offsets, dynamics[i].threshold, input) &&
            offsets_fold(listing->offsets, dynamics[i].threshold, input, 0))
            add_difference(listing, dynamics[i].threshold, input);
}

/* Those that did not: "; its compressor meets a level 6 dB higher". */
static void
add_met(struct listing *listing, int input)
{
    for (int i = 0; i < DYNAMICS; i++) {
        double meets_db =
            offsets_meets_db(listing->offsets, dynamics[i].on, dynamics[i].threshold, input);

        if (meets_db == 0)
            continue;
        text_add(listing->text, "; ");
        if (input == listing->first)
            text_add(listing->text, "its ");
        else
            text_add(listing->text, "input %d's ", input + 1);
        text_add(listing->text, "%s meets a level %f dB %s", dynamics[i].name, fabs(meets_db),
                 meets_db > 0 ? "higher" : "lower");
    }
}

/* ---- the whole ---- */

static void
each_input(struct listing *listing, void (*add)(struct listing *listing, int input))
{
    const struct offsets *offsets = listing->offsets;

    for (int input = listing->first; input < offsets->inputs; input++)
        if (offsets->preamp_of[input] == listing->first)
            add(listing, input);
}

static void
add_all(struct listing *listing, const struct offset *offset)
{
    struct span span = sends_of(listing->offsets, offset);
    bool of_input = offset->input >= 0;

    if (of_input)
        each_input(listing, add_head);
    else
        add_master(listing, offset->mix);
    if (!offset->recognised)
        return;
    add_sends(listing, &span);
    if (of_input)
        each_input(listing, add_thresholds);
    if (offset->paths == 1)
        text_add(listing->text, "; its one path gain agrees");
    else
        text_add(listing->text, "; all %d path gains agree", offset->paths);
    if (of_input)
        each_input(listing, add_met);
}

void
offset_says(struct text *text, const struct offsets *offsets, const struct offset *offset)
{
    struct listing listing = {.text = text,
                              .offsets = offsets,
                              .first = offset->input >= 0 ? offset->input : offset->mix};

    if (offset->recognised)
        text_add(text, "another offset: ");
    add_all(&listing, offset);
    if (!offset->recognised)
        text_add(text, "; whether it is another offset alone is not known");
}

void
offset_path_says(struct text *text, const struct path_pair *pair)
{
    text_add(text, "path gain %g -> %g%s", pair->was.sum_db, pair->is.sum_db,
             pair->is.sum_db == -HUGE_VAL ? "" : " dB");
}
