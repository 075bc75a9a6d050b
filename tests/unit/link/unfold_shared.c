/* SPDX-License-Identifier: MIT */
/* One argument, or one field of a text, that says several things of the desk. */
#include "unit.h"

#include <stdio.h>
#include <string.h>

#include "link/router.h"
#include "profiles.h"
#include "wire_rig.h"

#define ON "{\"is\": \"input.high_pass.on\", \"law\": {\"words\": [[0, false]], \"else\": true}}"
#define CORNER "{\"is\": \"input.high_pass.freq\", \"law\": {\"words\": [[0, null]], \"times\": 1}}"

static enum route_result
take_number(struct wire_rig *fixture, const char *address, float number)
{
    struct wire *wire = wire_begin(address, "f");

    wire_put_float(wire, number);
    return wire_rig_take(fixture, wire);
}

static void
one_number_says_two_things(void **state)
{
    struct wire_rig *fixture =
        wire_rig_start(state, "{\"answer\": [\"/hp/{input}\", [" ON ", " CORNER "]]}");

    assert_int_equal(take_number(fixture, "/hp/3", 120), ROUTE_TAKEN);
    assert_near(wire_rig_number(fixture, PARAM_INPUT_HIGH_PASS_ON, 2, 0), 1, 0);
    assert_near(wire_rig_number(fixture, PARAM_INPUT_HIGH_PASS_FREQ, 2, 0), 120, 0);
    /* off says nothing of the corner: it stays as it was heard */
    assert_int_equal(take_number(fixture, "/hp/3", 0), ROUTE_TAKEN);
    assert_near(wire_rig_number(fixture, PARAM_INPUT_HIGH_PASS_ON, 2, 0), 0, 0);
    assert_near(wire_rig_number(fixture, PARAM_INPUT_HIGH_PASS_FREQ, 2, 0), 120, 0);
    assert_int_equal(wire_rig_known(fixture), 2);
    /* and where it was never heard it stays unknown */
    assert_int_equal(take_number(fixture, "/hp/4", 0), ROUTE_TAKEN);
    assert_int_equal(wire_rig_known(fixture), 3);
    /* one bad value does not spoil the other */
    assert_int_equal(take_number(fixture, "/hp/5", 1e6f), ROUTE_BAD_VALUE);
    assert_near(wire_rig_number(fixture, PARAM_INPUT_HIGH_PASS_ON, 4, 0), 1, 0);
    assert_int_equal(wire_rig_known(fixture), 4);
}

static void
take_line(struct wire_rig *fixture, const char *line, enum route_result result)
{
    struct wire *wire = wire_begin("/l", "s");

    wire_put_string(wire, line);
    assert_row(line, wire_rig_take(fixture, wire), result);
}

static void
a_field_says_two_things(void **state)
{
    struct wire_rig *fixture = wire_rig_start(
        state, "{\"answer\": [\"/l\", {\"text\": \" \", \"fields\": [[" ON ", " CORNER
               "], \"{input}\", {\"is\": \"input.group\", \"each\": \"group\", "
               "\"law\": \"switch\"}]}]}");

    take_line(fixture, "80 1 0 1 1 0", ROUTE_TAKEN);
    assert_near(wire_rig_number(fixture, PARAM_INPUT_HIGH_PASS_ON, 0, 0), 1, 0);
    assert_near(wire_rig_number(fixture, PARAM_INPUT_HIGH_PASS_FREQ, 0, 0), 80, 0);
    assert_near(wire_rig_number(fixture, PARAM_INPUT_GROUP, 0, 1), 1, 0);
    assert_int_equal(wire_rig_known(fixture), 6);
    take_line(fixture, "80", ROUTE_OTHER_ARGUMENTS);
    take_line(fixture, "80 1", ROUTE_OTHER_ARGUMENTS);
    take_line(fixture, "80 1 0 1 1 0 1", ROUTE_BAD_VALUE);
    take_line(fixture, "", ROUTE_OTHER_ARGUMENTS);
}

static void
what_is_shared_are_values(void **state)
{
    static const struct {
        const char *shared, *problem;
    } rows[] = {
        {"[]", "p: values[0].answer[1]: must hold two values of one argument, or more"},
        {"[" ON "]", "p: values[0].answer[1]: must hold two values of one argument, or more"},
        {"[" ON ", \"*\"]",
         "p: values[0].answer[1][1]: must be a value that is no run; one argument is shared by "
         "them"},
        {"[" ON ", {\"is\": \"input.group\", \"each\": \"group\"}]",
         "p: values[0].answer[1][1]: must be a value that is no run; one argument is shared by "
         "them"},
        {"[" ON ", {\"is\": \"input.highpass.freq\"}]",
         "p: values[0].answer[1][1].is: unknown parameter \"input.highpass.freq\", did you mean "
         "\"input.high_pass.freq\"?; `gainwarden explain parameters` lists them"},
        {"[" ON ", " CORNER "]", NULL},
    };

    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        char entry[600];

        snprintf(entry, sizeof entry,
                 "{\"answer\": [\"/hp/{input}\", %s, \"*\", {\"is\": "
                 "\"input.mute\"}]}",
                 rows[i].shared);
        assert_profile(entry, "", rows[i].problem);
    }
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(one_number_says_two_things, wire_rig_make, wire_rig_drop),
        cmocka_unit_test_setup_teardown(a_field_says_two_things, wire_rig_make, wire_rig_drop),
        cmocka_unit_test(what_is_shared_are_values),
    };

    return cmocka_run_group_tests_name("unfold_shared", tests, NULL, NULL);
}
