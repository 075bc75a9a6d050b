/* SPDX-License-Identifier: MIT */
#include "sound/cuts.h"

#include <math.h>
#include <stdlib.h>

#include "sound/band.h"

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

bool
cuts_is_broad(const struct control *control)
{
    return control->shape != SHAPE_PEAK && control->shape != SHAPE_NOTCH;
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

static double
octaves_apart(const struct control *one, const struct control *other)
{
    return fabs(log2(one->freq_hz / other->freq_hz));
}

static bool
in_one_place(const struct control *one, const struct control *other)
{
    double wide = filter_octaves_of_q(fmin(one->q, other->q));

    return octaves_apart(one, other) <= fmin(wide / 2, 1.0 / 6);
}

/* Whether filter i carries on the run of graphic bands that ends with the filter before: a wider
 * run counts once for each octave begun. The nominal octave of base-10 bands is a factor of 1.995.
 */
static bool
goes_on(const struct cuts *cuts, int first, int i)
{
    const struct control *controls = cuts->filters.controls;

    return i > 0 && is_graphic(&controls[i]) && cuts->part[i - 1] >= 0 &&
           controls[i].band == controls[i - 1].band + 1 &&
           controls[i].freq_hz < controls[first].freq_hz * 1.99;
}

/* The part in whose place filter i lies; -1: a place of its own. Bands of one graphic never share
 * one. */
static int
part_at(const struct cuts *cuts, int i)
{
    const struct control *controls = cuts->filters.controls;

    for (int other = 0; other < i && !is_graphic(&controls[i]); other++)
        if (cuts->part[other] >= 0 && in_one_place(&controls[other], &controls[i]))
            return cuts->part[other];
    return -1;
}

/* Depth where filter i stands: its own, and that of the others in that place. */
static double
depth_at(const struct cuts *cuts, int i)
{
    const struct control *controls = cuts->filters.controls;
    double sum_db = depth_db(&controls[i]);

    for (int other = 0; other < cuts->filters.count; other++)
        if (other != i && cuts->part[other] == cuts->part[i] &&
            !(is_graphic(&controls[i]) && is_graphic(&controls[other])) &&
            in_one_place(&controls[i], &controls[other]))
            sum_db += depth_db(&controls[other]);
    return sum_db;
}

static void
join(const struct look *look, struct cuts *cuts, int i, int part)
{
    struct cut *cut = &cuts->list[part];
    double hz = cuts_printed_hz(look, &cuts->filters.controls[i]);

    if (part == cuts->count) {
        *cut = (struct cut){.part = part, .low_hz = hz, .top_hz = hz};
        cuts->count++;
    }
    cut->stacked |= cut->bands > 0 && !is_graphic(&cuts->filters.controls[i]);
    cut->low_hz = fmin(cut->low_hz, hz);
    cut->top_hz = fmax(cut->top_hz, hz);
    cut->bands++;
    cuts->part[i] = part;
    cuts->bands++;
    cuts->at_stop += at_stop(look, &cuts->filters.controls[i]);
}

static void
list_cuts(const struct look *look, double cut_db, struct cuts *cuts)
{
    int first = 0; /* of the run of graphic bands */

    for (int i = 0; i < cuts->filters.count; i++) {
        const struct control *control = &cuts->filters.controls[i];
        int part;

        cuts->part[i] = -1;
        cuts->broad += cuts_is_broad(control);
        if (!is_cut(control, cut_db))
            continue;
        if (goes_on(cuts, first, i)) {
            join(look, cuts, i, cuts->count - 1);
            continue;
        }
        first = i;
        part = part_at(cuts, i);
        join(look, cuts, i, part < 0 ? cuts->count : part);
    }
    for (int i = 0; i < cuts->filters.count; i++)
        if (cuts->part[i] >= 0) {
            struct cut *cut = &cuts->list[cuts->part[i]];

            cut->gain_db = fmin(cut->gain_db, depth_at(cuts, i));
        }
}

static bool
beside_a_cut(const struct cuts *cuts, const struct control *control, double cut_db)
{
    for (int i = 0; i < cuts->filters.count; i++) {
        const struct control *other = &cuts->filters.controls[i];

        if (is_cut(other, cut_db) && octaves_apart(other, control) <= 1)
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
cuts_list(struct look *look, int mix, double cut_db, struct cuts *cuts)
{
    cuts->count = cuts->bands = cuts->at_stop = cuts->boosts_beside = cuts->broad = 0;
    if (desk_count(look->desk, INDEX_MIX_GRAPHIC_BAND) +
            desk_count(look->desk, INDEX_MIX_EQ_BAND) ==
        0) {
        look_miss(look, INDEX_MIX, mix, "the profile counts no equaliser bands of the mixes");
        return false;
    }
    if (!path_mix_equalisers(look, mix, &cuts->filters))
        return false;
    if (look->show->mixes[mix].tuned_here)
        drop_tuning(&cuts->filters);
    list_cuts(look, cut_db, cuts);
    list_boosts(cut_db, cuts);
    return true;
}

bool
cuts_of(struct look *look, int mix, double cut_db, struct cuts *cuts)
{
    if (!cuts_list(look, mix, cut_db, cuts))
        return false;
    loss_of(&cuts->filters, cuts->part, cuts->count, &cuts->loss);
    for (int i = 0; i < cuts->count; i++)
        cuts->list[i].cost_db = cuts->loss.back_db[i];
    return true;
}

/* The shallowest first: depth is the margin that a cut won; then by what it costs speech. */
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
    qsort(cuts->list, (size_t)cuts->count, sizeof *cuts->list, by_worth);
}

double
cuts_regained_db(const struct cuts *cuts, int count)
{
    bool out[FILTERS_MOST] = {false}; /* by part */
    int part[FILTERS_MOST];
    struct loss loss;

    for (int i = 0; i < count; i++)
        out[cuts->list[i].part] = true;
    for (int i = 0; i < cuts->filters.count; i++)
        part[i] = cuts->part[i] >= 0 && out[cuts->part[i]] ? 0 : -1;
    loss_of(&cuts->filters, part, 1, &loss);
    return loss.back_db[0];
}
