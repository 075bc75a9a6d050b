/* SPDX-License-Identifier: MIT */
/* Profiles that are sound: what they load to. What is wrong with others: profile_errors.c. */
#include "unit.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "profile/profile.h"
#include "profiles.h"

/* The example of the profile's description. */
static const char example[] =
    "{\n"
    "  \"profile_format\": 1,\n"
    "  \"desk\": \"Example desk, values answer at their own address\",\n"
    "  \"link\": { \"transport\": \"udp\", \"port\": 9100 },\n"
    "  \"pace\": { \"in_flight\": 64, \"per_second\": 4000, \"answer_within_ms\": 300 },\n"
    "  \"renew\": [ { \"send\": [\"/stay\"], \"every_s\": 8 } ],\n"
    "  \"counts\": { \"input\": 24, \"mix\": 8, \"input.eq.band\": 4, \"mix.graphic.band\": 31 },\n"
    "  \"laws\": {\n"
    "    \"head\":   { \"line\":  [[0, -4], [1, 56]] },\n"
    "    \"fader\":  { \"line\":  [[0, \"-inf\"], [0.04, -70], [0.35, -25], [0.7, 0], [1, 10]] "
    "},\n"
    "    \"corner\": { \"ratio\": [[0, 16], [1, 500]] },\n"
    "    \"switch\": { \"words\": [[0, false], [1, true]] }\n"
    "  },\n"
    "  \"values\": [\n"
    "    { \"at\": \"/in/{input:2}/head/gain\", \"is\": \"input.preamp_gain\", \"law\": \"head\" "
    "},\n"
    "    { \"at\": \"/in/{input:2}/to/{mix}/level\", \"is\": \"send.level\", \"law\": \"fader\" "
    "},\n"
    "    { \"ask\": [\"/get/eq\", \"{input}\", \"{band}\"],\n"
    "      \"answer\": [\"/eq\", \"{input}\", \"{band}\",\n"
    "                 { \"is\": \"input.eq.band.freq\" }, { \"is\": \"input.eq.band.gain\" },\n"
    "                 { \"is\": \"input.eq.band.q\" }] }\n"
    "  ],\n"
    "  \"fixed\": { \"send.tap\": \"pre-fader\" }\n"
    "}\n";

static void
address_is(const struct pattern *pattern, const struct entry *entry, int one, int other,
           const char *address)
{
    const int indexes[ENTRY_VARIABLES] = {one, other, 0};
    char buffer[100];

    assert_int_equal(pattern_address(pattern, entry, indexes, buffer, sizeof buffer),
                     strlen(address));
    assert_string_equal(buffer, address);
}

static void
printed_as(const struct pattern *pattern, const struct entry *entry, const char *words)
{
    char *text = NULL;
    size_t size = 0;
    FILE *to = open_memstream(&text, &size);

    assert_non_null(to);
    pattern_print(pattern, entry, to);
    fclose(to);
    assert_string_equal(text, words);
    free(text);
}

static void
example_loads(void **state)
{
    const struct profile *profile = profile_rig_load(state, example);

    assert_string_equal(profile->desk, "Example desk, values answer at their own address");
    assert_int_equal(profile->link.port, 9100);
    assert_int_equal(profile->pace.in_flight, 64);
    assert_near(profile->pace.per_second, 4000, 0);
    assert_int_equal(profile->pace.answer_within_ms, 300);
    assert_int_equal(profile->counts.of[INDEX_INPUT], 24);
    assert_int_equal(profile->counts.of[INDEX_MIX], 8);
    assert_int_equal(profile->counts.of[INDEX_GROUP], 0);
    assert_int_equal(profile->counts.of[INDEX_INPUT_EQ_BAND], 4);
    assert_int_equal(profile->counts.of[INDEX_MIX_GRAPHIC_BAND], 31);
    assert_int_equal(profile->renewal_count, 1);
    assert_near(profile->renewals[0].every_s, 8, 0);
    assert_int_equal(profile->fixed_count, 1);
    assert_int_equal(profile->fixed[0].param, PARAM_SEND_TAP);
    assert_near(profile->fixed[0].number, TAP_PRE_FADER, 0);
    assert_int_equal(profile->entry_count, 3);
}

static void
at_asks_and_answers_at_one_address(void **state)
{
    const struct profile *profile = profile_rig_load(state, example);
    const struct entry *entry = &profile->entries[0];

    assert_true(entry->asks);
    assert_false(entry->this_only_asks);
    assert_int_equal(entry->ask.count, 0);
    assert_int_equal(entry->answer.count, 1);
    assert_int_equal(entry->answer.elements[0].param, PARAM_INPUT_PREAMP_GAIN);
    assert_int_equal(entry->variable_count, 1);
    assert_int_equal(entry->asked_count, 1);
    assert_int_equal(entry_places(profile, entry, 1), 24);
    address_is(&entry->ask, entry, 0, 0, "/in/01/head/gain");
    address_is(&entry->answer, entry, 23, 0, "/in/24/head/gain");
    printed_as(&entry->ask, entry, "/in/{input:2}/head/gain");
    printed_as(&entry->answer, entry, "/in/{input:2}/head/gain <input.preamp_gain>");
}

static void
two_indexes_make_a_grid(void **state)
{
    const struct profile *profile = profile_rig_load(state, example);
    const struct entry *entry = &profile->entries[1];

    assert_int_equal(entry_places(profile, entry, 2), 24 * 8);
    assert_int_equal(entry_places(profile, entry, 1), 24);
    assert_int_equal(entry_places(profile, entry, 0), 1);
    address_is(&entry->answer, entry, 2, 7, "/in/03/to/8/level");
    for (size_t place = 0; place < 24 * 8; place++) {
        int indexes[ENTRY_VARIABLES];

        entry_indexes(profile, entry, 2, place, indexes);
        assert_in_range(indexes[0], 0, 23);
        assert_in_range(indexes[1], 0, 7);
        assert_int_equal(entry_place(profile, entry, 2, indexes), place);
    }
}

static void
question_and_answer_may_differ(void **state)
{
    const struct profile *profile = profile_rig_load(state, example);
    const struct entry *entry = &profile->entries[2];

    assert_int_equal(entry->variable_count, 2);
    assert_int_equal(entry->asked_count, 2);
    assert_int_equal(entry->variables[0].kind, INDEX_INPUT);
    assert_int_equal(entry->variables[1].kind, INDEX_INPUT_EQ_BAND);
    address_is(&entry->ask, entry, 0, 0, "/get/eq");
    address_is(&entry->answer, entry, 0, 0, "/eq");
    assert_int_equal(entry->answer.count, 5);
    assert_int_equal(entry->answer.elements[0].kind, ELEMENT_INDEX);
    assert_int_equal(entry->answer.elements[3].param, PARAM_INPUT_EQ_BAND_GAIN);
    printed_as(&entry->ask, entry, "/get/eq {input} {band}");
    printed_as(&entry->answer, entry,
               "/eq {input} {band} <input.eq.band.freq> <input.eq.band.gain> <input.eq.band.q>");
}

static void
too_long_addresses_are_measured(void **state)
{
    const struct profile *profile = profile_rig_load(state, example);
    const int indexes[ENTRY_VARIABLES] = {0};
    char buffer[6];

    assert_int_equal(pattern_address(&profile->entries[0].answer, &profile->entries[0], indexes,
                                     buffer, sizeof buffer),
                     strlen("/in/01/head/gain"));
    assert_string_equal(buffer, "/in/0");
}

static void
desk_is_supplied_as_the_profile_says(void **state)
{
    struct desk *desk = profile_rig_desk(state, example);
    struct travel travel;

    assert_int_equal(desk_supplied(desk, PARAM_INPUT_PREAMP_GAIN), SUPPLY_HEARD);
    assert_int_equal(desk_supplied(desk, PARAM_SEND_LEVEL), SUPPLY_HEARD);
    assert_int_equal(desk_supplied(desk, PARAM_INPUT_EQ_BAND_Q), SUPPLY_HEARD);
    assert_int_equal(desk_supplied(desk, PARAM_SEND_TAP), SUPPLY_FIXED);
    assert_int_equal(desk_supplied(desk, PARAM_SEND_ON), SUPPLY_ABSENT);
    assert_int_equal(desk_supplied(desk, PARAM_INPUT_MUTE), SUPPLY_NONE);
    assert_int_equal(desk_value(desk, PARAM_INPUT_PREAMP_GAIN, 23, 0)->state, VALUE_UNKNOWN);
    assert_int_equal(desk_value(desk, PARAM_SEND_TAP, 23, 7)->state, VALUE_KNOWN);
    assert_near(value_last_heard(desk_value(desk, PARAM_SEND_TAP, 23, 7)), TAP_PRE_FADER, 0);
    travel = desk_travel(desk, PARAM_INPUT_PREAMP_GAIN);
    assert_near(travel.least, -4, 0);
    assert_near(travel.most, 56, 0);
    travel = desk_travel(desk, PARAM_SEND_LEVEL);
    assert_near(travel.least, -70, 0);
    assert_near(travel.most, 10, 0);
}

static void
range_of_an_entry_is_the_travel(void **state)
{
    struct desk *desk = profile_rig_desk(
        state, profile_with("{\"at\": \"/g/{mix}/{band}\", \"is\": \"mix.graphic.band.gain\","
                            " \"range\": [-15, 15]}",
                            ""));
    struct travel travel = desk_travel(desk, PARAM_MIX_GRAPHIC_BAND_GAIN);

    assert_near(travel.least, -15, 0);
    assert_near(travel.most, 15, 0);
}

/* Mix 8 alone has its own address, and another fader: nobody may be told that a fader goes to +10
 * that ends at 0, nor that it stops where it does not. */
static void
end_stops_that_differ_are_not_known(void **state)
{
    static const struct {
        const char *range;
        double least;
    } rows[] = {{"", NAN}, {", \"range\": [-70, 0]", NAN}, {", \"range\": [-70, 10]", -70}};

    for (size_t i = 0; i < COUNT(rows); i++) {
        char entries[400];
        struct travel travel;

        snprintf(entries, sizeof entries,
                 "{\"at\": \"/mix/{mix}/trim\", \"is\": \"mix.trim\", \"range\": [-70, 10], "
                 "\"step\": 0.5}, {\"at\": \"/main\", \"is\": \"mix.trim\", \"mix\": 8, \"step\": "
                 "0.1%s}",
                 rows[i].range);
        travel = desk_travel(profile_rig_desk(state, profile_with(entries, "")), PARAM_MIX_TRIM);
        assert_true(travel.least == rows[i].least || (isnan(travel.least) && isnan(rows[i].least)));
        assert_near(desk_step(((struct profile_rig *)*state)->desk, PARAM_MIX_TRIM), 0.5, 0);
    }
}

static void
first_numbers_can_be_zero(void **state)
{
    const struct profile *profile = profile_rig_load(
        state, profile_with("{\"at\": \"/a/{input}/{mix}\", \"is\": \"send.on\"},"
                            "{\"at\": \"/b/{input}\", \"is\": \"input.mute\", \"first\": 0}",
                            ", \"first\": {\"mix\": 0}"));

    address_is(&profile->entries[0].ask, &profile->entries[0], 0, 0, "/a/1/0");
    address_is(&profile->entries[1].ask, &profile->entries[1], 0, 0, "/b/0");
}

static void
answer_alone_is_never_asked(void **state)
{
    const struct profile *profile = profile_rig_load(
        state,
        profile_with("{\"answer\": [\"/pushed\", \"{input}\", {\"is\": \"input.mute\"}]}", ""));

    assert_false(profile->entries[0].asks);
    assert_int_equal(profile->entries[0].asked_count, 0);
    assert_int_equal(profile->entries[0].variable_count, 1);
}

static void
one_question_brings_many_answers(void **state)
{
    const struct profile *profile = profile_rig_load(
        state, profile_with("{\"ask\": [\"/in/*/mute\"], \"this_only_asks\": true,"
                            " \"answer\": [\"/in/{input}/mute\", {\"is\": \"input.mute\"}]}",
                            ""));

    assert_int_equal(profile->entries[0].asked_count, 0);
    assert_int_equal(entry_places(profile, &profile->entries[0], 0), 1);
    assert_int_equal(entry_places(profile, &profile->entries[0], 1), 24);
    printed_as(&profile->entries[0].ask, &profile->entries[0], "/in/*/mute");
}

static void
runs_literals_and_gaps_are_read(void **state)
{
    const struct profile *profile = profile_rig_load(
        state, profile_with("{\"ask\": [\"/geq\", \"{mix}\", \"all\", 3, -1.5, true],"
                            " \"this_only_asks\": true,"
                            " \"answer\": [\"/geq/{mix}\", \"gains\", \"*\", false,"
                            " {\"is\": \"mix.graphic.band.gain\", \"each\": \"band\"}]}",
                            ""));
    const struct entry *entry = &profile->entries[0];

    printed_as(&entry->ask, entry, "/geq {mix} \"all\" 3 -1.5 true");
    printed_as(&entry->answer, entry, "/geq/{mix} \"gains\" * false <mix.graphic.band.gain...>");
    assert_int_equal(entry->ask.elements[2].literal.type, 'i');
    assert_int_equal(entry->ask.elements[3].literal.type, 'f');
    assert_int_equal(entry->ask.elements[4].literal.type, 'T');
    assert_int_equal(entry->answer.elements[3].each, INDEX_MIX_GRAPHIC_BAND);
}

static void
pace_has_presets(void **state)
{
    static const char one[] = "{\"at\": \"/m/{input}\", \"is\": \"input.mute\"}";
    const struct profile *profile = profile_rig_load(state, profile_with(one, ""));

    assert_int_equal(profile->pace.in_flight, 64);
    assert_near(profile->pace.per_second, 4000, 0);
    assert_int_equal(profile->pace.answer_within_ms, 300);
    assert_true(profile->pace.tries >= 1);
    assert_true(profile->pace.stale_after_s > profile->pace.reread_every_s);
    profile = profile_rig_load(state, profile_with(one, ", \"pace\": {\"reread_every_s\": 20}"));
    assert_near(profile->pace.stale_after_s, 60, 0); /* three readings missed */
}

static void
fixed_values_of_every_kind(void **state)
{
    struct desk *desk = profile_rig_desk(
        state, profile_with("{\"at\": \"/g/{input}\", \"is\": \"input.preamp_gain\"}",
                            ", \"fixed\": {\"input.mute\": false, \"mix.fader\": -3.5,"
                            " \"input.fader\": \"-inf\", \"mix.eq.band.shape\": \"notch\"}"));

    assert_near(value_last_heard(desk_value(desk, PARAM_INPUT_MUTE, 5, 0)), 0, 0);
    assert_near(value_last_heard(desk_value(desk, PARAM_MIX_FADER, 7, 0)), -3.5, 0);
    assert_near(value_last_heard(desk_value(desk, PARAM_INPUT_FADER, 0, 0)), -HUGE_VAL, 0);
    assert_near(value_last_heard(desk_value(desk, PARAM_MIX_EQ_BAND_SHAPE, 7, 3)), SHAPE_NOTCH, 0);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, profile_rig_make, profile_rig_drop)

int
main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(example_loads),
        TEST(at_asks_and_answers_at_one_address),
        TEST(two_indexes_make_a_grid),
        TEST(question_and_answer_may_differ),
        TEST(too_long_addresses_are_measured),
        TEST(desk_is_supplied_as_the_profile_says),
        TEST(range_of_an_entry_is_the_travel),
        TEST(end_stops_that_differ_are_not_known),
        TEST(first_numbers_can_be_zero),
        TEST(answer_alone_is_never_asked),
        TEST(one_question_brings_many_answers),
        TEST(runs_literals_and_gaps_are_read),
        TEST(pace_has_presets),
        TEST(fixed_values_of_every_kind),
    };

    return cmocka_run_group_tests_name("profile", tests, NULL, NULL);
}
