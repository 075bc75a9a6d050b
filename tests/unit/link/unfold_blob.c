/* SPDX-License-Identifier: MIT */
/* Answers that pack their values into a blob, from the bytes on the wire to the model. */
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

/* ---- blobs ---- */

/* The numbers of one blob of this form, as the router gets them. */
static void
blob_reads_as(const char *form, const char *hex, const double expected[4])
{
    char values[300];
    struct loaded loaded;
    uint8_t bytes[64];
    size_t length = wire_from_hex(hex, bytes, sizeof bytes);
    struct osc_message message = {
        .count = 1, .arguments = {{ARGUMENT_BLOB, 'b', (double)length, (const char *)bytes}}};
    struct unfolded *unfolded = malloc(sizeof *unfolded);
    const struct osc_message *out;

    assert_non_null(unfolded);
    snprintf(values, sizeof values,
             "{\"answer\": [\"/b/{input}\", {\"blob\": \"%s\", \"is\": \"input.eq.band.gain\","
             " \"each\": \"band\"}]}",
             form);
    loaded_read(&loaded, profile_with(values, ""));
    assert_non_null(loaded.profile);
    out = unfold(&loaded.profile->entries[0], &message, unfolded);
    assert_non_null(out);
    assert_int_equal(out->count, 4);
    for (size_t i = 0; i < 4; i++) {
        assert_int_equal(out->arguments[i].kind, ARGUMENT_NUMBER);
        if (isnan(expected[i]))
            assert_true(isnan(out->arguments[i].number));
        else
            assert_near_in(form, out->arguments[i].number, expected[i], 0);
    }
    free(unfolded);
    loaded_release(&loaded);
}

/* Two's complement and IEEE 754 by hand. 0x3fa00000 is 1.25, 0x7f7fffff the largest float32,
 * 0x00000001 the least above 0. */
static void
all_six_forms_are_read(void **state)
{
    static const struct {
        const char *form, *hex;
        double expected[4];
    } rows[] = {
        {"int16be", "7fff8000ffff0102", {32767, -32768, -1, 258}},
        {"int16le", "ff7f0080ffff0201", {32767, -32768, -1, 258}},
        {"int32be", "7fffffff80000000ffffffff01020304", {2147483647, -2147483648.0, -1, 16909060}},
        {"int32le", "ffffff7f00000080ffffffff04030201", {2147483647, -2147483648.0, -1, 16909060}},
        {"float32be",
         "3fa000007f7fffff00000001c0490fdb",
         {1.25, 0x1.fffffep127, 0x1p-149, -0x1.921fb6p1}},
        {"float32le",
         "0000a03fffff7f7f01000000db0f49c0",
         {1.25, 0x1.fffffep127, 0x1p-149, -0x1.921fb6p1}},
        {"float32be", "7f800000ff8000007fc0000000000000", {HUGE_VAL, -HUGE_VAL, NAN, 0}},
        {"float32le", "0000807f000080ff0000c07f00000000", {HUGE_VAL, -HUGE_VAL, NAN, 0}},
    };

    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++)
        blob_reads_as(rows[i].form, rows[i].hex, rows[i].expected);
}

static enum route_result
take_blob(struct wire_rig *fixture, const char *hex)
{
    uint8_t bytes[4000];
    struct wire *wire = wire_begin("/b/2", "b");

    wire_put_blob(wire, bytes, wire_from_hex(hex, bytes, sizeof bytes));
    return wire_rig_take(fixture, wire);
}

static void
blob_fills_one_index(void **state)
{
    struct wire_rig *fixture =
        wire_rig_start(state, "{\"answer\": [\"/b/{input}\", {\"blob\": \"int16le\", \"skip\": 3,"
                              " \"is\": \"input.eq.band.gain\", \"each\": \"band\", \"law\":"
                              " {\"times\": 0.01}, \"range\": [-24, 24]}]}");

    /* three bytes of something, then 1200, -600, 1 and 0 */
    assert_int_equal(take_blob(fixture, "ffffff"
                                        "b004a8fd01000000"),
                     ROUTE_TAKEN);
    assert_near(wire_rig_number(fixture, PARAM_INPUT_EQ_BAND_GAIN, 1, 0), 12, 1e-9);
    assert_near(wire_rig_number(fixture, PARAM_INPUT_EQ_BAND_GAIN, 1, 1), -6, 1e-9);
    assert_near(wire_rig_number(fixture, PARAM_INPUT_EQ_BAND_GAIN, 1, 2), 0.01, 1e-9);
    assert_near(wire_rig_number(fixture, PARAM_INPUT_EQ_BAND_GAIN, 1, 3), 0, 0);
    assert_int_equal(fixture->place, 1);
    assert_int_equal(wire_rig_known(fixture), 4);
    /* 2500: past the range */
    assert_int_equal(take_blob(fixture, "000000c409010001000000"), ROUTE_BAD_VALUE);
}

static void
blobs_of_other_lengths_are_no_answers(void **state)
{
    static const struct {
        const char *hex;
        enum route_result result;
    } rows[] = {
        {"", ROUTE_OTHER_ARGUMENTS},
        {"00", ROUTE_OTHER_ARGUMENTS},
        {"0000", ROUTE_OTHER_ARGUMENTS}, /* what is skipped and no more */
        {"000000", ROUTE_OTHER_ARGUMENTS},
        {"0000000000", ROUTE_OTHER_ARGUMENTS},
        {"000000000000000000000000000000000000", ROUTE_TAKEN},
        {"0000000000000000000000000000000000", ROUTE_OTHER_ARGUMENTS},
        {"00000000000000000000000000000000000000", ROUTE_OTHER_ARGUMENTS},
        {"0000000000000000000000000000", ROUTE_BAD_VALUE}, /* three numbers, or five */
        {"00000000000000000000000000000000000000000000", ROUTE_BAD_VALUE},
    };
    struct wire_rig *fixture =
        wire_rig_start(state, "{\"answer\": [\"/b/{input}\", {\"blob\": \"int32be\", \"skip\": 2,"
                              " \"is\": \"input.eq.band.gain\", \"each\": \"band\"}]}");
    struct wire *wire;

    for (size_t i = 0; i < COUNT(rows); i++)
        assert_row(rows[i].hex, take_blob(fixture, rows[i].hex), rows[i].result);
    wire = wire_begin("/b/2", "s");
    wire_put_string(wire, "no blob");
    assert_int_equal(wire_rig_take(fixture, wire), ROUTE_OTHER_ARGUMENTS);
    wire = wire_begin("/b/2", "i");
    wire_put_int(wire, 18);
    assert_int_equal(wire_rig_take(fixture, wire), ROUTE_OTHER_ARGUMENTS);
    assert_int_equal(wire_rig_take(fixture, wire_begin("/b/2", "")), ROUTE_OTHER_ARGUMENTS);
}

/* More numbers than a message may have arguments. */
static void
endless_blobs_are_no_answers(void **state)
{
    struct wire_rig *fixture =
        wire_rig_start(state, "{\"answer\": [\"/b\", \"{input}\", {\"blob\": \"int16be\", \"is\":"
                              " \"input.eq.band.gain\", \"each\": \"band\"}]}");
    static const uint8_t zeros[2 * OSC_ARGUMENTS] = {0};

    for (size_t count = OSC_ARGUMENTS - 2; count <= OSC_ARGUMENTS; count++) {
        struct wire *wire = wire_begin("/b", "ib");

        wire_put_int(wire, 1);
        wire_put_blob(wire, zeros, 2 * count);
        assert_int_equal(wire_rig_take(fixture, wire),
                         count < OSC_ARGUMENTS ? ROUTE_BAD_VALUE : ROUTE_OTHER_ARGUMENTS);
    }
}

static void
blobs_that_are_no_numbers_are_bad_values(void **state)
{
    static const char *const third[] = {"7fc00000", "ffc00001", "7f800001",
                                        "7f800000", "ff800000", "7f7fffff"};
    struct wire_rig *fixture =
        wire_rig_start(state, "{\"answer\": [\"/b/{input}\", {\"blob\": \"float32be\","
                              " \"is\": \"input.eq.band.gain\", \"each\": \"band\"}]}");

    for (size_t i = 0; i < COUNT(third); i++) {
        char hex[40];

        snprintf(hex, sizeof hex, "3f80000040000000%s40800000", third[i]);
        assert_row(third[i], take_blob(fixture, hex), ROUTE_BAD_VALUE);
        assert_int_equal(wire_rig_known(fixture), 3); /* the others are heard */
    }
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, wire_rig_make, wire_rig_drop)

int
main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(all_six_forms_are_read),
        TEST(blob_fills_one_index),
        TEST(blobs_of_other_lengths_are_no_answers),
        TEST(endless_blobs_are_no_answers),
        TEST(blobs_that_are_no_numbers_are_bad_values),
    };

    return cmocka_run_group_tests_name("unfold_blob", tests, NULL, NULL);
}
