/* SPDX-License-Identifier: MIT */
/* In what order the screen shows what is open: what is newer than a minute, or new since the room
 * changed, before what stood, and within a weight the newest first. A watch over a small desk, on a
 * clock that stands.
 */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/json.h"
#include "loop/stand.h"
#include "unit.h"
#include "watch/desk.h"
#include "watch/handles.h"
#include "watch/replay.h"
#include "watch/room.h"
#include "watch/view.h"

enum { SECOND_MS = 1000, MINUTE_MS = 60 * SECOND_MS };

static const char first_line[] =
    "{\"link\":\"steady\",\"reading\":{\"questions\":2,\"asked\":2,\"heard\":2,\"asked_again\":0,"
    "\"never_came\":0,\"took_ms\":4}}";

struct fresh_test {
    struct stand *stand;
    struct watch_shared shared;
    struct watch_past past;
    struct options options;
    struct session session;
    struct watch_desk *desk;
};

static void
ignore(void *context)
{
    (void)context;
}

static void
pass(struct fresh_test *test, int64_t ms)
{
    int64_t end_ms = stand_now_ms(test->stand) + ms;

    while (stand_next_ms(test->stand) <= end_ms) {
        stand_move(test->stand, stand_next_ms(test->stand), stand_next_ms(test->stand));
        stand_fire(test->stand);
        watch_desk_before_sleep(test->desk);
    }
    stand_move(test->stand, end_ms, end_ms);
    watch_desk_before_sleep(test->desk);
}

static void
set(struct fresh_test *test, enum param_id id, int row, int column, double number)
{
    engine_hear(test->session.engine, id, row, column, number, stand_now_ms(test->stand));
}

/* Both mixes are wedges that input 1 is sent into; the master of mix 1 is off unity from the
 * beginning. */
static void
set_up(struct fresh_test *test)
{
    const struct desk *model = engine_desk(test->session.engine);

    for (int mix = 0; mix < desk_count(model, INDEX_MIX); mix++) {
        engine_hear_text(test->session.engine, PARAM_MIX_NAME, mix, 0,
                         mix == 0 ? "Gtr wedge" : "Keys wedge", 0);
        set(test, PARAM_MIX_MUTE, mix, 0, 0);
        set(test, PARAM_MIX_FADER, mix, 0, mix == 0 ? -8 : 0);
        for (int input = 0; input < desk_count(model, INDEX_INPUT); input++) {
            set(test, PARAM_SEND_LEVEL, input, mix, input == 0 ? 0 : -HUGE_VAL);
            set(test, PARAM_SEND_ON, input, mix, 1);
            set(test, PARAM_SEND_TAP, input, mix, TAP_PRE_FADER);
        }
    }
    for (int input = 0; input < desk_count(model, INDEX_INPUT); input++)
        set(test, PARAM_INPUT_MUTE, input, 0, 0);
}

static void
open_test(struct fresh_test *test)
{
    static char *none[] = {NULL};
    struct problems problems = {0};
    struct json *profile = json_read(FRESH_PROFILE, &problems), *head;
    struct session_parts parts = {profile, NULL, NULL, NULL, NULL, "desk", 9100};

    assert_non_null(profile);
    *test =
        (struct fresh_test){.stand = stand_new(),
                            .past = {.path = "nothing"},
                            .options = {.words = none, .profile = FRESH_PROFILE, .desk = "desk"}};
    test->shared = (struct watch_shared){.options = &test->options,
                                         .output_lost = ignore,
                                         .changed = ignore,
                                         .has_screen = true,
                                         .way = &watch_replayed,
                                         .past = &test->past};
    test->shared.loop = loop_new_standing(test->stand);
    assert_true(session_restore(&test->session, &parts, "small", &problems));
    stand_move(test->stand, SECOND_MS, SECOND_MS);
    test->desk = watch_desk_open(&test->shared, &test->session, NULL);
    assert_non_null(test->desk);
    set_up(test);
    head = json_parse(first_line, strlen(first_line), "head", &problems);
    watch_desk_replay_begin(test->desk, head);
    watch_desk_before_sleep(test->desk);
    json_free(head);
    json_free(profile);
}

static void
close_test(struct fresh_test *test)
{
    watch_desk_close(test->desk);
    session_release(&test->session);
    loop_free(test->shared.loop);
    stand_free(test->stand);
}

static void
lower_second_master(struct fresh_test *test)
{
    set(test, PARAM_MIX_FADER, 1, 0, -9);
    watch_desk_before_sleep(test->desk);
}

/* "1! -8 dB, 2 -9 dB": the masters off unity in their order, by mix; with ! for what is fresh. */
static const char *
masters(struct fresh_test *test)
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
    struct fresh_test test;

    (void)state;
    open_test(&test);
    assert_string_equal(masters(&test), "1 -8 dB"); /* it stood at the beginning */
    pass(&test, 10 * SECOND_MS);
    lower_second_master(&test);
    pass(&test, 10 * SECOND_MS);
    assert_string_equal(masters(&test), "2! -9 dB, 1 -8 dB");
    pass(&test, MINUTE_MS);
    assert_string_equal(masters(&test), "2 -9 dB, 1 -8 dB"); /* the newest first all the same */
    close_test(&test);
}

static void
what_is_new_since_the_room_changed_stays_first(void **state)
{
    struct fresh_test test;

    (void)state;
    open_test(&test);
    pass(&test, 10 * SECOND_MS);
    watch_set_room(test.desk, ROOM_SHOW, "by command", 0);
    pass(&test, 2 * MINUTE_MS);
    assert_string_equal(masters(&test), "1 -8 dB");
    lower_second_master(&test);
    pass(&test, 3 * MINUTE_MS);
    assert_string_equal(masters(&test), "2! -9 dB, 1 -8 dB");
    watch_set_room(test.desk, ROOM_DOORS, "by command", 0);
    pass(&test, SECOND_MS);
    assert_string_equal(masters(&test), "2 -9 dB, 1 -8 dB");
    close_test(&test);
}

/* What stood, and is worse now, is news; since when it stands is told all the same. */
static void
what_grew_worse_is_news(void **state)
{
    struct fresh_test test;
    struct view_desk view;

    (void)state;
    open_test(&test);
    pass(&test, 10 * SECOND_MS);
    lower_second_master(&test);
    pass(&test, 2 * MINUTE_MS);
    assert_string_equal(masters(&test), "2 -9 dB, 1 -8 dB");
    set(&test, PARAM_MIX_FADER, 0, 0, -20);
    watch_desk_before_sleep(test.desk);
    pass(&test, 20 * SECOND_MS);
    assert_string_equal(masters(&test), "1! -20 dB, 2 -9 dB");
    watch_desk_view(test.desk, &view);
    assert_string_equal(view.findings[0].since, "2 min 30 s, worse 17 s ago");
    watch_desk_view_free(&view);
    pass(&test, MINUTE_MS);
    assert_string_equal(masters(&test), "1 -20 dB, 2 -9 dB");
    close_test(&test);
}

static void
what_is_held_back_is_no_news(void **state)
{
    struct fresh_test test;

    (void)state;
    open_test(&test);
    watch_set_room(test.desk, ROOM_LINE_CHECK, "by command", 0);
    pass(&test, 10 * SECOND_MS);
    lower_second_master(&test);
    pass(&test, 10 * SECOND_MS);
    assert_string_equal(masters(&test), "2 -9 dB, 1 -8 dB");
    close_test(&test);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_new_comes_first_for_a_minute),
        cmocka_unit_test(what_is_new_since_the_room_changed_stays_first),
        cmocka_unit_test(what_grew_worse_is_news),
        cmocka_unit_test(what_is_held_back_is_no_news),
    };

    json_init();
    return cmocka_run_group_tests(tests, NULL, NULL);
}
