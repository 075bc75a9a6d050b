/* SPDX-License-Identifier: MIT */
#include "sound/loss.h"

#include <math.h>

#include "sound/band.h"

/* A pole or zero: its place on a scale that counts third-octave bands from the lower edge of the
 * first, and how far on both sides of it the response bends. */
struct bend {
    double at, reach;
};

struct sums {
    double speech, pink; /* power that comes through */
    double db, db_squared;
    double without[FILTERS_MOST]; /* speech power without the filters of each part */
};

struct integral {
    const struct filters *filters;
    const int *part;
    int parts;
    struct bend bends[2 * FILTERS_MOST];
    int bend_count;
    double speech[BANDS], pink[BANDS]; /* shares */
    struct sums sums;
};

/* Of a band. A notch has no floor, but a ten-thousandth part of a band weighs nothing. */
static const double least_reach = 1e-4;

/* What is 300 dB down is gone for every purpose; a finite number can be summed and printed. */
static double
bounded(double power)
{
    return fmax(1e-30, fmin(1e30, power));
}

/* Of c0 + c1 s + c2 s^2, when it bends within less than a band. Towards half the sample rate the
 * bilinear transform makes everything narrower. */
static void
add_bend(struct integral *integral, double c0, double c1, double c2, double warp)
{
    double warped, hz, narrower, reach;

    if (c0 <= 0 || c2 <= 0)
        return;
    warped = warp * sqrt(c0 / c2);
    hz = filter_unwarp(warped, integral->filters->rate_hz);
    narrower = warped / (1 + warped * warped) / atan(warped);
    reach = 10 / log(10) * narrower * c1 / sqrt(c0 * c2) / 2;
    if (reach < 1)
        integral->bends[integral->bend_count++] =
            (struct bend){17.5 + 10 * log10(hz / 1000), fmax(least_reach, reach)};
}

static void
find_bends(struct integral *integral)
{
    for (int i = 0; i < integral->filters->count; i++) {
        const struct biquad *biquad = &integral->filters->biquads[i];

        add_bend(integral, biquad->n0, biquad->n1, biquad->n2, biquad->warp);
        add_bend(integral, biquad->d0, biquad->d1, biquad->d2, biquad->warp);
    }
}

/* The response at one place, `width` wide, into the sums. */
static void
add_place(struct integral *integral, double place, double width)
{
    const struct filters *filters = integral->filters;
    double warped = filter_warp(band_exact_hz(place - 0.5), filters->rate_hz);
    double share = integral->speech[(int)place] * width;
    double of_part[FILTERS_MOST], power = 1, db;

    for (int i = 0; i < integral->parts; i++)
        of_part[i] = 1;
    for (int i = 0; i < filters->count; i++) {
        double of_one = filter_biquad_power(&filters->biquads[i], warped);

        power *= of_one;
        if (integral->part[i] >= 0)
            of_part[integral->part[i]] *= of_one;
    }
    power = bounded(power);
    integral->sums.pink += integral->pink[(int)place] * width * power;
    if (share == 0)
        return;
    db = 10 * log10(power);
    integral->sums.speech += share * power;
    integral->sums.db += share * db;
    integral->sums.db_squared += share * db * db;
    for (int i = 0; i < integral->parts; i++)
        integral->sums.without[i] += share * power / bounded(of_part[i]);
}

static bool
is_coarse(const struct integral *integral, double from, double width)
{
    for (int i = 0; i < integral->bend_count; i++) {
        const struct bend *bend = &integral->bends[i];
        double away = fmax(from - bend->at, bend->at - from - width);

        if (width > fmax(bend->reach, away))
            return true;
    }
    return false;
}

static void
add_cell(struct integral *integral, double from, double width)
{
    const double aside = sqrt(3.0 / 20); /* Gauss-Legendre, three places */

    if (is_coarse(integral, from, width)) {
        add_cell(integral, from, width / 2);
        add_cell(integral, from + width / 2, width / 2);
        return;
    }
    add_place(integral, from + (0.5 - aside) * width, width * 5 / 18);
    add_place(integral, from + 0.5 * width, width * 4 / 9);
    add_place(integral, from + (0.5 + aside) * width, width * 5 / 18);
}

void
loss_of(const struct filters *filters, const int part[FILTERS_MOST], int parts, struct loss *loss)
{
    struct integral integral = {.filters = filters, .part = part, .parts = parts};
    const struct sums *sums = &integral.sums;
    double loss_db;

    if (filters->count == 0) {
        *loss = (struct loss){0};
        return;
    }
    band_speech_shares(integral.speech);
    band_pink_shares(integral.pink);
    find_bends(&integral);
    for (int band = 0; band < BANDS; band++)
        add_cell(&integral, band, 1);
    loss_db = -10 * log10(sums->speech);
    loss->speech_db = loss_db;
    loss->pink_db = -10 * log10(sums->pink);
    loss->spread_db = sqrt(fmax(0, sums->db_squared + 2 * loss_db * sums->db + loss_db * loss_db));
    for (int i = 0; i < parts; i++)
        loss->back_db[i] = 10 * log10(sums->without[i]) + loss_db;
}
