/* SPDX-License-Identifier: MIT */
/* Wall time, for printing only; durations come from the loop's monotonic clock. */
#ifndef GAINWARDEN_CLOCK_H
#define GAINWARDEN_CLOCK_H

#include <stdbool.h>
#include <stdint.h>
#include <time.h>

enum { CLOCK_SIZE = 32 };

/* Now, as RFC 3339 with the local zone: 2026-06-13T17:04:05+02:00. */
const char *clock_rfc3339(char buffer[CLOCK_SIZE]);

/* The same of so many ms ago. */
const char *clock_rfc3339_ago(long long ms, char buffer[CLOCK_SIZE]);

/* Now, for a line on the terminal: 17:04:05. */
const char *clock_time(char buffer[CLOCK_SIZE]);

/* The same of so many ms ago. */
const char *clock_time_ago(long long ms, char buffer[CLOCK_SIZE]);

/* The same of a time in seconds since 1970. */
const char *clock_time_at(double s, char buffer[CLOCK_SIZE]);

/* Seconds since 1970, with parts of them: for what must mean the same after a restart. */
double clock_now_s(void);

/* The same in whole seconds, for the calendar. */
time_t clock_now(void);

/* From now on it is so many seconds since 1970, until it is moved: what is replayed is told with
 * its own times. */
void clock_stand_at(double s);

/* How far local time is ahead of UTC now; and makes it that much for this process. */
int clock_offset_s(void);
void clock_set_offset(int offset_s);

/* Ms that only grow, for durations where no loop runs. */
int64_t clock_grown_ms(void);

/* Today, year * 10000 + month * 100 + day. */
int clock_day(void);
int clock_day_of(const struct tm *parts);

/* "1 h 02 min", "3 min 20 s", "0.8 s". */
const char *clock_span(long long ms, char buffer[CLOCK_SIZE]);

/* Whether the text is written so: d stands for a digit, s for a sign, anything else for itself. */
bool clock_has_form(const char *text, const char *form);

/* A date written YYYY-MM-DD as clock_day() counts; 0 when it is none. */
int clock_parse_day(const char *text);

/* Seconds since 1970 of a time as clock_rfc3339() writes it; its form must have been checked. */
long long clock_parse_time(const char *text);

#endif
