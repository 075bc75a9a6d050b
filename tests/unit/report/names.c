/* SPDX-License-Identifier: MIT */
/* A page counts what passes in one line, and names in another what no profile entry gives: the room
 * of a line is that of so many names, so no new one is cut off while each keeps to its part.
 */
#include "unit.h"

#include <string.h>

#include "check/check.h"
#include "report/report.h"

static void
checks_keep_to_their_part(void **state)
{
    (void)state;
    for (int check = 0; check < CHECKS; check++)
        assert_row(check_name(check),
                   strlen(check_name(check)) + sizeof ", 1000000" <= REPORT_NAME_SIZE, true);
}

static void
parameters_keep_to_their_part(void **state)
{
    (void)state;
    for (int id = 0; id < PARAMS; id++)
        assert_row(params[id].name, strlen(params[id].name) + 1 <= REPORT_NAME_SIZE, true);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(checks_keep_to_their_part),
        cmocka_unit_test(parameters_keep_to_their_part),
    };

    return cmocka_run_group_tests_name("names", tests, NULL, NULL);
}
