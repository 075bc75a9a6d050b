/* SPDX-License-Identifier: MIT */
/* "*" in a question: a number of its own, by which the answer is known. */
#include "unit.h"

#include <stdio.h>
#include <string.h>

#include "link/router.h"
#include "profile/sending.h"
#include "profiles.h"
#include "wire_rig.h"

#define ONLY_ASKS "\"this_only_asks\": true, "
#define TRIMS                                                                                      \
    "{\"ask\": [\"/get/trim\", \"{input}\", \"*\"], " ONLY_ASKS                                    \
    "\"answer\": [\"/reply\", \"*\", {\"is\": \"input.trim\"}]}"
#define SENDS                                                                                      \
    "{\"ask\": [\"/get/send/{mix}\", \"*\", \"{input}\"], " ONLY_ASKS                              \
    "\"answer\": [\"/reply\", \"*\", {\"is\": \"send.level\"}]}"
#define SCENE                                                                                      \
    "{\"ask\": [\"/get/scene\", \"*\"], " ONLY_ASKS                                                \
    "\"answer\": [\"/reply\", \"*\", {\"is\": \"desk.scene\"}]}"

static enum route_result
take(struct wire_rig *fixture, int number, float db)
{
    struct wire *wire = wire_begin("/reply", "if");

    wire_put_int(wire, (uint32_t)number);
    wire_put_float(wire, db);
    return wire_rig_take(fixture, wire);
}

/* 24 inputs have 1 to 24, 24 times 8 sends the numbers behind them. */
static void
the_number_tells_what_was_asked(void **state)
{
    struct wire_rig *fixture = wire_rig_start(state, TRIMS ", " SENDS ", " SCENE);

    assert_int_equal(take(fixture, 1, -3), ROUTE_TAKEN);
    assert_near(wire_rig_number(fixture, PARAM_INPUT_TRIM, 0, 0), -3, 0);
    assert_int_equal(take(fixture, 24, -4), ROUTE_TAKEN);
    assert_near(wire_rig_number(fixture, PARAM_INPUT_TRIM, 23, 0), -4, 0);
    assert_int_equal(fixture->place, 23);
    assert_int_equal(take(fixture, 25, -5), ROUTE_TAKEN); /* mix 1, input 1 */
    assert_near(wire_rig_number(fixture, PARAM_SEND_LEVEL, 0, 0), -5, 0);
    assert_int_equal(take(fixture, 24 + 24 * 7 + 2, -6), ROUTE_TAKEN); /* mix 8, input 2 */
    assert_near(wire_rig_number(fixture, PARAM_SEND_LEVEL, 1, 7), -6, 0);
    assert_int_equal(fixture->entry, 1);
    assert_int_equal(wire_rig_known(fixture), 4);
    assert_int_equal(take(fixture, 24 + 24 * 8 + 1, -6), ROUTE_TAKEN); /* the scene "-6" */
}

/* An answer to nobody's question is none. */
static void
other_numbers_are_no_answers(void **state)
{
    static const int numbers[] = {0, -1, 24 + 24 * 8 + 1, 1000000, -2147483647};
    struct wire_rig *fixture = wire_rig_start(state, TRIMS ", " SENDS);
    struct wire *wire;

    for (size_t i = 0; i < COUNT(numbers); i++)
        assert_int_equal(take(fixture, numbers[i], -3), ROUTE_OTHER_ARGUMENTS);
    wire = wire_begin("/reply", "ff");
    wire_put_float(wire, 1.5f);
    wire_put_float(wire, 0);
    assert_int_equal(wire_rig_take(fixture, wire), ROUTE_OTHER_ARGUMENTS);
    wire = wire_begin("/reply", "sf");
    wire_put_string(wire, "x");
    wire_put_float(wire, 0);
    assert_int_equal(wire_rig_take(fixture, wire), ROUTE_OTHER_ARGUMENTS);
    assert_int_equal(wire_rig_known(fixture), 0);
}

/* Where the index comes back besides, the two must agree. */
static void
number_and_index_agree(void **state)
{
    struct wire_rig *fixture =
        wire_rig_start(state, "{\"ask\": [\"/get\", \"*\", \"{input}\"], " ONLY_ASKS
                              "\"answer\": [\"/trim/{input}\", \"*\", {\"is\": \"input.trim\"}, "
                              "\"*\"]}");
    static const struct {
        int number;
        enum route_result result;
    } rows[] = {{3, ROUTE_TAKEN}, {4, ROUTE_OTHER_ARGUMENTS}};

    for (size_t i = 0; i < COUNT(rows); i++) {
        struct wire *wire = wire_begin("/trim/3", "ifs");

        wire_put_int(wire, (uint32_t)rows[i].number);
        wire_put_float(wire, 1);
        wire_put_string(wire, "whatever");
        assert_int_equal(wire_rig_take(fixture, wire), rows[i].result);
    }
}

/* A question without "*" does not make that of its answer anything but anything. */
static void
an_answer_alone_has_no_number(void **state)
{
    struct wire_rig *fixture = wire_rig_start(
        state, "{\"answer\": [\"/reply\", \"*\", {\"is\": \"input.trim\", \"input\": 7}]}");

    assert_int_equal(take(fixture, -55, 2), ROUTE_TAKEN);
    assert_near(wire_rig_number(fixture, PARAM_INPUT_TRIM, 6, 0), 2, 0);
}

/* ---- only reading ---- */

static void
numbers_are_more_than_indexes(void **state)
{
    (void)state;
    assert_profile("{\"ask\": [\"/get/trim\", \"{input}\", \"*\"], \"answer\": [\"/reply\", \"*\", "
                   "{\"is\": \"input.trim\"}]}",
                   "",
                   "p: values[0].ask: carries more than indexes; on many desks that is a move. If "
                   "this desk only answers it, say \"this_only_asks\": true");
    assert_profile("{\"ask\": [\"/get/trim\", \"*\", \"*\"], " ONLY_ASKS
                   "\"answer\": [\"/reply\", \"*\", {\"is\": \"desk.scene\"}]}",
                   "", "p: values[0].ask: a second \"*\"; a question has one number of its own");
    assert_profile("{\"ask\": [\"/get/trim\", \"{input}\", \"*\"], " ONLY_ASKS
                   "\"answer\": [\"/reply\", {\"is\": \"desk.scene\"}]}",
                   "",
                   "p: values[0]: the question's {input} does not come back in the answer, so "
                   "nobody could tell whose it is");
}

/* The list shows the numbers that are sent; a text "*" of a renewal is one. */
static void
lists_show_the_numbers(void **state)
{
    static const char *const rows[] = {
        "/get/scene *, * 217 to 217, asked as needed (the profile says: this only asks)",
        "/get/send/{mix} * {input}, mix 1 to 8, input 1 to 24, * 25 to 216, asked as needed (the "
        "profile says: this only asks)",
        "/get/trim {input} *, input 1 to 24, * 1 to 24, asked as needed (the profile says: this "
        "only asks)",
        "/stay \"*\", every 8 s (each second while the desk is away) (the profile says: this only "
        "asks)"};
    struct loaded loaded;
    struct sending sending;

    (void)state;
    loaded_sound(&loaded, profile_with(TRIMS ", " SENDS ", " SCENE,
                                       ", \"renew\": [{\"send\": [\"/stay\", \"*\"], \"every_s\": "
                                       "8, \"this_only_asks\": true}]"));
    sending_of(loaded.profile, &sending);
    assert_int_equal(sending.count, COUNT(rows));
    for (size_t i = 0; i < COUNT(rows); i++)
        assert_string_equal(sending.rows[i], rows[i]);
    sending_release(&sending);
    loaded_release(&loaded);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, wire_rig_make, wire_rig_drop)

int
main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(the_number_tells_what_was_asked),
        TEST(other_numbers_are_no_answers),
        TEST(number_and_index_agree),
        TEST(an_answer_alone_has_no_number),
        cmocka_unit_test(numbers_are_more_than_indexes),
        cmocka_unit_test(lists_show_the_numbers),
    };

    return cmocka_run_group_tests_name("router_echo", tests, NULL, NULL);
}
