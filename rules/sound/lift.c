/* SPDX-License-Identifier: MIT */
#include "sound/lift.h"

#include <math.h>
#include <stddef.h>

#include "sound/band.h"

enum { PLACES = 4 };       /* in each third-octave band */
enum { CLIMB_STEPS = 12 }; /* each leaves 0.62 of the span */

struct cascades {
    const struct filters *one, *other;
};

bool
lift_possible(const struct filters *filters)
{
    bool lifts = false;

    for (int i = 0; i < filters->count && !lifts; i++)
        lifts = filter_lifts(&filters->biquads[i]);
    return lifts;
}

/* The response there; beyond the limits there is none. */
static double
try_place(const struct cascades *cascades, double hz, struct lift *lift)
{
    double db;

    if (hz < 20 || hz > 20000 || hz >= cascades->one->rate_hz / 2)
        return -HUGE_VAL;
    db = filters_db(cascades->one, hz);
    if (cascades->other)
        db += filters_db(cascades->other, hz);
    if (db > lift->db)
        *lift = (struct lift){db, hz};
    return db;
}

/* Where each filter resonates: a peak at its centre, a shelf beside its corner. */
static void
try_filters(const struct cascades *cascades, const struct filters *filters, struct lift *lift)
{
    for (int i = 0; i < filters->count; i++) {
        const struct biquad *biquad = &filters->biquads[i];
        double warped = biquad->warp * sqrt(biquad->d0 / biquad->d2);

        try_place(cascades, fmax(20, fmin(20000, filter_unwarp(warped, filters->rate_hz))), lift);
    }
}

/* By the golden section, within a place to both sides. */
static void
climb(const struct cascades *cascades, struct lift *lift)
{
    const double golden = (sqrt(5) - 1) / 2;
    double place = pow(10, 0.1 / PLACES);
    double low = lift->hz / place, high = lift->hz * place;

    for (int i = 0; i < CLIMB_STEPS; i++) {
        double span = log(high / low) * golden;
        double left = high * exp(-span), right = low * exp(span);

        if (try_place(cascades, left, lift) > try_place(cascades, right, lift))
            high = right;
        else
            low = left;
    }
}

struct lift
lift_of(const struct filters *filters, const struct filters *other)
{
    const struct cascades cascades = {filters, other};
    struct lift lift = {-HUGE_VAL, 20};

    for (int i = 0; i < BANDS * PLACES; i++)
        try_place(&cascades, band_exact_hz(0) * pow(10, (double)i / (10 * PLACES)), &lift);
    try_place(&cascades, 20000, &lift);
    try_filters(&cascades, filters, &lift);
    if (other)
        try_filters(&cascades, other, &lift);
    if (lift.db > 0)
        climb(&cascades, &lift);
    return lift;
}
