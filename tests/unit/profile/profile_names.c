/* SPDX-License-Identifier: MIT */
/* Names in place of numbers, indexes inside texts, and values of one object alone: what is wrong
 * with them, what goes out, and what is shown of it.
 */
#include "unit.h"

#include <stdio.h>
#include <string.h>

#include "osc/check.h"
#include "profile/sending.h"
#include "profile/wording.h"
#include "profiles.h"

#define GROUPS ", \"names\": {\"group\": [\"red\", -7, \"a b\", \"x/1\"]}"
#define FADERS "\"is\": \"group.fader\"}"

struct row {
    const char *values, *more, *problem;
};

static void
each_is_told(const struct row *rows, size_t count)
{
    for (size_t i = 0; i < count; i++)
        assert_profile(rows[i].values, rows[i].more, rows[i].problem);
}

static void
names_are_one_for_each(void **state)
{
    static const char value[] = "{\"ask\": [\"/get\", \"{group}\"], \"this_only_asks\": true, "
                                "\"answer\": [\"/is\", \"{group}\", {" FADERS "]}";
    static const struct row rows[] = {
        {value, GROUPS, NULL},
        {value, ", \"names\": {\"group\": [\"a\", \"b\", \"c\"]}",
         "p: names.group: must be an array of 4, as counts.group says"},
        {value, ", \"names\": {\"group\": \"abcd\"}",
         "p: names.group: must be an array of 4, as counts.group says"},
        {value, ", \"names\": {\"groups\": []}",
         "p: names.groups: unknown index, did you mean \"group\"?"},
        {value, ", \"names\": {\"group\": [\"a\", \"b\", 1.5, \"c\"]}",
         "p: names.group[2]: must be a text of 1 to 63 bytes, or a whole number of 32 bits"},
        {value, ", \"names\": {\"group\": [\"a\", \"\", 1, \"c\"]}",
         "p: names.group[1]: must be a text of 1 to 63 bytes, or a whole number of 32 bits"},
        {value, ", \"names\": {\"group\": [\"a\", 2147483648, 1, \"c\"]}",
         "p: names.group[1]: must be a text of 1 to 63 bytes, or a whole number of 32 bits"},
        {value, ", \"names\": {\"group\": [\"a\", \"1\", 1, \"c\"]}",
         "p: names.group[2]: the same name stands twice"},
        {value, ", \"first\": {\"group\": 0}, \"names\": {\"group\": [\"a\", 2, 1, \"c\"]}",
         "p: names.group: stands beside first.group; give one of them"},
    };

    (void)state;
    each_is_told(rows, COUNT(rows));
}

static void
names_in_addresses_keep_them_addresses(void **state)
{
    static const struct {
        const char *name, *why;
    } rows[] = {
        {"a b", "it holds a character that may not stand there"},
        {"a*", "it holds a character that may not stand there"},
        {"{a}", "it holds a character that may not stand there"},
        {"a,i", "it holds a character that may not stand there"},
        {"%41", "it holds a character that may not stand there"},
        {"\xc3\xa4", "it holds a character that may not stand there"},
        {"..", "a segment of it is empty or nothing but dots"},
        {"a/../b", "a segment of it is empty or nothing but dots"},
        {"/a", "a segment of it is empty or nothing but dots"},
        {"a/", "a segment of it is empty or nothing but dots"},
        {"a//b", "a segment of it is empty or nothing but dots"},
        {"a/b.c", NULL},
        {"-3", NULL},
        {"+a=b:c", NULL},
    };

    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        char more[200], problem[200];

        snprintf(more, sizeof more, ", \"names\": {\"group\": [\"A\", \"B\", \"%s\", \"C\"]}",
                 rows[i].name);
        snprintf(problem, sizeof problem, "p: values[0].at: names.group[2] is put in, but %s",
                 rows[i].why ? rows[i].why : "");
        assert_profile("{\"at\": \"/{group}/f\", " FADERS, more, rows[i].why ? problem : NULL);
    }
    /* what is no name was told, and is put in nowhere */
    assert_profile(
        "{\"at\": \"/{group}/f\", " FADERS,
        ", \"names\": {\"group\": [\"a\", \"b\", [\"c\"], \"d\"]}",
        "p: names.group[2]: must be a text of 1 to 63 bytes, or a whole number of 32 bits");
}

static void
indexes_in_texts_are_known(void **state)
{
    static const struct row rows[] = {
        {"{\"ask\": [\"/get\", \"/in/{inputs}/gain\"], \"this_only_asks\": true, \"answer\": "
         "[\"/m/{input}\", {\"is\": \"input.mute\"}]}",
         "", "p: values[0].ask[1]: unknown index {inputs}, did you mean \"input\"?"},
        {"{\"ask\": [\"/get\", \"in {input}\"], \"this_only_asks\": true, \"answer\": [\"/m\", "
         "{\"is\": \"desk.scene\"}]}",
         "",
         "p: values[0]: the question's {input} does not come back in the answer, so nobody could "
         "tell whose it is"},
        /* braces of JSON are text */
        {"{\"ask\": [\"/get\", \"{\\\"in\\\":{input},\\\"m\\\":1}\"], \"this_only_asks\": true, "
         "\"answer\": [\"/m/{input}\", {\"is\": \"input.mute\"}]}",
         "", NULL},
        {"{\"ask\": [\"/get\", \"{\\\"m\\\":1}\"], \"this_only_asks\": true, \"answer\": "
         "[\"/m/{input}\", {\"is\": \"input.mute\"}]}",
         "", NULL},
        {"{\"ask\": [\"/get\", \"{group:2}x\"], \"this_only_asks\": true, \"answer\": "
         "[\"/g\", \"{group}\", {" FADERS "]}",
         GROUPS, "p: values[0].ask[1]: {group:2} wants digits, but inputs and the like have names"},
    };

    (void)state;
    each_is_told(rows, COUNT(rows));
}

/* What carries a name, or a text with an index in it, may say anything. */
static void
names_and_texts_are_more_than_indexes(void **state)
{
    static const char more[] =
        "p: values[0].ask: carries more than indexes; on many desks that is a move. If this desk "
        "only answers it, say \"this_only_asks\": true";
    static const struct row rows[] = {
        {"{\"ask\": [\"/get\", \"{group}\"], \"answer\": [\"/is\", \"{group}\", {" FADERS "]}", "",
         NULL},
        {"{\"ask\": [\"/get\", \"{group}\"], \"answer\": [\"/is\", \"{group}\", {" FADERS "]}",
         GROUPS, more},
        {"{\"ask\": [\"/get\", \"g {group}\"], \"answer\": [\"/is\", \"{group}\", {" FADERS "]}",
         "", more},
    };

    (void)state;
    each_is_told(rows, COUNT(rows));
}

/* An address with a name in it may be any that a name could make of it. */
static void
names_may_reach_what_answers(void **state)
{
    static const char names[] = ", \"names\": {\"group\": [\"A\", \"B\", \"C/f\", \"-5\"]}";
    static const struct row rows[] = {
        {"{\"ask\": [\"/g/{group}\", \"{group}\"], \"this_only_asks\": true, \"answer\": "
         "[\"/is\", \"{group}\", {" FADERS "]}",
         names,
         "p: values[0].ask: carries an argument to an address with a sign before a number, which a "
         "desk may read as another address; only a plain one is sent arguments"},
        {"{\"ask\": [\"/g/{group}\"], \"answer\": [\"/is\", \"{group}\", {" FADERS "]}, "
         "{\"at\": \"/g/C/f\", \"group\": 1, " FADERS,
         names,
         "p: values[0].ask: may reach an address that values[1] answers from; on many desks that "
         "is a move. If this desk only answers it, say \"this_only_asks\": true"},
        {"{\"ask\": [\"/g/0{group}\"], \"answer\": [\"/is\", \"{group}\", {" FADERS "]}, "
         "{\"at\": \"/g/5\", \"group\": 1, " FADERS,
         ", \"names\": {\"group\": [\"A\", \"B\", \"C\", \"5\"]}",
         "p: values[0].ask: may reach an address that values[1] answers from; on many desks that "
         "is a move. If this desk only answers it, say \"this_only_asks\": true"},
    };

    (void)state;
    each_is_told(rows, COUNT(rows));
}

static void
one_object_alone(void **state)
{
    static const struct row rows[] = {
        {"{\"at\": \"/f\", \"group\": 4, " FADERS, "", NULL},
        {"{\"at\": \"/f/{input}\", \"is\": \"send.level\", \"mix\": 8}", "", NULL},
        {"{\"at\": \"/f/{input}\", \"is\": \"input.eq.band.gain\", \"band\": 4}", "", NULL},
        {"{\"at\": \"/f\", \"is\": \"send.level\", \"mix\": 8, \"each\": \"input\"}", "", NULL},
        {"{\"at\": \"/f\", \"group\": 5, " FADERS, "",
         "p: values[0].group: must be a whole number from 1 to 4"},
        {"{\"at\": \"/f\", \"group\": 0, " FADERS, "",
         "p: values[0].group: must be a whole number from 1 to 4"},
        {"{\"at\": \"/f\", \"group\": \"red\", " FADERS, "",
         "p: values[0].group: is a string, must be a number"},
        {"{\"at\": \"/f\", \"mix\": 1, \"group\": 1, " FADERS, "",
         "p: values[0].mix: group.fader has no index \"mix\""},
        {"{\"at\": \"/f/{group}\", \"group\": 2, " FADERS, "",
         "p: values[0]: \"group\": 2 stands beside {group}; a value is of one group alone, or of "
         "each"},
        {"{\"at\": \"/f\", \"each\": \"group\", \"group\": 2, " FADERS, "",
         "p: values[0]: \"group\": 2 stands beside \"each\": \"group\"; a value is of one group "
         "alone, or of each"},
        {"{\"at\": \"/f\", \"is\": \"send.level\", \"mix\": 8}", "",
         "p: values[0]: send.level needs {input} and {mix} in the address or among the arguments"},
    };

    (void)state;
    each_is_told(rows, COUNT(rows));
}

/* ---- what goes out ---- */

static void
assert_list(const char *values, const char *more, const char *row, const char *names)
{
    struct loaded loaded;
    struct sending sending;

    loaded_sound(&loaded, profile_with(values, more));
    sending_of(loaded.profile, &sending);
    assert_int_equal(sending.count, names ? 2 : 1);
    assert_string_equal(sending.rows[0], row);
    if (names)
        assert_string_equal(sending.rows[1], names);
    sending_release(&sending);
    loaded_release(&loaded);
}

/* Every name, so that what is agreed to is what is sent; an index that travels in a text is told
 * from one that is an argument. */
static void
lists_show_every_name(void **state)
{
    (void)state;
    assert_list("{\"ask\": [\"/get\", \"{group}\", \"is {group}\\n\"], \"this_only_asks\": true, "
                "\"answer\": [\"/is\", \"{group}\", {" FADERS "]}",
                GROUPS,
                "/get {group} \"is {group}\\n\", group by name, asked as needed (the profile says: "
                "this only asks)",
                "group by name: \"red\" -7 \"a b\" \"x/1\"");
    assert_list("{\"ask\": [\"/get\", \"{group:2} of {input}\"], \"this_only_asks\": true, "
                "\"answer\": [\"/is/{input}\", \"{group}\", {\"is\": \"input.group\"}]}",
                ", \"first\": {\"group\": 0}",
                "/get \"{group:2} of {input}\", group 0 to 3, input 1 to 24, asked as needed "
                "(the profile says: this only asks)",
                NULL);
    /* nothing that is listed is asked by name */
    assert_list("{\"at\": \"/f/{group}\", " FADERS ", {\"ask\": [\"/mutes\"], \"answer\": [\"/m\", "
                "{\"is\": \"input.mute\", \"each\": \"input\"}]}",
                ", \"names\": {\"group\": [\"a\", \"b\", \"c\", \"d\"]}", "/mutes, asked as needed",
                NULL);
}

/* The bytes, as OSC 1.0 writes them (M. Wright, 2002): a name travels as what it is. */
static void
names_are_sent_as_they_are(void **state)
{
    static const struct {
        int index;
        const char *types, *text; /* of the first argument, where it is a text */
        double number;
        const char *wording;
    } rows[] = {{0, ",ss", "red", 0, "is red!"},
                {1, ",is", NULL, -7, "is -7!"},
                {3, ",ss", "x/1", 0, "is x/1!"}};
    struct loaded loaded;
    const struct entry *entry;

    (void)state;
    loaded_sound(&loaded, profile_with("{\"ask\": [\"/get\", \"{group}\", \"is {group}!\"], "
                                       "\"this_only_asks\": true, \"answer\": [\"/is\", "
                                       "\"{group}\", {" FADERS "]}",
                                       GROUPS));
    entry = &loaded.profile->entries[0];
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct argument arguments[OSC_ARGUMENTS];
        int indexes[ENTRY_VARIABLES] = {rows[i].index};

        wording_arguments(loaded.profile, &entry->ask, entry, indexes, arguments);
        assert_int_equal(arguments[0].type, rows[i].types[1]);
        if (rows[i].text)
            assert_string_equal(arguments[0].text, rows[i].text);
        else
            assert_true(arguments[0].number == rows[i].number);
        assert_string_equal(arguments[1].text, rows[i].wording);
        wording_free_arguments(&entry->ask, arguments);
    }
    loaded_release(&loaded);
}

/* ---- what comes in ---- */

/* The group and the input that the text says, -1 each where it is no such text. */
static void
assert_read(const struct profile *profile, const char *text, int group, int input)
{
    const struct entry *entry = &profile->entries[0];
    const struct element *element = &entry->answer.elements[0];
    int indexes[ENTRY_VARIABLES] = {-1, -1, -1};
    bool matches = wording_match(element->pieces, element->piece_count, entry, &profile->counts,
                                 text, indexes);

    if (matches != (group >= 0))
        print_error("%s\n", text);
    assert_int_equal(matches, group >= 0);
    if (matches) {
        assert_int_equal(indexes[0], group);
        assert_int_equal(indexes[1], input);
    }
}

static void
texts_are_taken_apart(void **state)
{
    struct loaded loaded;

    (void)state;
    loaded_sound(&loaded, profile_with("{\"answer\": [\"/is\", \"{group}{input:2}/{group}\", "
                                       "{\"is\": \"input.group\"}]}",
                                       ", \"names\": {\"group\": [\"a\", \"ab\", \"a0\", -4]}"));
    assert_read(loaded.profile, "a01/a", 0, 0);
    assert_read(loaded.profile, "ab24/ab", 1, 23);
    assert_read(loaded.profile, "a024/a0", 2, 23); /* not group a, input 02, then "4" */
    assert_read(loaded.profile, "-407/-4", 3, 6);
    assert_read(loaded.profile, "a01/ab", -1, -1); /* two groups */
    assert_read(loaded.profile, "a1/a", -1, -1);   /* one digit */
    assert_read(loaded.profile, "a001/a", -1, -1);
    assert_read(loaded.profile, "a25/a", -1, -1); /* no such input */
    assert_read(loaded.profile, "a00/a", -1, -1);
    assert_read(loaded.profile, "a01/a ", -1, -1);
    assert_read(loaded.profile, "c01/c", -1, -1);
    assert_read(loaded.profile, "", -1, -1);
    loaded_release(&loaded);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(names_are_one_for_each),
        cmocka_unit_test(names_in_addresses_keep_them_addresses),
        cmocka_unit_test(indexes_in_texts_are_known),
        cmocka_unit_test(names_and_texts_are_more_than_indexes),
        cmocka_unit_test(names_may_reach_what_answers),
        cmocka_unit_test(one_object_alone),
        cmocka_unit_test(lists_show_every_name),
        cmocka_unit_test(names_are_sent_as_they_are),
        cmocka_unit_test(texts_are_taken_apart),
    };

    return cmocka_run_group_tests_name("profile_names", tests, NULL, NULL);
}
