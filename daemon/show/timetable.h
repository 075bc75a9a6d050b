/* SPDX-License-Identifier: MIT */
/* The show file's "room": what the room is doing when the watch begins, and when that changes by
 * itself, in the local time of a named zone.
 */
#ifndef GAINWARDEN_TIMETABLE_H
#define GAINWARDEN_TIMETABLE_H

#include <stdbool.h>
#include <time.h>

#include "desk/room.h"

enum { TIMETABLE_ROWS = 64, CHANGEOVER_PRESET_S = 1200 };

struct timetable_row {
    int minute; /* of the day */
    int day;    /* year * 10000 + month * 100 + day; 0: every day */
    enum room room;
};

struct timetable {
    enum room begin;
    double changeover_s; /* after which changeover ends */
    char *zone;          /* owned: "Area/City" of the system's zone files; NULL: the system's own */
    struct timetable_row rows[TIMETABLE_ROWS];
    int count;
};

/* Whether the system has a file of that zone. */
bool timetable_has_zone(const char *zone);

/* Both: a time that daylight saving leaves out is the first behind it, one that comes twice is its
 * first; of several rows at one time the last one counts. They change the process's zone while they
 * compute, and put it back: not for threads. */

/* What the table put last, and when; false when there is none. A daily row holds until it
 * comes again, a dated one for 24 hours. */
bool timetable_room(const struct timetable *table, time_t now, enum room *room, time_t *since);

/* When it changes next, and to what; false when it never does. */
bool timetable_next(const struct timetable *table, time_t now, time_t *at, enum room *room);

#endif
