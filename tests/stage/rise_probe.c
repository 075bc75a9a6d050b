/* SPDX-License-Identifier: MIT */
/* What rises like a ring, for tests in other languages: frames of 31 thirds, doubles as the machine has them, on standard
 * input, so many a second; a line for each frame in which something rises on standard output:
 *     FRAME THIRD HZ DB_PER_SECOND
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "spectrum/rise.h"

int
main(int count, char **words)
{
    double rate = count == 2 ? strtod(words[1], NULL) : 0, levels[SPECTRUM_THIRDS];
    struct spectrum_bands bands;
    struct rise *rise;
    struct risen risen;

    if (!(rate >= RISE_RATE_LEAST && rate <= RISE_RATE_MOST) ||
        !spectrum_bands_of_thirds(SPECTRUM_THIRDS, &bands)) {
        fprintf(stderr, "rise_probe: RATE\n");
        return 2;
    }
    rise = rise_new(&bands, rate);
    for (long frame = 0; fread(levels, sizeof levels, 1, stdin) == 1; frame++)
        if (rise_take(rise, levels, lround((double)frame * 1000 / rate), &risen))
            printf("%ld %d %g %g\n", frame, risen.third, risen.hz, risen.db_s);
    rise_free(rise);
    return 0;
}
