/* SPDX-License-Identifier: MIT */
#include "sound/path.h"

#include <assert.h>
#include <math.h>
#include <stddef.h>

#include "sound/graphic.h"

/* The parameters of one equaliser; the input's and the mix's are read alike. */
struct equaliser {
    enum index_kind bands;
    enum param_id on, band_on, shape, freq, gain, q;
};

static const struct equaliser input_eq = {
    INDEX_INPUT_EQ_BAND,       PARAM_INPUT_EQ_ON,        PARAM_INPUT_EQ_BAND_ON,
    PARAM_INPUT_EQ_BAND_SHAPE, PARAM_INPUT_EQ_BAND_FREQ, PARAM_INPUT_EQ_BAND_GAIN,
    PARAM_INPUT_EQ_BAND_Q,
};

static const struct equaliser mix_eq = {
    INDEX_MIX_EQ_BAND,      PARAM_MIX_EQ_ON,        PARAM_MIX_EQ_BAND_ON, PARAM_MIX_EQ_BAND_SHAPE,
    PARAM_MIX_EQ_BAND_FREQ, PARAM_MIX_EQ_BAND_GAIN, PARAM_MIX_EQ_BAND_Q,
};

/* The biquads beyond the count are never looked at: most of the space is not touched. */
static void
clear(const struct look *look, struct filters *filters)
{
    filters->count = filters->high_pass_order = 0;
    filters->graphic_least = HUGE_VAL;
    filters->graphic_most = 0;
    filters->rate_hz = desk_filters(look->desk).rate_hz;
}

static void
add_biquad(struct filters *filters, struct control control)
{
    assert(filters->count < FILTERS_MOST);
    filters->controls[filters->count] = control;
    filters->biquads[filters->count++] =
        filter_biquad(control.shape, control.freq_hz, control.gain_db, control.q, filters->rate_hz);
}

/* A pass or notch filter is there whatever its gain says; a peak or shelf of 0 dB is not. */
static bool
is_flat(enum shape shape, double gain_db)
{
    return gain_db == 0 &&
           (shape == SHAPE_PEAK || shape == SHAPE_LOW_SHELF || shape == SHAPE_HIGH_SHELF);
}

static bool
add_band(struct look *look, const struct equaliser *eq, int row, int band, struct filters *filters)
{
    struct control control = {.gain = eq->gain, .band = band};
    double shape = 0;
    bool on, known;

    if (!look_switch(look, eq->band_on, row, band, &on))
        return false;
    if (!on)
        return true;
    known = look_number(look, eq->shape, row, band, &shape);
    known &= look_number(look, eq->gain, row, band, &control.gain_db);
    if (known && is_flat((enum shape)(int)shape, control.gain_db))
        return true;
    known &= look_number(look, eq->freq, row, band, &control.freq_hz);
    known &= look_number(look, eq->q, row, band, &control.q);
    if (!known)
        return false;
    control.shape = (enum shape)(int)shape;
    if (desk_filters(look->desk).width_in_octaves)
        control.q = filter_q_of_octaves_at(control.q, control.freq_hz, filters->rate_hz);
    add_biquad(filters, control);
    return true;
}

static bool
add_equaliser(struct look *look, const struct equaliser *eq, int row, struct filters *filters)
{
    int bands = desk_count(look->desk, eq->bands);
    bool on = false, known = true;

    if (bands > 0 && !look_switch(look, eq->on, row, 0, &on))
        return false;
    for (int band = 0; on && band < bands; band++)
        known &= add_band(look, eq, row, band, filters);
    return known;
}

static bool
set_high_pass(struct look *look, enum param_id on_id, int row, struct filters *filters)
{
    /* on, corner and slope stand in a row in the parameter table */
    enum param_id freq_id = (enum param_id)(on_id + 1), slope_id = (enum param_id)(on_id + 2);
    double slope;
    bool on, known;

    if (!look_switch(look, on_id, row, 0, &on))
        return false;
    if (!on)
        return true;
    known = look_number(look, freq_id, row, 0, &filters->high_pass_hz);
    known &= look_number(look, slope_id, row, 0, &slope);
    if (!known)
        return false;
    filters->high_pass_order = filter_order(slope);
    return true;
}

bool
path_input_filters(struct look *look, int input, struct filters *filters)
{
    bool known;

    clear(look, filters);
    known = set_high_pass(look, PARAM_INPUT_HIGH_PASS_ON, input, filters);
    known &= add_equaliser(look, &input_eq, input, filters);
    return known;
}

/* A graphic band is taken for a cookbook peaking filter; desks differ, and none publishes its own.
 */
static bool
add_graphic_band(struct look *look, int mix, int band, struct filters *filters)
{
    struct control control = {
        .gain = PARAM_MIX_GRAPHIC_BAND_GAIN, .band = band, .shape = SHAPE_PEAK};
    struct graphic_band at;

    if (!look_number(look, control.gain, mix, band, &control.gain_db))
        return false;
    if (control.gain_db == 0)
        return true;
    if (!graphic_band(look, mix, band, &at))
        return false;
    control.freq_hz = at.hz;
    control.q = filter_q_of_octaves_at(at.octaves, at.hz, filters->rate_hz);
    filters->graphic_least = fmin(filters->graphic_least, at.octaves);
    filters->graphic_most = fmax(filters->graphic_most, at.octaves);
    add_biquad(filters, control);
    return true;
}

static bool
add_graphic(struct look *look, int mix, struct filters *filters)
{
    int bands = desk_count(look->desk, INDEX_MIX_GRAPHIC_BAND);
    bool on = false, known = true;

    if (bands > 0 && !look_switch(look, PARAM_MIX_GRAPHIC_ON, mix, 0, &on))
        return false;
    for (int band = 0; on && band < bands; band++)
        known &= add_graphic_band(look, mix, band, filters);
    return known;
}

bool
path_mix_equalisers(struct look *look, int mix, struct filters *filters)
{
    bool known;

    clear(look, filters);
    known = add_graphic(look, mix, filters);
    known &= add_equaliser(look, &mix_eq, mix, filters);
    return known;
}

bool
path_mix_filters(struct look *look, int mix, struct filters *filters)
{
    bool known = path_mix_equalisers(look, mix, filters);

    known &= set_high_pass(look, PARAM_MIX_HIGH_PASS_ON, mix, filters);
    return known;
}

double
filters_db(const struct filters *filters, double freq_hz)
{
    double warped = filter_warp(freq_hz, filters->rate_hz);
    double sum_db = 0;

    if (filters->high_pass_order > 0)
        sum_db = filter_high_pass_db(filters->high_pass_order, filters->high_pass_hz, freq_hz,
                                     filters->rate_hz);
    for (int i = 0; i < filters->count; i++)
        sum_db += filter_biquad_at(&filters->biquads[i], warped);
    return sum_db;
}

bool
filters_same(const struct filters *one, const struct filters *other)
{
    if (one->count != other->count || one->high_pass_order != other->high_pass_order ||
        one->rate_hz != other->rate_hz ||
        (one->high_pass_order > 0 && one->high_pass_hz != other->high_pass_hz))
        return false;
    for (int i = 0; i < one->count; i++)
        if (!filter_same(&one->biquads[i], &other->biquads[i]))
            return false;
    return true;
}

/* What lies in the channel before the send, by its tap. */
static bool
read_tap(struct look *look, int input, int mix, struct path_level *level)
{
    double tap, groups_db;
    bool compressed, known = true;

    if (!look_number(look, PARAM_SEND_TAP, input, mix, &tap))
        return false;
    level->filtered = tap != TAP_PRE_EQ;
    if (tap == TAP_POST_FADER) {
        known = look_number(look, PARAM_INPUT_FADER, input, 0, &level->fader_db);
        known &= look_groups_db(look, input, false, &groups_db);
        level->fader_db += groups_db;
    }
    if (level->filtered)
        known &= look_switch(look, PARAM_INPUT_COMP_ON, input, 0, &compressed) &&
                 (!compressed ||
                  look_number(look, PARAM_INPUT_COMP_MAKEUP, input, 0, &level->makeup_db));
    return known;
}

bool
path_level(struct look *look, int input, int mix, struct path_level *level)
{
    bool on, known;

    *level = (struct path_level){.send_db = -HUGE_VAL, .sum_db = -HUGE_VAL};
    if (!look_switch(look, PARAM_SEND_ON, input, mix, &on))
        return false;
    if (!on)
        return true;
    known = look_number(look, PARAM_SEND_LEVEL, input, mix, &level->send_db);
    known &= look_number(look, PARAM_MIX_FADER, mix, 0, &level->master_db);
    if (known && (level->send_db == -HUGE_VAL || level->master_db == -HUGE_VAL))
        return true;
    known &= read_tap(look, input, mix, level);
    known &= look_number(look, PARAM_INPUT_PREAMP_GAIN, input, 0, &level->preamp_db);
    known &= look_number(look, PARAM_INPUT_PAD, input, 0, &level->pad_db);
    known &= look_number(look, PARAM_INPUT_TRIM, input, 0, &level->trim_db);
    known &= look_number(look, PARAM_MIX_TRIM, mix, 0, &level->mix_trim_db);
    if (!known)
        return false;
    level->sum_db = level->preamp_db - level->pad_db + level->trim_db + level->makeup_db +
                    level->fader_db + level->send_db + level->master_db + level->mix_trim_db;
    return true;
}

bool
path_level_on(const struct desk *desk, int input, int mix, struct path_level *level)
{
    struct look look = {.desk = desk, .declared = UINT64_MAX}; /* nobody is run when it changes */

    return path_level(&look, input, mix, level);
}

static bool
find_loudest(struct look *look, int mix, double *loudest_db)
{
    struct path_level level;
    bool known = true;

    *loudest_db = -HUGE_VAL;
    for (int input = 0; input < desk_count(look->desk, INDEX_INPUT); input++) {
        known &= path_level(look, input, mix, &level);
        *loudest_db = fmax(*loudest_db, level.sum_db);
    }
    return known;
}

bool
path_loudest_db(struct look *look, int mix, double *loudest_db)
{
    double *kept = look->ground && look->ground->loudest_db ? &look->ground->loudest_db[mix] : NULL;

    look->verdict->of_others |= UINT64_C(1) << (mix % 64);
    if (kept && !isnan(*kept)) {
        *loudest_db = *kept;
        return true;
    }
    if (!find_loudest(look, mix, loudest_db))
        return false;
    if (kept)
        *kept = *loudest_db;
    return true;
}
