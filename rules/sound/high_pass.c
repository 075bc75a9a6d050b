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

bool
high_pass_read(struct look *look, int input, bool *on, double *corner_hz, int *order)
{
    double slope;

    if (!look_switch(look, PARAM_INPUT_HIGH_PASS_ON, input, 0, on))
        goto not_known;
    if (!*on)
        return true;
    if (!look_number(look, PARAM_INPUT_HIGH_PASS_FREQ, input, 0, corner_hz) ||
        !look_number(look, PARAM_INPUT_HIGH_PASS_SLOPE, input, 0, &slope))
        goto not_known;
    *order = filter_order(slope);
    return true;

not_known:
    look_not_known(look);
    return false;
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
