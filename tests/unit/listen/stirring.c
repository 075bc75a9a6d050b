/* SPDX-License-Identifier: MIT */
/* Which value a hand turned, among all that moves. */
#include "unit.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "listen/stirring.h"

static int
begin(void **state)
{
    *state = stirring_new();
    return 0;
}

static int
end(void **state)
{
    stirring_free(*state);
    return 0;
}

static int64_t now_ms;

static void
hear(struct stirring *stirring, const char *address, const char *types, const double *numbers,
     const char *text)
{
    static struct osc_message message;

    memset(&message, 0, sizeof message);
    message.address = address;
    message.count = strlen(types);
    for (size_t i = 0; i < message.count; i++)
        message.arguments[i] = (struct argument){types[i] == 's' ? ARGUMENT_TEXT : ARGUMENT_NUMBER,
                                                 types[i], numbers ? numbers[i] : 0, text};
    stirring_note(stirring, &message, now_ms += 10);
}

static void
set(struct stirring *stirring, const char *address, double number)
{
    hear(stirring, address, "f", &number, NULL);
}

static void
turn_up_and_down(struct stirring *stirring, const char *address)
{
    static const double way[] = {0.4, 0.5, 0.6, 0.5, 0.41};

    for (size_t i = 0; i < COUNT(way); i++)
        set(stirring, address, way[i]);
}

static void
what_moves_by_itself_is_left_out(void **state)
{
    struct stirring *stirring = *state;
    struct stirring_found found[STIRRING_FOUND];

    stirring_rest(stirring);
    for (int i = 0; i < 20; i++) {
        set(stirring, "/in/1/meter", -20 - i % 7);
        set(stirring, "/in/1/gain", 0.3);
    }
    assert_int_equal(stirring_chatter(stirring), 1);
    stirring_turn(stirring);
    for (int i = 0; i < 20; i++)
        set(stirring, "/in/1/meter", -20 - i % 5);
    assert_int_equal(stirring_find(stirring, found), 0);
    turn_up_and_down(stirring, "/in/1/gain");
    assert_int_equal(stirring_find(stirring, found), 1);
    assert_string_equal(found[0].at.address, "/in/1/gain");
    assert_int_equal(found[0].turns, 1);
    assert_near(found[0].low, 0.3, 0);
    assert_near(found[0].high, 0.6, 0);
}

/* A meter that begins only now jitters more than a hand. */
static void
a_hand_comes_before_what_jitters(void **state)
{
    struct stirring *stirring = *state;
    struct stirring_found found[STIRRING_FOUND];

    stirring_rest(stirring);
    stirring_turn(stirring);
    for (int i = 0; i < 60; i++)
        set(stirring, "/late/meter", (i * 7919) % 13);
    turn_up_and_down(stirring, "/in/1/gain");
    assert_int_equal(stirring_find(stirring, found), 2);
    assert_string_equal(found[0].at.address, "/in/1/gain");
}

static void
only_this_stretch_counts(void **state)
{
    struct stirring *stirring = *state;
    struct stirring_found found[STIRRING_FOUND];

    stirring_turn(stirring);
    turn_up_and_down(stirring, "/in/1/gain");
    stirring_turn(stirring);
    assert_int_equal(stirring_find(stirring, found), 0);
    turn_up_and_down(stirring, "/in/2/gain");
    assert_int_equal(stirring_find(stirring, found), 1);
    assert_string_equal(found[0].at.address, "/in/2/gain");
}

static void
numbers_in_front_say_whose_it_is(void **state)
{
    struct stirring *stirring = *state;
    struct stirring_found found[STIRRING_FOUND];
    struct stirring_value value;

    stirring_turn(stirring);
    for (int i = 0; i < 5; i++)
        hear(stirring, "/to/level", "iif", (double[]){2, 5, 0.1 * (i < 3 ? i : 5 - i)}, NULL);
    assert_int_equal(stirring_find(stirring, found), 1);
    assert_int_equal(found[0].at.key_count, 2);
    assert_int_equal(found[0].at.keys[0], 2);
    assert_int_equal(found[0].at.keys[1], 5);
    assert_int_equal(found[0].at.argument, 2);
    assert_true(stirring_now(stirring, &found[0].at, &value));
    assert_near(value.number, 0.1, 1e-9);
}

/* /eq input band on shape Hz dB Q: the switch is a whole number in front, too. */
static void
a_switch_in_front_is_found(void **state)
{
    struct stirring *stirring = *state;
    struct stirring_found found[STIRRING_FOUND];
    struct stirring_value value;
    double message[] = {3, 2, 0, 0, 400, -3, 1};

    stirring_turn(stirring);
    for (int i = 0; i < 5; i++) {
        message[2] = i % 2;
        hear(stirring, "/eq", "iiisfff", message, "peak");
    }
    assert_true(stirring_find(stirring, found) > 0);
    assert_string_equal(found[0].at.address, "/eq");
    assert_int_equal(found[0].at.argument, 2);
    assert_true(stirring_now(stirring, &found[0].at, &value));
    assert_near(value.number, 0, 0);
}

static void
texts_are_numbers_where_they_hold_one(void **state)
{
    struct stirring *stirring = *state;
    struct stirring_found found[STIRRING_FOUND];
    struct stirring_value value;
    static const char *const way[] = {"-20.0 dB", "-10.0 dB", "-15.0 dB"};

    stirring_turn(stirring);
    for (size_t i = 0; i < COUNT(way); i++)
        hear(stirring, "/fader", "s", NULL, way[i]);
    hear(stirring, "/name", "s", NULL, "Kick In");
    assert_int_equal(stirring_find(stirring, found), 2);
    assert_string_equal(found[0].at.address, "/fader");
    assert_near(found[0].high, -10, 0);
    assert_true(isnan(found[1].high));
    assert_true(stirring_now(stirring, &found[1].at, &value));
    assert_string_equal(value.text, "Kick In");
}

static void
odd_addresses_are_not_looked_at(void **state)
{
    struct stirring *stirring = *state;
    struct stirring_found found[STIRRING_FOUND];

    stirring_turn(stirring);
    turn_up_and_down(stirring, "/in/*/gain");
    turn_up_and_down(stirring, "/in/\x1b[2J");
    turn_up_and_down(stirring, "");
    assert_int_equal(stirring_find(stirring, found), 0);
}

/* More than it keeps: what is turned is found all the same, and no more is listed than fits. */
static void
a_flood_is_bounded(void **state)
{
    struct stirring *stirring = *state;
    struct stirring_found found[STIRRING_FOUND];
    char address[40];

    stirring_rest(stirring);
    for (int i = 0; i < 3 * STIRRING_STREAMS; i++) {
        snprintf(address, sizeof address, "/flood/x%d", i);
        set(stirring, address, 1);
    }
    stirring_turn(stirring);
    turn_up_and_down(stirring, "/in/1/gain");
    for (int i = 0; i < 1000; i++) {
        snprintf(address, sizeof address, "/flood/y%d", i);
        set(stirring, address, 1);
    }
    assert_int_equal(stirring_find(stirring, found), STIRRING_FOUND);
    assert_string_equal(found[0].at.address, "/in/1/gain");
}

int
main(void)
{
#define TEST(name) cmocka_unit_test_setup_teardown(name, begin, end)
    const struct CMUnitTest tests[] = {
        TEST(what_moves_by_itself_is_left_out), TEST(a_hand_comes_before_what_jitters),
        TEST(only_this_stretch_counts),         TEST(numbers_in_front_say_whose_it_is),
        TEST(a_switch_in_front_is_found),       TEST(texts_are_numbers_where_they_hold_one),
        TEST(odd_addresses_are_not_looked_at),  TEST(a_flood_is_bounded),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
