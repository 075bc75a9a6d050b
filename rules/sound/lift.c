/* SPDX-License-Identifier: MIT */
#include "sound/lift.h"

#include <math.h>
#include <stddef.h>

enum { CLIMB_STEPS = 12 }; /* each leaves 0.62 of the span */

static const double least_hz = 20, most_hz = 20000;

/* Half of what lies between two places and more, as a factor. */
static double
step(void)
{
    return pow(10, 0.1 * BANDS / LIFT_PLACES);
}

double
lift_bound_db(const struct filters *filters)
{
    double power = 1;

    for (int i = 0; i < filters->count; i++)
        power *= fmax(1, filter_peak_power(&filters->biquads[i]));
    return power > 1 + 1e-9 ? 10 * log10(power) : 0;
}

void
lift_places_at(double rate_hz, struct lift_places *places)
{
    *places = (struct lift_places){.rate_hz = rate_hz, .most_hz = fmin(most_hz, 0.499 * rate_hz)};
    for (double hz = least_hz; hz <= places->most_hz && places->count < LIFT_PLACES; hz *= step()) {
        places->hz[places->count] = hz;
        places->warped[places->count++] = filter_warp(hz, rate_hz);
    }
}

static double
power_at(const struct filters *filters, double high_pass_warp, double warped)
{
    double power = 1;

    if (filters->high_pass_order > 0)
        power = filter_high_pass_power(filters->high_pass_order, high_pass_warp / warped);
    for (int i = 0; i < filters->count; i++)
        power *= filter_biquad_power(&filters->biquads[i], warped);
    return power;
}

static double
high_pass_warp(const struct filters *filters)
{
    return filters->high_pass_order > 0 ? filter_warp(filters->high_pass_hz, filters->rate_hz) : 0;
}

void
lift_curve_of(const struct lift_places *places, const struct filters *filters,
              struct lift_curve *curve)
{
    double corner = high_pass_warp(filters);

    curve->filters = filters;
    for (int i = 0; i < places->count; i++)
        curve->power[i] = power_at(filters, corner, places->warped[i]);
}

/* ---- the top ---- */

struct search {
    const struct lift_places *places;
    const struct filters *filters[2];
    double corners[2];
    int count;
    double hz, power; /* the highest so far */
};

static double
try_hz(struct search *search, double hz)
{
    double power = 1, warped;

    if (hz < least_hz || hz > search->places->most_hz)
        return 0;
    warped = filter_warp(hz, search->places->rate_hz);
    for (int i = 0; i < search->count; i++)
        power *= power_at(search->filters[i], search->corners[i], warped);
    if (power > search->power) {
        search->power = power;
        search->hz = hz;
    }
    return power;
}

/* Where each filter resonates: a peak at its centre, a shelf beside its corner. */
static void
try_resonances(struct search *search, const struct filters *filters)
{
    for (int i = 0; i < filters->count; i++) {
        const struct biquad *biquad = &filters->biquads[i];
        double warped = biquad->warp * sqrt(biquad->d0 / biquad->d2);

        if (filter_peak_power(biquad) > 1)
            try_hz(search, fmax(least_hz, fmin(search->places->most_hz,
                                               filter_unwarp(warped, filters->rate_hz))));
    }
}

/* By the golden section, within a place to both sides. */
static void
climb(struct search *search)
{
    const double golden = (sqrt(5) - 1) / 2;
    double low = search->hz / step(), high = search->hz * step();

    for (int i = 0; i < CLIMB_STEPS; i++) {
        double part = pow(high / low, golden);
        double left = high / part, right = low * part;

        if (try_hz(search, left) > try_hz(search, right))
            high = right;
        else
            low = left;
    }
}

struct lift
lift_of(const struct lift_places *places, const struct lift_curve *one,
        const struct lift_curve *other)
{
    struct search search = {.places = places, .hz = least_hz};

    search.filters[search.count++] = one->filters;
    if (other)
        search.filters[search.count++] = other->filters;
    for (int i = 0; i < search.count; i++)
        search.corners[i] = high_pass_warp(search.filters[i]);
    for (int i = 0; i < places->count; i++) {
        double power = one->power[i] * (other ? other->power[i] : 1);

        if (power > search.power) {
            search.power = power;
            search.hz = places->hz[i];
        }
    }
    for (int i = 0; i < search.count; i++)
        try_resonances(&search, search.filters[i]);
    if (search.power > 1)
        climb(&search);
    return (struct lift){10 * log10(search.power), search.hz};
}
