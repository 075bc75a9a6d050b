/* SPDX-License-Identifier: MIT */
#include "change/effect.h"

#include <math.h>

/* One path on one side. */
struct side {
    const struct desk *desk;
    const struct path_level *level;
    int input, mix;
};

static double
number_of(const struct side *side, enum param_id id, int row, int column)
{
    return value_number(desk_value(side->desk, id, row, column));
}

/* A group's fader where the input belongs to it and the send follows it, else 0. */
static double
group_db(const struct side *side, int group)
{
    bool follows = number_of(side, PARAM_SEND_TAP, side->input, side->mix) == TAP_POST_FADER &&
                   number_of(side, PARAM_INPUT_GROUP, side->input, group) != 0;

    return follows ? number_of(side, PARAM_GROUP_FADER, group, 0) : 0;
}

static double
fader_db(const struct side *side)
{
    bool follows = number_of(side, PARAM_SEND_TAP, side->input, side->mix) == TAP_POST_FADER;

    return follows ? number_of(side, PARAM_INPUT_FADER, side->input, 0) : 0;
}

/* Whether the parameter sets a part of a path's gain at all. */
static bool
is_part(enum param_id id)
{
    switch (id) {
    case PARAM_INPUT_PREAMP_GAIN:
    case PARAM_INPUT_PAD:
    case PARAM_INPUT_TRIM:
    case PARAM_INPUT_COMP_ON:
    case PARAM_INPUT_COMP_MAKEUP:
    case PARAM_INPUT_FADER:
    case PARAM_INPUT_GROUP:
    case PARAM_GROUP_FADER:
    case PARAM_SEND_ON:
    case PARAM_SEND_LEVEL:
    case PARAM_SEND_TAP:
    case PARAM_MIX_FADER:
    case PARAM_MIX_TRIM:
        return true;
    default:
        return false;
    }
}

/* The part of the path's gain that the value sets, dB. */
static double
part_db(const struct side *side, enum param_id id, int row, int column)
{
    const struct path_level *level = side->level;

    switch (id) {
    case PARAM_INPUT_PREAMP_GAIN:
        return level->preamp_db;
    case PARAM_INPUT_PAD:
        return -level->pad_db;
    case PARAM_INPUT_TRIM:
        return level->trim_db;
    case PARAM_INPUT_COMP_ON:
    case PARAM_INPUT_COMP_MAKEUP:
        return level->makeup_db;
    case PARAM_INPUT_FADER:
        return fader_db(side);
    case PARAM_INPUT_GROUP:
        return group_db(side, column);
    case PARAM_GROUP_FADER:
        return group_db(side, row);
    case PARAM_SEND_ON:
    case PARAM_SEND_LEVEL:
        return level->send_db;
    case PARAM_SEND_TAP:
        return level->makeup_db + level->fader_db;
    case PARAM_MIX_FADER:
        return level->master_db;
    case PARAM_MIX_TRIM:
        return level->mix_trim_db;
    default:
        return 0;
    }
}

/* How much of a path's rise, or below 0 of its fall, is the doing of the value. What opens or closes
 * a path was off, or is: the other parts of a path that is off are not read. */
static double
share_db(const struct offsets *offsets, enum param_id id, int row, int column, int input, int mix)
{
    const struct path_pair *pair = offsets_path(offsets, input, mix);
    const struct side before = {offsets->before, &pair->was, input, mix};
    const struct side after = {offsets->after, &pair->is, input, mix};
    double rise_db = pair->is.sum_db - pair->was.sum_db, was_db, is_db;

    if (pair->same != PATH_DIFFERS)
        return 0;
    was_db = part_db(&before, id, row, column);
    is_db = part_db(&after, id, row, column);
    if (was_db == is_db || (is_db > was_db) != (rise_db > 0))
        return 0;
    if (isinf(rise_db))
        return isinf(is_db - was_db) ? rise_db : 0;
    return copysign(fmin(fabs(rise_db), fabs(is_db - was_db)), rise_db);
}

/* How far the control itself moved towards louder. */
static double
own_db(const struct offsets *offsets, enum param_id id, int row, int column)
{
    const struct value *was = desk_value(offsets->before, id, row, column);
    const struct value *is = desk_value(offsets->after, id, row, column);

    double rise_db = value_number(is) - value_number(was);

    if (params[id].unit != UNIT_DB || isnan(rise_db)) /* both off, or one not known */
        return 0;
    return id == PARAM_INPUT_PAD ? -rise_db : rise_db;
}

static void
add(struct effect *effect, double db)
{
    effect->louder_db = fmax(effect->louder_db, db);
    effect->softer_db = fmax(effect->softer_db, -db);
}

/* From the first of a range to behind its last. */
struct range {
    int from, to;
};

static struct range
range_of(enum index_kind kind, enum param_id id, int row, int column, int count)
{
    int at = params[id].row == kind ? row : params[id].column == kind ? column : -1;

    return at < 0 ? (struct range){0, count} : (struct range){at, at + 1};
}

static struct effect
effect_within(const struct offsets *offsets, enum param_id id, int row, int column,
              struct range mixes)
{
    struct range inputs = range_of(INDEX_INPUT, id, row, column, offsets->inputs);
    struct effect effect = {.known = true};
    bool missed = false;

    if (!is_part(id))
        return effect;
    for (int input = inputs.from; input < inputs.to; input++)
        for (int mix = mixes.from; mix < mixes.to; mix++) {
            missed |= offsets_path(offsets, input, mix)->same == PATH_NOT_KNOWN;
            add(&effect, share_db(offsets, id, row, column, input, mix));
        }
    effect.known = effect_is_any(effect) || !missed;
    if (!effect.known)
        add(&effect, own_db(offsets, id, row, column));
    return effect;
}

struct effect
effect_of(const struct offsets *offsets, enum param_id id, int row, int column)
{
    return effect_within(offsets, id, row, column,
                         range_of(INDEX_MIX, id, row, column, offsets->mixes));
}

struct effect
effect_in(const struct offsets *offsets, enum param_id id, int row, int column, int mix)
{
    struct range mixes = range_of(INDEX_MIX, id, row, column, offsets->mixes);

    if (mix < mixes.from || mix >= mixes.to)
        return (struct effect){.known = true};
    return effect_within(offsets, id, row, column, (struct range){mix, mix + 1});
}

bool
effect_is_any(struct effect effect)
{
    return effect.louder_db > 0 || effect.softer_db > 0;
}

/* ---- words ---- */

/* One of the two ways, in the mixes in which it goes that way. */
struct direction {
    const char *word, *open; /* "louder", "opens the path" */
    bool up;
};

static double
way_db(struct effect effect, const struct direction *way)
{
    return way->up ? effect.louder_db : effect.softer_db;
}

static bool
goes(const struct offsets *offsets, enum param_id id, int row, int column,
     const struct direction *way, int mix)
{
    struct effect effect = effect_in(offsets, id, row, column, mix);

    return effect.known && way_db(effect, way) > 0;
}

/* " in mix 3", " in mixes 1-4, 6". A value of one mix says where it is by itself. */
static void
add_mixes(struct text *text, const struct offsets *offsets, enum param_id id, int row, int column,
          const struct direction *way)
{
    int count = 0;

    for (int mix = 0; mix < offsets->mixes; mix++)
        count += goes(offsets, id, row, column, way, mix);
    if (params[id].row == INDEX_MIX || params[id].column == INDEX_MIX)
        return;
    text_add(text, count == 1 ? " in mix" : " in mixes");
    for (int mix = 0, listed = 0; mix < offsets->mixes; mix++) {
        int first = mix;

        if (!goes(offsets, id, row, column, way, mix))
            continue;
        while (mix + 1 < offsets->mixes && goes(offsets, id, row, column, way, mix + 1))
            mix++;
        text_add(text, "%s %d", listed++ > 0 ? "," : "", first + 1);
        if (mix > first)
            text_add(text, "%s%d", mix > first + 1 ? "-" : ", ", mix + 1);
    }
}

static void
add_way(struct text *text, const struct offsets *offsets, enum param_id id, int row, int column,
        const struct direction *way)
{
    struct effect effect = effect_of(offsets, id, row, column);
    double db = way_db(effect, way);
    bool uneven = false;

    if (!(db > 0))
        return;
    for (int mix = 0; effect.known && mix < offsets->mixes; mix++)
        uneven |= goes(offsets, id, row, column, way, mix) &&
                  fabs(way_db(effect_in(offsets, id, row, column, mix), way) - db) >= 0.05;
    if (db == HUGE_VAL)
        text_add(text, ", %s", way->open);
    else
        text_add(text, ", %s%f dB %s", uneven ? "up to " : "", db, way->word);
    if (effect.known)
        add_mixes(text, offsets, id, row, column, way);
    else
        text_add(text, " (its paths are not known)");
}

void
effect_says(struct text *text, const struct offsets *offsets, enum param_id id, int row, int column)
{
    static const struct direction louder = {"louder", "opens the path", true},
                                  softer = {"softer", "closes the path", false};

    add_way(text, offsets, id, row, column, &louder);
    add_way(text, offsets, id, row, column, &softer);
}
