/* SPDX-License-Identifier: MIT */
/* From a message to the model: which entry it answers, what its values are, and what is refused. */
#include "unit.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "osc/check.h"
#include "wire_rig.h"

/* Arguments of a test message. */
#define F(number)                                                                                  \
    {                                                                                              \
        ARGUMENT_NUMBER, 'f', number, NULL                                                         \
    }
#define I(number)                                                                                  \
    {                                                                                              \
        ARGUMENT_NUMBER, 'i', number, NULL                                                         \
    }
#define S(string)                                                                                  \
    {                                                                                              \
        ARGUMENT_TEXT, 's', 0, string                                                              \
    }
#define T                                                                                          \
    {                                                                                              \
        ARGUMENT_SWITCH, 'T', 1, NULL                                                              \
    }
#define OFF                                                                                        \
    {                                                                                              \
        ARGUMENT_SWITCH, 'F', 0, NULL                                                              \
    }

/* Encodes, checks, decodes and routes, as a message on the wire is; the entry that was told is
 * noted. */
static enum route_result
take(struct wire_rig *fixture, const char *address, const struct argument *arguments, size_t count)
{
    size_t length;
    uint8_t *bytes = osc_encode(address, arguments, count, true, &length);
    struct osc_message message;
    enum route_result result;

    assert_non_null(bytes);
    assert_int_equal(osc_check_message(bytes, length, (struct osc_forms){0}), OSC_OK);
    assert_true(osc_decode(&message, bytes, length));
    fixture->answers = 0;
    result = router_take(fixture->router, &message, 1000);
    free(bytes);
    return result;
}

#define TAKE(fixture, address, ...)                                                                \
    take(fixture, address, (const struct argument[]){__VA_ARGS__},                                 \
         COUNT(((const struct argument[]){__VA_ARGS__})))

static bool
is_known(const struct wire_rig *fixture, enum param_id id, int row, int column)
{
    return desk_value(engine_desk(fixture->engine), id, row, column)->state == VALUE_KNOWN;
}

static const char *
text(const struct wire_rig *fixture, enum param_id id, int row)
{
    return desk_text(engine_desk(fixture->engine), id, row, 0);
}

/* ---- taken ---- */

static void
value_comes_back_from_its_own_address(void **state)
{
    struct wire_rig *fixture =
        wire_rig_start_with(state,
                            "{\"at\": \"/in/{input:2}/gain\", \"is\": \"input.preamp_gain\","
                            " \"law\": \"head\"},"
                            "{\"at\": \"/in/{input:2}/to/{mix}\", \"is\": \"send.level\","
                            " \"law\": \"fader\"}",
                            "");

    assert_int_equal(TAKE(fixture, "/in/07/gain", F(0.5)), ROUTE_TAKEN);
    assert_near(wire_rig_number(fixture, PARAM_INPUT_PREAMP_GAIN, 6, 0), 26, 1e-9);
    assert_int_equal(fixture->answers, 1);
    assert_int_equal(fixture->entry, 0);
    assert_int_equal(fixture->place, 6);
    assert_int_equal(TAKE(fixture, "/in/24/to/8", F(0)), ROUTE_TAKEN);
    assert_near(wire_rig_number(fixture, PARAM_SEND_LEVEL, 23, 7), -HUGE_VAL, 0);
    assert_int_equal(fixture->entry, 1);
    assert_int_equal(fixture->place, 23 * 8 + 7);
    assert_int_equal(TAKE(fixture, "/in/01/to/2", F(0.7)), ROUTE_TAKEN);
    assert_near(wire_rig_number(fixture, PARAM_SEND_LEVEL, 0, 1), 0, 1e-9);
    /* nobody else heard anything */
    assert_int_equal(desk_count_state(engine_desk(fixture->engine), VALUE_KNOWN), 3);
}

static void
several_values_come_in_one_answer(void **state)
{
    struct wire_rig *fixture = wire_rig_start_with(
        state,
        "{\"ask\": [\"/get/eq\", \"{input}\", \"{band}\"], \"answer\": [\"/eq\", \"{input}\","
        " \"{band}\", {\"is\": \"input.eq.band.freq\", \"law\": \"corner\"}, {\"is\": "
        "\"input.eq.band.gain\"}, \"*\", {\"is\": \"input.eq.band.q\"}]}",
        "");

    assert_int_equal(TAKE(fixture, "/eq", I(3), I(2), F(1), F(-6), S("ignored"), F(2.5)),
                     ROUTE_TAKEN);
    assert_near(wire_rig_number(fixture, PARAM_INPUT_EQ_BAND_FREQ, 2, 1), 500, 1e-9);
    assert_near(wire_rig_number(fixture, PARAM_INPUT_EQ_BAND_GAIN, 2, 1), -6, 0);
    assert_near(wire_rig_number(fixture, PARAM_INPUT_EQ_BAND_Q, 2, 1), 2.5, 0);
    assert_int_equal(fixture->place, 2 * 4 + 1);
    /* an index may come as any number, or as text */
    assert_int_equal(TAKE(fixture, "/eq", F(24), S("4"), F(0), F(1), I(0), F(1)), ROUTE_TAKEN);
    assert_near(wire_rig_number(fixture, PARAM_INPUT_EQ_BAND_FREQ, 23, 3), 16, 1e-9);
}

static void
indexes_in_arguments_start_where_the_desk_starts(void **state)
{
    struct wire_rig *fixture = wire_rig_start_with(state,
                                                   "{\"answer\": [\"/mute\", \"{input}\", {\"is\": "
                                                   "\"input.mute\"}], \"first\": 0}",
                                                   "");

    assert_int_equal(TAKE(fixture, "/mute", I(0), I(1)), ROUTE_TAKEN);
    assert_near(wire_rig_number(fixture, PARAM_INPUT_MUTE, 0, 0), 1, 0);
    assert_int_equal(TAKE(fixture, "/mute", I(23), T), ROUTE_TAKEN);
    assert_near(wire_rig_number(fixture, PARAM_INPUT_MUTE, 23, 0), 1, 0);
    assert_int_equal(TAKE(fixture, "/mute", I(24), I(1)), ROUTE_OTHER_ARGUMENTS);
}

static void
run_of_arguments_fills_one_index(void **state)
{
    struct wire_rig *fixture = wire_rig_start_with(
        state,
        "{\"answer\": [\"/geq/{mix}\", {\"is\": \"mix.graphic.band.gain\", \"each\": "
        "\"band\"}]}, {\"answer\": [\"/mutes\", {\"is\": \"input.mute\", \"each\": "
        "\"input\"}]}",
        "");
    struct argument bands[32], mutes[24];

    for (int i = 0; i < 32; i++)
        bands[i] = (struct argument)F(-i / 2.0);
    for (int i = 0; i < 24; i++)
        mutes[i] = (struct argument)I(i % 2);
    assert_int_equal(take(fixture, "/geq/2", bands, 31), ROUTE_TAKEN);
    for (int i = 0; i < 31; i++)
        assert_near(wire_rig_number(fixture, PARAM_MIX_GRAPHIC_BAND_GAIN, 1, i), -i / 2.0, 0);
    assert_false(is_known(fixture, PARAM_MIX_GRAPHIC_BAND_GAIN, 0, 0));
    assert_int_equal(take(fixture, "/mutes", mutes, 24), ROUTE_TAKEN);
    for (int i = 0; i < 24; i++)
        assert_near(wire_rig_number(fixture, PARAM_INPUT_MUTE, i, 0), i % 2, 0);
    /* too short, too long, empty */
    assert_int_equal(take(fixture, "/geq/2", bands, 30), ROUTE_BAD_VALUE);
    assert_int_equal(take(fixture, "/geq/2", bands, 32), ROUTE_BAD_VALUE);
    assert_int_equal(take(fixture, "/geq/2", bands, 0), ROUTE_OTHER_ARGUMENTS);
}

static void
numbers_come_as_texts_too(void **state)
{
    struct wire_rig *fixture = wire_rig_start_with(
        state,
        "{\"at\": \"/f/{input}\", \"is\": \"input.fader\"},"
        "{\"at\": \"/h/{input}\", \"is\": \"input.high_pass.freq\"},"
        "{\"at\": \"/l/{input}\", \"is\": \"input.trim\", \"law\": {\"times\": 0.1}},"
        "{\"at\": \"/w/{input}\", \"is\": \"input.mute\", \"law\": {\"words\": [[\"ON\", false], "
        "[\"OFF\", true], [2, true]]}}",
        "");

    assert_int_equal(TAKE(fixture, "/f/1", S("-12.5 dB")), ROUTE_TAKEN);
    assert_near(wire_rig_number(fixture, PARAM_INPUT_FADER, 0, 0), -12.5, 0);
    assert_int_equal(TAKE(fixture, "/f/1", S("-oo")), ROUTE_TAKEN);
    assert_near(wire_rig_number(fixture, PARAM_INPUT_FADER, 0, 0), -HUGE_VAL, 0);
    assert_int_equal(TAKE(fixture, "/h/1", S("1.2 kHz")), ROUTE_TAKEN);
    assert_near(wire_rig_number(fixture, PARAM_INPUT_HIGH_PASS_FREQ, 0, 0), 1200, 1e-9);
    assert_int_equal(TAKE(fixture, "/l/1", S("-60")), ROUTE_TAKEN);
    assert_near(wire_rig_number(fixture, PARAM_INPUT_TRIM, 0, 0), -6, 1e-9);
    assert_int_equal(TAKE(fixture, "/w/1", S("OFF")), ROUTE_TAKEN);
    assert_near(wire_rig_number(fixture, PARAM_INPUT_MUTE, 0, 0), 1, 0);
    assert_int_equal(TAKE(fixture, "/w/1", S("2")), ROUTE_TAKEN);
    assert_int_equal(TAKE(fixture, "/w/1", S("off")), ROUTE_BAD_VALUE);
    assert_int_equal(TAKE(fixture, "/f/1", S("loud")), ROUTE_BAD_VALUE);
    assert_int_equal(TAKE(fixture, "/f/1", S("")), ROUTE_BAD_VALUE);
}

static void
labels_are_cleaned(void **state)
{
    struct wire_rig *fixture =
        wire_rig_start_with(state, "{\"at\": \"/n/{input}\", \"is\": \"input.name\"}", "");

    assert_int_equal(TAKE(fixture, "/n/1", S("J\xc3\xb6rg")), ROUTE_TAKEN);
    assert_string_equal(text(fixture, PARAM_INPUT_NAME, 0), "J\xc3\xb6rg");
    assert_int_equal(TAKE(fixture, "/n/1",
                          S("a\x1b[2Jb\xff"
                            "c\n")),
                     ROUTE_TAKEN);
    assert_string_equal(text(fixture, PARAM_INPUT_NAME, 0), "a?[2Jb?c?");
    assert_int_equal(TAKE(fixture, "/n/2", I(57)), ROUTE_TAKEN);
    assert_string_equal(text(fixture, PARAM_INPUT_NAME, 1), "57");
    assert_int_equal(TAKE(fixture, "/n/3", S("")), ROUTE_TAKEN);
    assert_true(is_known(fixture, PARAM_INPUT_NAME, 2, 0));
    assert_int_equal(TAKE(fixture, "/n/1", T), ROUTE_BAD_VALUE);
}

/* ---- refused ---- */

static void
addresses_nobody_asked_for(void **state)
{
    struct wire_rig *fixture =
        wire_rig_start_with(state, "{\"at\": \"/in/{input:2}/mute\", \"is\": \"input.mute\"}", "");
    static const char *const addresses[] = {
        "/in/00/mute",   "/in/25/mute", "/in/1/mute",  "/in/001/mute",
        "/in/01/mute/x", "/in/01/mut",  "/IN/01/mute", "/x"};

    for (size_t i = 0; i < COUNT(addresses); i++) {
        assert_int_equal(TAKE(fixture, addresses[i], I(1)), ROUTE_UNKNOWN_ADDRESS);
        assert_int_equal(fixture->answers, 0);
    }
    assert_int_equal(desk_count_state(engine_desk(fixture->engine), VALUE_KNOWN), 0);
}

static void
literals_and_counts_must_match(void **state)
{
    struct wire_rig *fixture =
        wire_rig_start_with(state,
                            "{\"answer\": [\"/v\", \"gain\", 7, true, \"{input}\", {\"is\": "
                            "\"input.preamp_gain\"}]}",
                            "");

    assert_int_equal(TAKE(fixture, "/v", S("gain"), I(7), T, I(1), F(3)), ROUTE_TAKEN);
    assert_int_equal(TAKE(fixture, "/v", S("gain"), F(7), I(1), I(1), F(3)), ROUTE_TAKEN);
    assert_int_equal(TAKE(fixture, "/v", S("Gain"), I(7), T, I(1), F(3)), ROUTE_OTHER_ARGUMENTS);
    assert_int_equal(TAKE(fixture, "/v", S("gain"), I(8), T, I(1), F(3)), ROUTE_OTHER_ARGUMENTS);
    assert_int_equal(TAKE(fixture, "/v", S("gain"), I(7), OFF, I(1), F(3)), ROUTE_OTHER_ARGUMENTS);
    assert_int_equal(TAKE(fixture, "/v", S("gain"), S("7"), T, I(1), F(3)), ROUTE_OTHER_ARGUMENTS);
    assert_int_equal(TAKE(fixture, "/v", S("gain"), I(7), T, I(1)), ROUTE_OTHER_ARGUMENTS);
    assert_int_equal(TAKE(fixture, "/v", S("gain"), I(7), T, I(1), F(3), F(3)),
                     ROUTE_OTHER_ARGUMENTS);
    assert_int_equal(fixture->answers, 0);
}

static void
wrong_indexes_are_not_the_desks(void **state)
{
    struct wire_rig *fixture = wire_rig_start_with(
        state, "{\"answer\": [\"/m/{mix}\", \"{input}\", {\"is\": \"send.on\"}]}", "");

    assert_int_equal(TAKE(fixture, "/m/3", I(5), I(1)), ROUTE_TAKEN);
    assert_near(wire_rig_number(fixture, PARAM_SEND_ON, 4, 2), 1, 0);
    assert_int_equal(TAKE(fixture, "/m/3", I(0), I(1)), ROUTE_OTHER_ARGUMENTS);
    assert_int_equal(TAKE(fixture, "/m/3", I(25), I(1)), ROUTE_OTHER_ARGUMENTS);
    assert_int_equal(TAKE(fixture, "/m/3", I(-1), I(1)), ROUTE_OTHER_ARGUMENTS);
    assert_int_equal(TAKE(fixture, "/m/3", F(1.5), I(1)), ROUTE_OTHER_ARGUMENTS);
    assert_int_equal(TAKE(fixture, "/m/3", F(NAN), I(1)), ROUTE_OTHER_ARGUMENTS);
    assert_int_equal(TAKE(fixture, "/m/3", F(HUGE_VAL), I(1)), ROUTE_OTHER_ARGUMENTS);
    assert_int_equal(TAKE(fixture, "/m/3", S("five"), I(1)), ROUTE_OTHER_ARGUMENTS);
    assert_int_equal(TAKE(fixture, "/m/3", T, I(1)), ROUTE_OTHER_ARGUMENTS);
}

/* The same index in the address and among the arguments must be the same number. */
static void
index_given_twice_must_agree(void **state)
{
    struct wire_rig *fixture = wire_rig_start_with(
        state, "{\"answer\": [\"/m/{input}\", \"{input}\", {\"is\": \"input.mute\"}]}", "");

    assert_int_equal(TAKE(fixture, "/m/3", I(3), I(1)), ROUTE_TAKEN);
    assert_int_equal(TAKE(fixture, "/m/3", I(4), I(1)), ROUTE_OTHER_ARGUMENTS);
    assert_false(is_known(fixture, PARAM_INPUT_MUTE, 3, 0));
}

/* A value out of bounds is counted as bad; that it was answered is told, for asking again would not
 * mend it. */
static void
bad_values_are_refused_but_answered(void **state)
{
    struct wire_rig *fixture = wire_rig_start_with(
        state,
        "{\"at\": \"/g/{input}\", \"is\": \"input.preamp_gain\"},"
        "{\"at\": \"/l/{input}\", \"is\": \"input.fader\", \"law\": \"fader\"},"
        "{\"at\": \"/n/{input}\", \"is\": \"input.trim\", \"law\": {\"times\": -1}},"
        "{\"at\": \"/b/{mix}/{band}\", \"is\": \"mix.graphic.band.gain\", \"range\": [-15, 15]}",
        "");
    static const struct {
        const char *address;
        double wire;
    } rows[] = {
        {"/g/1", NAN},      {"/g/1", HUGE_VAL}, {"/g/1", -HUGE_VAL}, {"/g/1", 90.5},
        {"/g/1", -40.5},    {"/l/1", 1.01},     {"/l/1", -0.01},     {"/l/1", NAN},
        {"/n/1", HUGE_VAL}, {"/b/1/1", -15.1},  {"/b/1/1", 16},
    };

    for (size_t i = 0; i < COUNT(rows); i++) {
        if (TAKE(fixture, rows[i].address, F(rows[i].wire)) != ROUTE_BAD_VALUE)
            print_error("%s takes %g\n", rows[i].address, rows[i].wire);
        assert_int_equal(TAKE(fixture, rows[i].address, F(rows[i].wire)), ROUTE_BAD_VALUE);
        assert_int_equal(fixture->answers, 1);
    }
    assert_int_equal(desk_count_state(engine_desk(fixture->engine), VALUE_KNOWN), 0);
}

/* Off is named, as a text or as a point of a law; an infinite number on the wire, of either sign
 * and under any law, is refused. */
static void
infinite_numbers_are_not_off(void **state)
{
    struct wire_rig *fixture = wire_rig_start_with(
        state,
        "{\"at\": \"/l/{input}\", \"is\": \"input.fader\"},"
        "{\"at\": \"/n/{mix}\", \"is\": \"mix.fader\", \"law\": {\"times\": -1}}",
        "");

    assert_int_equal(TAKE(fixture, "/n/1", F(HUGE_VAL)), ROUTE_BAD_VALUE);
    assert_int_equal(TAKE(fixture, "/n/1", F(-HUGE_VAL)), ROUTE_BAD_VALUE);
    assert_int_equal(TAKE(fixture, "/l/1", F(HUGE_VAL)), ROUTE_BAD_VALUE);
    assert_int_equal(TAKE(fixture, "/l/1", F(-HUGE_VAL)), ROUTE_BAD_VALUE);
    assert_int_equal(TAKE(fixture, "/l/1", S("-inf")), ROUTE_TAKEN);
}

static void
a_thousandth_past_the_range_is_held_to_it(void **state)
{
    struct wire_rig *fixture = wire_rig_start_with(
        state,
        "{\"at\": \"/b/{mix}/{band}\", \"is\": \"mix.graphic.band.gain\", \"range\": [-15, 15]}",
        "");

    assert_int_equal(TAKE(fixture, "/b/1/1", F(-15.02)), ROUTE_TAKEN);
    assert_near(wire_rig_number(fixture, PARAM_MIX_GRAPHIC_BAND_GAIN, 0, 0), -15, 0);
}

/* One bad value among good ones: the good ones are heard. */
static void
good_values_beside_a_bad_one_are_heard(void **state)
{
    struct wire_rig *fixture = wire_rig_start_with(
        state,
        "{\"answer\": [\"/s/{input}\", {\"is\": \"input.preamp_gain\"}, {\"is\": "
        "\"input.fader\"}]}",
        "");

    assert_int_equal(TAKE(fixture, "/s/1", F(NAN), F(-3)), ROUTE_BAD_VALUE);
    assert_false(is_known(fixture, PARAM_INPUT_PREAMP_GAIN, 0, 0));
    assert_near(wire_rig_number(fixture, PARAM_INPUT_FADER, 0, 0), -3, 0);
}

/* Two entries at one address are told apart by their literals. */
static void
one_address_may_serve_several_entries(void **state)
{
    struct wire_rig *fixture = wire_rig_start_with(
        state,
        "{\"answer\": [\"/v\", \"gain\", \"{input}\", {\"is\": \"input.preamp_gain\"}]},"
        "{\"answer\": [\"/v\", \"trim\", \"{input}\", {\"is\": \"input.trim\"}]}",
        "");

    assert_int_equal(TAKE(fixture, "/v", S("trim"), I(2), F(-4)), ROUTE_TAKEN);
    assert_int_equal(fixture->entry, 1);
    assert_near(wire_rig_number(fixture, PARAM_INPUT_TRIM, 1, 0), -4, 0);
    assert_int_equal(TAKE(fixture, "/v", S("gain"), I(2), F(30)), ROUTE_TAKEN);
    assert_int_equal(fixture->entry, 0);
    assert_int_equal(TAKE(fixture, "/v", S("pad"), I(2), F(30)), ROUTE_OTHER_ARGUMENTS);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, wire_rig_make, wire_rig_drop)

int
main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(value_comes_back_from_its_own_address),
        TEST(several_values_come_in_one_answer),
        TEST(indexes_in_arguments_start_where_the_desk_starts),
        TEST(run_of_arguments_fills_one_index),
        TEST(numbers_come_as_texts_too),
        TEST(labels_are_cleaned),
        TEST(addresses_nobody_asked_for),
        TEST(literals_and_counts_must_match),
        TEST(wrong_indexes_are_not_the_desks),
        TEST(index_given_twice_must_agree),
        TEST(bad_values_are_refused_but_answered),
        TEST(infinite_numbers_are_not_off),
        TEST(a_thousandth_past_the_range_is_held_to_it),
        TEST(good_values_beside_a_bad_one_are_heard),
        TEST(one_address_may_serve_several_entries),
    };

    return cmocka_run_group_tests_name("router", tests, NULL, NULL);
}
