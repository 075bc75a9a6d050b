/* SPDX-License-Identifier: MIT */
/* What the board's buttons do: "Seen" is a name beside a finding, "Was meant" is a quieting like any
 * other. A watch over a small desk, on a clock that stands.
 */
#include "watch/press.h"

#include <string.h>

#include "check/check.h"
#include "unit.h"
#include "watch/board_facts.h"
#include "watch/board_finding.h"
#include "watch/board_mix.h"
#include "watch/control.h"
#include "watch/kept.h"
#include "watch/saying.h"
#include "watch/view.h"
#include "watched_rig.h"

enum { SECOND_MS = 1000 };

static const struct finding *
finding_of(struct watched *watched, int check, int mix)
{
    const struct engine *engine = watched->session.engine;
    const struct finding *finding =
        engine_slot(engine, engine_find(engine, check, (struct object){-1, mix}));

    assert_true(finding->told);
    return finding;
}

/* As it is called now, for json_free(). */
static struct json *
named(const struct watched *watched, const struct finding *finding)
{
    const struct standing one = {.finding = finding};

    return board_finding(watched->desk, &one);
}

/* What the button says, pressed on a finding as it is called now. */
static const char *
press(struct watched *watched, enum board_button button, const struct finding *finding,
      const char *who, bool again)
{
    static char error[BOARD_ERROR_SIZE];
    struct json *json = named(watched, finding);
    struct board_press press = {
        .button = button, .finding = json_string_at(json, "id"), .who = who, .again = again};
    const char *said = press_button(watched->desk, &press, error);

    json_free(json);
    return said;
}

/* Whether the board shows it as new, or not seen. */
static bool
is_now(struct watched *watched, const struct finding *finding)
{
    struct json *facts = board_facts(&watched->desk, 1, "boot");
    const struct json *one = json_first_at(json_first_at(facts, "desks"), "now");
    struct json *json = named(watched, finding);
    bool found;

    while (one && strcmp(json_string_at(one, "id"), json_string_at(json, "id")) != 0)
        one = json_next(one);
    found = one != NULL;
    json_free(facts);
    json_free(json);
    return found;
}

static size_t
events_of(const struct watched *watched)
{
    char events[SAYING_EVENTS][SAYING_EVENT_SIZE];

    return saying_events(watched->desk->saying, events);
}

static void
open_test(struct watched *watched)
{
    watched_open(watched);
    watched_pass(watched, 10 * SECOND_MS);
}

static void
seen_has_a_name(void **state)
{
    struct watched test;
    const struct finding *finding;
    const struct noticed_by *by;

    (void)state;
    open_test(&test);
    finding = finding_of(&test, CHECK_MASTER_OFF_UNITY, 0);
    assert_true(is_now(&test, finding));
    assert_string_equal(press(&test, BOARD_SEEN, finding, "", false),
                        "a name is needed, so that the others know who it was");
    assert_non_null(press(&test, BOARD_SEEN, finding, " \xe2\x80\x8b\t", false));
    assert_true(is_now(&test, finding));
    assert_null(press(&test, BOARD_SEEN, finding, "M\x1b[2Jo", false));
    by = noticed_of(kept_noticed(test.desk->kept), finding);
    assert_non_null(by);
    assert_string_equal(by->by, "M?[2Jo");
    assert_int_equal(events_of(&test), 1);
    assert_null(press(&test, BOARD_SEEN, finding, "M?[2Jo", false));
    assert_int_equal(events_of(&test), 1);
    assert_false(is_now(&test, finding));
    watched_close(&test);
}

static void
what_is_over_is_pressed_in_vain(void **state)
{
    static const char *const wrong[] = {"", "master-off-unity", "master-off-unity:0:1:fix:80",
                                        "master-off-unity:0:99:fix:8.0"};
    struct watched test;
    char error[BOARD_ERROR_SIZE];

    (void)state;
    open_test(&test);
    for (size_t i = 0; i < sizeof wrong / sizeof *wrong; i++)
        for (enum board_button button = BOARD_SEEN; button <= BOARD_MEANT; button++) {
            struct board_press press = {.button = button, .finding = wrong[i], .who = "Mo"};

            assert_string_equal(press_button(test.desk, &press, error),
                                "that is over, or has grown worse meanwhile: look again");
        }
    watched_close(&test);
}

static void
meant_is_a_quieting(void **state)
{
    struct watched test;
    const struct finding *finding;
    const struct quiet *quiet;

    (void)state;
    open_test(&test);
    finding = finding_of(&test, CHECK_MASTER_OFF_UNITY, 0);
    assert_non_null(press(&test, BOARD_MEANT, finding, "", false));
    assert_int_equal(watcher_quiets(test.desk->watcher)->count, 0);
    assert_null(press(&test, BOARD_MEANT, finding, "Mo", false));
    assert_int_equal(watcher_quiets(test.desk->watcher)->count, 1);
    quiet = &watcher_quiets(test.desk->watcher)->list[0];
    assert_int_equal(quiet->check, CHECK_MASTER_OFF_UNITY);
    assert_int_equal(quiet->input, -1);
    assert_int_equal(quiet->mix, 0);
    assert_false(quiet->stop_too);
    assert_string_equal(quiet->by, "Mo");
    assert_memory_equal(quiet->why, "was meant at ", 13);
    assert_int_equal(quiet->until_ms - stand_now_ms(test.stand), 12 * 3600 * SECOND_MS);
    assert_false(is_now(&test, finding));
    watched_close(&test);
}

/* Mix 2 becomes ears without a limiter. */
static const struct finding *
take_limiter(struct watched *test)
{
    engine_hear_text(test->session.engine, PARAM_MIX_NAME, 1, 0, "Keys IEM",
                     stand_now_ms(test->stand));
    watched_set(test, PARAM_MIX_LIMITER_ON, 1, 0, 0);
    watched_pass(test, 10 * SECOND_MS);
    return finding_of(test, CHECK_EARS_UNPROTECTED, 1);
}

static void
a_stop_is_meant_twice(void **state)
{
    struct watched test;
    const struct finding *finding;

    (void)state;
    open_test(&test);
    finding = take_limiter(&test);
    assert_int_equal(finding->verdict.weight, WEIGHT_STOP);
    assert_ptr_equal(press(&test, BOARD_MEANT, finding, "Mo", false), BOARD_AGAIN);
    assert_int_equal(watcher_quiets(test.desk->watcher)->count, 0);
    assert_null(press(&test, BOARD_MEANT, finding, "Mo", true));
    assert_true(watcher_quiets(test.desk->watcher)->list[0].stop_too);
    assert_false(is_now(&test, finding));
    watched_close(&test);
}

/* What somebody meant is that it stands so, and not whatever comes after it. */
static void
what_grows_worse_was_not_meant(void **state)
{
    struct watched test;
    const struct finding *finding;

    (void)state;
    open_test(&test);
    finding = finding_of(&test, CHECK_MASTER_OFF_UNITY, 0);
    assert_null(press(&test, BOARD_MEANT, finding, "Mo", false));
    watched_set(&test, PARAM_MIX_FADER, 0, 0, -9);
    watched_pass(&test, 30 * SECOND_MS);
    assert_false(is_now(&test, finding));
    watched_set(&test, PARAM_MIX_FADER, 0, 0, -20);
    watched_pass(&test, 30 * SECOND_MS);
    assert_true(is_now(&test, finding));
    assert_null(press(&test, BOARD_MEANT, finding, "Mo", false));
    assert_false(is_now(&test, finding));
    watched_close(&test);
}

static void
a_stop_that_comes_again_was_not_meant(void **state)
{
    struct watched test;
    const struct finding *finding;

    (void)state;
    open_test(&test);
    finding = take_limiter(&test);
    assert_null(press(&test, BOARD_MEANT, finding, "Mo", true));
    watched_pass(&test, 60 * SECOND_MS);
    assert_false(is_now(&test, finding));
    engine_hear_text(test.session.engine, PARAM_MIX_NAME, 1, 0, "Keys wedge",
                     stand_now_ms(test.stand));
    watched_pass(&test, 60 * SECOND_MS);
    assert_true(watcher_quiets(test.desk->watcher)->list[0].ended);
    assert_true(is_now(&test, take_limiter(&test)));
    watched_close(&test);
}

static void
what_was_meant_is_kept_as_it_stood(void **state)
{
    struct watched test;
    const struct finding *finding;
    struct json *kept;
    struct quiet quiet;

    (void)state;
    open_test(&test);
    finding = finding_of(&test, CHECK_MASTER_OFF_UNITY, 0);
    assert_null(press(&test, BOARD_MEANT, finding, "Mo", false));
    kept = kept_quiets_json(watcher_quiets(test.desk->watcher), stand_now_ms(test.stand));
    quiet = kept_quiet_of(json_first(kept));
    assert_true(quiet.meant);
    assert_near(quiet.up_to, finding->verdict.severity, 1e-9);
    json_free(kept);
    watched_close(&test);
}

/* No more than `gainwarden quiet` may. */
static void
more_quietings_than_there_may_be_are_refused(void **state)
{
    struct quiet other = {.check = CHECK_LEFT_ON, .input = -1, .mix = -1, .until_ms = INT64_MAX};
    struct watched test;
    const char *error;

    (void)state;
    open_test(&test);
    while (quiets_add(watcher_quiets(test.desk->watcher), &other) > 0)
        ;
    error = press(&test, BOARD_MEANT, finding_of(&test, CHECK_MASTER_OFF_UNITY, 0), "Mo", false);
    assert_non_null(error);
    assert_memory_equal(error, "32 quietings run already", 24);
    watched_close(&test);
}

static void
status_says_who_has_seen_it(void **state)
{
    struct watched test;
    struct json *request = json_new_object(), *answer;
    const struct json *one;

    (void)state;
    open_test(&test);
    assert_null(
        press(&test, BOARD_SEEN, finding_of(&test, CHECK_MASTER_OFF_UNITY, 0), "Mo", false));
    json_add_string(request, "do", "status");
    answer = watch_answer(test.desk, request);
    one = json_first_at(answer, "findings");
    while (one && strcmp(json_string_at(one, "check"), "master-off-unity") != 0)
        one = json_next(one);
    assert_non_null(one);
    assert_string_equal(json_string_at(json_get(one, "seen"), "by"), "Mo");
    json_free(answer);
    json_free(request);
    watched_close(&test);
}

static void
the_screen_says_who_has_seen_it(void **state)
{
    struct watched test;
    struct view_desk view;
    size_t i = 0;

    (void)state;
    open_test(&test);
    assert_null(
        press(&test, BOARD_SEEN, finding_of(&test, CHECK_MASTER_OFF_UNITY, 0), "Mo", false));
    watch_desk_view(test.desk, &view);
    while (i < view.finding_count && !strstr(view.findings[i].text, "[master-off-unity]"))
        i++;
    assert_true(i < view.finding_count);
    assert_non_null(strstr(view.findings[i].since, ", seen by Mo"));
    watch_desk_view_free(&view);
    watched_close(&test);
}

/* ---- one mix, opened ---- */

static void
a_mix_tells_its_sends_and_bands(void **state)
{
    struct watched test;
    struct json *mix;
    const struct json *one;

    (void)state;
    open_test(&test);
    watched_tell_gains(&test);
    watched_set(&test, PARAM_MIX_GRAPHIC_ON, 0, 0, 1);
    watched_set(&test, PARAM_SEND_LEVEL, 1, 0, -12);
    watched_pass(&test, SECOND_MS);
    mix = board_mix(test.desk, 1);
    assert_string_equal(json_string_at(mix, "name"), "Gtr wedge");
    assert_string_equal(json_string_at(mix, "kind"), "wedge");
    assert_int_equal(json_size(json_get(mix, "sends")), 2);
    one = json_next(json_first_at(mix, "sends"));
    assert_int_equal((int)json_number_at(one, "input", 0), 2);
    assert_string_equal(json_string_at(one, "level"), "-12 dB");
    assert_false(json_bool_at(one, "closed"));
    assert_string_equal(json_string_at(json_first_at(mix, "equaliser"), "what"),
                        "the equaliser is not known");
    assert_string_equal(json_string_at(json_first_at(mix, "findings"), "check"),
                        "master-off-unity");
    json_free(mix);
    assert_null(board_mix(test.desk, 0));
    assert_null(board_mix(test.desk, 3));
    assert_null(board_mix(test.desk, -5));
    watched_close(&test);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(seen_has_a_name),
        cmocka_unit_test(what_is_over_is_pressed_in_vain),
        cmocka_unit_test(meant_is_a_quieting),
        cmocka_unit_test(a_stop_is_meant_twice),
        cmocka_unit_test(what_grows_worse_was_not_meant),
        cmocka_unit_test(a_stop_that_comes_again_was_not_meant),
        cmocka_unit_test(what_was_meant_is_kept_as_it_stood),
        cmocka_unit_test(more_quietings_than_there_may_be_are_refused),
        cmocka_unit_test(status_says_who_has_seen_it),
        cmocka_unit_test(the_screen_says_who_has_seen_it),
        cmocka_unit_test(a_mix_tells_its_sends_and_bands),
    };

    json_init();
    return cmocka_run_group_tests(tests, NULL, NULL);
}
