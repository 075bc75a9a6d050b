/* SPDX-License-Identifier: MIT */
#include "change/suspects.h"

#include <math.h>
#include <stdlib.h>

#include "change/lately.h"
#include "core/need.h"
#include "sound/path.h"

#define FALLEN_DB 6.0 /* below its highest, and */
enum {
    FALLEN_MS = 1000, /* for so long: it rings no more */
    UNHEARD_MS = 3000 /* no frames came for so long: nobody knows */
};

#define MORE_DB 0.5 /* than from an older desk */
enum { LOOKED_AT_MS = 500 };

struct watched {
    struct suspect suspect;
    struct rise *rise; /* from the first frame on */
    double highest_db; /* of the band since it was seen */
    int64_t high_ms;   /* when it last was not fallen */
    int64_t heard_ms;
};

struct suspects {
    const struct desk *desk;
    struct spectrum_bands bands;
    double per_second;
    struct lately *lately;
    int64_t hushed_until_ms;
    int mixes, standing;
    struct watched *watched;
    struct heard_thirds *heard; /* a mix each; NULL: nobody asks for it */
};

struct suspects *
suspects_new(const struct desk *desk, const struct spectrum_bands *bands, double per_second)
{
    struct suspects *suspects = need_memory(1, sizeof *suspects);

    suspects->bands = *bands;
    suspects->per_second = per_second;
    suspects->lately = lately_new();
    suspects->hushed_until_ms = INT64_MIN;
    suspects->desk = desk;
    suspects->mixes = desk_count(desk, INDEX_MIX);
    suspects->watched = need_memory((size_t)suspects->mixes, sizeof *suspects->watched);
    return suspects;
}

const struct desk *
suspects_desk(const struct suspects *suspects)
{
    return suspects->desk;
}

static void
let_go(struct suspects *suspects, int mix)
{
    struct suspect *suspect = &suspects->watched[mix].suspect;

    suspects->standing -= suspect->stands;
    desk_free(suspect->before);
    *suspect = (struct suspect){.stands = false};
}

void
suspects_free(struct suspects *suspects)
{
    if (!suspects)
        return;
    for (int mix = 0; mix < suspects->mixes; mix++) {
        let_go(suspects, mix);
        rise_free(suspects->watched[mix].rise);
    }
    lately_free(suspects->lately);
    free(suspects->heard);
    free(suspects->watched);
    free(suspects);
}

void
suspects_moved(struct suspects *suspects, const struct moved *moved, int64_t now_ms)
{
    lately_note(suspects->lately, moved, now_ms);
}

/* ---- what rose ---- */

/* By how much the path that rose most did, open or not. */
static double
most_risen_db(const struct desk *before, const struct desk *now, int mix)
{
    struct path_level was, is;
    double most_db = -HUGE_VAL;

    for (int input = 0; input < desk_count(now, INDEX_INPUT); input++)
        if (path_level_on(before, input, mix, &was) && path_level_on(now, input, mix, &is) &&
            is.sum_db > -HUGE_VAL)
            most_db = fmax(most_db, is.sum_db - was.sum_db);
    return most_db;
}

/* Of several desks from which as much rose, the oldest. */
static struct desk *
before_the_rise(const struct suspects *suspects, int mix, int64_t now_ms)
{
    const struct desk *now = suspects->desk;
    int64_t since_ms = now_ms - LATELY_MS;
    struct desk *before = lately_before(suspects->lately, now, since_ms);
    double before_db = before ? most_risen_db(before, now, mix) : 0;

    for (; before && since_ms <= now_ms; since_ms += LOOKED_AT_MS) {
        struct desk *later = lately_before(suspects->lately, now, since_ms);
        double later_db = later ? most_risen_db(later, now, mix) : -HUGE_VAL;

        if (later_db <= before_db + MORE_DB) {
            desk_free(later);
            continue;
        }
        desk_free(before);
        before = later;
        before_db = later_db;
    }
    return before;
}

/* ---- suspicions ---- */

#define RIDDEN_MOST_DB 20.0 /* a fader that comes up from off has no figure */
#define CLIMBS_ON_DB 4.0    /* besides the 8 of a line */

/* By how much a path into the mix rose since then. */
static double
ridden_since_db(const struct suspects *suspects, int mix, int64_t since_ms)
{
    struct desk *before = lately_before(suspects->lately, suspects->desk, since_ms);
    double db = before ? most_risen_db(before, suspects->desk, mix) : 0;

    desk_free(before);
    return db > MORE_DB ? fmin(db, RIDDEN_MOST_DB) : 0;
}

/* What a hand raises raises the music, too, to where it never was: each frame of lately counts as what
 * it would be by the levels of now. */
static bool
was_as_loud(const struct suspects *suspects, int mix, const struct risen *risen, int64_t now_ms)
{
    const struct rise *rise = suspects->watched[mix].rise;
    const double step_s = LOOKED_AT_MS / 1000.0;

    for (double from_s = RISE_LATELY_S; from_s < RISE_KEPT_S; from_s += step_s) {
        double over_db = risen->level_db - RISE_OVER_LATELY_DB -
                         rise_highest(rise, risen->third, from_s, from_s + step_s);
        int64_t since_ms = now_ms - (int64_t)((from_s + 2 * step_s) * 1000);

        if (over_db < RIDDEN_MOST_DB && over_db < ridden_since_db(suspects, mix, since_ms))
            return true;
    }
    return false;
}

/* While a hand raises it music climbs in as straight a line as a ring; half a second more counts, for
 * spectra lag behind, and so do the desks of before. Behind it what swells stands out more than ever:
 * a ring climbs on and on, so half as much again is waited for. */
static double
no_rings_db(const struct suspects *suspects, int mix, const struct risen *risen, int64_t now_ms)
{
    int64_t climbed_ms = (int64_t)(risen->s * 1000) + LOOKED_AT_MS;
    double lately_db = ridden_since_db(suspects, mix, now_ms - LATELY_MS);

    return fmax(fmin(lately_db, CLIMBS_ON_DB), ridden_since_db(suspects, mix, now_ms - climbed_ms));
}

static bool
is_ridden(const struct suspects *suspects, int mix, const struct risen *risen, int64_t now_ms)
{
    return risen->over_db < no_rings_db(suspects, mix, risen, now_ms) ||
           was_as_loud(suspects, mix, risen, now_ms);
}

/* Two bands that show the same tone. */
static bool
is_same_place(const struct risen *one, const struct risen *other)
{
    return fabs(log2(one->hz / other->hz)) <= one->within_octaves + other->within_octaves;
}

static bool
takes_over(const struct watched *watched, const struct risen *risen)
{
    const struct suspect *suspect = &watched->suspect;

    return !suspect->stands || (risen->third != suspect->risen.third &&
                                risen->level_db > rise_level(watched->rise, suspect->risen.third));
}

static void
suspect(struct suspects *suspects, int mix, const struct risen *risen, int64_t now_ms)
{
    struct watched *watched = &suspects->watched[mix];
    struct suspect was = watched->suspect, is = {.stands = true,
                                                 .risen = *risen,
                                                 .places = was.places,
                                                 .before_hz = was.before_hz,
                                                 .since_ms = now_ms};

    is.before = before_the_rise(suspects, mix, now_ms);
    if (!is.before && was.before)
        is.before = desk_copy(was.before);
    if (!was.stands || !is_same_place(risen, &was.risen)) {
        is.places++;
        is.before_hz = was.risen.hz;
    }
    let_go(suspects, mix);
    watched->suspect = is;
    watched->highest_db = risen->level_db;
    watched->high_ms = now_ms;
    suspects->standing++;
}

/* Whether it goes on. */
static bool
follow(struct watched *watched, int64_t now_ms)
{
    double level_db = rise_level(watched->rise, watched->suspect.risen.third);

    watched->highest_db = fmax(watched->highest_db, level_db);
    if (level_db > watched->highest_db - FALLEN_DB)
        watched->high_ms = now_ms;
    return now_ms - watched->high_ms < FALLEN_MS;
}

bool
suspects_take(struct suspects *suspects, int mix, const double *levels, int64_t now_ms)
{
    struct watched *watched = &suspects->watched[mix];
    struct risen risen;
    bool rises;

    if (!watched->rise)
        watched->rise = rise_new(&suspects->bands, suspects->per_second);
    watched->heard_ms = now_ms;
    rises = rise_take(watched->rise, levels, now_ms, &risen) && now_ms >= suspects->hushed_until_ms;
    if (suspects->heard)
        heard_take(&suspects->heard[mix], watched->rise, now_ms);
    if (rises && takes_over(watched, &risen) && !is_ridden(suspects, mix, &risen, now_ms)) {
        suspect(suspects, mix, &risen, now_ms);
        return true;
    }
    if (!watched->suspect.stands || follow(watched, now_ms))
        return false;
    let_go(suspects, mix);
    return true;
}

void
suspects_age(struct suspects *suspects, int64_t now_ms, suspects_gone_fn *gone, void *context)
{
    for (int mix = 0; suspects->standing > 0 && mix < suspects->mixes; mix++) {
        const struct watched *watched = &suspects->watched[mix];

        if (!watched->suspect.stands || watched->heard_ms > now_ms - UNHEARD_MS)
            continue;
        let_go(suspects, mix);
        gone(context, mix);
    }
}

int64_t
suspects_next_ms(const struct suspects *suspects)
{
    int64_t next_ms = INT64_MAX;

    for (int mix = 0; suspects->standing > 0 && mix < suspects->mixes; mix++) {
        const struct watched *watched = &suspects->watched[mix];

        if (watched->suspect.stands && watched->heard_ms + UNHEARD_MS < next_ms)
            next_ms = watched->heard_ms + UNHEARD_MS;
    }
    return next_ms;
}

void
suspects_hush(struct suspects *suspects, int64_t now_ms, suspects_gone_fn *gone, void *context)
{
    suspects->hushed_until_ms = now_ms + SUSPECTS_HUSHED_MS;
    for (int mix = 0; suspects->standing > 0 && mix < suspects->mixes; mix++) {
        if (!suspects->watched[mix].suspect.stands)
            continue;
        let_go(suspects, mix);
        gone(context, mix);
    }
}

void
suspects_hear_rings(struct suspects *suspects, bool hear)
{
    if (hear == (suspects->heard != NULL))
        return;
    free(suspects->heard);
    suspects->heard = hear ? need_memory((size_t)suspects->mixes, sizeof *suspects->heard) : NULL;
}

struct heard_thirds *
suspects_heard(const struct suspects *suspects, int mix)
{
    return suspects && suspects->heard ? &suspects->heard[mix] : NULL;
}

const struct suspect *
suspects_of(const struct suspects *suspects, int mix)
{
    return &suspects->watched[mix].suspect;
}
