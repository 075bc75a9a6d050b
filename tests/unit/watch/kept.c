/* SPDX-License-Identifier: MIT */
/* The kept file as a crash, a full disk, another version or an ill-willed hand may leave it: cut at
 * every byte, with a byte another one, with figures and names that no watch wrote. Whatever is
 * in it, a watch begins, and what it then keeps reads back the same.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "check/check.h"
#include "files.h"
#include "kept_rig.h"
#include "unit.h"

#define HEADER "{\"keep_format\":1}\n"

struct kept_test {
    struct kept_rig rig;
    struct profile *profile;
    char folder[FILE_PATH_SIZE];
};

static int
open_test(void **state)
{
    struct kept_test *test = calloc(1, sizeof *test);
    struct problems problems = {0};

    test->profile = profile_load(KEPT_PROFILE, NULL, &problems);
    assert_non_null(test->profile);
    problems_release(&problems);
    file_make_directory(test->folder);
    kept_rig_open(&test->rig, test->profile, test->folder);
    *state = test;
    return 0;
}

static int
close_test(void **state)
{
    struct kept_test *test = *state;

    kept_rig_clear(&test->rig);
    kept_rig_close(&test->rig);
    file_remove(test->folder);
    profile_free(test->profile);
    free(test);
    return 0;
}

#define KEPT_TEST(name) cmocka_unit_test_setup_teardown(name, open_test, close_test)

static const char whole[] = HEADER
    "{\"told\":[{\"check\":\"master-off-unity\",\"mix\":1,\"weight\":\"fix\",\"severity\":8,"
    "\"since_s\":1800000000,\"says\":\"it was so\",\"do\":\"do so\"},"
    "{\"check\":\"value-jumped\",\"input\":1,\"weight\":\"fix\",\"severity\":12,"
    "\"since_s\":1800000000,\"says\":\"it leapt\",\"do\":\"back\"}],"
    "\"jumps\":[{\"is\":\"input.preamp_gain\",\"row\":1,\"column\":1,\"from\":-12,\"to\":0,"
    "\"gap_s\":0.1,\"ago_s\":3},{\"is\":\"input.fader\",\"row\":2,\"column\":1,\"to\":5,"
    "\"gap_s\":0,\"ago_s\":1}],\"messages\":[{\"id\":\"a\",\"weight\":\"fix\",\"text\":\"t\"}],"
    "\"at_s\":1800000010}\n"
    "{\"room\":{\"is\":\"changeover\",\"before\":\"show\",\"until_s\":1800000900,"
    "\"left_s\":880},\"quiets\":[{\"number\":1,\"check\":\"left-on\",\"player\":\"\","
    "\"stop_too\":false,\"meant\":3,\"why\":\"w\",\"by\":\"b\",\"until_s\":1800000500,\"left_s\":"
    "480}],"
    "\"at_s\":1800000020}\n"
    "{\"ended\":[\"a\"],\"at_s\":1800000030}\n";

static size_t
count_of(const struct json *snapshot, const char *key)
{
    return (size_t)json_size(json_get(snapshot, key));
}

/* Begins, and `again` with what that one kept: the second tells nothing anew. */
static void
begin_with(struct kept_rig *rig, bool again)
{
    struct json *one, *other;

    if (kept_rig_start(rig) && again) {
        kept_rig_pass(rig, 1000);
        one = kept_snapshot(rig->desk.kept);
        kept_rig_stop(rig);
        assert_true(kept_rig_start(rig));
        other = kept_snapshot(rig->desk.kept);
        assert_int_equal(count_of(one, "told"), count_of(other, "told"));
        assert_int_equal(count_of(one, "quiets"), count_of(other, "quiets"));
        assert_int_equal(count_of(one, "jumps"), count_of(other, "jumps"));
        json_free(one);
        json_free(other);
    }
    kept_rig_stop(rig);
    kept_rig_clear(rig);
}

static void
cut_at_every_byte(void **state)
{
    struct kept_test *test = *state;

    for (size_t length = 0; length < sizeof whole; length++) {
        kept_rig_write(&test->rig, whole, length);
        begin_with(&test->rig, length % 8 == 0);
    }
}

static void
some_byte_another_one(void **state)
{
    struct kept_test *test = *state;
    struct dice dice = dice_new();
    char bytes[sizeof whole];

    for (size_t at = (size_t)dice_below(&dice, 3); at < sizeof whole - 1; at += 3) {
        memcpy(bytes, whole, sizeof whole);
        bytes[at] = (char)(bytes[at] ^ (1 + dice_below(&dice, 255)));
        kept_rig_write(&test->rig, bytes, sizeof whole - 1);
        begin_with(&test->rig, at % 8 == 0);
    }
}

static void
start_with(struct kept_rig *rig, const char *record)
{
    char text[4000];

    snprintf(text, sizeof text, HEADER "%s\n", record);
    kept_rig_write(rig, text, strlen(text));
    assert_true(kept_rig_start(rig));
}

/* Figures from beyond, and names that a newer version may know. */
static void
what_no_watch_wrote_is_left_out(void **state)
{
    static const char *const records[] = {
        "{\"told\":[{\"check\":\"of-a-newer-version\",\"mix\":1,\"weight\":\"fix\"}]}",
        "{\"told\":[{\"check\":\"master-off-unity\",\"mix\":1e308,\"weight\":\"fix\"}]}",
        "{\"told\":[{\"check\":\"master-off-unity\",\"mix\":-1,\"weight\":\"stop\"}]}",
        "{\"told\":[{\"check\":\"master-off-unity\",\"mix\":1,\"weight\":\"worst\"}]}",
        "{\"told\":[{\"check\":\"left-on\",\"input\":1,\"weight\":\"fix\"}]}",
        "{\"told\":{},\"untold\":7,\"messages\":\"\",\"ended\":null,\"room\":[],\"quiets\":true,"
        "\"jumps\":0,\"at_s\":\"now\",\"stopped\":[]}",
        "{\"told\":[7,null,\"\",[]],\"untold\":[{}],\"messages\":[1],\"ended\":[1],\"quiets\":[1],"
        "\"jumps\":[1]}",
        "{\"room\":{\"is\":\"bar\",\"before\":7,\"until_s\":-1e300,\"left_s\":1e300}}",
        "{\"jumps\":[{\"is\":\"input.preamp_gain\",\"row\":1,\"column\":1,\"from\":-1e300,"
        "\"to\":1e300,\"ago_s\":-1e300,\"gap_s\":1e300}]}",
        "{\"jumps\":[{\"is\":\"of a newer version\",\"row\":1,\"column\":1,\"to\":3}]}",
    };
    struct kept_test *test = *state;
    size_t jumps;

    for (size_t i = 0; i < sizeof records / sizeof *records; i++) {
        start_with(&test->rig, records[i]);
        for (size_t slot = 0; slot < engine_slots(test->rig.session.engine); slot++)
            assert_true(engine_slot(test->rig.session.engine, slot)->verdict.severity < 1000);
        moves_jumps(engine_moves(test->rig.session.engine), &jumps);
        assert_int_equal(jumps, 0);
        kept_rig_stop(&test->rig);
        kept_rig_clear(&test->rig);
    }
}

static int64_t
left_of_quiet(struct kept_rig *rig, const char *end)
{
    char record[400];
    int64_t left_ms;

    snprintf(record, sizeof record,
             "{\"quiets\":[{\"number\":1,\"mix\":1,\"why\":\"w\",%s}],\"at_s\":1}", end);
    start_with(rig, record);
    left_ms = watcher_quiets(rig->desk.watcher)->list[0].until_ms - stand_now_ms(rig->stand);
    kept_rig_stop(rig);
    kept_rig_clear(rig);
    return left_ms;
}

/* Whichever ends it sooner; and never longer than may be asked for. */
static void
what_is_left_is_the_least_of_all(void **state)
{
    struct kept_test *test = *state;
    struct kept_rig *rig = &test->rig;

    assert_int_equal(left_of_quiet(rig, "\"until_s\":9e9,\"left_s\":5"), 5000);
    assert_true(left_of_quiet(rig, "\"until_s\":1e9,\"left_s\":5") < 0);
    assert_true(left_of_quiet(rig, "\"until_s\":9e9,\"left_s\":-5") < 0);
    assert_true(left_of_quiet(rig, "\"until_s\":1e300,\"left_s\":1e300") <=
                (int64_t)EARLIER_LONGEST_S * 1000);
    assert_true(left_of_quiet(rig, "\"left_s\":5") < 0); /* no end that a watch wrote */
    assert_true(left_of_quiet(rig, "\"until_s\":9e9") <= 0);
}

/* Restarts beyond the length at which it is made anew: then it is as long as what is known. */
static void
it_does_not_grow(void **state)
{
    enum { RESTARTS = 60, BEFORE = 5200 };
    static const char ended[] = "{\"ended\":[\"an identity of forty characters long\"]}\n";
    struct kept_test *test = *state;
    size_t most = 0, length = 0;
    char *text = malloc(sizeof whole + BEFORE * sizeof ended);

    assert_non_null(text);
    strcpy(text, whole);
    for (int i = 0; i < BEFORE; i++)
        strcpy(text + sizeof whole - 1 + (size_t)i * (sizeof ended - 1), ended);
    kept_rig_write(&test->rig, text, strlen(text));
    free(text);
    for (int i = 0; i < RESTARTS; i++) {
        assert_true(kept_rig_start(&test->rig));
        kept_stopped(test->rig.desk.kept);
        kept_room(test->rig.desk.kept);
        kept_quiets(test->rig.desk.kept);
        kept_commit(test->rig.desk.kept);
        kept_rig_stop(&test->rig);
        length = file_length(test->rig.path);
        most = length > most ? length : most;
    }
    print_message("%d restarts: the file was %zu bytes at most, and is %zu\n", RESTARTS, most,
                  length);
    assert_true(most < 2 * 256 * 1024);
    assert_true(length < 64 * 1024);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        KEPT_TEST(cut_at_every_byte),
        KEPT_TEST(some_byte_another_one),
        KEPT_TEST(what_no_watch_wrote_is_left_out),
        KEPT_TEST(what_is_left_is_the_least_of_all),
        KEPT_TEST(it_does_not_grow),
    };

    return cmocka_run_group_tests_name("kept", tests, NULL, NULL);
}
