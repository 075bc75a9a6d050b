#include "cuts.h"

#include <math.h>
#include <stddef.h>

#include "band.h"
#include "path.h"

enum { PLACES = 5 }; /* in each third-octave band */

struct response {
    double db[BANDS * PLACES];
};

static double
place_hz(int place)
{
    double in_band = (place % PLACES + 0.5) / PLACES - 0.5;

    return band_exact_hz(place / PLACES) * pow(10, in_band / 10);
}

/* A notch has no floor at its centre; what lies 120 dB down is gone for every purpose, and a finite
 * number can be summed and printed. */
static void
response_of(struct response *response, const struct filters *filters)
{
    for (int i = 0; i < BANDS * PLACES; i++)
        response->db[i] = fmax(-120, filters_db(filters, place_hz(i)));
}

static void
note_cut(struct look *look, struct cuts *cuts, enum param_id gain, struct cut cut, bool has_stop)
{
    cut.at_stop = has_stop && cut.gain_db <= desk_travel(look->desk, gain).least + 0.05;
    cuts->at_stop += cut.at_stop;
    if (cuts->count < CUTS_MOST)
        cuts->list[cuts->count] = cut;
    cuts->count++;
}

/* Lists the bands of the graphic that are cut; all of it was known for the response. */
static void
list_graphic(struct look *look, int mix, double cut_db, struct cuts *cuts)
{
    int bands = desk_count(look->desk, INDEX_MIX_GRAPHIC_BAND);
    bool on = false;

    if (bands > 0)
        look_switch(look, PARAM_MIX_GRAPHIC_ON, mix, 0, &on);
    for (int band = 0; on && band < bands; band++) {
        struct cut cut = {.band = band};

        if (!look_number(look, PARAM_MIX_GRAPHIC_BAND_GAIN, mix, band, &cut.gain_db) ||
            cut.gain_db > -cut_db)
            continue;
        cut.freq_hz = path_graphic_hz(look, mix, band);
        cut.named_hz = cut.freq_hz == band_graphic_hz(bands, band)
                           ? band_graphic_nominal_hz(bands, band)
                           : cut.freq_hz;
        note_cut(look, cuts, PARAM_MIX_GRAPHIC_BAND_GAIN, cut, true);
    }
}

/* The same for the parametric equaliser, unless it holds the loudspeaker's tuning. */
static void
list_parametric(struct look *look, int mix, double cut_db, struct cuts *cuts)
{
    int bands = desk_count(look->desk, INDEX_MIX_EQ_BAND);
    bool on = false;

    if (bands > 0 && !look->show->mixes[mix].tuned_here)
        look_switch(look, PARAM_MIX_EQ_ON, mix, 0, &on);
    for (int band = 0; on && band < bands; band++) {
        struct cut cut = {.band = band};
        double shape;
        bool in;

        if (!look_switch(look, PARAM_MIX_EQ_BAND_ON, mix, band, &in) || !in ||
            !look_number(look, PARAM_MIX_EQ_BAND_SHAPE, mix, band, &shape) ||
            !look_number(look, PARAM_MIX_EQ_BAND_GAIN, mix, band, &cut.gain_db) ||
            !(shape == SHAPE_NOTCH || (shape == SHAPE_PEAK && cut.gain_db <= -cut_db)) ||
            !look_number(look, PARAM_MIX_EQ_BAND_FREQ, mix, band, &cut.freq_hz))
            continue;
        cut.named_hz = cut.freq_hz;
        note_cut(look, cuts, PARAM_MIX_EQ_BAND_GAIN, cut, shape != SHAPE_NOTCH);
    }
}

static double
loss_db(const struct response *response, const double shares[BANDS])
{
    double sum = 0;

    for (int i = 0; i < BANDS * PLACES; i++)
        sum += shares[i / PLACES] / PLACES * pow(10, response->db[i] / 10);
    return -10 * log10(sum);
}

static double
spread_db(const struct response *response, const double shares[BANDS], double loss)
{
    double sum = 0;

    for (int i = 0; i < BANDS * PLACES; i++)
        sum += shares[i / PLACES] / PLACES * pow(response->db[i] + loss, 2);
    return sqrt(sum);
}

bool
cuts_of(struct look *look, int mix, double cut_db, struct cuts *cuts)
{
    struct filters filters;
    struct response response;
    double shares[BANDS];

    *cuts = (struct cuts){0};
    if (desk_count(look->desk, INDEX_MIX_GRAPHIC_BAND) +
            desk_count(look->desk, INDEX_MIX_EQ_BAND) ==
        0) {
        look_miss(look, "mix", mix + 1, "the profile counts no equaliser bands of the mixes");
        return false;
    }
    if (!path_mix_equalisers(look, mix, &filters))
        return false;
    response_of(&response, &filters);
    list_graphic(look, mix, cut_db, cuts);
    list_parametric(look, mix, cut_db, cuts);
    band_pink_shares(shares);
    cuts->pink_loss_db = loss_db(&response, shares);
    band_speech_shares(shares);
    cuts->loss_db = loss_db(&response, shares);
    cuts->spread_db = spread_db(&response, shares, cuts->loss_db);
    return true;
}
