#include "cuts.h"

#include <math.h>
#include <stddef.h>

#include "band.h"
#include "filter.h"

/* Desks run at 48 or 96 kHz; below 8 kHz the difference is under 0.3 dB on a -12 dB third-octave
 * cut. */
static const double rate_hz = 48000;

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
response_add(struct response *response, const struct biquad *biquad)
{
    for (int i = 0; i < BANDS * PLACES; i++)
        response->db[i] +=
            fmax(-120, filter_biquad_db(biquad, fmin(place_hz(i), 0.49 * rate_hz), rate_hz));
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

/* Centre of a graphic band: as published, else the standard one for so many bands. */
static bool
find_centre(struct look *look, int mix, struct cut *cut)
{
    int bands = desk_count(look->desk, INDEX_MIX_GRAPHIC_BAND);

    cut->freq_hz = band_graphic_hz(bands, cut->band);
    cut->named_hz = band_graphic_nominal_hz(bands, cut->band);
    if (cut->freq_hz > 0 && desk_supplied(look->desk, PARAM_MIX_GRAPHIC_BAND_FREQ) == SUPPLY_NONE)
        return true;
    if (!look_number(look, PARAM_MIX_GRAPHIC_BAND_FREQ, mix, cut->band, &cut->freq_hz))
        return false;
    cut->named_hz = cut->freq_hz;
    return true;
}

static bool
read_graphic(struct look *look, int mix, double cut_db, struct cuts *cuts,
             struct response *response)
{
    int bands = desk_count(look->desk, INDEX_MIX_GRAPHIC_BAND);
    double octaves = band_graphic_octaves(bands);
    double q = filter_q_of_octaves(octaves > 0 ? octaves : 1.0 / 3);
    bool on = false;

    if (bands > 0 && !look_switch(look, PARAM_MIX_GRAPHIC_ON, mix, 0, &on))
        return false;
    for (int band = 0; on && band < bands; band++) {
        struct cut cut = {.band = band};
        struct biquad biquad;

        if (!look_number(look, PARAM_MIX_GRAPHIC_BAND_GAIN, mix, band, &cut.gain_db) ||
            !find_centre(look, mix, &cut))
            return false;
        if (cut.gain_db == 0)
            continue;
        biquad = filter_biquad(SHAPE_PEAK, cut.freq_hz, cut.gain_db, q, rate_hz);
        response_add(response, &biquad);
        if (cut.gain_db <= -cut_db)
            note_cut(look, cuts, PARAM_MIX_GRAPHIC_BAND_GAIN, cut, true);
    }
    return true;
}

static bool
read_parametric(struct look *look, int mix, double cut_db, struct cuts *cuts,
                struct response *response)
{
    int bands = desk_count(look->desk, INDEX_MIX_EQ_BAND);
    bool on = false;

    if (bands > 0 && !look_switch(look, PARAM_MIX_EQ_ON, mix, 0, &on))
        return false;
    for (int band = 0; on && band < bands; band++) {
        struct cut cut = {.band = band};
        struct biquad biquad;
        double shape, q;
        bool in;

        if (!look_switch(look, PARAM_MIX_EQ_BAND_ON, mix, band, &in))
            return false;
        if (!in)
            continue;
        if (!look_number(look, PARAM_MIX_EQ_BAND_SHAPE, mix, band, &shape) ||
            !look_number(look, PARAM_MIX_EQ_BAND_FREQ, mix, band, &cut.freq_hz) ||
            !look_number(look, PARAM_MIX_EQ_BAND_GAIN, mix, band, &cut.gain_db) ||
            !look_number(look, PARAM_MIX_EQ_BAND_Q, mix, band, &q))
            return false;
        cut.named_hz = cut.freq_hz;
        biquad = filter_biquad((enum shape)(int)shape, cut.freq_hz, cut.gain_db, q, rate_hz);
        response_add(response, &biquad);
        if (look->show->mixes[mix].tuned_here)
            continue; /* the loudspeaker's tuning is no ring-out */
        if (shape == SHAPE_NOTCH || (shape == SHAPE_PEAK && cut.gain_db <= -cut_db))
            note_cut(look, cuts, PARAM_MIX_EQ_BAND_GAIN, cut, shape != SHAPE_NOTCH);
    }
    return true;
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
    struct response response = {{0}};
    double shares[BANDS];

    *cuts = (struct cuts){0};
    if (desk_count(look->desk, INDEX_MIX_GRAPHIC_BAND) +
            desk_count(look->desk, INDEX_MIX_EQ_BAND) ==
        0) {
        look_miss(look, "mix", mix + 1, "the profile counts no equaliser bands of the mixes");
        return false;
    }
    if (!read_graphic(look, mix, cut_db, cuts, &response) ||
        !read_parametric(look, mix, cut_db, cuts, &response))
        return false;
    band_pink_shares(shares);
    cuts->pink_loss_db = loss_db(&response, shares);
    band_speech_shares(shares);
    cuts->loss_db = loss_db(&response, shares);
    cuts->spread_db = spread_db(&response, shares, cuts->loss_db);
    return true;
}
