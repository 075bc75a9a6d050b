/* SPDX-License-Identifier: MIT */
/* Answers for tests/cross/test_timetable.py: each line "zone now rows" and for each row "minute
 * day" gives the time and room of the next change, and since when which room holds; 0 0 where
 * there is none. The room of each row is its number from 0. */
#include <stdio.h>
#include <time.h>

#include "show/timetable.h"

static bool
read_rows(struct timetable *table)
{
    if (table->count > ROOMS)
        return false;
    for (int i = 0; i < table->count; i++) {
        struct timetable_row *row = &table->rows[i];

        row->room = (enum room)i;
        if (scanf("%d %d", &row->minute, &row->day) != 2)
            return false;
    }
    return true;
}

int
main(void)
{
    char zone[100];
    long long now;
    struct timetable table = {.zone = zone};

    while (scanf("%99s %lld %d", zone, &now, &table.count) == 3 && read_rows(&table)) {
        enum room next = ROOM_LINE_CHECK, holds = ROOM_LINE_CHECK;
        time_t at = 0, since = 0;

        if (!timetable_next(&table, (time_t)now, &at, &next))
            at = 0;
        if (!timetable_room(&table, (time_t)now, &holds, &since))
            since = 0;
        printf("%lld %d %lld %d\n", (long long)at, (int)next, (long long)since, (int)holds);
        fflush(stdout);
    }
    return 0;
}
