/* SPDX-License-Identifier: MIT */
#include "show/timetable.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/clock.h"
#include "core/need.h"

enum { DAY_S = 86400, GAP_MOST_S = 4 * 3600 };

bool
timetable_has_zone(const char *zone)
{
    char path[300], magic[4] = "";
    FILE *file;
    bool good;

    if (!*zone || *zone == '/' || strstr(zone, "..") ||
        snprintf(path, sizeof path, "/usr/share/zoneinfo/%s", zone) >= (int)sizeof path)
        return false;
    file = fopen(path, "r");
    if (!file)
        return false;
    /* lists of zones lie in the same folders; the C library would take them for UTC (RFC 9636) */
    good = fread(magic, 1, sizeof magic, file) == sizeof magic && memcmp(magic, "TZif", 4) == 0;
    fclose(file);
    return good;
}

/* ---- the zone ---- */

static char *
enter_zone(const char *zone)
{
    const char *before = getenv("TZ");
    char *kept = need_text(before);

    if (zone)
        setenv("TZ", zone, 1);
    tzset();
    return kept;
}

static void
leave_zone(const char *zone, char *kept)
{
    if (zone && kept)
        setenv("TZ", kept, 1);
    else if (zone)
        unsetenv("TZ");
    tzset();
    free(kept);
}

/* ---- one time of one day ---- */

/* -1, 0, 1: the local time of `at` is before, at or behind the wanted one. */
static int
compare(time_t at, int day, int minute)
{
    struct tm parts = {0};
    int here;

    localtime_r(&at, &parts);
    if (clock_day_of(&parts) != day)
        return clock_day_of(&parts) < day ? -1 : 1;
    here = parts.tm_hour * 60 + parts.tm_min;
    return here < minute ? -1 : here > minute;
}

static struct tm
parts_of(int day, int minute, int summer)
{
    return (struct tm){.tm_year = day / 10000 - 1900,
                       .tm_mon = day / 100 % 100 - 1,
                       .tm_mday = day % 100,
                       .tm_hour = minute / 60,
                       .tm_min = minute % 60,
                       .tm_isdst = summer};
}

/* The time taken as standard or as summer time; -1 when the other one holds then. */
static time_t
taken_as(int day, int minute, int summer)
{
    struct tm parts = parts_of(day, minute, summer);
    time_t at = mktime(&parts);

    return compare(at, day, minute) == 0 ? at : -1;
}

static time_t
first_behind_gap(int day, int minute)
{
    struct tm parts = parts_of(day, minute, -1);
    time_t at = mktime(&parts) - GAP_MOST_S;

    at -= at % 60;
    while (compare(at, day, minute) < 0)
        at += 60;
    return at;
}

static time_t
time_of(int day, int minute)
{
    time_t summer = taken_as(day, minute, 1), standard = taken_as(day, minute, 0);

    if (summer == -1 && standard == -1)
        return first_behind_gap(day, minute);
    if (summer == -1 || standard == -1)
        return summer == -1 ? standard : summer;
    return summer < standard ? summer : standard;
}

/* ---- the table ---- */

/* The day so many days behind today. By the calendar: where daylight saving begins or ends a day
 * has 23 or 25 hours, and 24 of them may lead past it, or nowhere. */
static int
day_ahead(time_t now, int ahead)
{
    struct tm today = {0}, parts = {.tm_hour = 12, .tm_isdst = -1};

    localtime_r(&now, &today);
    parts.tm_year = today.tm_year;
    parts.tm_mon = today.tm_mon;
    parts.tm_mday = today.tm_mday + ahead;
    mktime(&parts);
    return clock_day_of(&parts);
}

struct search {
    time_t now, best;
    enum room room;
    bool found;
};

typedef void time_fn(struct search *search, time_t at, enum room room);

/* Calls `each` with the times around now that matter: those of daily rows from yesterday to the
 * day after tomorrow, and that of a dated row unless it has had its day. */
static void
each_time(const struct timetable *table, time_fn *each, struct search *search)
{
    time_t now = search->now;
    int days[] = {day_ahead(now, -1), day_ahead(now, 0), day_ahead(now, 1), day_ahead(now, 2)};

    for (int i = 0; i < table->count; i++) {
        const struct timetable_row *row = &table->rows[i];
        time_t at = row->day ? time_of(row->day, row->minute) : 0;

        if (row->day && now - at < DAY_S)
            each(search, at, row->room);
        for (size_t d = 0; d < sizeof days / sizeof *days && !row->day; d++)
            each(search, time_of(days[d], row->minute), row->room);
    }
}

static void
take_last(struct search *search, time_t at, enum room room)
{
    if (at > search->now || (search->found && at < search->best))
        return;
    *search = (struct search){search->now, at, room, true};
}

static void
take_next(struct search *search, time_t at, enum room room)
{
    if (at <= search->now || (search->found && at > search->best))
        return;
    *search = (struct search){search->now, at, room, true};
}

static struct search
look(const struct timetable *table, time_t now, time_fn *take)
{
    struct search search = {.now = now};
    char *kept = enter_zone(table->zone);

    each_time(table, take, &search);
    leave_zone(table->zone, kept);
    return search;
}

bool
timetable_room(const struct timetable *table, time_t now, enum room *room, time_t *since)
{
    struct search search = look(table, now, take_last);

    if (search.found) {
        *room = search.room;
        *since = search.best;
    }
    return search.found;
}

bool
timetable_next(const struct timetable *table, time_t now, time_t *at, enum room *room)
{
    struct search search = look(table, now, take_next);

    if (search.found) {
        *at = search.best;
        *room = search.room;
    }
    return search.found;
}
