/* SPDX-License-Identifier: MIT */
#include "sound/cuts.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { PLACES = CUTS_PLACES / BANDS };

static double
place_hz(int place)
{
    double in_band = (place % PLACES + 0.5) / PLACES - 0.5;

    return band_exact_hz(place / PLACES) * pow(10, in_band / 10);
}

/* Where the filters are looked at, once for all of them. */
static void
warp_places(struct cuts *cuts)
{
    for (int place = 0; place < CUTS_PLACES; place++)
        cuts->warped[place] = filter_warp(place_hz(place), cuts->filters.rate_hz);
}

/* ---- the level they cost ---- */

/* Adds `sign` times the responses of a run of filters. A notch has no floor at its centre; what
 * lies 120 dB down is gone for every purpose, and a finite number can be summed, taken out and
 * printed.
 */
static void
add_responses(const struct cuts *cuts, int first, int count, double sign,
              double response_db[CUTS_PLACES])
{
    const struct biquad *biquads = cuts->filters.biquads;

    for (int place = 0; place < CUTS_PLACES; place++)
        for (int i = first; i < first + count; i++)
            response_db[place] +=
                sign * fmax(-120, filter_biquad_at(&biquads[i], cuts->warped[place]));
}

static double
loss_db(const double response_db[CUTS_PLACES], const double shares[BANDS])
{
    double sum = 0;

    for (int i = 0; i < CUTS_PLACES; i++)
        sum += shares[i / PLACES] / PLACES * pow(10, response_db[i] / 10);
    return -10 * log10(sum);
}

static double
spread_db(const double response_db[CUTS_PLACES], const double shares[BANDS], double loss)
{
    double sum = 0;

    for (int i = 0; i < CUTS_PLACES; i++)
        sum += shares[i / PLACES] / PLACES * pow(response_db[i] + loss, 2);
    return sqrt(sum);
}

/* What speech gains when `count` cuts of the list, from `first` on, are taken out. */
static double
regained_db(const struct cuts *cuts, int first, int count, const double shares[BANDS])
{
    double response_db[CUTS_PLACES];

    memcpy(response_db, cuts->response_db, sizeof response_db);
    for (int i = first; i < first + count; i++)
        add_responses(cuts, cuts->list[i].first, cuts->list[i].bands, -1, response_db);
    return cuts->loss_db - loss_db(response_db, shares);
}

double
cuts_regained_db(const struct cuts *cuts, int count)
{
    double shares[BANDS];

    band_speech_shares(shares);
    return regained_db(cuts, 0, count, shares);
}

/* ---- the list ---- */

static bool
is_graphic(const struct control *control)
{
    return control->gain == PARAM_MIX_GRAPHIC_BAND_GAIN;
}

double
cuts_printed_hz(const struct look *look, const struct control *control)
{
    int bands = desk_count(look->desk, INDEX_MIX_GRAPHIC_BAND);

    if (is_graphic(control) && control->freq_hz == band_graphic_hz(bands, control->band))
        return band_graphic_nominal_hz(bands, control->band);
    return control->freq_hz;
}

/* A shelf is tone, no cut; a notch is one whatever its gain says. */
static bool
is_cut(const struct control *control, double cut_db)
{
    return control->shape == SHAPE_NOTCH ||
           (control->shape == SHAPE_PEAK && control->gain_db <= -cut_db);
}

/* The gain of a notch means nothing: it takes its frequency away. */
static double
depth_db(const struct control *control)
{
    return control->shape == SHAPE_NOTCH ? -HUGE_VAL : control->gain_db;
}

static bool
at_stop(const struct look *look, const struct control *control)
{
    return control->shape != SHAPE_NOTCH &&
           control->gain_db <= desk_travel(look->desk, control->gain).least + 0.05;
}

/* Whether the filter after the cut's last belongs to the same dip: a wider run counts once for each
 * octave begun. The nominal octave of base-10 bands is a factor of 1.995. */
static bool
goes_on(const struct cuts *cuts, const struct cut *cut, double cut_db)
{
    int next = cut->first + cut->bands;
    const struct control *controls = cuts->filters.controls;

    return next < cuts->filters.count && is_graphic(&controls[next]) &&
           is_graphic(&controls[cut->first]) && is_cut(&controls[next], cut_db) &&
           controls[next].band == controls[next - 1].band + 1 &&
           controls[next].freq_hz < controls[cut->first].freq_hz * 1.99;
}

static void
list_cuts(const struct look *look, double cut_db, struct cuts *cuts)
{
    const struct control *controls = cuts->filters.controls;

    for (int i = 0; i < cuts->filters.count; i++) {
        struct cut *cut = &cuts->list[cuts->count];

        if (!is_cut(&controls[i], cut_db))
            continue;
        *cut = (struct cut){.first = i, .bands = 1, .gain_db = depth_db(&controls[i])};
        cuts->at_stop += at_stop(look, &controls[i]);
        while (goes_on(cuts, cut, cut_db)) {
            i++;
            cut->bands++;
            cut->gain_db = fmin(cut->gain_db, controls[i].gain_db);
            cuts->at_stop += at_stop(look, &controls[i]);
        }
        cut->low_hz = cuts_printed_hz(look, &controls[cut->first]);
        cut->top_hz = cuts_printed_hz(look, &controls[i]);
        cuts->bands += cut->bands;
        cuts->count++;
    }
}

static bool
beside_a_cut(const struct cuts *cuts, const struct control *control, double cut_db)
{
    for (int i = 0; i < cuts->filters.count; i++) {
        const struct control *other = &cuts->filters.controls[i];

        if (is_cut(other, cut_db) && fabs(log2(other->freq_hz / control->freq_hz)) <= 1)
            return true;
    }
    return false;
}

static void
list_boosts(double cut_db, struct cuts *cuts)
{
    for (int i = 0; i < cuts->filters.count; i++) {
        const struct control *control = &cuts->filters.controls[i];

        if (control->shape != SHAPE_PEAK || control->gain_db < cut_db ||
            !beside_a_cut(cuts, control, cut_db))
            continue;
        if (cuts->boosts_beside++ == 0 || control->gain_db > cuts->boost.gain_db)
            cuts->boost = *control;
    }
}

/* Leaves the parametric equaliser out: it stands behind the graphic in the cascade. */
static void
drop_tuning(struct filters *filters)
{
    int graphic = 0;

    while (graphic < filters->count && is_graphic(&filters->controls[graphic]))
        graphic++;
    filters->count = graphic;
}

bool
cuts_of(struct look *look, int mix, double cut_db, struct cuts *cuts)
{
    double shares[BANDS];

    cuts->count = cuts->bands = cuts->at_stop = cuts->boosts_beside = 0;
    if (desk_count(look->desk, INDEX_MIX_GRAPHIC_BAND) +
            desk_count(look->desk, INDEX_MIX_EQ_BAND) ==
        0) {
        look_miss(look, "mix", mix + 1, "the profile counts no equaliser bands of the mixes");
        return false;
    }
    if (!path_mix_equalisers(look, mix, &cuts->filters))
        return false;
    if (look->show->mixes[mix].tuned_here)
        drop_tuning(&cuts->filters);
    list_cuts(look, cut_db, cuts);
    list_boosts(cut_db, cuts);
    warp_places(cuts);
    memset(cuts->response_db, 0, sizeof cuts->response_db);
    add_responses(cuts, 0, cuts->filters.count, 1, cuts->response_db);
    band_pink_shares(shares);
    cuts->pink_loss_db = loss_db(cuts->response_db, shares);
    band_speech_shares(shares);
    cuts->loss_db = loss_db(cuts->response_db, shares);
    cuts->spread_db = spread_db(cuts->response_db, shares, cuts->loss_db);
    return true;
}

/* The deepest first: depth is the margin that a cut won; then by what it costs speech. */
static int
by_worth(const void *one, const void *other)
{
    const struct cut *a = one, *b = other;

    if (a->gain_db != b->gain_db)
        return (a->gain_db < b->gain_db) - (a->gain_db > b->gain_db);
    return (a->cost_db < b->cost_db) - (a->cost_db > b->cost_db);
}

void
cuts_rank(struct cuts *cuts)
{
    double shares[BANDS];

    band_speech_shares(shares);
    for (int i = 0; i < cuts->count; i++)
        cuts->list[i].cost_db = regained_db(cuts, i, 1, shares);
    qsort(cuts->list, (size_t)cuts->count, sizeof *cuts->list, by_worth);
}
