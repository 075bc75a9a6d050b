/* SPDX-License-Identifier: MIT */
/* The rows of a ring-out that is followed, at every size: as many as asked for, none wider than the
 * screen, what to do next always among them; and letters that are read from two metres.
 */
#include "screen/ring_view.h"

#include <locale.h>
#include <stdio.h>
#include <string.h>

#include "base/columns.h"
#include "screen/large.h"
#include "unit.h"

enum { SIZE = 200000 };

struct seen {
    int width, rows;
    char text[SIZE];
    size_t used;
};

static void
take(void *context, const struct view_row *row)
{
    struct seen *seen = context;

    seen->rows++;
    assert_true(columns_width(row->text) <= seen->width);
    assert_true(seen->used + strlen(row->text) + 2 < SIZE);
    seen->used += (size_t)sprintf(seen->text + seen->used, "%s\n", row->text);
}

static const char care[][VIEW_TEXT_SIZE] = {"Protect your ears.", "Hand on the master."};
static const char rings[][VIEW_TEXT_SIZE] = {"2.5 kHz  -6 dB", "630 Hz  -3 dB"};
static const char seen_texts[][VIEW_TEXT_SIZE] = {
    "17:42:05 rang at 2.5 kHz", "17:42:09 mix 1 W\xc3\xa4rter wedge: one dB up", "17:42:11 rang"};

static struct ring_view
some_view(void)
{
    return (struct ring_view){.clock = "17:42:12",
                              .title = "Ostrel Barn: ring-out of mix 1 Ld Vox wedge",
                              .link = "desk steady",
                              .next = "step back 6 dB",
                              .urgent = true,
                              .care = {care, COUNT(care)},
                              .rings = {rings, COUNT(rings)},
                              .seen = {seen_texts, COUNT(seen_texts)},
                              .large = {"step back 6 dB", "2.5 kHz -6", "alone 4.5 dB"},
                              .prompt = "l: large letters; q: end"};
}

static void
rows_of(const struct ring_view *view, int width, int height, struct seen *seen)
{
    seen->width = width;
    seen->rows = 0;
    seen->used = 0;
    seen->text[0] = '\0';
    ring_view_rows(view, width, height, take, seen);
    assert_int_equal(seen->rows, height);
}

static void
test_every_size(void **state)
{
    static struct seen seen;
    struct ring_view view = some_view();

    (void)state;
    for (int large = 0; large < 2; large++)
        for (int width = 1; width < 170; width += width < 90 ? 1 : 20)
            for (int height = 0; height < 60; height += height < 20 ? 1 : 7) {
                view.is_large = large;
                rows_of(&view, width, height, &seen);
            }
}

static void
test_the_urgent_is_in_sight(void **state)
{
    static struct seen seen;
    struct ring_view view = some_view();

    (void)state;
    rows_of(&view, 20, 2, &seen);
    assert_contains(seen.text, "step back 6 dB");
    rows_of(&view, 30, 6, &seen);
    assert_contains(seen.text, "NOW: step back 6 dB");
    view.is_large = true;
    rows_of(&view, 30, 6, &seen); /* no room for large letters */
    assert_contains(seen.text, "NOW: step back 6 dB");
    view.lost = true;
    strcpy(view.link, "desk LOST");
    rows_of(&view, 80, 24, &seen);
    assert_contains(seen.text, "desk LOST");
}

static void
test_all_of_it(void **state)
{
    static struct seen seen;
    struct ring_view view = some_view();

    (void)state;
    rows_of(&view, 80, 24, &seen);
    assert_contains(seen.text, "Protect your ears.");
    assert_contains(seen.text, "Rings (2)\n2.5 kHz  -6 dB\n");
    assert_contains(seen.text, "Seen (3)\n");
    assert_contains(seen.text, "l: large letters; q: end");
}

/* ---- letters ---- */

static void
row_of(char *to, const char *text, int row)
{
    large_row(to, 200, text, strlen(text), row, "#");
}

static void
test_letters_are_whole_and_differ(void **state)
{
    static const char all[] = "0123456789.,:-+/ABCDEFGHIJKLMNOPQRSTUVWXYZ";
    char drawn[sizeof all][LARGE_ROWS * 20] = {""}, row[200];
    size_t width = 0;

    (void)state;
    for (size_t i = 0; all[i]; i++) {
        const char text[] = {all[i], '\0'};

        for (int at = 0; at < LARGE_ROWS; at++) {
            row_of(row, text, at);
            width = at == 0 ? strlen(row) : width;
            assert_int_equal(strlen(row), width);
            assert_int_equal(large_fit(text, (int)width - 1), 1);
            assert_int_equal(large_fit(text, (int)width - 2), 0);
            strcat(drawn[i], row);
        }
        assert_non_null(strchr(drawn[i], '#'));
        for (size_t other = 0; other < i; other++)
            if (strchr("O0", all[i]) == NULL)
                assert_string_not_equal(drawn[i], drawn[other]);
    }
}

static void
test_lines_of_letters(void **state)
{
    char row[200];

    (void)state;
    assert_int_equal(large_fit("step back 6 dB", 80), strlen("step back 6 dB"));
    assert_int_equal(large_fit("step back 6 dB", 60), strlen("step back 6"));
    assert_int_equal(large_fit("step", 9), 1);
    assert_int_equal(large_fit("step", 3), 0);
    row_of(row, "1.", 4);
    assert_string_equal(row, "### # ");
    row_of(row, "\xc3\xa4", 0); /* no letter for it: it stays dark */
    assert_null(strchr(row, '#'));
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_every_size),
        cmocka_unit_test(test_the_urgent_is_in_sight),
        cmocka_unit_test(test_all_of_it),
        cmocka_unit_test(test_letters_are_whole_and_differ),
        cmocka_unit_test(test_lines_of_letters),
    };

    assert_non_null(setlocale(LC_CTYPE, "C.UTF-8"));
    return cmocka_run_group_tests(tests, NULL, NULL);
}
