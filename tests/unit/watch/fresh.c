/* SPDX-License-Identifier: MIT */
/* In what order the screen shows what is open: what is newer than a minute, or new since the room
 * changed, before what stood, and within a weight the newest first. A watch over a small desk, on a
 * clock that stands.
 */
#include <stdio.h>
#include <string.h>

#include "base/json.h"
#include "unit.h"
#include "watch/room.h"
#include "watch/view.h"
#include "watched_rig.h"

enum { SECOND_MS = 1000, MINUTE_MS = 60 * SECOND_MS };

static void
lower_second_master(struct watched *test)
{
    watched_set(test, PARAM_MIX_FADER, 1, 0, -9);
}

/* "1! -8 dB, 2 -9 dB": the masters off unity in their order, by mix; with ! for what is fresh. */
static const char *
masters(struct watched *test)
{
    static char text[400];
    struct view_desk view;

    text[0] = '\0';
    watch_desk_view(test->desk, &view);
    for (size_t i = 0; i < view.finding_count; i++) {
        const struct view_finding *finding = &view.findings[i];
        size_t used = strlen(text);

        if (strstr(finding->text, "[master-off-unity]"))
            snprintf(text + used, sizeof text - used, "%s%c%s %s", used > 0 ? ", " : "",
                     finding->text[4], finding->fresh ? "!" : "", finding->figure);
    }
    watch_desk_view_free(&view);
    return text;
}

static void
what_is_new_comes_first_for_a_minute(void **state)
{
    struct watched test;

    (void)state;
    watched_open(&test);
    assert_string_equal(masters(&test), "1 -8 dB"); /* it stood at the beginning */
    watched_pass(&test, 10 * SECOND_MS);
    lower_second_master(&test);
    watched_pass(&test, 10 * SECOND_MS);
    assert_string_equal(masters(&test), "2! -9 dB, 1 -8 dB");
    watched_pass(&test, MINUTE_MS);
    assert_string_equal(masters(&test), "2 -9 dB, 1 -8 dB"); /* the newest first all the same */
    watched_close(&test);
}

static void
what_is_new_since_the_room_changed_stays_first(void **state)
{
    struct watched test;

    (void)state;
    watched_open(&test);
    watched_pass(&test, 10 * SECOND_MS);
    watch_set_room(test.desk, ROOM_SHOW, "by command", 0);
    watched_pass(&test, 2 * MINUTE_MS);
    assert_string_equal(masters(&test), "1 -8 dB");
    lower_second_master(&test);
    watched_pass(&test, 3 * MINUTE_MS);
    assert_string_equal(masters(&test), "2! -9 dB, 1 -8 dB");
    watch_set_room(test.desk, ROOM_DOORS, "by command", 0);
    watched_pass(&test, SECOND_MS);
    assert_string_equal(masters(&test), "2 -9 dB, 1 -8 dB");
    watched_close(&test);
}

/* What stood, and is worse now, is news; since when it stands is told all the same. */
static void
what_grew_worse_is_news(void **state)
{
    struct watched test;
    struct view_desk view;

    (void)state;
    watched_open(&test);
    watched_pass(&test, 10 * SECOND_MS);
    lower_second_master(&test);
    watched_pass(&test, 2 * MINUTE_MS);
    assert_string_equal(masters(&test), "2 -9 dB, 1 -8 dB");
    watched_set(&test, PARAM_MIX_FADER, 0, 0, -20);
    watched_pass(&test, 20 * SECOND_MS);
    assert_string_equal(masters(&test), "1! -20 dB, 2 -9 dB");
    watch_desk_view(test.desk, &view);
    assert_string_equal(view.findings[0].since, "2 min 30 s, worse 17 s ago");
    watch_desk_view_free(&view);
    watched_pass(&test, MINUTE_MS);
    assert_string_equal(masters(&test), "1 -20 dB, 2 -9 dB");
    watched_close(&test);
}

static void
what_is_held_back_is_no_news(void **state)
{
    struct watched test;

    (void)state;
    watched_open(&test);
    watch_set_room(test.desk, ROOM_LINE_CHECK, "by command", 0);
    watched_pass(&test, 10 * SECOND_MS);
    lower_second_master(&test);
    watched_pass(&test, 10 * SECOND_MS);
    assert_string_equal(masters(&test), "2 -9 dB, 1 -8 dB");
    watched_close(&test);
}

/* What leapt up, and what protected, stands before what came later and weighs as much. */
static void
what_is_urgent_comes_first(void **state)
{
    struct watched test;
    struct view_desk view;

    (void)state;
    watched_open(&test);
    watched_tell_gains(&test);
    watched_set(&test, PARAM_SEND_LEVEL, 0, 1, -20);
    watched_pass(&test, 2 * MINUTE_MS);
    watched_set(&test, PARAM_SEND_LEVEL, 0, 1, 6);
    watched_pass(&test, 2 * SECOND_MS);
    lower_second_master(&test);
    watched_pass(&test, 10 * SECOND_MS);
    watch_desk_view(test.desk, &view);
    assert_true(view.finding_count >= 2);
    assert_non_null(strstr(view.findings[0].text, "[value-jumped]"));
    assert_non_null(strstr(view.findings[1].text, "[master-off-unity]"));
    assert_int_equal(view.findings[0].weight, view.findings[1].weight);
    assert_true(view.findings[1].fresh);
    watch_desk_view_free(&view);
    watched_close(&test);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_new_comes_first_for_a_minute),
        cmocka_unit_test(what_is_new_since_the_room_changed_stays_first),
        cmocka_unit_test(what_grew_worse_is_news),
        cmocka_unit_test(what_is_held_back_is_no_news),
        cmocka_unit_test(what_is_urgent_comes_first),
    };

    json_init();
    return cmocka_run_group_tests(tests, NULL, NULL);
}
