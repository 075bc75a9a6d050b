/* SPDX-License-Identifier: MIT */
#include "laws.h"

#include <math.h>
#include <stddef.h>

static const double HEAD_LOW_DB = -4.0;
static const double HEAD_SPAN_DB = 60.0;
static const double CORNER_LOW_HZ = 16.0;
static const double CORNER_RATIO = 31.25; /* 500 Hz over 16 Hz */

struct knee {
    double wire;
    double db;
};

static const struct knee fader[] = {{0.04, -70}, {0.35, -25}, {0.7, 0}, {1, 10}};
enum { FADER_KNEES = sizeof fader / sizeof fader[0] };

static double
fader_to_wire(double db)
{
    size_t i = 1;

    if (db < fader[0].db)
        return 0;
    while (i < FADER_KNEES - 1 && db > fader[i].db)
        i++;
    return fader[i - 1].wire + (db - fader[i - 1].db) * (fader[i].wire - fader[i - 1].wire) /
                                   (fader[i].db - fader[i - 1].db);
}

static double
fader_to_db(double wire)
{
    size_t i = 1;

    if (wire <= 0)
        return -INFINITY;
    if (wire <= fader[0].wire) /* no line leads to -inf: the last step of the travel is flat */
        return fader[0].db;
    while (i < FADER_KNEES - 1 && wire > fader[i].wire)
        i++;
    return fader[i - 1].db + (wire - fader[i - 1].wire) * (fader[i].db - fader[i - 1].db) /
                                 (fader[i].wire - fader[i - 1].wire);
}

double
law_to_wire(enum law law, double human)
{
    switch (law) {
    case LAW_HEAD:
        return (human - HEAD_LOW_DB) / HEAD_SPAN_DB;
    case LAW_FADER:
        return fader_to_wire(human);
    case LAW_CORNER:
        return log(human / CORNER_LOW_HZ) / log(CORNER_RATIO);
    case LAW_NONE:
        break;
    }
    return human;
}

double
law_to_human(enum law law, double wire)
{
    switch (law) {
    case LAW_HEAD:
        return HEAD_LOW_DB + wire * HEAD_SPAN_DB;
    case LAW_FADER:
        return fader_to_db(wire);
    case LAW_CORNER:
        return CORNER_LOW_HZ * pow(CORNER_RATIO, wire);
    case LAW_NONE:
        break;
    }
    return wire;
}
