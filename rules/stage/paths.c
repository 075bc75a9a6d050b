/* SPDX-License-Identifier: MIT */
/* What struct loops says of the whole stage, of a mix, and of one path. */
#include <math.h>

#include "stage/loops_at.h"

/* From mix to mix in the band: rows are where it arrives. */
static void
fill(const struct loops *loops, enum phases phases, int band, double *rows)
{
    int size = loops->mix_count;

    for (int i = 0; i < size * size; i++)
        rows[i] = 0;
    for (int to = 0; to < size; to++)
        for (int microphone = 0; microphone < loops->stage->microphone_count; microphone++) {
            double desk = loops->desk[loops_desk_at(loops, band, to, microphone)];
            size_t at = loops_air_at(loops, band, microphone, 0);
            const double *air =
                phases == PHASES_WORST ? &loops->air_sum[at] : &loops->air_power[at];
            double by = phases == PHASES_WORST ? desk : desk * desk;

            for (int from = 0; desk > 0 && from < size; from++)
                rows[to * size + from] += by * air[from];
        }
}

static double
as_db(enum phases phases, double number)
{
    return (phases == PHASES_WORST ? 2 : 1) * loops_power_db(number);
}

struct radius
loops_band_db(const struct loops *loops, enum phases phases, int band)
{
    double rows[STAGE_MIXES * STAGE_MIXES];
    struct radius radius;

    fill(loops, phases, band, rows);
    radius = radius_of(rows, loops->mix_count);
    return (struct radius){as_db(phases, radius.least), as_db(phases, radius.most)};
}

struct onset
loops_onset(const struct loops *loops, enum phases phases)
{
    struct onset onset = {.gain_db = -HUGE_VAL};

    for (int band = LOOPS_FIRST_BAND; band <= LOOPS_LAST_BAND; band++) {
        struct radius db = loops_band_db(loops, phases, band);

        if (db.most > onset.gain_db)
            onset = (struct onset){band, db.most, db.most - db.least};
    }
    return onset;
}

double
loops_desk_power(const struct loops *loops, int mix, int microphone, int band)
{
    double desk = loops->desk[loops_desk_at(loops, band, mix, microphone)];

    return desk * desk;
}

static double
path_power(const struct loops *loops, int microphone, int mix, int band)
{
    return loops_desk_power(loops, mix, microphone, band) *
           loops->air_power[loops_air_at(loops, band, microphone, mix)];
}

struct onset
loops_onset_of_mix(const struct loops *loops, int mix)
{
    struct onset onset = {.gain_db = -HUGE_VAL};

    for (int band = LOOPS_FIRST_BAND; band <= LOOPS_LAST_BAND; band++) {
        double power = 0;

        for (int i = 0; i < loops->stage->microphone_count; i++)
            power += path_power(loops, i, mix, band);
        if (loops_power_db(power) > onset.gain_db)
            onset = (struct onset){band, loops_power_db(power), 0};
    }
    return onset;
}

double
loops_path_in(const struct loops *loops, int microphone, int mix, int band)
{
    return loops_power_db(path_power(loops, microphone, mix, band));
}

struct loop_path
loops_path(const struct loops *loops, int microphone, int mix)
{
    struct loop_path path = {microphone, mix, 0, -HUGE_VAL};

    for (int band = LOOPS_FIRST_BAND; band <= LOOPS_LAST_BAND; band++) {
        double gain_db = loops_path_in(loops, microphone, mix, band);

        if (gain_db > path.gain_db) {
            path.gain_db = gain_db;
            path.band = band;
        }
    }
    return path;
}

int
loops_leading(const struct loops *loops, struct loop_path *paths, int most)
{
    int count = 0;

    for (int i = 0; i < loops->stage->microphone_count; i++)
        for (int mix = 0; mix < loops->mix_count; mix++) {
            struct loop_path path = loops_path(loops, i, mix);
            int at = count;

            if (path.gain_db == -HUGE_VAL)
                continue;
            for (; at > 0 && paths[at - 1].gain_db < path.gain_db; at--)
                if (at < most)
                    paths[at] = paths[at - 1];
            if (at < most)
                paths[at] = path;
            count += count < most;
        }
    return count;
}
