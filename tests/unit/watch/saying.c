/* SPDX-License-Identifier: MIT */
/* What is said of one desk, where a screen shows it: nothing goes to standard output. */
#include <stdio.h>
#include <string.h>

#include "check/check.h"
#include "loop/stand.h"
#include "unit.h"
#include "watch/saying.h"

struct saying_test {
    struct stand *stand;
    struct watch_shared shared;
    struct options options;
    struct profile profile;
    struct session session;
    struct kept *kept;
    struct record *record;
    struct saying *saying;
    int changes;
};

static void
on_changed(void *context)
{
    struct saying_test *test = context;

    test->changes++;
}

static void
open_test(struct saying_test *test)
{
    struct desk_counts counts = {.of = {[INDEX_INPUT] = 2, [INDEX_MIX] = 1}};

    *test = (struct saying_test){.stand = stand_new()};
    test->shared = (struct watch_shared){.loop = loop_new_standing(test->stand),
                                         .options = &test->options,
                                         .has_screen = true,
                                         .changed = on_changed,
                                         .context = test};
    test->profile.desk = (char[]){"Barn"};
    test->session = (struct session){.profile = &test->profile, .host = (char[]){"desk"}};
    test->session.engine =
        engine_new(desk_new(&counts), check_set_show(check_set_all, 2, 1), check_set_all);
    assert_non_null(test->session.engine);
    test->kept = kept_new(test->shared.loop, &test->session);
    test->record = record_new(test->shared.loop, NULL, NULL);
    test->saying = saying_new(&test->shared, &test->session, test->kept, test->record);
}

static void
close_test(struct saying_test *test)
{
    saying_free(test->saying);
    record_free(test->record);
    kept_free(test->kept);
    engine_free(test->session.engine);
    loop_free(test->shared.loop);
    stand_free(test->stand);
}

static void
the_latest_lines_are_there_oldest_first(void **state)
{
    char events[SAYING_EVENTS][SAYING_EVENT_SIZE], line[20];
    struct saying_test test;

    (void)state;
    open_test(&test);
    assert_int_equal(saying_events(test.saying, events), 0);
    for (int i = 1; i <= SAYING_EVENTS + 5; i++) {
        snprintf(line, sizeof line, "line %d", i);
        saying_line(test.saying, line);
    }
    assert_int_equal(saying_events(test.saying, events), SAYING_EVENTS);
    assert_string_equal(strchr(events[0], ' '), " line 6");
    assert_string_equal(strchr(events[SAYING_EVENTS - 1], ' '), " line 35");
    assert_int_equal(test.changes, SAYING_EVENTS + 5);
    close_test(&test);
}

static void
a_long_line_is_cut(void **state)
{
    char events[SAYING_EVENTS][SAYING_EVENT_SIZE], line[SAYING_LINE_SIZE];
    struct saying_test test;

    (void)state;
    open_test(&test);
    memset(line, 'x', sizeof line - 1);
    line[sizeof line - 1] = '\0';
    saying_line(test.saying, line);
    assert_int_equal(saying_events(test.saying, events), 1);
    assert_true(strlen(events[0]) < SAYING_EVENT_SIZE);
    close_test(&test);
}

/* Its first line is the headline; the rest would push it off the screen. */
static void
a_message_of_many_lines_is_one_event(void **state)
{
    char events[SAYING_EVENTS][SAYING_EVENT_SIZE];
    struct quiets quiets = {.count = 0};
    struct saying_test test;
    struct edge edges[5];
    struct message message = {.cause = {.kind = CAUSE_ROOM, .number = ROOM_DOORS, .id = PARAMS},
                              .edges = edges,
                              .count = 5};

    (void)state;
    open_test(&test);
    for (size_t i = 0; i < 5; i++)
        edges[i] = (struct edge){EDGE_CLEARED, engine_slot(test.session.engine, i), 1000};
    saying_line(test.saying, "before");
    saying_message(test.saying, &message, &quiets);
    assert_int_equal(saying_events(test.saying, events), 2);
    assert_string_equal(strchr(events[1], ' '), " held back during doors");
    message.cause.kind = CAUSE_NONE;
    saying_message(test.saying, &message, &quiets);
    assert_int_equal(saying_events(test.saying, events), 3);
    assert_string_equal(strchr(events[2], ' '),
                        " cleared [unused-preamp-gain] input 1 after 1.0 s");
    message.cause = (struct cause){
        .kind = CAUSE_INPUT, .id = PARAM_SEND_LEVEL, .row = 1, .from = 10, .to = -13};
    saying_message(test.saying, &message, &quiets);
    assert_int_equal(saying_events(test.saying, events), 4);
    assert_string_equal(strchr(events[3], ' '), " 10 dB -> -13 dB  input 2, mix 1: send");
    close_test(&test);
}

static void
json_lines_alone_take_standard_output(void **state)
{
    struct show_file file = {.tell = {.lines = NULL}};
    struct session session = {.file = NULL};

    (void)state;
    assert_true(saying_has_stdout(&session));
    session.file = &file;
    assert_true(saying_has_stdout(&session));
    file.tell.lines = (char[]){"evening.jsonl"};
    assert_true(saying_has_stdout(&session));
    file.tell.lines = (char[]){"-"};
    assert_false(saying_has_stdout(&session));
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_latest_lines_are_there_oldest_first),
        cmocka_unit_test(a_long_line_is_cut),
        cmocka_unit_test(a_message_of_many_lines_is_one_event),
        cmocka_unit_test(json_lines_alone_take_standard_output),
    };

    return cmocka_run_group_tests_name("saying", tests, NULL, NULL);
}
