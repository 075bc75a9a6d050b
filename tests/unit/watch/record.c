/* SPDX-License-Identifier: MIT */
/* What a recording gets to write of a watch, on a clock that stands. saved/recording.h is the file.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/clock.h"
#include "files.h"
#include "loop/stand.h"
#include "unit.h"
#include "watch/record.h"

static const double evening_s = 1780000000;

struct record_test {
    struct stand *stand;
    struct loop *loop;
    struct record *record;
    struct options options;
    char folder[FILE_PATH_SIZE], path[FILE_PATH_SIZE + 10];
    int heads; /* first lines that were asked for */
};

static struct json *
head(void *context, int64_t now_ms, double now_s)
{
    struct record_test *test = context;
    struct json *json = json_new_object();

    assert_int_equal(now_ms, stand_now_ms(test->stand));
    json_add_number(json, "recording_format", RECORDING_FORMAT);
    json_add_number(json, "at_s", now_s);
    test->heads++;
    return json;
}

static void
pass(struct record_test *test, int64_t ms)
{
    int64_t now_ms = stand_now_ms(test->stand) + ms;

    stand_move(test->stand, now_ms, now_ms);
    clock_stand_at(evening_s + (double)now_ms / 1000);
}

static void
open_test(struct record_test *test)
{
    *test = (struct record_test){.stand = stand_new(), .options = {.record_mb = 1}};
    test->loop = loop_new_standing(test->stand);
    assert_non_null(test->loop);
    file_make_directory(test->folder);
    snprintf(test->path, sizeof test->path, "%s/evening", test->folder);
    pass(test, 700);
    test->record = record_new(test->loop, head, test);
}

static void
close_test(struct record_test *test)
{
    record_free(test->record);
    loop_free(test->loop);
    stand_free(test->stand);
    remove(test->path);
    file_remove(test->folder);
    clock_stand_at(-1);
}

static bool
begin(struct record_test *test)
{
    struct problems problems = {0};
    bool good;

    good = record_open(test->record, &test->options, &problems);
    assert_int_equal(good, problems.count == 0);
    problems_release(&problems);
    return good;
}

static char *
read_all(const struct record_test *test)
{
    FILE *file = fopen(test->path, "r");
    char *text = calloc(1, 10000);

    assert_non_null(file);
    assert_non_null(text);
    assert_true(fread(text, 1, 9999, file) > 0);
    fclose(file);
    return text;
}

static void
where_nobody_records_nothing_happens(void **state)
{
    struct record_test test;

    (void)state;
    open_test(&test);
    assert_true(begin(&test));
    assert_null(record_tap(test.record));
    record_note(test.record, RECORDED_SAID, json_new_string("given back"));
    record_day(test.record, 20260613);
    assert_null(record_end(test.record));
    assert_null(record_turn(test.record, true));
    assert_int_equal(test.heads, 0);
    assert_int_not_equal(access(test.path, F_OK), 0);
    close_test(&test);
}

static void
times_count_from_its_beginning(void **state)
{
    struct record_test test;
    const struct link_tap *tap;
    char *text;

    (void)state;
    open_test(&test);
    test.options.record = test.path;
    assert_true(begin(&test));
    tap = record_tap(test.record);
    assert_non_null(tap);
    pass(&test, 40);
    tap->packet(tap->context, (const uint8_t *)"/a\0", 4, 730);
    record_note(test.record, RECORDED_WAKE, NULL);
    tap->expired(tap->context, 720);
    assert_null(record_end(test.record));
    text = read_all(&test);
    assert_non_null(strstr(text, "{\"recording_format\":1,\"at_s\":1780000000.7"));
    assert_non_null(strstr(text, "{\"t\":30,\"in\":[\"2f610000\"]"));
    assert_non_null(strstr(text, "{\"t\":40,\"wake\":true"));
    assert_non_null(strstr(text, "\"stale_before\":20"));
    free(text);
    close_test(&test);
}

/* Wall time that was set is kept once; a date only when it is another one. */
static void
a_clock_that_was_set_is_noted_once(void **state)
{
    struct record_test test;
    char *text, *first;

    (void)state;
    open_test(&test);
    test.options.record = test.path;
    assert_true(begin(&test));
    record_day(test.record, clock_day());
    clock_stand_at(evening_s + 3600);
    assert_null(record_end(test.record));
    assert_null(record_end(test.record));
    text = read_all(&test);
    first = strstr(text, "\"at_s\":1780003600");
    assert_non_null(first);
    assert_null(strstr(first + 1, "\"at_s\":1780003600"));
    assert_null(strstr(text, "\"day\""));
    free(text);
    close_test(&test);
}

static void
a_file_that_cannot_be_begun_is_told(void **state)
{
    struct record_test test;

    (void)state;
    open_test(&test);
    test.options.record = test.folder;
    assert_false(begin(&test));
    assert_null(record_tap(test.record));
    close_test(&test);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(where_nobody_records_nothing_happens),
        cmocka_unit_test(times_count_from_its_beginning),
        cmocka_unit_test(a_clock_that_was_set_is_noted_once),
        cmocka_unit_test(a_file_that_cannot_be_begun_is_told),
    };

    return cmocka_run_group_tests_name("record", tests, NULL, NULL);
}
