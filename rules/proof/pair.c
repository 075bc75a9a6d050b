/* SPDX-License-Identifier: MIT */
#include "proof/pair.h"

#include <math.h>
#include <stdlib.h>

#include "core/need.h"
#include "proof/allowance.h"

static const double moved_db = 0.05; /* less is a rounding */
enum { CLIMB_STEPS = 8 };            /* each leaves 0.62 of the span */

static bool
is_alike(const struct tone *one, const struct tone *other)
{
    return one->known && other->known && tone_same(one, other);
}

/* Ceilings of one evening mostly have the same filters: what is worked out of those is worked out
 * once. */
static void
share_curves(struct pair *pair, const struct pair *before)
{
    for (int i = 0; i < pair->is->inputs; i++)
        if (is_alike(&before->was->input_tones[i], &pair->was->input_tones[i]))
            pair->inputs[i] = before->inputs[i];
    for (int i = 0; i < pair->is->mixes; i++)
        if (is_alike(&before->was->mix_tones[i], &pair->was->mix_tones[i]))
            pair->mixes[i] = before->mixes[i];
}

static void
take_curves(struct pair *pair)
{
    int inputs = pair->is->inputs, mixes = pair->is->mixes;

    pair->curves = need_memory((size_t)(inputs + mixes), sizeof *pair->curves);
    pair->inputs = need_memory((size_t)inputs, sizeof *pair->inputs);
    pair->mixes = need_memory((size_t)mixes, sizeof *pair->mixes);
    for (int i = 0; i < inputs; i++)
        pair->inputs[i] = &pair->curves[i];
    for (int i = 0; i < mixes; i++)
        pair->mixes[i] = &pair->curves[inputs + i];
}

void
pair_init(struct pair *pair, const struct side *was, const struct side *is, bool proves,
          const struct pair *before, int count)
{
    size_t inputs = (size_t)is->inputs, mixes = (size_t)is->mixes;

    pair->was = was;
    pair->is = is;
    pair->proves = proves;
    take_curves(pair);
    for (int i = count - 1; i >= 0; i--)
        share_curves(pair, &before[i]);
    pair->ways = need_memory(inputs * mixes, sizeof *pair->ways);
}

void
pair_release(struct pair *pair)
{
    free(pair->curves);
    free(pair->inputs);
    free(pair->mixes);
    free(pair->ways);
}

static struct way *
way_at(const struct pair *pair, int input, int mix)
{
    return &pair->ways[(size_t)mix * (size_t)pair->is->inputs + (size_t)input];
}

static double
levels_fell_db(const struct pair *pair, int input, int mix)
{
    return side_spot(pair->was, input, mix)->level_db - side_spot(pair->is, input, mix)->level_db;
}

static bool
is_between(const struct way *way, const struct row *row)
{
    return way->fall_db + way->gap_db > row->db && way->fall_db > row->least_fall_db &&
           way->fall_db < row->most_fall_db;
}

bool
pair_level_moved(struct pair *pair, int input, int mix, const struct row *row)
{
    struct way *way = way_at(pair, input, mix);
    bool was_between = is_between(way, row);

    way->fall_db = levels_fell_db(pair, input, mix);
    return way->fresh && (way->is != PAIR_OPEN || (was_between && is_between(way, row)));
}

void
pair_spot_moved(struct pair *pair, int input, int mix)
{
    way_at(pair, input, mix)->fresh = false;
}

void
pair_input_moved(struct pair *pair, int input)
{
    pair->inputs[input]->fresh = false;
    for (int mix = 0; mix < pair->is->mixes; mix++)
        way_at(pair, input, mix)->fresh_filters = false;
}

void
pair_mix_moved(struct pair *pair, int mix)
{
    pair->mixes[mix]->fresh = false;
    for (int input = 0; input < pair->is->inputs; input++)
        way_at(pair, input, mix)->fresh_filters = false;
}

/* ---- filters ---- */

/* A cut is deeper at one of its centres, also where it is too narrow for the places. */
static bool
cuts_at_points(const struct tone *was, const struct tone *is)
{
    for (int i = 0; i < is->points; i++)
        if (tone_eq_db(was, is->hz[i]) - tone_eq_db(is, is->hz[i]) > moved_db)
            return true;
    return false;
}

static void
compare(struct gap_curve *curve, const struct tone *was, const struct tone *is)
{
    curve->fresh = true;
    curve->alone.fresh = false;
    curve->moves = 0;
    curve->flat = tone_same(was, is);
    if (curve->flat)
        return;
    for (int i = 0; i < TONE_PLACES; i++) {
        double eq_db = was->eq_db[i] - is->eq_db[i], pass_db = was->pass_db[i] - is->pass_db[i];

        curve->moves |= eq_db > moved_db ? 1u << ALLOWANCE_CUT : 0;
        curve->moves |= pass_db > moved_db ? 1u << ALLOWANCE_HIGH_PASS : 0;
        curve->db[i] = eq_db + pass_db;
    }
    if (!(curve->moves >> ALLOWANCE_CUT & 1) && cuts_at_points(was, is))
        curve->moves |= 1u << ALLOWANCE_CUT;
}

/* The strips of a path whose filters differ. */
struct strips {
    const struct tone *was[2], *is[2];
    struct gap_curve *curves[2];
    int count;
};

static void
add_strip(struct strips *strips, struct gap_curve *curve, const struct tone *was,
          const struct tone *is)
{
    if (!curve->fresh)
        compare(curve, was, is);
    if (curve->flat)
        return;
    strips->was[strips->count] = was;
    strips->is[strips->count] = is;
    strips->curves[strips->count++] = curve;
}

static struct strips
strips_of(struct pair *pair, int input, int mix)
{
    struct strips strips = {.count = 0};
    double tap = side_spot(pair->is, input, mix)->tap;

    if (tap != TAP_PRE_EQ)
        add_strip(&strips, pair->inputs[input], &pair->was->input_tones[input],
                  &pair->is->input_tones[input]);
    add_strip(&strips, pair->mixes[mix], &pair->was->mix_tones[mix], &pair->is->mix_tones[mix]);
    return strips;
}

static double
try_hz(const struct strips *strips, double hz, struct gap *gap)
{
    double db = 0;

    for (int i = 0; i < strips->count; i++)
        db += tone_db(strips->was[i], hz) - tone_db(strips->is[i], hz);
    if (db < gap->db) {
        gap->db = db;
        gap->hz = hz;
    }
    return db;
}

static void
try_points(const struct strips *strips, const struct tone *tone, struct gap *gap)
{
    for (int i = 0; i < tone->points; i++)
        try_hz(strips, tone->hz[i], gap);
}

/* By the golden section, a place to both sides of the lowest one. */
static void
sink(const struct strips *strips, struct gap *gap)
{
    const double golden = (sqrt(5) - 1) / 2, step = tone_place_hz(1) / tone_place_hz(0);
    double low = fmax(gap->hz / step, tone_place_hz(0));
    double high = fmin(gap->hz * step, tone_place_hz(TONE_PLACES - 1));

    for (int i = 0; i < CLIMB_STEPS; i++) {
        double part = pow(high / low, golden);
        double left = high / part, right = low * part;

        if (try_hz(strips, left, gap) < try_hz(strips, right, gap))
            high = right;
        else
            low = left;
    }
}

static void
find_gap(const struct strips *strips, struct gap *gap)
{
    *gap = (struct gap){.fresh = true, .db = HUGE_VAL, .hz = NAN};
    for (int place = 0; place < TONE_PLACES; place++) {
        double db = 0;

        for (int i = 0; i < strips->count; i++)
            db += strips->curves[i]->db[place];
        if (db < gap->db) {
            gap->db = db;
            gap->hz = tone_place_hz(place);
        }
    }
    for (int i = 0; i < strips->count; i++) {
        try_points(strips, strips->was[i], gap);
        try_points(strips, strips->is[i], gap);
    }
    sink(strips, gap);
}

/* Both desks know the filters. */
static void
set_filters(struct way *way, struct pair *pair, int input, int mix)
{
    struct strips strips = strips_of(pair, input, mix);
    struct gap both = {0}, *gap = strips.count == 1 ? &strips.curves[0]->alone : &both;

    way->fresh_filters = true;
    way->moves = 0;
    for (int i = 0; i < strips.count; i++)
        way->moves |= strips.curves[i]->moves;
    if (strips.count == 0)
        *gap = (struct gap){.fresh = true, .db = 0, .hz = NAN};
    if (!gap->fresh)
        find_gap(&strips, gap);
    way->gap_db = gap->db;
    way->hz = gap->hz;
}

/* ---- what else a proof rests on ---- */

/* What the desk has there; what a profile does not name is as if the desk lacked it. NAN: it is
 * not known, or the desk has no such thing and nothing stands for it. */
static double
number_of(const struct desk *desk, enum param_id id, int row)
{
    double number = value_number(desk_value(desk, id, row, 0));

    return desk_supplied(desk, id) == SUPPLY_NONE ? params[id].absent : number;
}

/* What the desk has now and had not told then, because its profile was another, was not known. */
static double
number_then(const struct pair *pair, enum param_id id, int row)
{
    if (desk_supplied(pair->was->desk, id) == SUPPLY_NONE &&
        desk_supplied(pair->is->desk, id) != SUPPLY_NONE)
        return (double)NAN;
    return number_of(pair->was->desk, id, row);
}

static enum sure
same(const struct pair *pair, enum param_id id, int row)
{
    double was = number_then(pair, id, row), is = number_of(pair->is->desk, id, row);

    if (isnan(was) && isnan(is) && desk_supplied(pair->is->desk, id) == SUPPLY_NONE)
        return SURE_YES;
    if (isnan(is))
        return UNSURE;
    return sure(fabs(was - is) < 1e-3);
}

/* Whether what passes then and now is the same sound through the same way. */
static enum sure
same_way(const struct pair *pair, int input, int mix)
{
    double gate = number_then(pair, PARAM_INPUT_GATE_ON, input);
    double was = side_spot(pair->was, input, mix)->tap, is = side_spot(pair->is, input, mix)->tap;
    enum sure way =
        sure_and(sure(gate == 0 || !pair->proves), isnan(is) ? UNSURE : sure(was == is));

    way = sure_and(way, same(pair, PARAM_INPUT_POLARITY, input));
    way = sure_and(way, same(pair, PARAM_INPUT_DELAY, input));
    way = sure_and(way, same(pair, PARAM_INPUT_PREAMP, input));
    return sure_and(way, same(pair, PARAM_MIX_DELAY, mix));
}

/* ---- a row ---- */

static bool
knows(const struct side *side, int input, int mix)
{
    const struct spot *spot = side_spot(side, input, mix);

    return spot->open == SURE_YES && !isnan(spot->level_db) && side->mix_tones[mix].known &&
           (spot->tap == TAP_PRE_EQ || side->input_tones[input].known);
}

static void
add_gap(struct row *row, int input, double db, double hz)
{
    if (row->input >= 0 && db >= row->db)
        return;
    row->db = db;
    row->hz = hz;
    row->input = input;
}

static void
add_unproved(struct row *row, int input)
{
    if (row->unproved < 0)
        row->unproved = input;
}

static struct way
find_way(const struct pair *pair, int input, int mix)
{
    const struct spot *was = side_spot(pair->was, input, mix);
    const struct spot *is = side_spot(pair->is, input, mix);
    struct way way = {.fresh = true};
    enum sure same;

    if (is->open == SURE_NO) {
        way.is = was->open != SURE_NO ? PAIR_CLOSED_SINCE : PAIR_CLOSED;
        return way;
    }
    same = same_way(pair, input, mix);
    if (!knows(pair->is, input, mix) || same == UNSURE)
        way.is = PAIR_UNKNOWN;
    else if (same == SURE_NO || !knows(pair->was, input, mix))
        way.is = PAIR_UNPROVED;
    else
        way.is = PAIR_OPEN;
    way.fall_db = levels_fell_db(pair, input, mix);
    return way;
}

static void
add_curve(struct movers *moves, const struct gap_curve *curve, int input, int mix)
{
    for (int kind = 0; kind < ALLOWANCES; kind++)
        if (curve->moves >> kind & 1)
            movers_add(moves, (enum allowance)kind, input, mix);
}

/* What filters did counts once, for the first path that has it. */
static void
add_filters(struct movers *moves, const struct pair *pair, int input, int mix)
{
    if (side_spot(pair->is, input, mix)->tap != TAP_PRE_EQ)
        add_curve(moves, pair->inputs[input], input, -1);
    add_curve(moves, pair->mixes[mix], -1, mix);
}

static void
add_open(struct row *row, struct pair *pair, int input, int mix)
{
    struct way *way = way_at(pair, input, mix);

    if (!way->fresh_filters)
        set_filters(way, pair, input, mix);
    if (way->moves & ~row->moves.kinds)
        add_filters(&row->moves, pair, input, mix);
    add_gap(row, input, way->fall_db + way->gap_db, way->hz);
    if (way->fall_db < row->least_fall_db)
        row->least_fall_db = way->fall_db;
    if (way->fall_db <= row->most_fall_db)
        return;
    row->most_fall_db = way->fall_db;
    row->most_fall_input = input;
}

static void
add_path(struct row *row, struct pair *pair, int input, int mix)
{
    struct way *way = way_at(pair, input, mix);

    if (!way->fresh)
        *way = find_way(pair, input, mix);
    switch (way->is) {
    case PAIR_CLOSED:
        break;
    case PAIR_CLOSED_SINCE:
        movers_add(&row->moves, ALLOWANCE_CLOSED, input, mix);
        break;
    case PAIR_UNKNOWN:
        row->unknown++;
        break;
    case PAIR_UNPROVED:
        add_unproved(row, input);
        break;
    case PAIR_OPEN:
        add_open(row, pair, input, mix);
        break;
    }
}

struct row
pair_row(struct pair *pair, int mix, const enum sure *loops)
{
    struct row row = {.db = HUGE_VAL,
                      .hz = NAN,
                      .input = -1,
                      .unproved = -1,
                      .least_fall_db = HUGE_VAL,
                      .most_fall_db = -HUGE_VAL,
                      .most_fall_input = -1};

    for (int input = 0; input < pair->is->inputs; input++)
        if (loops[input] != SURE_NO)
            add_path(&row, pair, input, mix);
    return row;
}
