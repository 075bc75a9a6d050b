/* SPDX-License-Identifier: MIT */
/* Answers without type tags, from the bytes on the wire to the model: the entry's letters say what
 * the arguments are.
 */
#include "unit.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "link/router.h"
#include "link/unfold.h"
#include "osc/check.h"
#include "profiles.h"
#include "wire_rig.h"

/* ---- without type tags ---- */

static const char untyped_entries[] =
    "{\"at\": \"/f/{input}\", \"is\": \"input.fader\", \"untyped\": \"f\"},"
    "{\"at\": \"/i/{input}\", \"is\": \"input.trim\", \"untyped\": \"i\"},"
    "{\"at\": \"/h/{input}\", \"is\": \"input.high_pass.freq\", \"untyped\": \"h\"},"
    "{\"at\": \"/d/{input}\", \"is\": \"input.preamp_gain\", \"untyped\": \"d\"},"
    "{\"at\": \"/n/{input}\", \"is\": \"input.name\", \"untyped\": \"s\"},"
    "{\"at\": \"/t/{input}\", \"is\": \"input.mute\"},"
    "{\"answer\": [\"/r\", \"{mix}\", {\"is\": \"mix.graphic.band.gain\", \"each\": \"band\"}],"
    " \"untyped\": \"if\"},"
    "{\"answer\": [\"/s\", {\"is\": \"mix.name\", \"each\": \"mix\"}], \"untyped\": \"s\"},"
    "{\"answer\": [\"/b/{input}\", {\"blob\": \"int16be\", \"is\": \"input.eq.band.gain\","
    " \"each\": \"band\"}], \"untyped\": \"b\"},"
    "{\"answer\": [\"/l\", {\"text\": \" \", \"fields\": [\"{input}\", {\"is\": "
    "\"input.level\"}]}],"
    " \"untyped\": \"s\"},"
    "{\"answer\": [\"/pair\", {\"text\": \" \", \"fields\": [\"{mix}\", {\"is\": \"mix.fader\"}]},"
    " {\"is\": \"mix.eq.band.gain\", \"each\": \"band\"}], \"untyped\": \"sf\"}";

static void
untyped_arguments_are_read_by_the_letters(void **state)
{
    struct wire_rig *fixture = wire_rig_start(state, untyped_entries);
    struct wire *wire = wire_begin("/f/1", NULL);

    wire_put_float(wire, -3.5F);
    assert_int_equal(wire_rig_take(fixture, wire), ROUTE_TAKEN);
    assert_near(wire_rig_number(fixture, PARAM_INPUT_FADER, 0, 0), -3.5, 0);
    wire = wire_begin("/i/1", NULL);
    wire_put_int(wire, (uint32_t)-6);
    assert_int_equal(wire_rig_take(fixture, wire), ROUTE_TAKEN);
    assert_near(wire_rig_number(fixture, PARAM_INPUT_TRIM, 0, 0), -6, 0);
    wire = wire_begin("/h/1", NULL);
    wire_put_int(wire, 0);
    wire_put_int(wire, 120);
    assert_int_equal(wire_rig_take(fixture, wire), ROUTE_TAKEN);
    assert_near(wire_rig_number(fixture, PARAM_INPUT_HIGH_PASS_FREQ, 0, 0), 120, 0);
    wire = wire_begin("/d/1", NULL);
    wire_put_double(wire, 27.25);
    assert_int_equal(wire_rig_take(fixture, wire), ROUTE_TAKEN);
    assert_near(wire_rig_number(fixture, PARAM_INPUT_PREAMP_GAIN, 0, 0), 27.25, 0);
    wire = wire_begin("/n/1", NULL);
    wire_put_string(wire, "Bass");
    assert_int_equal(wire_rig_take(fixture, wire), ROUTE_TAKEN);
    assert_string_equal(desk_text(engine_desk(fixture->engine), PARAM_INPUT_NAME, 0, 0), "Bass");
    wire = wire_begin("/f/1", NULL);
    wire_put_int(wire, 0x7fc00000); /* NaN */
    assert_int_equal(wire_rig_take(fixture, wire), ROUTE_BAD_VALUE);
}

/* The tags are believed where they are sent. */
static void
tags_go_before_the_letters(void **state)
{
    struct wire_rig *fixture = wire_rig_start(state, untyped_entries);
    struct wire *wire = wire_begin("/f/1", "i");

    wire_put_int(wire, (uint32_t)-7);
    assert_int_equal(wire_rig_take(fixture, wire), ROUTE_TAKEN);
    assert_near(wire_rig_number(fixture, PARAM_INPUT_FADER, 0, 0), -7, 0);
    wire = wire_begin("/n/2", "s");
    wire_put_string(wire, "Kick");
    assert_int_equal(wire_rig_take(fixture, wire), ROUTE_TAKEN);
    assert_int_equal(wire_rig_take(fixture, wire_begin("/f/1", "")), ROUTE_OTHER_ARGUMENTS);
}

static void
entries_without_letters_want_tags(void **state)
{
    struct wire_rig *fixture = wire_rig_start(state, untyped_entries);
    struct wire *wire = wire_begin("/t/1", NULL);

    wire_put_int(wire, 1);
    assert_int_equal(wire_rig_take(fixture, wire), ROUTE_NO_TYPES);
    assert_int_equal(wire_rig_take(fixture, wire_begin("/t/1", NULL)), ROUTE_NO_TYPES);
    assert_int_equal(wire_rig_take(fixture, wire_begin("/unknown", NULL)), ROUTE_UNKNOWN_ADDRESS);
    wire = wire_begin("/t/1", "i");
    wire_put_int(wire, 1);
    assert_int_equal(wire_rig_take(fixture, wire), ROUTE_TAKEN);
}

static void
untyped_bytes_of_other_sizes_are_no_answers(void **state)
{
    static const struct {
        const char *address, *hex;
    } rows[] = {
        {"/f/1", ""},
        {"/f/1", "0000000000000000"},
        {"/i/1", ""},
        {"/i/1", "0000000000000000"},
        {"/h/1", "00000000"},
        {"/h/1", "000000000000000000000000"},
        {"/d/1", "00000000"},
        {"/n/1", ""},
        {"/n/1", "61626364"}, /* never ended */
        {"/n/1", "61006100"}, /* padded with a letter */
        {"/n/1", "6162636400000000"
                 "62000000"}, /* two strings */
        {"/r", "00000001"},   /* a run of none */
        {"/r", ""},
        {"/b/1", ""},
        {"/b/1", "00000008"
                 "00010002"}, /* shorter than it says */
        {"/b/1", "00000002"
                 "00010002"
                 "00030004"},
        {"/b/1", "ffffffff"
                 "00010002"},
        {"/l", "31203020"},    /* never ended */
        {"/pair", "31203000"}, /* a run of none */
    };
    struct wire_rig *fixture = wire_rig_start(state, untyped_entries);

    for (size_t i = 0; i < COUNT(rows); i++) {
        struct wire *wire = wire_begin(rows[i].address, NULL);
        uint8_t bytes[64];
        char what[80];

        snprintf(what, sizeof what, "%s %s", rows[i].address, rows[i].hex);
        wire_put_bytes(wire, bytes, wire_from_hex(rows[i].hex, bytes, sizeof bytes));
        assert_row(what, wire_rig_take(fixture, wire), ROUTE_NO_TYPES);
    }
    assert_int_equal(wire_rig_known(fixture), 0);
}

/* Two numbers where the letters tell of one: no answer, though the router would refuse it later
 * too. */
static void
one_letter_stands_for_one_argument(void **state)
{
    struct wire_rig *fixture = wire_rig_start(state, untyped_entries);
    struct osc_message *message = malloc(sizeof *message);
    struct unfolded *unfolded = malloc(sizeof *unfolded);
    struct wire *wire = wire_begin("/f/1", NULL);

    assert_non_null(message);
    assert_non_null(unfolded);
    wire_put_float(wire, 1);
    assert_true(osc_decode(message, wire->bytes, wire->length));
    assert_non_null(unfold(&fixture->loaded.profile->entries[0], message, unfolded));
    wire_put_float(wire, 2);
    assert_true(osc_decode(message, wire->bytes, wire->length));
    assert_null(unfold(&fixture->loaded.profile->entries[0], message, unfolded));
    free(unfolded);
    free(message);
}

static void
last_letter_stands_for_a_run(void **state)
{
    static const struct {
        const char *name;
        int count;
        enum route_result result;
    } rows[] = {
        {"31", 31, ROUTE_TAKEN},
        {"1", 1, ROUTE_BAD_VALUE},
        {"30", 30, ROUTE_BAD_VALUE},
        {"32", 32, ROUTE_BAD_VALUE},
        {"the most", OSC_ARGUMENTS - 1, ROUTE_BAD_VALUE},
        {"one more", OSC_ARGUMENTS, ROUTE_NO_TYPES},
    };
    struct wire_rig *fixture = wire_rig_start(state, untyped_entries);
    struct wire *wire;

    for (size_t i = 0; i < COUNT(rows); i++) {
        wire = wire_begin("/r", NULL);
        wire_put_int(wire, 8);
        for (int k = 0; k < rows[i].count; k++)
            wire_put_float(wire, (float)k / 4);
        assert_row(rows[i].name, wire_rig_take(fixture, wire), rows[i].result);
    }
    assert_near(wire_rig_number(fixture, PARAM_MIX_GRAPHIC_BAND_GAIN, 7, 30), 7.5, 0);
    wire = wire_begin("/s", NULL);
    for (int k = 0; k < 8; k++)
        wire_put_string(wire, k % 2 == 0 ? "Wedge" : "Ear");
    assert_int_equal(wire_rig_take(fixture, wire), ROUTE_TAKEN);
    assert_string_equal(desk_text(engine_desk(fixture->engine), PARAM_MIX_NAME, 7, 0), "Ear");
}

static void
untyped_blobs_and_lines_are_taken_apart(void **state)
{
    struct wire_rig *fixture = wire_rig_start(state, untyped_entries);
    struct wire *wire = wire_begin("/b/24", NULL);

    wire_put_blob(wire, "\0\1\0\2\0\3\377\374", 8);
    assert_int_equal(wire_rig_take(fixture, wire), ROUTE_TAKEN);
    assert_near(wire_rig_number(fixture, PARAM_INPUT_EQ_BAND_GAIN, 23, 3), -4, 0);
    wire = wire_begin("/l", NULL);
    wire_put_string(wire, "12 -1");
    assert_int_equal(wire_rig_take(fixture, wire), ROUTE_TAKEN);
    assert_near(wire_rig_number(fixture, PARAM_INPUT_LEVEL, 11, 0), -1, 0);
    wire = wire_begin("/pair", NULL); /* a line, then a run of plain numbers */
    wire_put_string(wire, "2 -5");
    for (int k = 0; k < 4; k++)
        wire_put_float(wire, (float)k);
    assert_int_equal(wire_rig_take(fixture, wire), ROUTE_TAKEN);
    assert_near(wire_rig_number(fixture, PARAM_MIX_FADER, 1, 0), -5, 0);
    assert_near(wire_rig_number(fixture, PARAM_MIX_EQ_BAND_GAIN, 1, 3), 3, 0);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, wire_rig_make, wire_rig_drop)

int
main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(untyped_arguments_are_read_by_the_letters),
        TEST(tags_go_before_the_letters),
        TEST(entries_without_letters_want_tags),
        TEST(untyped_bytes_of_other_sizes_are_no_answers),
        TEST(one_letter_stands_for_one_argument),
        TEST(last_letter_stands_for_a_run),
        TEST(untyped_blobs_and_lines_are_taken_apart),
    };

    return cmocka_run_group_tests_name("unfold_untyped", tests, NULL, NULL);
}
