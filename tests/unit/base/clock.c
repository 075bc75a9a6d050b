/* SPDX-License-Identifier: MIT */
/* Times as they are written, against GNU date: `date -u -d TIME +%s`. */
#include "unit.h"

#include "base/clock.h"

static void
written_times_become_seconds(void **state)
{
    static const struct {
        const char *text;
        long long seconds;
    } rows[] = {{"1970-01-01T00:00:00+00:00", 0},
                {"2000-02-29T23:59:59+00:00", 951868799},
                {"2026-06-13T17:04:05+02:00", 1781363045},
                {"2026-11-25T22:34:08-09:30", 1795680248},
                {"2100-03-01T00:00:00+12:45", 4107496500}};

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        assert_row(rows[i].text, clock_parse_time(rows[i].text), rows[i].seconds);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(written_times_become_seconds)};

    return cmocka_run_group_tests(tests, NULL, NULL);
}
