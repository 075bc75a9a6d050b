/* SPDX-License-Identifier: MIT */
/* Entries that take the same message, against what the router does with it. */
#include "unit.h"

#include "profile/overlap.h"
#include "wire_rig.h"

struct list {
    size_t count;
    struct overlap of[8];
};

static void
add(void *context, const struct overlap *overlap)
{
    struct list *list = context;

    assert_true(list->count < COUNT(list->of));
    list->of[list->count++] = *overlap;
}

static struct list
overlaps(const char *values)
{
    struct loaded loaded;
    struct list list = {0};

    loaded_sound(&loaded, profile_with(values, ""));
    overlap_find(loaded.profile, add, &list);
    loaded_release(&loaded);
    return list;
}

#define TRIM "{\"at\": \"/in/{input}/x\", \"is\": \"input.trim\"}"

static void
entries_of_their_own(void **state)
{
    static const char *const rows[] = {
        TRIM,
        TRIM ", {\"at\": \"/in/{input}/y\", \"is\": \"input.pad\"}",
        /* the same value may come in two messages */
        TRIM ", {\"at\": \"/in/{input}/y\", \"is\": \"input.trim\"}",
        TRIM ", {\"at\": \"/in/{input:2}/x\", \"is\": \"input.trim\"}",
        /* arguments tell them apart */
        "{\"answer\": [\"/v\", \"gain\", \"{input}\", {\"is\": \"input.preamp_gain\"}]},"
        "{\"answer\": [\"/v\", \"trim\", \"{input}\", {\"is\": \"input.trim\"}]}",
        "{\"answer\": [\"/v\", \"{input}\", {\"is\": \"input.trim\"}]},"
        "{\"answer\": [\"/v\", \"{input}\", {\"is\": \"input.trim\"}, \"*\"]}",
        "{\"answer\": [\"/v/{input}\", {\"each\": \"mix\", \"is\": \"send.level\"}]},"
        "{\"answer\": [\"/v/{input}\", {\"is\": \"input.trim\"}]}",
        "{\"answer\": [\"/v\", \"gain {input}\", {\"is\": \"input.trim\"}]},"
        "{\"answer\": [\"/v\", \"g {input}\", {\"is\": \"input.pad\"}]}",
        /* an object each */
        "{\"at\": \"/v/1\", \"is\": \"input.trim\", \"input\": 1},"
        "{\"at\": \"/v/2\", \"is\": \"input.trim\", \"input\": 2}",
        /* one message, an argument each */
        "{\"answer\": [\"/v/{input}\", {\"is\": \"input.trim\"}, \"*\"]},"
        "{\"answer\": [\"/v/{input}\", \"*\", {\"is\": \"input.pad\"}]}",
        /* typed and not, as they wait for it */
        TRIM ", {\"at\": \"/in/{input}/x\", \"is\": \"input.trim\", \"untyped\": \"f\"}",
        TRIM ", {\"at\": \"/in/{input}/x\", \"is\": \"input.pad\", \"untyped\": \"f\"}",
        "{\"answer\": [\"/v/{input}\", \"gain\", {\"is\": \"input.trim\"}], \"untyped\": \"sf\"}",
        "{\"answer\": [\"/v/{input}\", 7, {\"is\": \"input.trim\"}], \"untyped\": \"if\"}",
    };

    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++)
        assert_row(rows[i], overlaps(rows[i]).count, 0);
}

static void
a_second_entry_for_the_same_value_is_in_vain(void **state)
{
    static const char *const rows[] = {
        TRIM "," TRIM,
        TRIM ", {\"at\": \"/in/3/x\", \"is\": \"input.trim\", \"input\": 3}",
        "{\"answer\": [\"/v\", \"gain {input}\", {\"is\": \"input.trim\"}]},"
        "{\"answer\": [\"/v\", \"gain {input}\", {\"is\": \"input.trim\"}]}",
        "{\"at\": \"/in/{input}/x\", \"is\": \"input.trim\", \"untyped\": \"f\"}," TRIM,
        TRIM ", {\"at\": \"/in/{input}/x\", \"is\": \"input.trim\", \"range\": [-10, 10]}",
        TRIM ", {\"ask\": [\"/get\", \"{input}\"],"
             "\"answer\": [\"/in/{input}/x\", {\"is\": \"input.trim\"}]}",
        "{\"answer\": [\"/v\", \"{input}\", {\"is\": \"input.trim\"}, {\"is\": \"input.pad\"}]},"
        "{\"answer\": [\"/v\", \"{input}\", {\"is\": \"input.trim\"}, \"*\"]}",
        "{\"answer\": [\"/v/{input}\", {\"each\": \"mix\", \"is\": \"send.level\"}]},"
        "{\"answer\": [\"/v/{input}\", {\"each\": \"mix\", \"is\": \"send.level\"}]}",
    };

    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct list list = overlaps(rows[i]);

        assert_row(rows[i], list.count, 1);
        assert_row(rows[i], list.of[0].kind, OVERLAP_COVERED);
        assert_row(rows[i], list.of[0].entry, 1);
        assert_row(rows[i], list.of[0].other, 0);
    }
}

/* The mixes' own addresses may meet those of inputs: for eight of them. */
static void
what_is_reached_in_part_is_reached(void **state)
{
    struct list list = overlaps("{\"at\": \"/s/{mix}\", \"is\": \"mix.fader\"},"
                                "{\"at\": \"/s/{input}\", \"is\": \"input.fader\"}");

    (void)state;
    assert_int_equal(list.count, 1);
    assert_int_equal(list.of[0].kind, OVERLAP_ARGUMENT);
    assert_int_equal(list.of[0].param, PARAM_INPUT_FADER);
    assert_int_equal(list.of[0].other_param, PARAM_MIX_FADER);
}

static void
two_values_of_one_argument_are_told(void **state)
{
    struct list list =
        overlaps(TRIM ", {\"at\": \"/in/{input}/x\", \"is\": \"input.pad\"}," TRIM
                      ", {\"at\": \"/in/{input}/z\", \"is\": \"input.comp.makeup\"}");

    (void)state;
    assert_int_equal(list.count, 2);
    assert_int_equal(list.of[0].kind, OVERLAP_ARGUMENT);
    assert_int_equal(list.of[0].entry, 1);
    assert_int_equal(list.of[0].other, 0);
    assert_int_equal(list.of[0].param, PARAM_INPUT_PAD);
    assert_int_equal(list.of[0].other_param, PARAM_INPUT_TRIM);
    assert_int_equal(list.of[1].kind, OVERLAP_COVERED);
    assert_int_equal(list.of[1].entry, 2);
    assert_int_equal(list.of[1].other, 0);
}

static void
types_that_are_not_what_it_waits_for(void **state)
{
    static const char *const rows[] = {
        "{\"answer\": [\"/v/{input}\", \"gain\", {\"is\": \"input.trim\"}], \"untyped\": \"if\"}",
        "{\"answer\": [\"/v/{input}\", 7, {\"is\": \"input.trim\"}], \"untyped\": \"sf\"}",
    };

    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct list list = overlaps(rows[i]);

        assert_row(rows[i], list.count, 1);
        assert_row(rows[i], list.of[0].kind, OVERLAP_NEVER);
    }
}

/* ---- what the router does ---- */

/* Both take the message, and the earlier one's value stands. */
static void
the_earlier_entry_has_the_last_word(void **state)
{
    struct wire_rig *fixture =
        wire_rig_start(state, TRIM ", {\"at\": \"/in/{input}/x\", \"is\": \"input.trim\","
                                   "\"law\": {\"line\": [[0, 0], [10, 20]]}}");
    struct wire *wire = wire_begin("/in/3/x", "f");
    struct osc_message message;

    wire_put_float(wire, 5);
    assert_true(osc_decode(&message, wire->bytes, wire->length));
    assert_int_equal(router_take(fixture->router, &message, 1000), ROUTE_TAKEN);
    assert_int_equal(fixture->answers, 2);
    assert_near(wire_rig_number(fixture, PARAM_INPUT_TRIM, 2, 0), 5, 0);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, wire_rig_make, wire_rig_drop)

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(entries_of_their_own),
        cmocka_unit_test(a_second_entry_for_the_same_value_is_in_vain),
        cmocka_unit_test(what_is_reached_in_part_is_reached),
        cmocka_unit_test(two_values_of_one_argument_are_told),
        cmocka_unit_test(types_that_are_not_what_it_waits_for),
        TEST(the_earlier_entry_has_the_last_word),
    };

    return cmocka_run_group_tests_name("overlap", tests, NULL, NULL);
}
