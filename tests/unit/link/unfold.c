/* SPDX-License-Identifier: MIT */
/* Answers that pack their values: text lines, blobs, and arguments without type tags; from the
 * bytes on the wire to the model. How a line is parted: unfold_line.c.
 */
#include "unit.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "link/router.h"
#include "link/unfold.h"
#include "osc/check.h"
#include "profiles.h"
#include "wire_rig.h"

static enum route_result
take_line(struct wire_rig *fixture, const char *address, const char *line)
{
    struct wire *wire = wire_begin(address, "s");

    wire_put_string(wire, line);
    return wire_rig_take(fixture, wire);
}

struct line_row {
    const char *line;
    enum route_result result;
};

static void
each_line_is(struct wire_rig *fixture, const struct line_row *rows, size_t count)
{
    for (size_t i = 0; i < count; i++)
        assert_row(rows[i].line, take_line(fixture, "/l", rows[i].line), rows[i].result);
}

/* ---- lines ---- */

static const char blanks_entry[] =
    "{\"answer\": [\"/l\", {\"text\": \" \", \"fields\": [\"{input}\", \"gain\", 7, 1,"
    " {\"is\": \"input.preamp_gain\"}, \"*\", {\"is\": \"input.fader\", \"law\": {\"times\": 0.1}}"
    "]}]}";

static void
fields_are_the_elements_of_an_answer(void **state)
{
    struct wire_rig *fixture = wire_rig_start(state, blanks_entry);

    assert_int_equal(take_line(fixture, "/l", "3 gain 7 1 12.5 what -30"), ROUTE_TAKEN);
    assert_int_equal(fixture->place, 2);
    assert_near(wire_rig_number(fixture, PARAM_INPUT_PREAMP_GAIN, 2, 0), 12.5, 0);
    assert_near(wire_rig_number(fixture, PARAM_INPUT_FADER, 2, 0), -3, 1e-9);
    assert_int_equal(wire_rig_known(fixture), 2);
    assert_int_equal(take_line(fixture, "/l", "  24   gain 7.0 1\t-6 \"a b\"  0 "), ROUTE_TAKEN);
    assert_near(wire_rig_number(fixture, PARAM_INPUT_PREAMP_GAIN, 23, 0), -6, 0);
    assert_int_equal(take_line(fixture, "/l", "\"4\" \"gain\" \"7\" \"1\" \"5\" \"\" \"0\""),
                     ROUTE_TAKEN);
    assert_near(wire_rig_number(fixture, PARAM_INPUT_PREAMP_GAIN, 3, 0), 5, 0);
    assert_int_equal(take_line(fixture, "/l", "5 gain 7 1 -6.5dB x 0"), ROUTE_TAKEN);
    assert_near(wire_rig_number(fixture, PARAM_INPUT_PREAMP_GAIN, 4, 0), -6.5, 0);
}

static void
other_lines_are_no_answers(void **state)
{
    static const struct line_row rows[] = {
        {"3 gain 7 1 12.5 what", ROUTE_OTHER_ARGUMENTS},
        {"3 gain 7 1 12.5 what -30 0", ROUTE_OTHER_ARGUMENTS},
        {"3 gain 7 1 12.5 what ever -30", ROUTE_OTHER_ARGUMENTS},
        {"", ROUTE_OTHER_ARGUMENTS},
        {"    ", ROUTE_OTHER_ARGUMENTS},
        {"\"3 gain 7 1 12.5 what -30\"", ROUTE_OTHER_ARGUMENTS},
        {"3 Gain 7 1 12.5 what -30", ROUTE_OTHER_ARGUMENTS},
        {"3 7 7 1 12.5 what -30", ROUTE_OTHER_ARGUMENTS},
        {"3 gain 8 1 12.5 what -30", ROUTE_OTHER_ARGUMENTS},
        {"3 gain seven 1 12.5 what -30", ROUTE_OTHER_ARGUMENTS},
        {"3 gain 7 0 12.5 what -30", ROUTE_OTHER_ARGUMENTS},
        {"0 gain 7 1 12.5 what -30", ROUTE_OTHER_ARGUMENTS},
        {"25 gain 7 1 12.5 what -30", ROUTE_OTHER_ARGUMENTS},
        {"1.5 gain 7 1 12.5 what -30", ROUTE_OTHER_ARGUMENTS},
        {"-inf gain 7 1 12.5 what -30", ROUTE_OTHER_ARGUMENTS},
        {"three gain 7 1 12.5 what -30", ROUTE_OTHER_ARGUMENTS},
    };
    struct wire_rig *fixture = wire_rig_start(state, blanks_entry);
    struct wire *wire;

    each_line_is(fixture, rows, COUNT(rows));
    wire = wire_begin("/l", "i");
    wire_put_int(wire, 3);
    assert_int_equal(wire_rig_take(fixture, wire), ROUTE_OTHER_ARGUMENTS);
    assert_int_equal(wire_rig_take(fixture, wire_begin("/l", "")), ROUTE_OTHER_ARGUMENTS);
    wire = wire_begin("/l", "ss");
    wire_put_string(wire, "3 gain 7 1 12.5 what");
    wire_put_string(wire, "-30");
    assert_int_equal(wire_rig_take(fixture, wire), ROUTE_OTHER_ARGUMENTS);
    assert_int_equal(wire_rig_known(fixture), 0);
}

static void
bad_fields_are_bad_values(void **state)
{
    static const struct line_row rows[] = {
        {"3 gain 7 1 loud what -30", ROUTE_BAD_VALUE},
        {"3 gain 7 1 \"\" what -30", ROUTE_BAD_VALUE},
        {"3 gain 7 1 nan what -30", ROUTE_BAD_VALUE},
        {"3 gain 7 1 inf what -30", ROUTE_BAD_VALUE},
        {"3 gain 7 1 1e30 what -30", ROUTE_BAD_VALUE},
    };
    struct wire_rig *fixture = wire_rig_start(state, blanks_entry);

    each_line_is(fixture, rows, COUNT(rows));
    assert_near(wire_rig_number(fixture, PARAM_INPUT_FADER, 2, 0), -3,
                1e-9); /* the good one is heard */
    assert_int_equal(wire_rig_known(fixture), 1);
}

static void
separators_part_labels_with_blanks(void **state)
{
    struct wire_rig *fixture =
        wire_rig_start(state, "{\"answer\": [\"/l\", {\"text\": \",\", \"fields\": [\"{input}\","
                              " {\"is\": \"input.name\"}, \"\", {\"is\": \"input.fader\"}]}]},"
                              "{\"answer\": [\"/m\", {\"text\": \";\", \"fields\": [\"{mix}\","
                              " {\"is\": \"mix.name\"}]}]}");
    const struct desk *desk = engine_desk(fixture->engine);
    static const struct line_row others[] = {
        {"2,Bass,x,-inf", ROUTE_OTHER_ARGUMENTS}, {"2,Bass,,", ROUTE_BAD_VALUE},
        {"2,Bass,-inf", ROUTE_OTHER_ARGUMENTS},   {"2,Bass,,-inf,", ROUTE_OTHER_ARGUMENTS},
        {"2;Bass;;-inf", ROUTE_OTHER_ARGUMENTS},  {"", ROUTE_OTHER_ARGUMENTS},
    };

    assert_int_equal(take_line(fixture, "/l", " 1 , Lead vocal ,, -3 "), ROUTE_TAKEN);
    assert_string_equal(desk_text(desk, PARAM_INPUT_NAME, 0, 0), "Lead vocal");
    assert_near(wire_rig_number(fixture, PARAM_INPUT_FADER, 0, 0), -3, 0);
    assert_int_equal(take_line(fixture, "/l", "2,\"Kick, inside\",\"\",-inf"), ROUTE_TAKEN);
    assert_string_equal(desk_text(desk, PARAM_INPUT_NAME, 1, 0), "Kick, inside");
    assert_near(wire_rig_number(fixture, PARAM_INPUT_FADER, 1, 0), -HUGE_VAL, 0);
    assert_int_equal(take_line(fixture, "/m", "2;Wedge, left; \"x\""), ROUTE_OTHER_ARGUMENTS);
    assert_int_equal(take_line(fixture, "/m", "2;Wedge, left"), ROUTE_TAKEN);
    assert_string_equal(desk_text(desk, PARAM_MIX_NAME, 1, 0), "Wedge, left");
    each_line_is(fixture, others, COUNT(others));
}

/* "1 0 0.5 1 ...": a mix, then `count` gains. */
static const char *
line_of_gains(char *line, size_t size, int count)
{
    size_t used = (size_t)snprintf(line, size, "1");

    for (int i = 0; i < count; i++)
        used += (size_t)snprintf(line + used, size - used, " %g", i % 16 / 2.0);
    return line;
}

static void
last_field_may_be_a_run(void **state)
{
    static const struct {
        int count;
        enum route_result result;
    } rows[] = {
        {31, ROUTE_TAKEN},      {30, ROUTE_BAD_VALUE},        {32, ROUTE_BAD_VALUE},
        {575, ROUTE_BAD_VALUE}, {576, ROUTE_OTHER_ARGUMENTS}, {900, ROUTE_OTHER_ARGUMENTS},
        {1, ROUTE_BAD_VALUE},   {0, ROUTE_OTHER_ARGUMENTS},
    };
    struct wire_rig *fixture =
        wire_rig_start(state, "{\"answer\": [\"/l\", {\"text\": \" \", \"fields\": [\"{mix}\","
                              " {\"is\": \"mix.graphic.band.gain\", \"each\": \"band\"}]}]}");

    for (size_t i = 0; i < COUNT(rows); i++) {
        char line[8000], what[20];

        snprintf(what, sizeof what, "%d gains", rows[i].count);
        line_of_gains(line, sizeof line, rows[i].count);
        assert_row(what, take_line(fixture, "/l", line), rows[i].result);
        if (i > 0)
            continue;
        for (int band = 0; band < 31; band++)
            assert_near(wire_rig_number(fixture, PARAM_MIX_GRAPHIC_BAND_GAIN, 0, band),
                        band % 16 / 2.0, 0);
        assert_int_equal(wire_rig_known(fixture), 31);
    }
}

/* What stands behind a line or a blob is no part of its run. */
static void
run_ends_with_its_line(void **state)
{
    struct wire_rig *fixture =
        wire_rig_start(state, "{\"answer\": [\"/l\", {\"text\": \" \", \"fields\": [\"{input}\","
                              " {\"is\": \"input.eq.band.gain\", \"each\": \"band\"}]}]},"
                              "{\"answer\": [\"/b/{input}\", {\"blob\": \"int16be\","
                              " \"is\": \"input.eq.band.gain\", \"each\": \"band\"}]}");
    struct wire *wire = wire_begin("/l", "ss");

    wire_put_string(wire, "1 2 3 4");
    wire_put_string(wire, "5");
    assert_int_equal(wire_rig_take(fixture, wire), ROUTE_OTHER_ARGUMENTS);
    wire = wire_begin("/b/1", "bf");
    wire_put_blob(wire, "\0\1\0\2\0\3", 6);
    wire_put_float(wire, 4);
    assert_int_equal(wire_rig_take(fixture, wire), ROUTE_OTHER_ARGUMENTS);
    assert_int_equal(wire_rig_known(fixture), 0);
}

static void
lines_stand_beside_other_arguments(void **state)
{
    struct wire_rig *fixture =
        wire_rig_start(state, "{\"answer\": [\"/l/{mix}\", {\"is\": \"mix.fader\"},"
                              " {\"text\": \",\", \"fields\": [\"on\", {\"is\": \"mix.mute\"}]},"
                              " {\"text\": \" \", \"fields\": [{\"is\": \"mix.name\"}]},"
                              " {\"is\": \"mix.graphic.band.gain\", \"each\": \"band\"}]}");
    struct wire *wire = wire_begin("/l/3", "fssfffffffffffffffffffffffffffffff");

    wire_put_float(wire, -4);
    wire_put_string(wire, "on,1");
    wire_put_string(wire, "Drums");
    for (int i = 0; i < 31; i++)
        wire_put_float(wire, (float)-i / 4);
    assert_int_equal(wire_rig_take(fixture, wire), ROUTE_TAKEN);
    assert_near(wire_rig_number(fixture, PARAM_MIX_FADER, 2, 0), -4, 0);
    assert_near(wire_rig_number(fixture, PARAM_MIX_MUTE, 2, 0), 1, 0);
    assert_string_equal(desk_text(engine_desk(fixture->engine), PARAM_MIX_NAME, 2, 0), "Drums");
    assert_near(wire_rig_number(fixture, PARAM_MIX_GRAPHIC_BAND_GAIN, 2, 30), -7.5, 0);
    wire = wire_begin("/l/3", "fs"); /* the second line is not there */
    wire_put_float(wire, -4);
    wire_put_string(wire, "on,1");
    assert_int_equal(wire_rig_take(fixture, wire), ROUTE_OTHER_ARGUMENTS);
}

/* As long as a datagram, and all of it one field. */
static void
longest_line_is_read(void **state)
{
    struct wire_rig *fixture = wire_rig_start(
        state, "{\"answer\": [\"/l\", {\"text\": \",\", \"fields\": [\"{input}\", \"*\","
               " {\"is\": \"input.fader\"}]}]}");
    char *line = malloc(65000);

    assert_non_null(line);
    memset(line, 'x', 65000);
    memcpy(line, "9,", 2);
    strcpy(line + 64990, ",-7");
    assert_int_equal(take_line(fixture, "/l", line), ROUTE_TAKEN);
    assert_near(wire_rig_number(fixture, PARAM_INPUT_FADER, 8, 0), -7, 0);
    free(line);
}

/* An entry that packs nothing sees the message itself. */
static void
plain_messages_stay_as_they_are(void **state)
{
    struct wire_rig *fixture =
        wire_rig_start(state, "{\"at\": \"/g/{input}\", \"is\": \"input.trim\"}");
    struct osc_message message = {.count = 1, .arguments = {{ARGUMENT_NUMBER, 'f', 1, NULL}}};
    struct unfolded *unfolded = malloc(sizeof *unfolded);

    assert_non_null(unfolded);
    assert_ptr_equal(unfold(&fixture->loaded.profile->entries[0], &message, unfolded), &message);
    message.untyped = true;
    assert_null(unfold(&fixture->loaded.profile->entries[0], &message, unfolded));
    free(unfolded);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, wire_rig_make, wire_rig_drop)

int
main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(fields_are_the_elements_of_an_answer),
        TEST(other_lines_are_no_answers),
        TEST(bad_fields_are_bad_values),
        TEST(separators_part_labels_with_blanks),
        TEST(last_field_may_be_a_run),
        TEST(run_ends_with_its_line),
        TEST(lines_stand_beside_other_arguments),
        TEST(longest_line_is_read),
        TEST(plain_messages_stay_as_they_are),
    };

    return cmocka_run_group_tests_name("unfold", tests, NULL, NULL);
}
