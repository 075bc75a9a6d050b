/* SPDX-License-Identifier: MIT */
#include "change/levels.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/need.h"

enum { MINUTE_MS = 60000 };

struct mix_level {
    double highest_db[LEVELS_MINUTES]; /* of each minute, in a ring */
    int64_t minute;                    /* which one the newest is */
    int at, count;                     /* its place; how many are filled */
    double told_db;                    /* NAN: none yet */
};

struct levels {
    int mixes;
    struct mix_level *list;
};

struct levels *
levels_new(int mixes)
{
    struct levels *levels = need_memory(1, sizeof *levels);

    levels->mixes = mixes;
    levels->list = need_memory((size_t)mixes + 1, sizeof *levels->list);
    for (int i = 0; i < mixes; i++)
        levels->list[i] = (struct mix_level){.at = LEVELS_MINUTES - 1, .told_db = NAN};
    return levels;
}

void
levels_free(struct levels *levels)
{
    if (!levels)
        return;
    free(levels->list);
    free(levels);
}

bool
levels_highest(const struct levels *levels, int mix, double *highest_db)
{
    const struct mix_level *level = &levels->list[mix];

    *highest_db = -HUGE_VAL;
    for (int i = 0; i < level->count; i++)
        *highest_db = fmax(*highest_db, level->highest_db[i]);
    return level->count == LEVELS_MINUTES;
}

static void
take(struct mix_level *level, double level_db, int64_t minute)
{
    if (level->count == 0 || minute != level->minute) {
        level->minute = minute;
        level->at = (level->at + 1) % LEVELS_MINUTES;
        level->count += level->count < LEVELS_MINUTES;
        level->highest_db[level->at] = level_db;
    }
    level->highest_db[level->at] = fmax(level->highest_db[level->at], level_db);
}

bool
levels_note(struct levels *levels, int mix, double level_db, int64_t now_ms)
{
    struct mix_level *level = &levels->list[mix];
    double highest_db;

    if (level_db <= LEVELS_SILENT_DB)
        return false;
    take(level, level_db, now_ms / MINUTE_MS);
    if (!levels_highest(levels, mix, &highest_db) ||
        fabs(highest_db - level->told_db) < 1) /* not so when NAN */
        return false;
    level->told_db = highest_db;
    return true;
}

void
levels_carry(struct levels *levels, const struct levels *from)
{
    int mixes = levels->mixes < from->mixes ? levels->mixes : from->mixes;

    memcpy(levels->list, from->list, (size_t)mixes * sizeof *levels->list);
}
