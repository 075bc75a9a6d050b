/* SPDX-License-Identifier: MIT */
#include "check/ears.h"

#include <math.h>

#include "change/levels.h"

enum { NOTHING_DB = 1 };

static double
taken_db(const struct ear *ear, double behind_db)
{
    double room_db = fmax(0, -ear->threshold_db);

    return room_db - room_db / ear->ratio - behind_db;
}

double
ear_taken_db(const struct ear *ear)
{
    return taken_db(ear, ear->behind_db);
}

static enum grade
grade_behind(const struct look *look, const struct ear *ear, double behind_db)
{
    double taken = taken_db(ear, behind_db);

    if (taken < NOTHING_DB)
        return GRADE_NOTHING;
    if (taken < look->settings[LEAST_TAKEN_DB])
        return GRADE_LATE;
    if (ear->ratio < look->settings[FIX_RATIO])
        return GRADE_SOFTER;
    return ear->ratio < look->settings[LEAST_RATIO] ? GRADE_SOFT : GRADE_GOOD;
}

/* Where nobody told what lies behind the limiter, it must not matter. What is wrong already without
 * it stays wrong. */
static enum grade
grade_of(struct look *look, struct ear *ear)
{
    enum limiter_place place = desk_filters(look->desk).limiter;
    enum grade alone = grade_behind(look, ear, 0), behind;
    double master_db, trim_db;

    if (place == LIMITER_AFTER_MASTER)
        return alone;
    if (!look_number(look, PARAM_MIX_FADER, ear->mix, 0, &master_db) ||
        !look_number(look, PARAM_MIX_TRIM, ear->mix, 0, &trim_db))
        return alone > GRADE_GOOD ? alone : GRADE_UNKNOWN;
    behind = grade_behind(look, ear, fmax(0, master_db + trim_db));
    ear->moved_db = master_db + trim_db;
    if (place == LIMITER_BEFORE_MASTER) {
        ear->behind_db = fmax(0, ear->moved_db);
        return behind;
    }
    ear->moved_db = fmin(0, ear->moved_db);
    if (behind == alone || alone > GRADE_GOOD)
        return alone;
    look_miss(look, INDEX_MIX, ear->mix,
              "its master lifts, and the profile does not say where the limiter sits "
              "(\"filters.limiter\")");
    return GRADE_UNKNOWN;
}

/* ---- what only some desks publish ---- */

/* False also where it is published and not known, which is remembered. */
static bool
known(struct look *look, enum param_id id, int mix, double *number)
{
    return desk_supplied(look->desk, id) != SUPPLY_NONE && look_number(look, id, mix, 0, number);
}

/* What the mix carries: in a watch the highest of ten minutes, else the reading. */
static bool
carries(struct look *look, int mix, double *level_db)
{
    if (!known(look, PARAM_MIX_LEVEL, mix, level_db))
        return false;
    if (look->ground->levels)
        return levels_highest(look->ground->levels, mix, level_db);
    return *level_db > LEVELS_SILENT_DB;
}

/* The meter shows what comes out, so what lies behind the limiter is in it. */
double
ear_above_mix_db(const struct ear *ear)
{
    return ear->threshold_db + ear->moved_db - ear->level_db;
}

/* Of a limiter that takes enough off: whether it is late all the same. */
static enum grade
grade_lateness(struct look *look, struct ear *ear)
{
    int missing = look->missing;
    bool level = carries(look, ear->mix, &ear->level_db);
    bool attack = known(look, PARAM_MIX_LIMITER_ATTACK, ear->mix, &ear->attack_ms);
    bool release = known(look, PARAM_MIX_LIMITER_RELEASE, ear->mix, &ear->release_ms);

    if (level && ear_above_mix_db(ear) > look->settings[ABOVE_MIX_DB])
        return GRADE_HIGH;
    if (attack && ear->attack_ms > look->settings[MOST_ATTACK_MS])
        return GRADE_SLOW;
    if (release && ear->release_ms > look->settings[MOST_RELEASE_MS])
        return GRADE_HOLDS_ON;
    return look->missing > missing ? GRADE_UNKNOWN : GRADE_GOOD;
}

struct ear
ear_of(struct look *look, int mix)
{
    struct ear ear = {.mix = mix};
    bool on;

    if (!look_switch(look, PARAM_MIX_LIMITER_ON, mix, 0, &on))
        return ear;
    if (!on) {
        ear.grade = GRADE_OFF;
        return ear;
    }
    if (!look_number(look, PARAM_MIX_LIMITER_THRESHOLD, mix, 0, &ear.threshold_db) ||
        !look_number(look, PARAM_MIX_LIMITER_RATIO, mix, 0, &ear.ratio))
        return ear;
    ear.threshold_db = fmax(ear.threshold_db, PARAM_OFF_BELOW_DB);
    ear.grade = grade_of(look, &ear);
    if (ear.grade == GRADE_GOOD)
        ear.grade = grade_lateness(look, &ear);
    return ear;
}
