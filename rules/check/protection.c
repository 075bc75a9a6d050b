/* SPDX-License-Identifier: MIT */
#include "check/protection.h"

#include <math.h>
#include <stddef.h>

#include "core/sum.h"

struct equaliser {
    enum param_id whole, on, gain; /* `on` is PARAMS where its bands have no switches */
};

static const struct equaliser equalisers[] = {
    {PARAM_MIX_GRAPHIC_ON, PARAMS, PARAM_MIX_GRAPHIC_BAND_GAIN},
    {PARAM_MIX_EQ_ON, PARAM_MIX_EQ_BAND_ON, PARAM_MIX_EQ_BAND_GAIN},
};

/* Whether the value is known and the switch on. */
static bool
stands(const struct desk *desk, enum param_id id, int row, int column)
{
    const struct value *value = desk_value(desk, id, row, column);

    return value->state == VALUE_KNOWN && !value_is(value, 0);
}

/* Gain that one band has, 0 while it or its equaliser is off. `desk` is today's or the anchor. */
static double
band_db(const struct desk *desk, const struct equaliser *equaliser, int mix, int band)
{
    const struct value *value = desk_value(desk, equaliser->gain, mix, band);

    if (!stands(desk, equaliser->whole, mix, 0) ||
        (equaliser->on != PARAMS && !stands(desk, equaliser->on, mix, band)))
        return 0;
    return value->state == VALUE_KNOWN ? value_number(value) : 0;
}

/* Cuts of one equaliser that were given back. */
static int
cuts_lost(struct look *look, const struct equaliser *equaliser, int mix, double cut_db,
          struct lost *deepest)
{
    const enum param_id whole = equaliser->whole, on = equaliser->on, gain = equaliser->gain;
    int lost = 0;

    for (int band = 0; band < desk_columns(look->desk, gain); band++) {
        double before_db = band_db(look->ground->anchor, equaliser, mix, band), now_db;
        bool standing;

        if (before_db > -cut_db)
            continue;
        if (!look_switch(look, whole, mix, 0, &standing) ||
            (on != PARAMS && !look_switch(look, on, mix, band, &standing)) ||
            !look_number(look, gain, mix, band, &now_db))
            continue;
        now_db = band_db(look->desk, equaliser, mix, band);
        if (now_db - before_db < cut_db)
            continue;
        lost++;
        if (isnan(deepest->was) || before_db < deepest->was)
            *deepest = (struct lost){before_db, now_db};
    }
    return lost;
}

int
protection_cuts_lost(struct look *look, int mix, double cut_db, struct lost *deepest)
{
    int lost = 0;

    for (size_t i = 0; i < sizeof equalisers / sizeof *equalisers; i++)
        lost += cuts_lost(look, &equalisers[i], mix, cut_db, deepest);
    return lost;
}

/* ---- a desk from before a restart ---- */

/* Switches that are on now and were not. */
static bool
gain_switches(struct desk *anchor, const struct desk *now)
{
    static const enum param_id switches[] = {PARAM_INPUT_HIGH_PASS_ON, PARAM_MIX_HIGH_PASS_ON,
                                             PARAM_MIX_LIMITER_ON};
    bool gained = false;

    for (size_t i = 0; i < sizeof switches / sizeof *switches; i++)
        for (int row = 0; row < desk_rows(now, switches[i]); row++) {
            if (!stands(now, switches[i], row, 0) || stands(anchor, switches[i], row, 0))
                continue;
            desk_carry_value(anchor, now, switches[i], row, 0);
            if (switches[i] == PARAM_MIX_LIMITER_ON)
                desk_carry_value(anchor, now, PARAM_MIX_LIMITER_THRESHOLD, row, 0);
            gained = true;
        }
    return gained;
}

/* Limiters that begin lower now. */
static bool
gain_thresholds(struct desk *anchor, const struct desk *now)
{
    const enum param_id id = PARAM_MIX_LIMITER_THRESHOLD;
    bool gained = false;

    for (int mix = 0; mix < desk_rows(now, id); mix++) {
        const struct value *was = desk_value(anchor, id, mix, 0), *is = desk_value(now, id, mix, 0);

        if (!stands(now, PARAM_MIX_LIMITER_ON, mix, 0) || is->state != VALUE_KNOWN ||
            value_number(was) <= value_number(is))
            continue;
        desk_carry_value(anchor, now, id, mix, 0);
        gained = true;
    }
    return gained;
}

static void
carry_band(struct desk *anchor, const struct desk *now, const struct equaliser *equaliser, int mix,
           int band)
{
    desk_carry_value(anchor, now, equaliser->gain, mix, band);
    if (equaliser->on != PARAMS)
        desk_carry_value(anchor, now, equaliser->on, mix, band);
}

/* Bands that are deeper now. An equaliser that was off has all its bands from now. */
static bool
gain_cuts(struct desk *anchor, const struct desk *now, const struct equaliser *equaliser, int mix)
{
    const enum param_id whole = equaliser->whole, gain = equaliser->gain;
    bool was_off = !stands(anchor, whole, mix, 0), gained = false;

    for (int band = 0; band < desk_columns(now, gain); band++)
        if (band_db(now, equaliser, mix, band) < band_db(anchor, equaliser, mix, band)) {
            carry_band(anchor, now, equaliser, mix, band);
            gained = true;
        }
    if (!gained || !was_off)
        return gained;
    desk_carry_value(anchor, now, whole, mix, 0);
    for (int band = 0; band < desk_columns(now, gain); band++)
        carry_band(anchor, now, equaliser, mix, band);
    return true;
}

bool
protection_gained(struct desk *anchor, const struct desk *now)
{
    bool gained = gain_switches(anchor, now);

    gained |= gain_thresholds(anchor, now);
    for (size_t i = 0; i < sizeof equalisers / sizeof *equalisers; i++)
        for (int mix = 0; mix < desk_rows(now, equalisers[i].gain); mix++)
            gained |= gain_cuts(anchor, now, &equalisers[i], mix);
    return gained;
}

/* ---- the worked example ---- */

static void
work_cut(struct text *text, double was_db, double is_db)
{
    if (isnan(was_db))
        return;
    text_add(text, " The deepest cut that was given back: ");
    sum_difference(text, is_db, was_db);
    text_add(text, " dB more loop gain at its frequency. A path with 6 dB of margin there has ");
    SUM(text, 6, was_db, -is_db);
    text_add(text, " dB left; below 0 it rings.");
}

static void
work_threshold(struct text *text, double was_db, double is_db)
{
    if (isnan(was_db))
        return;
    text_add(text, " The limiter began at %f dB and begins at %f dB: peaks ", was_db, is_db);
    sum_difference(text, is_db, was_db);
    text_add(text, " dB higher pass it untouched.");
}

static void
work_phantom(struct text *text, double was_v, double is_v)
{
    if (isnan(was_v))
        return;
    text_add(text, " Phantom power moved from %f to %f V, ", was_v, is_v);
    sum_difference(text, is_v, was_v);
    text_add(text, " V on the line at once, and all of it goes through the preamp as a bang.");
}

void
protection_lost_work(struct text *text, const struct verdict *verdict)
{
    double lost = verdict_figure(verdict, "lost_count");

    text_add(text,
             "%f thing%s %s not as when the desk was taken for set up. A switch that was on and "
             "is off counts by itself, cuts and thresholds count by how far they moved.",
             lost, lost == 1 ? "" : "s", lost == 1 ? "is" : "are");
    work_cut(text, verdict_figure(verdict, "cut_was_db"), verdict_figure(verdict, "cut_is_db"));
    work_threshold(text, verdict_figure(verdict, "threshold_was_db"),
                   verdict_figure(verdict, "threshold_is_db"));
    work_phantom(text, verdict_figure(verdict, "phantom_was_v"),
                 verdict_figure(verdict, "phantom_is_v"));
}
