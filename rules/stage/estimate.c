/* SPDX-License-Identifier: MIT */
#include "stage/estimate.h"

#include <stdlib.h>

#include "core/need.h"

struct estimate {
    const struct desk *desk;
    const struct show *show;
    const struct onset_measured *onsets;
    int onset_count;
    struct loops *loops; /* NULL: nobody asked yet */
    bool fresh;          /* of the desk as it stands: */
    struct margin margin;
    struct loop_path first;
};

static const enum param_id reads[] = {LOOPS_READS, PARAMS};

struct estimate *
estimate_new(const struct desk *desk, const struct show *show)
{
    struct estimate *estimate = need_memory(1, sizeof *estimate);

    estimate->desk = desk;
    estimate->show = show;
    return estimate;
}

void
estimate_free(struct estimate *estimate)
{
    if (estimate)
        loops_free(estimate->loops);
    free(estimate);
}

void
estimate_renew(struct estimate *estimate)
{
    estimate->fresh = false;
}

void
estimate_measured(struct estimate *estimate, const struct onset_measured *onsets, int count)
{
    estimate->onsets = onsets;
    estimate->onset_count = count;
    loops_free(estimate->loops);
    estimate->loops = NULL;
    estimate->fresh = false;
}

const struct desk *
estimate_desk(const struct estimate *estimate)
{
    return estimate->desk;
}

/* What is not known is asked for again by whoever judges. */
static void
work_out(struct estimate *estimate)
{
    struct verdict aside;
    struct look look = look_reader(estimate->desk, estimate->show, reads, &aside);

    if (estimate->fresh)
        return;
    if (!estimate->loops) {
        estimate->loops = loops_new(estimate->show->stage);
        measured_take(estimate->loops, estimate->onsets, estimate->onset_count);
    }
    loops_hear(estimate->loops, &look);
    estimate->margin = margin_of_stage(estimate->loops, PHASES_RANDOM);
    if (loops_leading(estimate->loops, &estimate->first, 1) == 0)
        estimate->first.gain_db = -HUGE_VAL;
    estimate->fresh = true;
}

const struct loops *
estimate_loops(struct estimate *estimate)
{
    work_out(estimate);
    return estimate->loops;
}

const struct margin *
estimate_margin(struct estimate *estimate)
{
    work_out(estimate);
    return &estimate->margin;
}

double
estimate_first_db(struct estimate *estimate)
{
    work_out(estimate);
    return estimate->first.gain_db;
}
