/* SPDX-License-Identifier: MIT */
/* What the board is given of a desk: what is new or not seen yet, a tile a mix, what changed since it
 * was set up. A watch over a small desk, on a clock that stands.
 */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "unit.h"
#include "watch/board_facts.h"
#include "watch/board_finding.h"
#include "watch/desk.h"
#include "watch/kept.h"
#include "watch/room.h"
#include "watched_rig.h"

enum { SECOND_MS = 1000, MINUTE_MS = 60 * SECOND_MS };

struct facts_test {
    struct watched watched;
    struct json *facts; /* as of the last look */
};

/* The desk as the board has it now. */
static const struct json *
look(struct facts_test *test)
{
    json_free(test->facts);
    test->facts = board_facts(&test->watched.desk, 1, "boot");
    return json_first_at(test->facts, "desks");
}

static void
begin(struct facts_test *test)
{
    test->facts = NULL;
    watched_open(&test->watched);
    watched_pass(&test->watched, 10 * SECOND_MS);
    look(test);
}

static void
end(struct facts_test *test)
{
    json_free(test->facts);
    watched_close(&test->watched);
}

/* The one of a list whose member is that; NULL: there is none. */
static const struct json *
with(const struct json *json, const char *list, const char *key, const char *value)
{
    const struct json *one = json_first_at(json, list);

    while (one && strcmp(json_string_at(one, key), value) != 0)
        one = json_next(one);
    return one;
}

static const struct json *
tile(const struct json *desk, int mix)
{
    const struct json *one = json_first_at(desk, "tiles");

    while (one && (int)json_number_at(one, "mix", 0) != mix)
        one = json_next(one);
    return one;
}

static void
assert_says(const struct json *json, const char *key, const char *text)
{
    assert_non_null(json);
    assert_string_equal(json_string_at(json, key), text);
}

/* Input 1 leaps in mix 2, from where the desk was set up. */
static void
leap(struct facts_test *test)
{
    watched_tell_gains(&test->watched);
    watched_set(&test->watched, PARAM_SEND_LEVEL, 0, 1, -20);
    watched_pass(&test->watched, MINUTE_MS);
    watch_set_room(test->watched.desk, ROOM_CHANGEOVER, "by command", 0);
    watch_set_room(test->watched.desk, ROOM_SHOW, "by command", 0); /* as it stands is set up */
    watched_pass(&test->watched, SECOND_MS);
    look(test);
    watched_set(&test->watched, PARAM_SEND_LEVEL, 0, 1, 6);
    watched_pass(&test->watched, 2 * SECOND_MS);
}

static void
what_stands_is_shown_until_somebody_has_seen_it(void **state)
{
    struct facts_test test;
    const struct finding *finding;
    const struct json *desk, *one;

    (void)state;
    begin(&test);
    desk = look(&test);
    one = with(desk, "now", "check", "master-off-unity");
    assert_says(one, "weight", "fix");
    assert_says(one, "figure", "-8 dB");
    assert_says(one, "arrow", "down");
    assert_says(one, "where", "mix 1 Gtr wedge");
    assert_false(json_bool_at(one, "fresh"));
    assert_int_equal(json_kind(json_get(one, "seen")), JSON_NULL);
    finding = board_finding_find(test.watched.desk, json_string_at(one, "id"));
    assert_non_null(finding);
    kept_notice(test.watched.desk->kept, finding, "Mo");
    desk = look(&test);
    assert_null(with(desk, "now", "check", "master-off-unity"));
    assert_says(tile(desk, 1), "word", "fix 1"); /* it stands all the same */
    end(&test);
}

static void
what_grows_worse_was_not_seen(void **state)
{
    struct facts_test test;
    const struct finding *finding;
    const struct json *one;
    char id[120];

    (void)state;
    begin(&test);
    one = with(look(&test), "now", "check", "master-off-unity");
    finding = board_finding_find(test.watched.desk, json_string_at(one, "id"));
    snprintf(id, sizeof id, "%s", json_string_at(one, "id"));
    kept_notice(test.watched.desk->kept, finding, "Mo");
    watched_pass(&test.watched, 2 * MINUTE_MS);
    assert_null(with(look(&test), "now", "check", "master-off-unity"));
    watched_set(&test.watched, PARAM_MIX_FADER, 0, 0, -20);
    watched_pass(&test.watched, 20 * SECOND_MS);
    one = with(look(&test), "now", "check", "master-off-unity");
    assert_says(one, "figure", "-20 dB");
    assert_int_equal(json_kind(json_get(one, "seen")), JSON_NULL);
    assert_null(board_finding_find(test.watched.desk, id)); /* it is another one now */
    end(&test);
}

static void
what_is_seen_stays_there_while_it_is_new(void **state)
{
    struct facts_test test;
    const struct json *desk, *one;

    (void)state;
    begin(&test);
    leap(&test);
    one = with(look(&test), "now", "check", "value-jumped");
    assert_non_null(one);
    kept_notice(test.watched.desk->kept,
                board_finding_find(test.watched.desk, json_string_at(one, "id")), "Mo");
    desk = look(&test);
    one = with(desk, "now", "check", "value-jumped");
    assert_true(json_bool_at(one, "fresh"));
    assert_says(json_get(one, "seen"), "by", "Mo");
    end(&test);
}

static void
a_leap_is_told_with_what_puts_it_right(void **state)
{
    struct facts_test test;
    const struct json *desk, *one;

    (void)state;
    begin(&test);
    leap(&test);
    desk = look(&test);
    one = json_first_at(desk, "now"); /* the newest first */
    assert_says(one, "check", "value-jumped");
    assert_says(one, "figure", "+26 dB");
    assert_says(one, "arrow", "up");
    assert_says(one, "cure", "Put it back to -20.");
    assert_int_equal((int)json_number_at(one, "mix", 0), 2);
    assert_says(tile(desk, 2), "word", "JUMP");
    assert_says(tile(desk, 2), "arrow", "up");
    one = json_first_at(desk, "changed");
    assert_says(one, "what", "input 1: send into mix 2 Keys wedge -20 dB -> 6 dB");
    assert_says(one, "now", "open, put it back to -20");
    assert_says(one, "arrow", "up");
    end(&test);
}

static void
what_is_back_says_how_long_it_lasted(void **state)
{
    struct facts_test test;
    const struct json *desk;

    (void)state;
    begin(&test);
    leap(&test);
    look(&test);
    watched_pass(&test.watched, 10 * SECOND_MS);
    watched_set(&test.watched, PARAM_SEND_LEVEL, 0, 1, -20);
    watched_pass(&test.watched, 2 * MINUTE_MS);
    desk = look(&test);
    assert_null(with(desk, "now", "check", "value-jumped"));
    assert_true(strcmp(json_string_at(tile(desk, 2), "word"), "JUMP") != 0);
    assert_string_equal(json_string_at(json_first_at(desk, "changed"), "what"),
                        "input 1: send into mix 2 Keys wedge -20 dB -> 6 dB");
    assert_memory_equal(json_string_at(json_first_at(desk, "changed"), "now"), "ended after 1", 13);
    end(&test);
}

/* Silence moves nothing: what was another stays so, and no tile goes away. */
static void
a_silent_desk_changes_nothing(void **state)
{
    struct facts_test test;
    const struct json *desk;
    int tiles;

    (void)state;
    begin(&test);
    leap(&test);
    desk = look(&test);
    tiles = json_size(json_get(desk, "tiles"));
    assert_int_equal(tiles, 2);
    engine_expire(test.watched.session.engine, INT64_MAX);
    watched_pass(&test.watched, 10 * SECOND_MS);
    desk = look(&test);
    assert_int_equal(json_size(json_get(desk, "tiles")), tiles);
    assert_true(json_bool_at(with(desk, "now", "check", "value-jumped"), "stale"));
    assert_says(json_first_at(desk, "changed"), "what",
                "input 1: send into mix 2 Keys wedge -20 dB -> 6 dB");
    end(&test);
}

static void
what_is_quieted_is_not_now(void **state)
{
    struct quiet quiet = {
        .check = CHECK_MASTER_OFF_UNITY, .input = -1, .mix = 0, .until_ms = INT64_MAX};
    struct facts_test test;
    const struct json *desk;

    (void)state;
    begin(&test);
    strcpy(quiet.why, "re-patching");
    quiet.until_ms = stand_now_ms(test.watched.stand) + 20 * MINUTE_MS;
    quiets_add(watcher_quiets(test.watched.desk->watcher), &quiet);
    desk = look(&test);
    assert_null(with(desk, "now", "check", "master-off-unity"));
    assert_int_equal(json_size(json_get(desk, "held")), 1);
    assert_memory_equal(json_string(json_first_at(desk, "held")),
                        "1 fix, held back by quieting 1 (re-patching) until ", 51);
    end(&test);
}

static void
what_hands_moved_is_counted_since_something_was_told(void **state)
{
    struct facts_test test;
    const struct json *quiet;

    (void)state;
    begin(&test);
    leap(&test);
    quiet = json_get(look(&test), "quiet");
    assert_int_equal((int)json_number_at(quiet, "by_hand", -1), 0); /* it was told */
    watched_set(&test.watched, PARAM_SEND_LEVEL, 0, 1, -20);
    watched_pass(&test.watched, MINUTE_MS); /* that it is over is told, too */
    watched_set(&test.watched, PARAM_SEND_LEVEL, 0, 0, -2);
    watched_pass(&test.watched, 2 * SECOND_MS);
    quiet = json_get(look(&test), "quiet");
    assert_int_equal((int)json_number_at(quiet, "by_hand", -1), 1);
    assert_true(json_number_at(quiet, "for_s", 0) > 30);
    end(&test);
}

static void
a_room_is_told_once(void **state)
{
    struct facts_test test;
    const struct json *told;

    (void)state;
    begin(&test);
    watch_set_room(test.watched.desk, ROOM_SHOW, "by command", 0);
    told = json_first_at(look(&test), "told");
    assert_string_equal(json_string_at(told, "says"),
                        "room doors -> show (by command): notes are held back");
    assert_memory_equal(json_string_at(json_next(told), "says"), "watching: ", 10);
    end(&test);
}

/* What was said of it a moment ago is not said of what it has become. */
static void
what_is_new_says_how_it_is_now(void **state)
{
    struct facts_test test;

    (void)state;
    begin(&test);
    watched_set(&test.watched, PARAM_MIX_FADER, 1, 0, -9);
    watched_pass(&test.watched, 5 * SECOND_MS);
    assert_true(json_bool_at(json_first_at(look(&test), "now"), "fresh"));
    assert_says(json_first_at(look(&test), "now"), "figure", "-9 dB");
    watched_set(&test.watched, PARAM_MIX_FADER, 1, 0, -20);
    watched_pass(&test.watched, 100);
    assert_says(json_first_at(look(&test), "now"), "figure", "-20 dB");
    end(&test);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_stands_is_shown_until_somebody_has_seen_it),
        cmocka_unit_test(what_grows_worse_was_not_seen),
        cmocka_unit_test(what_is_seen_stays_there_while_it_is_new),
        cmocka_unit_test(a_leap_is_told_with_what_puts_it_right),
        cmocka_unit_test(what_is_back_says_how_long_it_lasted),
        cmocka_unit_test(a_silent_desk_changes_nothing),
        cmocka_unit_test(what_is_quieted_is_not_now),
        cmocka_unit_test(what_hands_moved_is_counted_since_something_was_told),
        cmocka_unit_test(a_room_is_told_once),
        cmocka_unit_test(what_is_new_says_how_it_is_now),
    };

    json_init();
    return cmocka_run_group_tests(tests, NULL, NULL);
}
