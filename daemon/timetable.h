/* The show file's "states": which show state the watch begins in, and when it changes by itself, in
 * the local time of a named zone.
 */
#ifndef GAINWARDEN_TIMETABLE_H
#define GAINWARDEN_TIMETABLE_H

#include <stdbool.h>
#include <time.h>

#include "show_state.h"

enum { TIMETABLE_ROWS = 64 };

struct timetable_row {
    int minute; /* of the day */
    int day;    /* year * 10000 + month * 100 + day; 0: every day */
    enum show_state state;
};

struct timetable {
    enum show_state begin;
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

/* The state that the table put last, and when; false when there is none. A daily row holds until it
 * comes again, a dated one for 24 hours. */
bool timetable_state(const struct timetable *table, time_t now, enum show_state *state,
                     time_t *since);

/* When it changes next, and to what; false when it never does. */
bool timetable_next(const struct timetable *table, time_t now, time_t *at, enum show_state *state);

#endif
