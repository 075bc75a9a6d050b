/* SPDX-License-Identifier: MIT */
/* What cascades do to programme, from standard input, for tests/cross/test_programme_scipy.py.
 *
 *     RATE COUNT (SHAPE FREQ GAIN Q)...
 *
 * answers each line with the loss for speech and pink noise, the spread, what speech gets back
 * without the first filter, and the highest point of the response in dB and Hz. SHAPE is the number
 * in enum shape.
 */
#include <stdio.h>
#include <stdlib.h>

#include "sound/lift.h"
#include "sound/loss.h"

static double
need_number(void)
{
    double number;

    if (scanf("%lf", &number) != 1) {
        fputs("programme_probe: a number is missing\n", stderr);
        exit(2);
    }
    return number;
}

static void
answer(double rate_hz)
{
    struct filters filters = {.rate_hz = rate_hz};
    int part[FILTERS_MOST] = {0};
    struct loss loss;
    struct lift_places places;
    struct lift_curve curve;
    struct lift lift;

    filters.count = (int)need_number();
    for (int i = 0; i < filters.count && i < FILTERS_MOST; i++) {
        struct control *control = &filters.controls[i];

        control->shape = (enum shape)(int)need_number();
        control->freq_hz = need_number();
        control->gain_db = need_number();
        control->q = need_number();
        filters.biquads[i] =
            filter_biquad(control->shape, control->freq_hz, control->gain_db, control->q, rate_hz);
        part[i] = i == 0 ? 0 : -1;
    }
    loss_of(&filters, part, 1, &loss);
    lift_places_at(rate_hz, &places);
    lift_curve_of(&places, &filters, &curve);
    lift = lift_of(&places, &curve, NULL);
    printf("%.15g %.15g %.15g %.15g %.15g %.15g\n", loss.speech_db, loss.pink_db, loss.spread_db,
           loss.back_db[0], lift.db, lift.hz);
}

int
main(void)
{
    double rate_hz;

    while (scanf("%lf", &rate_hz) == 1)
        answer(rate_hz);
    return 0;
}
