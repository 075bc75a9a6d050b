/* SPDX-License-Identifier: MIT */
/* What somebody has seen stays seen over a crash, and lapses when the finding closes or grows worse,
 * also when that is known from the kept file alone; what was told lately outlasts a crash, too.
 * Whatever a hand wrote into the file, no name that cannot be read comes out of it.
 */
#include "watch/noticed.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "check/check.h"
#include "files.h"
#include "kept_rig.h"
#include "unit.h"

#define HEADER "{\"keep_format\":1}\n"

enum { SECOND_MS = 1000 };

struct noticed_test {
    struct kept_rig rig;
    struct profile *profile;
    char folder[FILE_PATH_SIZE];
};

static int
open_test(void **state)
{
    struct noticed_test *test = calloc(1, sizeof *test);
    struct problems problems = {0};

    test->profile = profile_load(KEPT_PROFILE, NULL, &problems);
    assert_non_null(test->profile);
    file_make_directory(test->folder);
    kept_rig_open(&test->rig, test->profile, test->folder);
    *state = test;
    return 0;
}

static int
close_test(void **state)
{
    struct noticed_test *test = *state;

    kept_rig_stop(&test->rig);
    kept_rig_clear(&test->rig);
    kept_rig_close(&test->rig);
    file_remove(test->folder);
    profile_free(test->profile);
    free(test);
    return 0;
}

#define NOTICED_TEST(name) cmocka_unit_test_setup_teardown(name, open_test, close_test)

/* Of the master of mix 1, which is off unity. */
static const struct finding *
finding_of(struct kept_rig *rig)
{
    const struct engine *engine = rig->session.engine;

    return engine_slot(engine, engine_find(engine, CHECK_MASTER_OFF_UNITY, (struct object){-1, 0}));
}

static const char *
seen_by(struct kept_rig *rig)
{
    const struct noticed_by *by = noticed_of(kept_noticed(rig->desk.kept), finding_of(rig));

    return by ? by->by : "nobody";
}

/* It has stood for a minute, and Mo has seen it. */
static void
notice(struct kept_rig *rig)
{
    assert_true(kept_rig_start(rig));
    engine_hear(rig->session.engine, PARAM_SEND_ON, 0, 0, 1, stand_now_ms(rig->stand));
    for (int i = 0; i < 60; i++)
        kept_rig_pass(rig, SECOND_MS);
    assert_true(finding_of(rig)->told);
    assert_string_equal(seen_by(rig), "nobody");
    kept_notice(rig->desk.kept, finding_of(rig), "Mo");
    kept_commit(rig->desk.kept);
    assert_string_equal(seen_by(rig), "Mo");
}

static void
restart(struct kept_rig *rig)
{
    kept_rig_stop(rig);
    assert_true(kept_rig_start(rig));
}

static void
move_master(struct kept_rig *rig, double db)
{
    engine_hear(rig->session.engine, PARAM_MIX_FADER, 0, 0, db, stand_now_ms(rig->stand));
    for (int i = 0; i < 60; i++)
        kept_rig_pass(rig, SECOND_MS);
}

static void
it_stays_seen_over_a_crash(void **state)
{
    struct kept_rig *rig = &((struct noticed_test *)*state)->rig;

    notice(rig);
    for (int i = 0; i < 3; i++)
        restart(rig);
    assert_string_equal(seen_by(rig), "Mo");
}

static void
worse_is_not_seen(void **state)
{
    struct kept_rig *rig = &((struct noticed_test *)*state)->rig;

    notice(rig);
    move_master(rig, -20);
    assert_string_equal(seen_by(rig), "nobody");
    restart(rig);
    assert_string_equal(seen_by(rig), "nobody");
}

static void
what_closed_is_news_when_it_opens_again(void **state)
{
    struct kept_rig *rig = &((struct noticed_test *)*state)->rig;

    notice(rig);
    move_master(rig, 0);
    assert_false(finding_of(rig)->told);
    move_master(rig, -8);
    assert_true(finding_of(rig)->told);
    assert_string_equal(seen_by(rig), "nobody");
}

/* What an earlier watch wrote counts, where nothing worse was told since. */
static const char *
seen_in(struct kept_rig *rig, const char *told, const char *seen)
{
    char text[1200];
    int length = snprintf(
        text, sizeof text,
        HEADER "{\"told\":[{\"check\":\"master-off-unity\",\"mix\":1,\"weight\":\"fix\",%s,"
               "\"says\":\"so\",\"do\":\"so\"}],\"seen\":[{\"check\":\"master-off-unity\","
               "\"mix\":1,%s}],\"at_s\":1800000010}\n",
        told, seen);

    if (rig->session.engine)
        kept_rig_stop(rig);
    kept_rig_write(rig, text, (size_t)length);
    assert_true(kept_rig_start(rig));
    return seen_by(rig);
}

static void
the_file_says_what_was_seen(void **state)
{
    static const char told[] = "\"severity\":8,\"since_s\":1800000000";
    struct kept_rig *rig = &((struct noticed_test *)*state)->rig;

#define SEEN "\"weight\":\"fix\",\"severity\":8,\"at_s\":1800000005,"
    assert_string_equal(seen_in(rig, told, SEEN "\"by\":\"Mo\""), "Mo");
    assert_string_equal(seen_in(rig, told, SEEN "\"by\":\"a\\u0007b\\u202ec\""), "a?b?c");
    assert_string_equal(seen_in(rig, told, SEEN "\"by\":\" \\u200b \""), "nobody");
    assert_string_equal(seen_in(rig, told, SEEN "\"by\":7"), "nobody");
    assert_int_equal(
        strlen(seen_in(rig, told,
                       SEEN "\"by\":\"a name that goes on and on and on, with many more words "
                            "than anybody types on a tablet\"")),
        SHOW_NAME_SIZE - 1);
    /* told after that, or as worse */
    assert_string_equal(seen_in(rig, "\"severity\":8,\"since_s\":1800000006", SEEN "\"by\":\"Mo\""),
                        "nobody");
    assert_string_equal(seen_in(rig, "\"severity\":9,\"since_s\":1800000000", SEEN "\"by\":\"Mo\""),
                        "nobody");
#undef SEEN
    assert_string_equal(seen_in(rig, told,
                                "\"weight\":\"note\",\"severity\":8,"
                                "\"at_s\":1800000005,\"by\":\"Mo\""),
                        "nobody");
    assert_string_equal(seen_in(rig, told,
                                "\"weight\":\"fix\",\"severity\":8,\"at_s\":1e300,"
                                "\"by\":\"Mo\""),
                        "nobody");
}

static void
what_was_told_lately_outlasts_a_crash(void **state)
{
    struct kept_rig *rig = &((struct noticed_test *)*state)->rig;
    char line[40];

    assert_true(kept_rig_start(rig));
    for (int i = 0; i < 2 * LATELY_KEPT; i++) {
        snprintf(line, sizeof line, "line %d", i);
        kept_say(rig->desk.kept, line);
        kept_commit(rig->desk.kept);
    }
    restart(rig);
    for (size_t back = 0; back < LATELY_KEPT; back++) {
        const struct lately_line *one = lately_at(kept_lately(rig->desk.kept), back);

        snprintf(line, sizeof line, "line %d", 2 * LATELY_KEPT - 1 - (int)back);
        assert_non_null(one);
        assert_string_equal(one->says, line);
    }
    assert_null(lately_at(kept_lately(rig->desk.kept), LATELY_KEPT));
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        NOTICED_TEST(it_stays_seen_over_a_crash),
        NOTICED_TEST(worse_is_not_seen),
        NOTICED_TEST(what_closed_is_news_when_it_opens_again),
        NOTICED_TEST(the_file_says_what_was_seen),
        NOTICED_TEST(what_was_told_lately_outlasts_a_crash),
    };

    json_init();
    return cmocka_run_group_tests(tests, NULL, NULL);
}
