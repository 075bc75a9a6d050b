/* SPDX-License-Identifier: MIT */
#include "direction.h"

#include <math.h>

static const double PI = 3.14159265358979323846;

double
microphone_factor(const struct microphone *microphone, struct vector source)
{
    struct vector axis = vector_minus(microphone->faces, microphone->position);
    struct vector from = vector_minus(source, microphone->position);
    double factor = microphone->omni + (1 - microphone->omni) * vector_cosine(axis, from);

    if (fabs(factor) >= microphone->floor)
        return factor;
    return factor < 0 ? -microphone->floor : microphone->floor;
}

double
loudspeaker_factor(const struct loudspeaker *loudspeaker, size_t band, struct vector target)
{
    struct vector axis = vector_minus(loudspeaker->faces, loudspeaker->position);
    struct vector way = vector_minus(target, loudspeaker->position);
    double degrees = acos(vector_cosine(axis, way)) * 180 / PI;
    double share = degrees / (loudspeaker->beam[band].degrees / 2);

    return pow(10, fmax(-6 * share * share, loudspeaker->back_db) / 20);
}
