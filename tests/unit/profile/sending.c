/* SPDX-License-Identifier: MIT */
/* The list of what a profile sends beyond questions without arguments at the address that answers.
 */
#include "unit.h"

#include <stdio.h>
#include <string.h>

#include "profile/sending.h"
#include "profiles.h"

#define AT "{\"at\": \"/m/{input}\", \"is\": \"input.mute\"}"

static void
assert_rows(const char *values, const char *more, const char *const *rows)
{
    struct loaded loaded;
    struct sending sending;
    size_t count = 0;

    while (rows[count])
        count++;
    loaded_sound(&loaded, profile_with(values, more));
    sending_of(loaded.profile, &sending);
    assert_int_equal(sending.count, count);
    for (size_t i = 0; i < count; i++)
        assert_string_equal(sending.rows[i], rows[i]);
    sending_release(&sending);
    loaded_release(&loaded);
}

static void
questions_at_their_own_answer_are_not_listed(void **state)
{
    static const char *const nothing[] = {NULL};

    (void)state;
    assert_rows(AT, "", nothing);
    assert_rows("{\"ask\": [\"/m/{input:2}\"], \"answer\": [\"/m/{input:2}\", {\"is\": "
                "\"input.mute\"}]}",
                "", nothing);
    assert_rows("{\"answer\": [\"/m/{input}\", {\"is\": \"input.mute\"}]}", "", nothing);
}

/* Each index where it stands in the question, in that order, with the numbers the desk gives. */
static void
questions_answered_elsewhere_or_with_arguments_are(void **state)
{
    static const struct {
        const char *entry, *row;
    } rows[] = {
        {"{\"ask\": [\"/all/off\"], \"answer\": [\"/m/{input}\", {\"is\": \"input.mute\"}]}",
         "/all/off, asked as needed"},
        {"{\"ask\": [\"/get/{input:3}\"], \"answer\": [\"/m/{input}\", {\"is\": \"input.mute\"}]}",
         "/get/{input:3}, input 1 to 24, asked as needed"},
        {"{\"ask\": [\"/get/{mix}\", \"{input:2}\"], \"first\": 0, \"answer\": [\"/s/{input}\", "
         "\"{mix}\", {\"is\": \"send.level\"}]}",
         "/get/{mix} {input}, mix 0 to 7, input 0 to 23, asked as needed"},
        {"{\"ask\": [\"/get\", \"{band}\", \"{input}\"], \"answer\": [\"/eq\", \"{input}\", "
         "\"{band}\", {\"is\": \"input.eq.band.gain\"}]}",
         "/get {band} {input}, band 1 to 4, input 1 to 24, asked as needed"},
        {"{\"ask\": [\"/m/{input:2}\"], \"this_only_asks\": true, \"answer\": [\"/m/{input}\", "
         "{\"is\": \"input.mute\"}]}",
         "/m/{input:2}, input 1 to 24, asked as needed (the profile says: this only asks)"},
        {"{\"ask\": [\"/get\", 2, 2.5, 3e9, 1.0000000001, -7, \"2\", \"a \\\"b\\n\", true, false], "
         "\"this_only_asks\": true, \"answer\": [\"/m/{input}\", {\"is\": \"input.mute\"}]}",
         "/get 2 2.5 3e+09 1.0 -7 \"2\" \"a \\\"b\\n\" true false, asked as needed (the profile "
         "says: this only asks)"},
    };

    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        const char *const one[] = {rows[i].row, NULL};

        assert_rows(rows[i].entry, "", one);
    }
}

static void
renewals_are_listed_with_their_pace(void **state)
{
    static const char *const rows[] = {
        "/a, every 0.5 s", "/b, every 8 s (each second while the desk is away)",
        "/b, every 8.001 s (each second while the desk is away)",
        "/c \"x\", every 1 s (the profile says: this only asks)", NULL};

    (void)state;
    assert_rows(AT,
                ", \"renew\": [{\"send\": [\"/b\"], \"every_s\": 8}, {\"send\": [\"/b\"], "
                "\"every_s\": 8.001}, {\"send\": [\"/a\"], \"every_s\": 0.5}, {\"send\": [\"/b\"], "
                "\"every_s\": 8}, {\"send\": [\"/c\", \"x\"], \"every_s\": 1, \"this_only_asks\": "
                "true}]",
                rows);
}

/* FIPS 180-4's function, computed by sha256sum over what the list prints. */
static void
hash_is_that_of_the_text(void **state)
{
    struct loaded loaded;
    struct sending sending;

    (void)state;
    loaded_read(&loaded,
                profile_with(AT, ", \"renew\": [{\"send\": [\"/stay\"], \"every_s\": 8}]"));
    assert_non_null(loaded.profile);
    sending_of(loaded.profile, &sending);
    /* printf 'over UDP\n/stay, every 8 s (each second while the desk is away)\n' | sha256sum */
    assert_string_equal(sending.hash,
                        "5dc2d60a6aaf42b76edaaeda1dcce323ded043844b8e6580cca179a3f6da9006");
    sending_release(&sending);
    loaded_release(&loaded);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(questions_at_their_own_answer_are_not_listed),
        cmocka_unit_test(questions_answered_elsewhere_or_with_arguments_are),
        cmocka_unit_test(renewals_are_listed_with_their_pace),
        cmocka_unit_test(hash_is_that_of_the_text),
    };

    return cmocka_run_group_tests_name("sending", tests, NULL, NULL);
}
