/* SPDX-License-Identifier: MIT */
/* Profiles of desks that differ from plain OSC over UDP: what they load to. What is wrong with
 * others: profile_forms_errors.c.
 */
#include "unit.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "profile/profile.h"
#include "profiles.h"

static void
address_is(const struct pattern *pattern, const struct entry *entry, int one, const char *address)
{
    const int indexes[ENTRY_VARIABLES] = {one, 0, 0};
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

static const struct profile *
load_link(void **state, const char *link)
{
    char text[500];

    snprintf(text, sizeof text,
             "{\"profile_format\": 1, \"desk\": \"d\", \"link\": {\"port\": 9, %s},"
             " \"counts\": {\"input\": 2, \"mix\": 2},"
             " \"values\": [{\"at\": \"/m/{input}\", \"is\": \"input.mute\"}]}",
             link);
    return profile_rig_load(state, text);
}

static void
links_of_every_kind(void **state)
{
    static const struct {
        const char *link;
        struct profile_link expected;
    } rows[] = {
        {"\"transport\": \"udp\"", {.transport = TRANSPORT_UDP}},
        {"\"transport\": \"udp\", \"answers_from\": \"same-port\", \"type_tags\": true",
         {.transport = TRANSPORT_UDP}},
        {"\"transport\": \"udp\", \"answers_from\": \"any-port\"", {.any_port = true}},
        {"\"transport\": \"udp\", \"answer_port\": 9101", {.answer_port = 9101}},
        {"\"transport\": \"udp\", \"type_tags\": false", {.untagged = true}},
        {"\"transport\": \"tcp\", \"framing\": \"size\"", {.transport = TRANSPORT_TCP_SIZE}},
        {"\"transport\": \"tcp\", \"framing\": \"slip\", \"type_tags\": false",
         {.transport = TRANSPORT_TCP_SLIP, .untagged = true}},
    };

    for (size_t i = 0; i < COUNT(rows); i++) {
        const struct profile_link *link = &load_link(state, rows[i].link)->link;

        assert_row(rows[i].link, link->transport, rows[i].expected.transport);
        assert_row(rows[i].link, link->port, 9);
        assert_row(rows[i].link, link->any_port, rows[i].expected.any_port);
        assert_row(rows[i].link, link->answer_port, rows[i].expected.answer_port);
        assert_row(rows[i].link, link->untagged, rows[i].expected.untagged);
    }
}

/* The guard lets pass what some answer of the profile needs, and no more. */
static void
forms_are_what_the_answers_need(void **state)
{
    static const struct {
        const char *values;
        bool bare, untyped;
    } rows[] = {
        {"{\"at\": \"/m/{input}\", \"is\": \"input.mute\"}", false, false},
        {"{\"at\": \"m/{input}\", \"is\": \"input.mute\"}", true, false},
        {"{\"ask\": [\"m*\"], \"this_only_asks\": true,"
         " \"answer\": [\"/m/{input}\", {\"is\": \"input.mute\"}]}",
         false, false},
        {"{\"answer\": [\"m\", \"{input}\", {\"is\": \"input.mute\"}]}", true, false},
        {"{\"at\": \"/m/{input}\", \"is\": \"input.mute\", \"untyped\": \"i\"}", false, true},
        {"{\"at\": \"/m/{input}\", \"is\": \"input.mute\", \"untyped\": \"i\"},"
         "{\"at\": \"f{input}\", \"is\": \"input.fader\"}, {\"at\": \"/t/{input}\", \"is\":"
         " \"input.trim\"}",
         true, true},
    };

    for (size_t i = 0; i < COUNT(rows); i++) {
        const struct profile *profile = profile_rig_load(state, profile_with(rows[i].values, ""));

        assert_row(rows[i].values, profile->forms.bare, rows[i].bare);
        assert_row(rows[i].values, profile->forms.untyped, rows[i].untyped);
    }
}

static void
bare_addresses_and_letters_are_kept(void **state)
{
    const struct profile *profile =
        profile_rig_load(state, profile_with("{\"ask\": [\"get?\", \"{input}\"], \"answer\":"
                                             " [\"mute.{input:3}\", {\"is\": \"input.mute\"}],"
                                             " \"untyped\": \"i\"}, {\"at\": \"f-{input}\","
                                             " \"is\": \"input.fader\"}",
                                             ""));

    address_is(&profile->entries[0].ask, &profile->entries[0], 4, "get?");
    address_is(&profile->entries[0].answer, &profile->entries[0], 4, "mute.005");
    assert_string_equal(profile->entries[0].untyped, "i");
    address_is(&profile->entries[1].ask, &profile->entries[1], 23, "f-24");
    assert_null(profile->entries[1].untyped);
    assert_false(profile->entries[1].unfolds);
}

/* A line's fields are elements like others, each of which knows its separator. */
static void
lines_become_elements(void **state)
{
    const struct profile *profile = profile_rig_load(
        state, profile_with("{\"answer\": [\"/l\", \"*\", {\"text\": \";\", \"fields\":"
                            " [\"{mix}\", 7, {\"is\": \"mix.name\"}]}, {\"text\": \" \","
                            " \"fields\": [{\"is\": \"mix.fader\"}, {\"is\":"
                            " \"mix.graphic.band.gain\", \"each\": \"band\", \"range\":"
                            " [-12, 12], \"step\": 0.5}]}]}",
                            ""));
    const struct entry *entry = &profile->entries[0];
    const struct element *elements = entry->answer.elements;

    assert_true(entry->unfolds);
    assert_int_equal(entry->answer.count, 6);
    for (size_t i = 0; i < 6; i++) {
        assert_int_equal(elements[i].separator, "\0;;;  "[i]);
        assert_int_equal(elements[i].goes_on, "001101"[i] - '0');
        assert_int_equal(elements[i].each, i == 5 ? INDEX_MIX_GRAPHIC_BAND : INDEX_NONE);
        assert_int_equal(elements[i].blob, BLOB_NONE);
    }
    assert_near(elements[5].range.most, 12, 0);
    assert_near(elements[5].step, 0.5, 0);
    printed_as(&entry->answer, entry,
               "/l * {mix} 7 <mix.name> <mix.fader> <mix.graphic.band.gain...>");
    assert_int_equal(
        desk_supplied(profile_rig_desk(state, profile_with("{\"answer\": [\"/l\", {\"text\":"
                                                           " \",\", \"fields\": [\"{mix}\","
                                                           " {\"is\": \"mix.fader\"}]}]}",
                                                           "")),
                      PARAM_MIX_FADER),
        SUPPLY_HEARD);
}

static void
blobs_of_every_form(void **state)
{
    static const struct {
        const char *name;
        enum blob_form form;
        bool little_endian;
    } rows[] = {
        {"int16be", BLOB_INT16, false},     {"int16le", BLOB_INT16, true},
        {"int32be", BLOB_INT32, false},     {"int32le", BLOB_INT32, true},
        {"float32be", BLOB_FLOAT32, false}, {"float32le", BLOB_FLOAT32, true},
    };

    for (size_t i = 0; i < COUNT(rows); i++) {
        char values[300];
        const struct entry *entry;

        snprintf(values, sizeof values,
                 "{\"answer\": [\"/b/{input}\", \"x\", {\"blob\": \"%s\", %s\"is\":"
                 " \"input.eq.band.gain\", \"each\": \"band\"}]}",
                 rows[i].name, i % 2 == 0 ? "" : "\"skip\": 12, ");
        entry = &profile_rig_load(state, profile_with(values, ""))->entries[0];
        assert_true(entry->unfolds);
        assert_row(rows[i].name, entry->answer.elements[1].blob, rows[i].form);
        assert_row(rows[i].name, entry->answer.elements[1].little_endian, rows[i].little_endian);
        assert_row(rows[i].name, entry->answer.elements[1].skip, i % 2 == 0 ? 0 : 12);
        assert_row(rows[i].name, entry->answer.elements[1].each, INDEX_INPUT_EQ_BAND);
        assert_row(rows[i].name, entry->answer.elements[1].separator, 0);
        printed_as(&entry->answer, entry, "/b/{input} \"x\" <input.eq.band.gain...>");
    }
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, profile_rig_make, profile_rig_drop)

int
main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(links_of_every_kind),
        TEST(forms_are_what_the_answers_need),
        TEST(bare_addresses_and_letters_are_kept),
        TEST(lines_become_elements),
        TEST(blobs_of_every_form),
    };

    return cmocka_run_group_tests_name("profile_forms", tests, NULL, NULL);
}
