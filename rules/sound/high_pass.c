/* SPDX-License-Identifier: MIT */
#include "sound/high_pass.h"

#include <math.h>
#include <stddef.h>

#include "core/sum.h"
#include "sound/filter.h"

const struct source *
high_pass_source(struct look *look, int input)
{
    const struct source *source;
    bool muted;

    if (!look_switch(look, PARAM_INPUT_MUTE, input, 0, &muted)) {
        look_not_known(look);
        return NULL;
    }
    source = look_source(look, input);
    if (!source) {
        look_not_known(look);
        return NULL;
    }
    if (!source->wants_high_pass)
        return NULL;
    if (muted)
        look_closed(look);
    return muted ? NULL : source;
}

/* Takes one more filter into account. */
static void
add(struct high_pass *pass, double corner_hz, int order, double at_hz)
{
    if (at_hz > 0)
        pass->loss_db += filter_high_pass_loss_db(order, corner_hz, at_hz);
    if (pass->on && corner_hz <= pass->corner_hz)
        return;
    pass->on = true;
    pass->corner_hz = corner_hz;
    pass->order = order;
}

/* The filter of a strip; switch, corner and slope stand in a row in the parameter table. */
static bool
add_filter(struct look *look, enum param_id on_id, int row, double at_hz, struct high_pass *pass)
{
    double corner_hz, slope;
    bool on;

    if (!look_switch(look, on_id, row, 0, &on))
        return false;
    if (!on)
        return true;
    if (!look_number(look, (enum param_id)(on_id + 1), row, 0, &corner_hz) ||
        !look_number(look, (enum param_id)(on_id + 2), row, 0, &slope))
        return false;
    add(pass, corner_hz, filter_order(slope), at_hz);
    return true;
}

/* The equaliser of a strip. */
struct equaliser {
    enum index_kind bands;
    enum param_id on, band_on, shape, freq;
};

static const struct equaliser input_eq = {INDEX_INPUT_EQ_BAND, PARAM_INPUT_EQ_ON,
                                          PARAM_INPUT_EQ_BAND_ON, PARAM_INPUT_EQ_BAND_SHAPE,
                                          PARAM_INPUT_EQ_BAND_FREQ};
static const struct equaliser mix_eq = {INDEX_MIX_EQ_BAND, PARAM_MIX_EQ_ON, PARAM_MIX_EQ_BAND_ON,
                                        PARAM_MIX_EQ_BAND_SHAPE, PARAM_MIX_EQ_BAND_FREQ};

/* Whether the band is a high-pass and on; one of another shape need not be known to be on. */
static bool
is_high_pass(struct look *look, const struct equaliser *eq, int row, int band, bool *is)
{
    double shape;

    *is = false;
    if (!look_number(look, eq->shape, row, band, &shape))
        return false;
    return shape != SHAPE_HIGH_PASS || look_switch(look, eq->band_on, row, band, is);
}

static bool
add_band(struct look *look, const struct equaliser *eq, int row, int band, double at_hz,
         struct high_pass *pass)
{
    double corner_hz;
    bool is;

    if (!is_high_pass(look, eq, row, band, &is))
        return false;
    if (!is)
        return true;
    if (!look_number(look, eq->freq, row, band, &corner_hz))
        return false;
    add(pass, corner_hz, 2, at_hz);
    return true;
}

static bool
add_equaliser(struct look *look, const struct equaliser *eq, int row, double at_hz,
              struct high_pass *pass)
{
    int bands = desk_count(look->desk, eq->bands);
    bool on = false, known = true;

    if (bands > 0 && !look_switch(look, eq->on, row, 0, &on))
        return false;
    for (int band = 0; on && band < bands; band++)
        known &= add_band(look, eq, row, band, at_hz, pass);
    return known;
}

bool
high_pass_has_band(struct look *look, int input, bool *has)
{
    int bands = desk_count(look->desk, INDEX_INPUT_EQ_BAND);
    bool on = false, known = true;

    *has = false;
    if (bands > 0 && !look_switch(look, input_eq.on, input, 0, &on))
        return false;
    for (int band = 0; on && !*has && band < bands; band++)
        known &= is_high_pass(look, &input_eq, input, band, has);
    return known || *has;
}

bool
high_pass_read(struct look *look, int input, double at_hz, struct high_pass *pass)
{
    *pass = (struct high_pass){.on = false};
    return add_filter(look, PARAM_INPUT_HIGH_PASS_ON, input, at_hz, pass);
}

bool
high_pass_add_bands(struct look *look, int input, double at_hz, struct high_pass *pass)
{
    return add_equaliser(look, &input_eq, input, at_hz, pass);
}

bool
high_pass_of_mix(struct look *look, int mix, double at_hz, struct high_pass *pass)
{
    bool known;

    *pass = (struct high_pass){.on = false};
    known = add_filter(look, PARAM_MIX_HIGH_PASS_ON, mix, at_hz, pass);
    known &= add_equaliser(look, &mix_eq, mix, at_hz, pass);
    return known;
}

double
high_pass_least_hz(const struct source *source, double octaves)
{
    return source->corner_low_hz * pow(2, -octaves);
}

bool
high_pass_is_enough(double loss_db)
{
    return loss_db >= 10 * log10(2);
}

enum high_pass_path
high_pass_matters(struct look *look, int input, int mix)
{
    struct path_level level;
    double loudest_db;

    if (!path_level(look, input, mix, &level))
        return HIGH_PASS_UNKNOWN;
    if (level.sum_db == -HUGE_VAL) /* the master is off */
        return HIGH_PASS_CLOSED;
    if (!path_loudest_db(look, mix, &loudest_db))
        return HIGH_PASS_UNKNOWN;
    return level.sum_db < loudest_db - HIGH_PASS_MATTERS_DB ? HIGH_PASS_RIGHT : HIGH_PASS_FAULT;
}

/* One path of a strip whose filter is faulty. */
static enum high_pass_path
judge_path(struct look *look, int input, int mix, const struct high_pass *pass, double at_hz)
{
    struct high_pass of_mix = {.on = false};
    struct send_level send;

    if (!look_send_db(look, input, mix, &send))
        return HIGH_PASS_UNKNOWN;
    if (send.db + send.fader_db == -HUGE_VAL)
        return HIGH_PASS_CLOSED;
    if (send.tap == TAP_PRE_EQ)
        return HIGH_PASS_BESIDE;
    if (at_hz > 0 && !high_pass_of_mix(look, mix, at_hz, &of_mix))
        return HIGH_PASS_UNKNOWN;
    if (at_hz > 0 && high_pass_is_enough(pass->loss_db + of_mix.loss_db))
        return HIGH_PASS_RIGHT;
    return high_pass_matters(look, input, mix);
}

enum high_pass_path
high_pass_judge(struct look *look, int input, const struct high_pass *pass, double at_hz, int *mix)
{
    enum high_pass_path worst = HIGH_PASS_CLOSED;

    for (int i = 0; i < desk_count(look->desk, INDEX_MIX); i++) {
        enum high_pass_path path = judge_path(look, input, i, pass, at_hz);

        if (path > worst)
            *mix = i;
        worst = path > worst ? path : worst;
        if (worst == HIGH_PASS_FAULT)
            break;
    }
    return worst;
}

void
high_pass_end(struct look *look, enum high_pass_path path)
{
    if (path == HIGH_PASS_CLOSED)
        look_closed(look);
    else if (path == HIGH_PASS_RIGHT)
        look_pass(look);
    else if (path == HIGH_PASS_UNKNOWN)
        look_not_known(look);
}

double
high_pass_lowest_hz(const struct look *look, int input, const struct source *source)
{
    double said = look->show->inputs[input].lowest_hz;

    return said > 0 ? said : source->lowest_hz;
}

double
high_pass_add_loss(struct text *text, int order, double corner_hz, double freq_hz)
{
    double corner = round(corner_hz * 100) / 100, freq = round(freq_hz * 100) / 100;
    double loss_db = sum_tenth(filter_high_pass_loss_db(order, corner, freq));

    text_add(text, "10 log10(1 + (%g / %g)^%d) = %f", corner, freq, 2 * order, loss_db);
    return loss_db;
}
