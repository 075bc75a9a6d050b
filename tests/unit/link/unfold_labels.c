/* SPDX-License-Identifier: MIT */
/* Texts whose fields have labels, and JSON: from the bytes on the wire to the model. JSON as RFC
 * 8259 writes it.
 */
#include "unit.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "link/router.h"
#include "profiles.h"
#include "wire_rig.h"

static enum route_result
take(struct wire_rig *fixture, const char *text)
{
    struct wire *wire = wire_begin("/t", "s");

    wire_put_string(wire, text);
    return wire_rig_take(fixture, wire);
}

struct row {
    const char *text;
    enum route_result result;
};

static void
each_is(struct wire_rig *fixture, const struct row *rows, size_t count)
{
    for (size_t i = 0; i < count; i++)
        assert_row(rows[i].text, take(fixture, rows[i].text), rows[i].result);
}

/* ---- lines ---- */

static const char line_entry[] =
    "{\"answer\": [\"/t\", {\"text\": \";\", \"label\": \"=\", \"labels\": {\"ch\": \"{input}\","
    " \"kind\": \"in\", \"gain\": {\"is\": \"input.preamp_gain\"}, \"name\": {\"is\": "
    "\"input.name\"}, \"hp\": [{\"is\": \"input.high_pass.on\", \"law\": {\"words\": [[\"off\", "
    "false]], \"else\": true}}, {\"is\": \"input.high_pass.freq\", \"law\": {\"words\": "
    "[[\"off\", null]], \"times\": 1}}]}}]}";

static void
fields_are_found_by_their_labels(void **state)
{
    struct wire_rig *fixture = wire_rig_start(state, line_entry);

    assert_int_equal(take(fixture, "kind=in;ch=3;gain=12.5 dB;name=Kick;hp=80 Hz"), ROUTE_TAKEN);
    assert_int_equal(fixture->place, 2);
    assert_near(wire_rig_number(fixture, PARAM_INPUT_PREAMP_GAIN, 2, 0), 12.5, 0);
    assert_near(wire_rig_number(fixture, PARAM_INPUT_HIGH_PASS_ON, 2, 0), 1, 0);
    assert_near(wire_rig_number(fixture, PARAM_INPUT_HIGH_PASS_FREQ, 2, 0), 80, 0);
    assert_int_equal(wire_rig_known(fixture), 4);
    /* in another order, with others between, blanks around all, quotes around what holds a ';' */
    assert_int_equal(take(fixture, " hp = off ; x=1; gain = -3;;what; name = \"a;b=c\" ; ch= 3 ;"
                                   "kind=in;"),
                     ROUTE_TAKEN);
    assert_near(wire_rig_number(fixture, PARAM_INPUT_PREAMP_GAIN, 2, 0), -3, 0);
    assert_near(wire_rig_number(fixture, PARAM_INPUT_HIGH_PASS_ON, 2, 0), 0, 0);
    assert_near(wire_rig_number(fixture, PARAM_INPUT_HIGH_PASS_FREQ, 2, 0), 80, 0);
    /* what is not there is not said */
    assert_int_equal(take(fixture, "ch=4;kind=in;gain=7"), ROUTE_TAKEN);
    assert_int_equal(wire_rig_known(fixture), 5);
}

static void
lines_that_are_no_answers(void **state)
{
    static const struct row rows[] = {
        {"", ROUTE_OTHER_ARGUMENTS},
        {"ch=3;kind=in", ROUTE_OTHER_ARGUMENTS}, /* no value */
        {"gain=7;kind=in", ROUTE_OTHER_ARGUMENTS},
        {"gain=7;kind=in;ch=25", ROUTE_OTHER_ARGUMENTS},
        {"gain=7;kind=out;ch=3", ROUTE_OTHER_ARGUMENTS},
        {"Gain=7;kind=in;ch=3", ROUTE_OTHER_ARGUMENTS},
        {"gain:7;kind=in;ch=3", ROUTE_OTHER_ARGUMENTS},
        {"gain=7,kind=in,ch=3", ROUTE_OTHER_ARGUMENTS},
        {"gain=loud;kind=in;ch=3", ROUTE_BAD_VALUE},
        {"\"gain=7;kind=in;ch=3", ROUTE_OTHER_ARGUMENTS},
    };
    struct wire_rig *fixture = wire_rig_start(state, line_entry);
    struct wire *wire;

    each_is(fixture, rows, COUNT(rows));
    assert_int_equal(wire_rig_known(fixture), 0);
    wire = wire_begin("/t", "i");
    wire_put_int(wire, 7);
    assert_int_equal(wire_rig_take(fixture, wire), ROUTE_OTHER_ARGUMENTS);
}

/* An index in a label: one text brings many answers. */
static void
labels_tell_indexes(void **state)
{
    struct wire_rig *fixture = wire_rig_start_with(
        state,
        "{\"answer\": [\"/t\", {\"text\": \" \", \"label\": \":\", \"labels\": "
        "{\"send{input}-{mix}\": {\"is\": \"send.level\"}, \"on{input}-{mix}\": {\"is\": "
        "\"send.on\", \"law\": \"switch\"}}}]}",
        ", \"names\": {\"mix\": [\"a\", \"b\", \"c\", \"d\", \"e\", \"f\", \"g\", \"-1\"]}");

    assert_int_equal(take(fixture, "send1-a:-3 send24--1:-7  on2-b:1 send9-z:0 other:5"),
                     ROUTE_TAKEN);
    assert_near(wire_rig_number(fixture, PARAM_SEND_LEVEL, 0, 0), -3, 0);
    assert_near(wire_rig_number(fixture, PARAM_SEND_LEVEL, 23, 7), -7, 0);
    assert_near(wire_rig_number(fixture, PARAM_SEND_ON, 1, 1), 1, 0);
    assert_int_equal(wire_rig_known(fixture), 3);
    assert_int_equal(fixture->answers, 3);
    assert_int_equal(take(fixture, "send9-z:0 other:5"), ROUTE_OTHER_ARGUMENTS);
    assert_int_equal(take(fixture, "send1-a:0 on1-a:maybe send1-b:0"), ROUTE_BAD_VALUE);
    assert_int_equal(wire_rig_known(fixture), 4);
}

/* ---- JSON ---- */

static const char json_entry[] =
    "{\"answer\": [\"/t\", {\"json\": {\"number\": \"{input}\", \"strip/gain\": {\"is\": "
    "\"input.preamp_gain\"}, \"strip/name\": {\"is\": \"input.name\"}, \"strip/mute\": {\"is\": "
    "\"input.mute\", \"law\": \"switch\"}, \"ok\": true}}]}";

static void
leaves_are_found_by_their_paths(void **state)
{
    struct wire_rig *fixture = wire_rig_start(state, json_entry);

    assert_int_equal(take(fixture, "{\"number\": 3, \"ok\": true, \"strip\": {\"gain\": 12.5, "
                                   "\"name\": \"K\\u00e9\", \"mute\": false}, \"x\": [1, {}]}"),
                     ROUTE_TAKEN);
    assert_near(wire_rig_number(fixture, PARAM_INPUT_PREAMP_GAIN, 2, 0), 12.5, 0);
    assert_near(wire_rig_number(fixture, PARAM_INPUT_MUTE, 2, 0), 0, 0);
    assert_int_equal(wire_rig_known(fixture), 3);
    /* texts are read as everywhere, and null says nothing */
    assert_int_equal(take(fixture, "{\"ok\":true,\"strip\":{\"gain\":\"-6 dB\",\"mute\":null},"
                                   "\"number\":\"3\"}"),
                     ROUTE_TAKEN);
    assert_near(wire_rig_number(fixture, PARAM_INPUT_PREAMP_GAIN, 2, 0), -6, 0);
    assert_int_equal(wire_rig_known(fixture), 3);
}

static void
texts_that_are_no_such_json(void **state)
{
    static const struct row rows[] = {
        {"", ROUTE_OTHER_ARGUMENTS},
        {"7", ROUTE_OTHER_ARGUMENTS},
        {"{}", ROUTE_OTHER_ARGUMENTS},
        {"{\"number\": 3, \"ok\": true, \"strip\": {\"gain\": 1}", ROUTE_OTHER_ARGUMENTS},
        {"{\"number\": 3, \"ok\": true, \"strip\": {\"gain\": 1}} x", ROUTE_OTHER_ARGUMENTS},
        {"{\"number\": 3, \"ok\": true, \"strip\": {\"gain\": 1,}}", ROUTE_OTHER_ARGUMENTS},
        {"{\"number\": 3, \"ok\": false, \"strip\": {\"gain\": 1}}", ROUTE_OTHER_ARGUMENTS},
        {"{\"number\": 3, \"strip\": {\"gain\": 1}}", ROUTE_OTHER_ARGUMENTS},
        {"{\"number\": 0, \"ok\": true, \"strip\": {\"gain\": 1}}", ROUTE_OTHER_ARGUMENTS},
        {"{\"number\": 3, \"ok\": true, \"gain\": 1}", ROUTE_OTHER_ARGUMENTS},
        {"{\"number\": 3, \"ok\": true, \"strip\": {\"gain\": 1e999}}", ROUTE_BAD_VALUE},
        {"{\"number\": 3, \"ok\": true, \"strip\": {\"gain\": true}}", ROUTE_TAKEN},
    };
    struct wire_rig *fixture = wire_rig_start(state, json_entry);

    each_is(fixture, rows, COUNT(rows));
}

static void
paths_tell_indexes_and_arrays_are_runs(void **state)
{
    struct wire_rig *fixture = wire_rig_start(
        state, "{\"answer\": [\"/t\", {\"json\": {\"in/{input}/eq/{band}/gain\": {\"is\": "
               "\"input.eq.band.gain\"}, \"in/{input}/eq/{band}/q\": {\"is\": \"input.eq.band.q\"}"
               "}}]}, {\"answer\": [\"/t\", {\"json\": {\"masters\": {\"is\": \"mix.fader\", "
               "\"each\": \"mix\"}}}]}, {\"answer\": [\"/t\", {\"json\": {\"masters/2\": "
               "{\"is\": \"mix.trim\", \"mix\": 3}}}]}");

    assert_int_equal(take(fixture, "{\"in\": {\"2\": {\"eq\": {\"4\": {\"gain\": -3, \"q\": 2}}},"
                                   " \"24\": {\"eq\": {\"1\": {\"gain\": 1}}},"
                                   " \"25\": {\"eq\": {\"1\": {\"gain\": 1}}}}}"),
                     ROUTE_TAKEN);
    assert_near(wire_rig_number(fixture, PARAM_INPUT_EQ_BAND_GAIN, 1, 3), -3, 0);
    assert_near(wire_rig_number(fixture, PARAM_INPUT_EQ_BAND_Q, 1, 3), 2, 0);
    assert_near(wire_rig_number(fixture, PARAM_INPUT_EQ_BAND_GAIN, 23, 0), 1, 0);
    assert_int_equal(wire_rig_known(fixture), 3);
    assert_int_equal(take(fixture, "{\"masters\": [0, -1, -2, -3, -4, -5, -6, \"-inf\"]}"),
                     ROUTE_TAKEN);
    assert_near(wire_rig_number(fixture, PARAM_MIX_FADER, 6, 0), -6, 0);
    assert_near(wire_rig_number(fixture, PARAM_MIX_TRIM, 2, 0), -2, 0);
    assert_int_equal(take(fixture, "{\"masters\": [0, -1, -2]}"), ROUTE_BAD_VALUE);
    assert_int_equal(take(fixture, "{\"masters\": []}"), ROUTE_OTHER_ARGUMENTS);
    assert_int_equal(take(fixture, "{\"masters\": 3}"), ROUTE_OTHER_ARGUMENTS);
}

/* What anybody may send costs no more than it may, and breaks nothing: deep, wide and long. */
static void
hostile_json_is_refused(void **state)
{
    struct wire_rig *fixture = wire_rig_start(state, json_entry);
    char *text = malloc(60001);

    assert_non_null(text);
    memset(text, '[', 60000);
    text[60000] = '\0';
    assert_int_equal(take(fixture, text), ROUTE_OTHER_ARGUMENTS);
    for (size_t i = 0; i < 60000; i++)
        text[i] = i == 0 ? '[' : i == 59999 ? ']' : i % 2 ? '1' : ',';
    text[59998] = ' ';
    assert_int_equal(take(fixture, text), ROUTE_OTHER_ARGUMENTS);
    memset(text, 'a', 60000);
    memcpy(text, "{\"", 2);
    memcpy(text + 59995, "\":1}", 5);
    assert_int_equal(take(fixture, text), ROUTE_OTHER_ARGUMENTS);
    free(text);
}

/* ---- what is wrong with a profile ---- */

static void
labels_are_sound(void **state)
{
    static const struct {
        const char *text, *problem;
    } rows[] = {
        {"{\"text\": \";\", \"labels\": {\"a\": {\"is\": \"desk.scene\"}}}",
         "p: values[0].answer[1].label: is missing; it must be a string"},
        {"{\"text\": \";\", \"label\": \";\", \"labels\": {\"a\": {\"is\": \"desk.scene\"}}}",
         "p: values[0].answer[1].label: must be the one character between a label and its value"},
        {"{\"text\": \";\", \"label\": \"=\", \"labels\": {}}",
         "p: values[0].answer[1].labels: is empty"},
        {"{\"json\": [\"a\"]}", "p: values[0].answer[1].json: is an array, must be an object"},
        {"{\"json\": {\"\": {\"is\": \"desk.scene\"}}}",
         "p: values[0].answer[1].json.: a label is empty"},
        {"{\"json\": {\"a\": {\"json\": {\"b\": 1}}}}",
         "p: values[0].answer[1].json.a: what a label stands for is one value, and neither a run "
         "nor packed"},
        {"{\"text\": \";\", \"label\": \"=\", \"labels\": {\"a\": {\"is\": \"input.mute\", "
         "\"each\": \"input\"}}}",
         "p: values[0].answer[1].labels.a: what a label stands for is one value, and neither a run "
         "nor packed"},
        {"{\"json\": {\"a/{input}\": \"{input}\", \"b/{input}\": {\"is\": \"input.mute\"}}}",
         "p: values[0].answer[1].json.a/{input}: an {index} in a label finds single values alone"},
        {"{\"json\": {\"a/{input}\": {\"is\": \"input.mute\"}, \"b\": {\"is\": \"desk.scene\"}}}",
         "p: values[0]: values that an {index} in a label finds stand in an entry of their own, "
         "each with the same indexes"},
        {"{\"json\": {\"a/{input}\": {\"is\": \"input.mute\"}, \"b/{mix}\": {\"is\": "
         "\"mix.mute\"}}}",
         "p: values[0]: values that an {index} in a label finds stand in an entry of their own, "
         "each with the same indexes"},
        {"{\"json\": {\"a\": {\"is\": \"input.mute\"}}}",
         "p: values[0]: input.mute needs {input} in the address or among the arguments"},
        {"{\"json\": {\"a\": {\"is\": \"desk.scene\"}}}, {\"json\": {\"a\": 1}}",
         "p: values[0].answer[2].json: is the second text with labels in this answer"},
        {"{\"json\": {\"n\": \"{input}\", \"a\": [{\"is\": \"input.mute\"}, {\"is\": "
         "\"input.phantom\"}], \"b\": null}}",
         "p: values[0].answer[1].json.b: is null; allowed are a number, text, true, false, an "
         "{index}, \"*\" or a value"},
        {"{\"json\": {\"n\": \"{input}\", \"a\": [{\"is\": \"input.mute\"}, {\"is\": "
         "\"input.phantom\"}], \"b\": \"*\"}}",
         NULL},
    };

    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        char entry[500];

        snprintf(entry, sizeof entry, "{\"answer\": [\"/t\", %s]}", rows[i].text);
        assert_profile(entry, "", rows[i].problem);
    }
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, wire_rig_make, wire_rig_drop)

int
main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(fields_are_found_by_their_labels),
        TEST(lines_that_are_no_answers),
        TEST(labels_tell_indexes),
        TEST(leaves_are_found_by_their_paths),
        TEST(texts_that_are_no_such_json),
        TEST(paths_tell_indexes_and_arrays_are_runs),
        TEST(hostile_json_is_refused),
        cmocka_unit_test(labels_are_sound),
    };

    return cmocka_run_group_tests_name("unfold_labels", tests, NULL, NULL);
}
