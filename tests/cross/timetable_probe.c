/* Answers for tests/cross/test_timetable.py: each line "zone now minute day" gives the next time of
 * such a row and whether its state holds now. */
#include <stdio.h>
#include <time.h>

#include "timetable.h"

int
main(void)
{
    char zone[100];
    long long now;
    int minute, day;

    while (scanf("%99s %lld %d %d", zone, &now, &minute, &day) == 4) {
        struct timetable table = {.zone = zone, .count = 1};
        enum show_state state = STATE_DOORS;
        time_t at = 0, since = 0;

        table.rows[0] = (struct timetable_row){minute, day, STATE_SHOW};
        if (!timetable_next(&table, (time_t)now, &at, &state))
            at = 0;
        printf("%lld %d\n", (long long)at,
               timetable_state(&table, (time_t)now, &state, &since) && state == STATE_SHOW);
        fflush(stdout);
    }
    return 0;
}
