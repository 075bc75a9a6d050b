/* SPDX-License-Identifier: MIT */
#include "meter.h"

#include <math.h>
#include <string.h>

static const double FALL_DB_PER_S = 20 / 1.7;
static const double AVERAGE_S = 0.125;

bool
meter_init(struct meter *meter)
{
    *meter = (struct meter){0};
    return history_init(&meter->history, SPECTRUM_SIZE);
}

void
meter_release(struct meter *meter)
{
    history_release(&meter->history);
}

void
meter_forget(struct meter *meter)
{
    struct history history = meter->history;

    *meter = (struct meter){.history = history};
    history_forget(&meter->history);
}

void
meter_add(struct meter *meter, const double block[BLOCK])
{
    meter->peak *= pow(10, -FALL_DB_PER_S * 0.001 / 20); /* a block is 1 ms */
    for (size_t i = 0; i < BLOCK; i++)
        meter->peak = fmax(meter->peak, fabs(block[i]));
    history_add(&meter->history, block);
}

static void
average(double *kept, const double *now, size_t count)
{
    double share = 1 - exp(-METER_FRAME_S / AVERAGE_S);

    for (size_t i = 0; i < count; i++)
        kept[i] += share * (now[i] - kept[i]);
}

void
meter_frame(struct meter *meter)
{
    static float samples[SPECTRUM_SIZE];
    static double power[SPECTRUM_BINS];
    double bands[SPECTRUM_FINE];

    history_last(&meter->history, SPECTRUM_SIZE, samples);
    spectrum_power(samples, power);
    spectrum_bands(power, SPECTRUM_THIRDS, bands);
    average(meter->thirds, bands, SPECTRUM_THIRDS);
    spectrum_bands(power, SPECTRUM_FINE, bands);
    average(meter->fine, bands, SPECTRUM_FINE);
}

double
meter_db(const struct meter *meter)
{
    return fmax(METER_LOWEST_DB, 20 * log10(meter->peak));
}

bool
meter_bands(const struct meter *meter, size_t bands, double *out)
{
    const double *from = bands == SPECTRUM_THIRDS ? meter->thirds : meter->fine;

    if (bands != SPECTRUM_THIRDS && bands != SPECTRUM_FINE)
        return false;
    for (size_t i = 0; i < bands; i++)
        out[i] = fmax(METER_LOWEST_DB, 10 * log10(from[i]));
    return true;
}
