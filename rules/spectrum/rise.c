/* SPDX-License-Identifier: MIT */
#include "spectrum/rise.h"

#include <math.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>

#include "core/need.h"

#define SILENT_DB (-150.0)
#define SETTLED_S 3.0 /* nothing is said before */

#define LEAST_DB (-50.0)
#define LEAST_LOOSER_DB (-80.0) /* see tests/stage/test_ringing_osc.py for what it is worth */
#define OVER_MEAN_DB 6.0
#define OVER_NEAR_DB 8.0       /* the bands 2 and 3 away */
#define OVER_HARMONICS_DB 15.0 /* those at twice and three times the frequency */
#define AT_HIGHEST_DB 0.1

enum { MISSING_MOST = 4 }; /* frames; after more all begins anew */

enum { OCTAVE = 3, TWELFTH = 5 }; /* in thirds */

/* A straight line. */
static const struct line {
    double s, climbs_db, off_db, least_rate;
} lines[] = {
    {0.6, 8, 0.5, 0}, {1, 8, 0.5, 0}, {1.5, 8, 0.5, 0},
    {2, 8, 0.5, 0},   {3, 8, 0.5, 0}, {0.3, 12, 0.4, 20},
};

struct rise {
    struct spectrum_bands bands;
    int third_of[SPECTRUM_BANDS];
    int third_count;             /* those that have a band */
    double fine[SPECTRUM_BANDS]; /* the last frame */
    double rate;
    int kept;                         /* frames of RISE_KEPT_S */
    long frames;                      /* heard since it began */
    double expected_ms;               /* when the next frame is due */
    float (*thirds)[SPECTRUM_THIRDS]; /* a ring of `kept` frames */
};

struct rise *
rise_new(const struct spectrum_bands *bands, double per_second)
{
    struct rise *rise = need_memory(1, sizeof *rise);

    rise->bands = *bands;
    rise->rate = per_second;
    rise->kept = (int)lround(RISE_KEPT_S * per_second) + 1;
    rise->thirds = need_memory((size_t)rise->kept, sizeof *rise->thirds);
    for (int i = 0, last = -1; i < bands->count; i++) {
        rise->third_of[i] = spectrum_third(bands, i);
        rise->third_count += rise->third_of[i] > last;
        last = rise->third_of[i];
    }
    return rise;
}

void
rise_free(struct rise *rise)
{
    if (!rise)
        return;
    free(rise->thirds);
    free(rise);
}

/* ---- frames ---- */

/* The thirds of the frame so many before the last. */
static const float *
frame_before(const struct rise *rise, long back)
{
    return rise->thirds[(rise->frames - 1 - back) % rise->kept];
}

static void
add_frame(struct rise *rise, const float thirds[SPECTRUM_THIRDS])
{
    memcpy(rise->thirds[rise->frames++ % rise->kept], thirds, sizeof *rise->thirds);
}

/* Bands summed in power into thirds. */
static void
sum_thirds(struct rise *rise, const double *levels, float thirds[SPECTRUM_THIRDS])
{
    double power[SPECTRUM_THIRDS] = {0};

    for (int i = 0; i < rise->bands.count; i++) {
        rise->fine[i] = fmax(levels[i], SILENT_DB);
        if (rise->third_of[i] >= 0)
            power[rise->third_of[i]] += pow(10, rise->fine[i] / 10);
    }
    for (int i = 0; i < SPECTRUM_THIRDS; i++)
        thirds[i] = (float)fmax(10 * log10(power[i]), SILENT_DB);
}

/* How many frames are missing before this one. The clock follows what comes, slowly, so that neither
 * jitter nor a desk that is a little off its rate makes one. */
static long
count_missing(struct rise *rise, int64_t now_ms)
{
    double period_ms = 1000 / rise->rate, late_ms = (double)now_ms - rise->expected_ms;
    long missing = late_ms > 0.75 * period_ms ? lround(late_ms / period_ms) : 0;

    if (missing > MISSING_MOST || late_ms < -MISSING_MOST * period_ms)
        rise->frames = 0;
    if (rise->frames == 0) {
        rise->expected_ms = (double)now_ms + period_ms;
        return 0;
    }
    late_ms -= (double)missing * period_ms;
    rise->expected_ms += period_ms * (double)(missing + 1) + late_ms / 8;
    return missing;
}

/* In a straight line from the last frame to this one. */
static void
fill_missing(struct rise *rise, long missing, const float thirds[SPECTRUM_THIRDS])
{
    float from[SPECTRUM_THIRDS], between[SPECTRUM_THIRDS];

    if (missing == 0)
        return;
    memcpy(from, frame_before(rise, 0), sizeof from);
    for (long i = 1; i <= missing; i++) {
        for (int k = 0; k < SPECTRUM_THIRDS; k++)
            between[k] = from[k] + (thirds[k] - from[k]) * (float)i / (float)(missing + 1);
        add_frame(rise, between);
    }
}

/* ---- the rule ---- */

static bool
stands_over(const float *now, int third, int away, double db)
{
    int other = third + away;

    return other < 0 || other >= SPECTRUM_THIRDS || now[third] >= now[other] + db;
}

/* Of the power in the thirds that there are. */
static double
mean_db(const struct rise *rise, const float *now)
{
    double power = 0;

    for (int i = 0; i < SPECTRUM_THIRDS; i++)
        power += pow(10, now[i] / 10.0);
    return 10 * log10(power / rise->third_count);
}

static bool
stands_clear(const struct rise *rise, int third)
{
    const float *now = frame_before(rise, 0);

    return stands_over(now, third, -1, 0) && stands_over(now, third, 1, 0) &&
           stands_over(now, third, -2, OVER_NEAR_DB) && stands_over(now, third, 2, OVER_NEAR_DB) &&
           stands_over(now, third, -3, OVER_NEAR_DB) && stands_over(now, third, 3, OVER_NEAR_DB) &&
           stands_over(now, third, OCTAVE, OVER_HARMONICS_DB) &&
           stands_over(now, third, TWELFTH, OVER_HARMONICS_DB) &&
           now[third] >= mean_db(rise, now) + OVER_MEAN_DB;
}

double
rise_highest(const struct rise *rise, int third, double from_s, double to_s)
{
    long from = lround(from_s * rise->rate), to = lround(to_s * rise->rate) + 1;
    long last = rise->frames < rise->kept ? rise->frames : rise->kept;
    float highest = (float)SILENT_DB;

    for (long back = from; back < last && back < to; back++)
        highest = fmaxf(highest, frame_before(rise, back)[third]);
    return highest;
}

static bool
is_louder_than_lately(const struct rise *rise, int third)
{
    return frame_before(rise, 0)[third] >=
           rise_highest(rise, third, RISE_LATELY_S, RISE_KEPT_S) + RISE_OVER_LATELY_DB;
}

/* Least squares over the frames of the line; *db_s gets its slope. */
static bool
climbs(const struct rise *rise, int third, const struct line *line, double *db_s)
{
    long count = lround(line->s * rise->rate);
    double sum_y = 0, sum_xy = 0, sum_yy = 0, highest = SILENT_DB, mid = (double)(count - 1) / 2;
    double sum_xx = (double)count * ((double)count * (double)count - 1) / 12, slope, off;

    if (rise->rate < line->least_rate - 0.01 || count > rise->frames)
        return false;
    for (long i = 0; i < count; i++) {
        double y = frame_before(rise, count - 1 - i)[third];

        sum_y += y;
        sum_yy += y * y;
        sum_xy += ((double)i - mid) * y;
        highest = fmax(highest, y);
    }
    slope = sum_xy / sum_xx;
    off = fmax(0, (sum_yy - sum_y * sum_y / (double)count - slope * sum_xy) / (double)count);
    *db_s = slope * rise->rate;
    return *db_s * line->s >= line->climbs_db && off <= line->off_db * line->off_db &&
           frame_before(rise, 0)[third] >= highest - AT_HIGHEST_DB;
}

/* The line in which it climbed furthest; NULL: it is none that rises. */
static const struct line *
rises(const struct rise *rise, int third, double least_db, double *db_s, double *over_db)
{
    const struct line *furthest = NULL;

    if (frame_before(rise, 0)[third] < least_db || !stands_clear(rise, third) ||
        !is_louder_than_lately(rise, third))
        return NULL;
    for (size_t i = 0; i < sizeof lines / sizeof *lines; i++) {
        double slope, over;

        if (!climbs(rise, third, &lines[i], &slope))
            continue;
        over = slope * lines[i].s - lines[i].climbs_db;
        if (furthest && over <= *over_db)
            continue;
        furthest = &lines[i];
        *db_s = slope;
        *over_db = over;
    }
    return furthest;
}

/* ---- where it is ---- */

/* The loudest of the fine bands in the third. */
static int
peak_band(const struct rise *rise, int third)
{
    int peak = -1;

    for (int i = 0; i < rise->bands.count; i++)
        if (rise->third_of[i] == third && (peak < 0 || rise->fine[i] > rise->fine[peak]))
            peak = i;
    return peak;
}

/* The top of the parabola through three bands, in bands from the middle one. */
static double
parabola_top(double left, double middle, double right)
{
    double bend = left - 2 * middle + right;

    return bend < 0 ? fmin(fmax((left - right) / (2 * bend), -0.5), 0.5) : 0;
}

static void
find_hz(const struct rise *rise, struct risen *risen)
{
    int peak = peak_band(rise, risen->third);
    double at = peak;

    if (peak > 0 && peak < rise->bands.count - 1)
        at += parabola_top(rise->fine[peak - 1], rise->fine[peak], rise->fine[peak + 1]);
    risen->hz = spectrum_hz(&rise->bands, at);
    risen->within_octaves = spectrum_step_octaves(&rise->bands) / 4;
}

/* The loudest that rises with the last frame, and at least so loud. */
static bool
find_risen(const struct rise *rise, double least_db, struct risen *risen)
{
    double db_s = 0, over_db = 0;

    risen->third = -1;
    for (int i = 0; (double)rise->frames > SETTLED_S * rise->rate && i < SPECTRUM_THIRDS; i++) {
        double level_db = frame_before(rise, 0)[i];
        const struct line *line = rises(rise, i, least_db, &db_s, &over_db);

        if (!line || (risen->third >= 0 && level_db < risen->level_db))
            continue;
        risen->s = line->s;
        risen->over_db = over_db;
        risen->third = i;
        risen->db_s = db_s;
        risen->level_db = level_db;
    }
    if (risen->third >= 0)
        find_hz(rise, risen);
    return risen->third >= 0;
}

bool
rise_take(struct rise *rise, const double *levels, int64_t now_ms, struct risen *risen)
{
    float thirds[SPECTRUM_THIRDS];

    sum_thirds(rise, levels, thirds);
    fill_missing(rise, count_missing(rise, now_ms), thirds);
    add_frame(rise, thirds);
    return find_risen(rise, LEAST_DB, risen);
}

bool
rise_looser(const struct rise *rise, struct risen *risen)
{
    return find_risen(rise, LEAST_LOOSER_DB, risen);
}

double
rise_level(const struct rise *rise, int third)
{
    return rise->frames > 0 ? frame_before(rise, 0)[third] : SILENT_DB;
}
