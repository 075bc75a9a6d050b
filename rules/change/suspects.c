/* SPDX-License-Identifier: MIT */
#include "change/suspects.h"

#include <math.h>
#include <stdlib.h>

#include "core/need.h"

#define FALLEN_DB 6.0 /* below its highest, and */
enum {
    FALLEN_MS = 1000, /* for so long: it rings no more */
    UNHEARD_MS = 3000 /* no frames came for so long: nobody knows */
};

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
    free(suspects->watched);
    free(suspects);
}

void
suspects_moved(struct suspects *suspects, const struct moved *moved, int64_t now_ms)
{
    lately_note(suspects->lately, moved, now_ms);
}

static void
suspect(struct suspects *suspects, int mix, const struct risen *risen, int64_t now_ms)
{
    struct watched *watched = &suspects->watched[mix];

    let_go(suspects, mix);
    watched->suspect =
        (struct suspect){.stands = true,
                         .risen = *risen,
                         .since_ms = now_ms,
                         .before = lately_before(suspects->lately, suspects->desk, now_ms)};
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
    if (rises && !(watched->suspect.stands && watched->suspect.risen.third == risen.third)) {
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

const struct suspect *
suspects_of(const struct suspects *suspects, int mix)
{
    return &suspects->watched[mix].suspect;
}
