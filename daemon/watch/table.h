/* SPDX-License-Identifier: MIT */
/* The show file's timetable, which changes the room: looked at once a minute, since the clock may
 * be set.
 */
#ifndef GAINWARDEN_WATCH_TABLE_H
#define GAINWARDEN_WATCH_TABLE_H

struct table;
struct watch_desk;

struct table *table_new(struct watch_desk *desk);
void table_free(struct table *table);

/* Where the show file has one. */
void table_start(struct table *table);

#endif
