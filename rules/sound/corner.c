/* SPDX-License-Identifier: MIT */
#include "sound/corner.h"

#include <stddef.h>

#include "sound/filter.h"
#include "sound/high_pass.h"

static const enum param_id reads[] = {HIGH_PASS_READS, HIGH_PASS_BAND_READS, PARAMS};

void
corner_of(const struct desk *desk, const struct show *show, int input, struct corner *corner)
{
    struct verdict verdict = {.outcome = OUTCOME_NOT_ASKED};
    struct look look = look_reader(desk, show, reads, &verdict);
    struct high_pass pass;

    *corner = (struct corner){.source = look_source(&look, input)};
    corner->known = high_pass_read(&look, input, 0, &pass);
    /* a filter that is on is shown whatever is not known of the bands */
    corner->known = (high_pass_add_bands(&look, input, 0, &pass) || pass.on) && corner->known;
    corner->on = pass.on;
    corner->hz = pass.corner_hz;
    corner->order = pass.order;
    if (corner->source)
        corner->lowest_hz = high_pass_lowest_hz(&look, input, corner->source);
    if (corner->known && corner->on && corner->lowest_hz > 0)
        corner->loss_db = filter_high_pass_loss_db(corner->order, corner->hz, corner->lowest_hz);
}
