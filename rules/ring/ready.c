/* SPDX-License-Identifier: MIT */
#include "ring/ready.h"

#include <math.h>
#include <stdlib.h>

#include "core/need.h"
#include "desk/source.h"
#include "proof/counted.h"
#include "proof/side.h"

static const double at_db = 0.5; /* so close to a mark nobody sees the difference */

const char *
ring_item_name(enum ring_item item)
{
    static const char *const names[RING_READY_ITEMS] = {
        [RING_READY_PREAMP] = "preamp-high",          [RING_READY_OWN_SEND] = "own-send-off-unity",
        [RING_READY_MASTER] = "master-off-unity",     [RING_READY_OTHERS] = "others-open",
        [RING_READY_HIGH_PASS] = "high-pass-missing", [RING_READY_FLAT] = "equaliser-not-flat"};

    return names[item];
}

static double
number_of(const struct desk *desk, enum param_id id, int row, int column)
{
    return value_number(desk_value(desk, id, row, column));
}

static enum sure
at_mark(double db)
{
    return isnan(db) ? UNSURE : sure(fabs(db) <= at_db);
}

static void
look_at_own(struct ring_ready *ready, const struct desk *desk, int mix, int own)
{
    double send_db = number_of(desk, PARAM_SEND_LEVEL, own, mix);
    double over_db = number_of(desk, PARAM_INPUT_PREAMP_GAIN, own, 0) -
                     desk_travel(desk, PARAM_INPUT_PREAMP_GAIN).least;

    ready->of[RING_READY_PREAMP].db = over_db;
    ready->of[RING_READY_PREAMP].ready = at_mark(over_db);
    ready->of[RING_READY_OWN_SEND].db = send_db;
    ready->of[RING_READY_OWN_SEND].ready = at_mark(send_db);
    ready->of[RING_READY_PREAMP].input = ready->of[RING_READY_OWN_SEND].input = own;
}

/* Where nobody knows what is plugged in, it is as a voice's. */
static enum sure
high_pass_ready(const struct desk *desk, const struct show *show, int own)
{
    const struct value *label = desk_value(desk, PARAM_INPUT_NAME, own, 0);
    const struct value *on = desk_value(desk, PARAM_INPUT_HIGH_PASS_ON, own, 0);
    int source = show->inputs[own].source;

    if (source == SOURCE_UNKNOWN && label->state == VALUE_KNOWN)
        source = (int)value_number(label);
    if (source != SOURCE_UNKNOWN && !sources[source].wants_high_pass)
        return SURE_YES;
    return on->state == VALUE_KNOWN ? sure(value_number(on) != 0) : UNSURE;
}

static void
look_at_others(struct ring_ready *ready, const struct desk *desk, const struct show *show, int mix,
               int own)
{
    struct side side = {.desk = desk,
                        .inputs = desk_count(desk, INDEX_INPUT),
                        .mixes = desk_count(desk, INDEX_MIX)};
    enum sure closed = SURE_YES;
    int open_count = 0;

    side.spots = need_memory((size_t)side.inputs * (size_t)side.mixes, sizeof *side.spots);
    for (int input = 0; input < side.inputs; input++) {
        enum sure open;

        if (input == own || counted_input(desk, show, input) == SURE_NO)
            continue;
        side_take_spot(&side, input, mix);
        open = side_spot(&side, input, mix)->open;
        open_count += open == SURE_YES;
        if (own >= 0 && sure_not(open) < closed)
            ready->of[RING_READY_OTHERS].input = input;
        closed = sure_and(closed, sure_not(open));
    }
    free(side.spots);
    if (own >= 0)
        ready->of[RING_READY_OTHERS].ready = closed;
    else if (open_count > 1) /* whosever it is, others are open */
        ready->of[RING_READY_OTHERS].ready = SURE_NO;
}

static void
look_at_flat(struct ring_ready *ready, const struct desk *desk, const struct show *show, int mix)
{
    static const enum param_id reads[] = {PATH_MIX_EQUALISER_READS, PARAMS};
    struct verdict aside;
    struct look look = look_reader(desk, show, reads, &aside);
    struct filters filters;
    double most_db = 0;

    if (!path_mix_equalisers(&look, mix, &filters))
        return;
    for (int i = 0; i < filters.count; i++)
        if (fabs(filters.controls[i].gain_db) > fabs(most_db))
            most_db = filters.controls[i].gain_db;
    ready->of[RING_READY_FLAT].db = most_db;
    ready->of[RING_READY_FLAT].ready = at_mark(most_db);
}

struct ring_ready
ring_ready_of(const struct desk *desk, const struct show *show, int mix, int own)
{
    struct ring_ready ready;

    for (int item = 0; item < RING_READY_ITEMS; item++) {
        ready.of[item].ready = UNSURE;
        ready.of[item].db = NAN;
        ready.of[item].input = -1;
    }
    ready.of[RING_READY_MASTER].db = number_of(desk, PARAM_MIX_FADER, mix, 0);
    ready.of[RING_READY_MASTER].ready = at_mark(ready.of[RING_READY_MASTER].db);
    look_at_flat(&ready, desk, show, mix);
    look_at_others(&ready, desk, show, mix, own);
    if (own >= 0) {
        look_at_own(&ready, desk, mix, own);
        ready.of[RING_READY_HIGH_PASS].ready = high_pass_ready(desk, show, own);
        ready.of[RING_READY_HIGH_PASS].input = own;
    }
    return ready;
}
