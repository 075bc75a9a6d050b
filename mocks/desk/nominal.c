/* SPDX-License-Identifier: MIT */
#include "nominal.h"

#include <stddef.h>
#include <string.h>

/* Third octaves by their preferred numbers; wider graphics use every second or third of them. */
static const char *const thirds[] = {
    "20",   "25",   "31.5", "40",   "50",   "63",    "80",    "100",   "125",   "160",  "200",
    "250",  "315",  "400",  "500",  "630",  "800",   "1000",  "1250",  "1600",  "2000", "2500",
    "3150", "4000", "5000", "6300", "8000", "10000", "12500", "16000", "20000",
};

static const struct {
    unsigned bands;
    unsigned first;
    unsigned step;
} LAYOUTS[] = {{31, 0, 1}, {15, 1, 2}, {10, 2, 3}};

int
nominal_band(unsigned bands, const char *frequency)
{
    for (size_t i = 0; i < sizeof LAYOUTS / sizeof LAYOUTS[0]; i++)
        for (unsigned band = 0; LAYOUTS[i].bands == bands && band < bands; band++)
            if (strcmp(thirds[LAYOUTS[i].first + band * LAYOUTS[i].step], frequency) == 0)
                return (int)band;
    return -1;
}
