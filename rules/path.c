#include "path.h"

#include <assert.h>
#include <math.h>
#include <stddef.h>

#include "band.h"

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

static void
add_biquad(struct filters *filters, struct biquad biquad)
{
    assert(filters->count < FILTERS_MOST);
    filters->biquads[filters->count++] = biquad;
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
    struct desk_filters desk = desk_filters(look->desk);
    double shape, freq_hz, gain_db, q;
    bool on;

    if (!look_switch(look, eq->band_on, row, band, &on))
        return false;
    if (!on)
        return true;
    if (!look_number(look, eq->shape, row, band, &shape) ||
        !look_number(look, eq->gain, row, band, &gain_db))
        return false;
    if (is_flat((enum shape)(int)shape, gain_db))
        return true;
    if (!look_number(look, eq->freq, row, band, &freq_hz) ||
        !look_number(look, eq->q, row, band, &q))
        return false;
    if (desk.width_in_octaves)
        q = filter_q_of_octaves_at(q, freq_hz, desk.rate_hz);
    add_biquad(filters, filter_biquad((enum shape)(int)shape, freq_hz, gain_db, q, desk.rate_hz));
    return true;
}

static bool
add_equaliser(struct look *look, const struct equaliser *eq, int row, struct filters *filters)
{
    int bands = desk_count(look->desk, eq->bands);
    bool on = false;

    if (bands > 0 && !look_switch(look, eq->on, row, 0, &on))
        return false;
    for (int band = 0; on && band < bands; band++)
        if (!add_band(look, eq, row, band, filters))
            return false;
    return true;
}

static bool
set_high_pass(struct look *look, enum param_id on_id, int row, struct filters *filters)
{
    /* on, corner and slope stand in a row in the parameter table */
    enum param_id freq_id = (enum param_id)(on_id + 1), slope_id = (enum param_id)(on_id + 2);
    double slope;
    bool on;

    if (!look_switch(look, on_id, row, 0, &on))
        return false;
    if (!on)
        return true;
    if (!look_number(look, freq_id, row, 0, &filters->high_pass_hz) ||
        !look_number(look, slope_id, row, 0, &slope))
        return false;
    filters->high_pass_order = filter_order(slope);
    return true;
}

bool
path_input_filters(struct look *look, int input, struct filters *filters)
{
    filters->count = filters->high_pass_order = 0;
    filters->rate_hz = desk_filters(look->desk).rate_hz;
    return set_high_pass(look, PARAM_INPUT_HIGH_PASS_ON, input, filters) &&
           add_equaliser(look, &input_eq, input, filters);
}

double
path_graphic_hz(struct look *look, int mix, int band)
{
    double hz = band_graphic_hz(desk_count(look->desk, INDEX_MIX_GRAPHIC_BAND), band);

    if (hz > 0 && desk_supplied(look->desk, PARAM_MIX_GRAPHIC_BAND_FREQ) == SUPPLY_NONE)
        return hz;
    return look_number(look, PARAM_MIX_GRAPHIC_BAND_FREQ, mix, band, &hz) ? hz : 0;
}

/* A graphic band as a cookbook peaking filter with its half-gain width equal to its band. Desks
 * differ, and none publishes its own; this is the one assumption about them here. */
static struct biquad
graphic_filter(const struct desk *desk, double centre_hz, double gain_db)
{
    double rate_hz = desk_filters(desk).rate_hz;
    double octaves = band_graphic_octaves(desk_count(desk, INDEX_MIX_GRAPHIC_BAND));

    if (octaves == 0)
        octaves = 1.0 / 3;
    return filter_biquad(SHAPE_PEAK, centre_hz, gain_db,
                         filter_q_of_octaves_at(octaves, centre_hz, rate_hz), rate_hz);
}

static bool
add_graphic(struct look *look, int mix, struct filters *filters)
{
    int bands = desk_count(look->desk, INDEX_MIX_GRAPHIC_BAND);
    bool on = false;

    if (bands > 0 && !look_switch(look, PARAM_MIX_GRAPHIC_ON, mix, 0, &on))
        return false;
    for (int band = 0; on && band < bands; band++) {
        double gain_db, hz;

        if (!look_number(look, PARAM_MIX_GRAPHIC_BAND_GAIN, mix, band, &gain_db))
            return false;
        if (gain_db == 0)
            continue;
        hz = path_graphic_hz(look, mix, band);
        if (hz == 0)
            return false;
        add_biquad(filters, graphic_filter(look->desk, hz, gain_db));
    }
    return true;
}

bool
path_mix_equalisers(struct look *look, int mix, struct filters *filters)
{
    filters->count = filters->high_pass_order = 0;
    filters->rate_hz = desk_filters(look->desk).rate_hz;
    return add_graphic(look, mix, filters) && add_equaliser(look, &mix_eq, mix, filters);
}

bool
path_mix_filters(struct look *look, int mix, struct filters *filters)
{
    return path_mix_equalisers(look, mix, filters) &&
           set_high_pass(look, PARAM_MIX_HIGH_PASS_ON, mix, filters);
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

/* Faders of all groups the input belongs to. */
static bool
add_groups(struct look *look, int input, double *fader_db)
{
    for (int group = 0; group < desk_count(look->desk, INDEX_GROUP); group++) {
        double group_db;
        bool member;

        if (!look_switch(look, PARAM_INPUT_GROUP, input, group, &member))
            return false;
        if (!member)
            continue;
        if (!look_number(look, PARAM_GROUP_FADER, group, 0, &group_db))
            return false;
        *fader_db += group_db;
    }
    return true;
}

/* What lies in the channel before the send, by its tap. */
static bool
read_tap(struct look *look, int input, int mix, struct path_level *level)
{
    double tap;
    bool compressed;

    if (!look_number(look, PARAM_SEND_TAP, input, mix, &tap))
        return false;
    level->filtered = tap != TAP_PRE_EQ;
    if (tap == TAP_POST_FADER &&
        (!look_number(look, PARAM_INPUT_FADER, input, 0, &level->fader_db) ||
         !add_groups(look, input, &level->fader_db)))
        return false;
    if (!level->filtered)
        return true;
    if (!look_switch(look, PARAM_INPUT_COMP_ON, input, 0, &compressed))
        return false;
    return !compressed || look_number(look, PARAM_INPUT_COMP_MAKEUP, input, 0, &level->makeup_db);
}

bool
path_level(struct look *look, int input, int mix, struct path_level *level)
{
    bool on;

    *level = (struct path_level){.send_db = -HUGE_VAL, .sum_db = -HUGE_VAL};
    if (!look_switch(look, PARAM_SEND_ON, input, mix, &on))
        return false;
    if (!on)
        return true;
    if (!look_number(look, PARAM_SEND_LEVEL, input, mix, &level->send_db) ||
        !look_number(look, PARAM_MIX_FADER, mix, 0, &level->master_db))
        return false;
    if (level->send_db == -HUGE_VAL || level->master_db == -HUGE_VAL)
        return true;
    if (!read_tap(look, input, mix, level) ||
        !look_number(look, PARAM_INPUT_PREAMP_GAIN, input, 0, &level->preamp_db) ||
        !look_number(look, PARAM_INPUT_PAD, input, 0, &level->pad_db) ||
        !look_number(look, PARAM_INPUT_TRIM, input, 0, &level->trim_db) ||
        !look_number(look, PARAM_MIX_TRIM, mix, 0, &level->mix_trim_db))
        return false;
    level->sum_db = level->preamp_db - level->pad_db + level->trim_db + level->makeup_db +
                    level->fader_db + level->send_db + level->master_db + level->mix_trim_db;
    return true;
}

bool
path_gain_db(struct look *look, int input, int mix, double freq_hz, double *gain_db)
{
    struct path_level level;
    struct filters filters;

    if (!path_level(look, input, mix, &level))
        return false;
    *gain_db = level.sum_db;
    if (level.sum_db == -HUGE_VAL)
        return true;
    if (!path_mix_filters(look, mix, &filters))
        return false;
    *gain_db += filters_db(&filters, freq_hz);
    if (!level.filtered)
        return true;
    if (!path_input_filters(look, input, &filters))
        return false;
    *gain_db += filters_db(&filters, freq_hz);
    return true;
}
