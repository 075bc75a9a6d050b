/* SPDX-License-Identifier: MIT */
/* Answers for tests in other languages: one cascade a line on standard input, its response in dB at
 * each asked frequency on standard output.
 *
 *   RATE ORDER CORNER COUNT (SHAPE FREQ GAIN Q)... PLACES HZ...
 *
 * SHAPE is the number in enum shape; ORDER 0 leaves the Butterworth high-pass out.
 */
#include <stdio.h>
#include <stdlib.h>

#include "sound/path.h"

static double
need_number(void)
{
    double number;

    if (scanf("%lf", &number) != 1) {
        fputs("filter_probe: a number is missing\n", stderr);
        exit(2);
    }
    return number;
}

static void
answer(double rate_hz)
{
    struct filters filters = {.rate_hz = rate_hz};
    int places;

    filters.high_pass_order = (int)need_number();
    filters.high_pass_hz = need_number();
    filters.count = (int)need_number();
    for (int i = 0; i < filters.count && i < FILTERS_MOST; i++) {
        enum shape shape = (enum shape)(int)need_number();
        double freq_hz = need_number(), gain_db = need_number(), q = need_number();

        filters.biquads[i] = filter_biquad(shape, freq_hz, gain_db, q, rate_hz);
    }
    places = (int)need_number();
    for (int i = 0; i < places; i++)
        printf("%.15g%c", filters_db(&filters, need_number()), i + 1 < places ? ' ' : '\n');
}

int
main(void)
{
    double rate_hz;

    while (scanf("%lf", &rate_hz) == 1)
        answer(rate_hz);
    return 0;
}
