/* SPDX-License-Identifier: MIT */
#include "stage/house.h"

#include <math.h>

#include "stage/vector.h"

double
house_loss_db(double metres, double critical_m)
{
    return -10 * log10(1 / (metres * metres) + 1 / (critical_m * critical_m));
}

double
house_needed_db(const struct house *house)
{
    return house_loss_db(house->talker_to_listener_m, house->critical_m) -
           house_loss_db(house->equivalent_m, house->critical_m);
}

double
house_potential_db(const struct house *house, double margin_db)
{
    return house_loss_db(house->talker_to_listener_m, house->critical_m) +
           house_loss_db(house->microphone_to_loudspeaker_m, house->critical_m) -
           house_loss_db(house->loudspeaker_to_listener_m, house->critical_m) -
           house_loss_db(house->talker_to_microphone_m, house->critical_m) -
           10 * log10(house->open_microphones) - margin_db;
}

static double
metres(struct place from, struct place to)
{
    return fmax(vector_length(vector_from(from, to)), STAGE_NEAREST_M);
}

/* The distance from the place to the nearest house loudspeaker, HUGE_VAL: there is none. */
static double
to_house_m(const struct stage *stage, struct place from)
{
    double nearest_m = HUGE_VAL;

    for (int i = 0; i < stage->loudspeaker_count; i++)
        if (stage->loudspeakers[i].house && stage->loudspeakers[i].placed)
            nearest_m = fmin(nearest_m, metres(from, stage->loudspeakers[i].at));
    return nearest_m;
}

static double
spare_db(const struct house *house)
{
    return house_potential_db(house, HOUSE_MARGIN_DB) - house_needed_db(house);
}

bool
house_of(const struct stage *stage, int open_microphones, struct house *house)
{
    struct house one = {.equivalent_m = stage->equivalent_m.number,
                        .critical_m = stage->critical_m.number,
                        .open_microphones = open_microphones > 1 ? open_microphones : 1};
    double least_db = HUGE_VAL;

    one.loudspeaker_to_listener_m = to_house_m(stage, stage->listener);
    if (!stage->listens || one.loudspeaker_to_listener_m == HUGE_VAL)
        return false;
    for (int i = 0; i < stage->microphone_count; i++) {
        const struct stage_microphone *microphone = &stage->microphones[i];

        one.talker_to_listener_m = metres(microphone->at, stage->listener);
        one.talker_to_microphone_m = microphone->mouth_m.number;
        one.microphone_to_loudspeaker_m = to_house_m(stage, microphone->at);
        if (!microphone->placed || spare_db(&one) >= least_db)
            continue;
        least_db = spare_db(&one);
        *house = one;
    }
    return least_db < HUGE_VAL;
}
