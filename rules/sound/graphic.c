/* SPDX-License-Identifier: MIT */
#include "sound/graphic.h"

#include <math.h>
#include <stddef.h>
#include <string.h>

#include "sound/band.h"

/* Half of what lies between the neighbours; at an end what lies between it and its one neighbour.
 * Bands at one place have no width. */
static bool
spacing(struct look *look, int mix, int band, double *octaves)
{
    int most = desk_count(look->desk, INDEX_MIX_GRAPHIC_BAND) - 1;
    int low = band > 0 ? band - 1 : band, high = band < most ? band + 1 : band;
    double low_hz = 1, high_hz = 1;
    bool known = look_number(look, PARAM_MIX_GRAPHIC_BAND_FREQ, mix, low, &low_hz);

    known &= look_number(look, PARAM_MIX_GRAPHIC_BAND_FREQ, mix, high, &high_hz);
    if (!known)
        return false;
    *octaves = fabs(log2(high_hz / low_hz)) / (high > low ? high - low : 1);
    if (*octaves == 0)
        look_miss(look, INDEX_MIX, mix,
                  "its graphic bands do not tell how wide one is; the profile can "
                  "(filters.graphic_octaves)");
    return *octaves > 0;
}

bool
graphic_band(struct look *look, int mix, int band, struct graphic_band *at)
{
    int bands = desk_count(look->desk, INDEX_MIX_GRAPHIC_BAND);
    double told = desk_filters(look->desk).graphic_octaves;

    *at = (struct graphic_band){band_graphic_hz(bands, band), band_graphic_octaves(bands)};
    if (at->hz == 0 || desk_supplied(look->desk, PARAM_MIX_GRAPHIC_BAND_FREQ) != SUPPLY_NONE) {
        if (!look_number(look, PARAM_MIX_GRAPHIC_BAND_FREQ, mix, band, &at->hz) ||
            (told == 0 && !spacing(look, mix, band, &at->octaves)))
            return false;
    }
    if (told > 0)
        at->octaves = told;
    return true;
}

/* Printed centres are rounded, by up to 4 % of what lies between them: 20, 25, 31.5, 40 Hz. */
static void
add_number(struct text *text, double octaves)
{
    static const struct {
        double octaves;
        const char *name;
    } usual[] = {{1.0 / 6, "1/6"}, {1.0 / 3, "1/3"}, {0.5, "1/2"}, {2.0 / 3, "2/3"}, {1, "1"}};

    for (size_t i = 0; i < sizeof usual / sizeof *usual; i++)
        if (fabs(octaves / usual[i].octaves - 1) < 0.04) {
            text_add(text, "%s", usual[i].name);
            return;
        }
    text_add(text, "%g", octaves);
}

void
graphic_add_octaves(struct text *text, double least, double most)
{
    char names[2][20];
    struct text one, other;

    text_init(&one, names[0], sizeof names[0]);
    text_init(&other, names[1], sizeof names[1]);
    add_number(&one, least);
    add_number(&other, most);
    text_add(text, "%s", names[0]);
    if (strcmp(names[0], names[1]) != 0)
        text_add(text, " to %s", names[1]);
    text_add(text, most < 1.04 ? " octave" : " octaves");
}
