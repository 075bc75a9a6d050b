/* The rows of the screen, at every size: as many as asked for, none wider than the screen, and
 * every finding within reach of scrolling, whatever stands in the labels.
 */
#include "view.h"

#include <locale.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "columns.h"
#include "unit.h"

enum { MANY = 10000, REACHED = 1000 };

struct seen {
    int width;
    size_t rows;
    char *text; /* of all rows, each ended by a line feed; NULL: only counted */
    size_t used, size;
};

static void
take(void *context, const struct view_row *row)
{
    struct seen *seen = context;
    size_t length = strlen(row->text);

    seen->rows++;
    assert_true(columns_width(row->text) <= seen->width);
    if (!seen->text)
        return;
    assert_true(seen->used + length + 2 < seen->size);
    memcpy(seen->text + seen->used, row->text, length);
    memcpy(seen->text + seen->used + length, "\n", 2);
    seen->used += length + 1;
}

/* Returns how far it can be scrolled. */
static size_t
rows_of(const struct view *view, int width, int height, size_t scroll, struct seen *seen)
{
    struct view_extent extent;

    seen->width = width;
    seen->rows = seen->used = 0;
    extent = view_rows(view, width, height, scroll, take, seen);
    assert_int_equal(seen->rows, height);
    return extent.scroll + extent.below;
}

static const char *const labels[] = {
    "mix 8 Drums IEM: no limiter",
    "",
    "x",
    "mix 2 \xe3\x83\x89\xe3\x83\xa9\xe3\x83\xa0 wide: the master stands at -9 dB",
    "a\xcc\x81\xcc\x82\xcc\x83 combining",
    "\xf0\x9f\xa5\x81\xf0\x9f\xa5\x81\xf0\x9f\xa5\x81",
    "a word without any spaces that goes on and "
    "oooooooooooooooooooooooooooooooooooooooooooooooooooooooooooooooooooooooooooooooooooooooooooooo"
    "on",
};

/* A view with so many findings; every one ends in its number. */
static struct view_finding *
fill(struct view_desk *desk, struct dice *dice, size_t count)
{
    struct view_finding *findings = calloc(count + 1, sizeof *findings);

    assert_non_null(findings);
    for (size_t i = 0; i < count; i++) {
        struct view_finding *finding = &findings[i];

        finding->weight = (enum weight)dice_below(dice, WEIGHTS);
        finding->stale = dice_below(dice, 2);
        snprintf(finding->player, sizeof finding->player, "%s", dice_below(dice, 2) ? "drums" : "");
        snprintf(finding->text, sizeof finding->text, "%s", labels[dice_below(dice, 7)]);
        snprintf(finding->since, sizeof finding->since, "#%zu#", i);
        if (dice_below(dice, 5) == 0)
            snprintf(finding->hidden, sizeof finding->hidden, "show state show");
    }
    *desk = (struct view_desk){.findings = findings, .finding_count = count};
    snprintf(desk->show, sizeof desk->show, "Quarry Stage");
    snprintf(desk->state, sizeof desk->state, "doors");
    snprintf(desk->link, sizeof desk->link, "desk steady, heard 0.4 s ago");
    return findings;
}

static void
every_size_holds(void **state)
{
    struct dice dice = dice_new();
    struct seen seen = {.text = NULL};

    (void)state;
    for (int i = 0; i < 3000; i++) {
        struct view_desk desks[4];
        struct view_finding *findings[4];
        struct view view = {.desks = desks,
                            .desk_count = 1 + (size_t)dice_below(&dice, 4),
                            .prompt = "? for the keys",
                            .clock = "21:37:05"};

        for (int d = 0; d < 4; d++)
            findings[d] = fill(&desks[d], &dice, (size_t)dice_below(&dice, 30));
        view.chosen = (size_t)dice_below(&dice, (int)view.desk_count);
        rows_of(&view, 1 + dice_below(&dice, 300), 1 + dice_below(&dice, 100),
                (size_t)dice_below(&dice, 50), &seen);
        for (int d = 0; d < 4; d++)
            free(findings[d]);
    }
}

/* Scrolls through it all, screen by screen. */
static void
check_reach(struct dice *dice, size_t count, int width, int height)
{
    struct view_desk desk;
    struct view_finding *findings = fill(&desk, dice, count);
    struct view view = {.desks = &desk, .desk_count = 1, .prompt = "", .clock = "21:37:05"};
    struct seen seen = {.size = 1 << 20, .text = malloc(1 << 20)};
    bool *reached = calloc(count + 1, sizeof *reached);
    size_t beyond = 1;

    assert_true(seen.text && reached);
    for (size_t scroll = 0; scroll <= beyond; scroll += (size_t)height / 3) {
        beyond = rows_of(&view, width, height, scroll, &seen);
        for (const char *at = seen.text; (at = strchr(at, '#')); at++) {
            char *end;
            unsigned long number = strtoul(at + 1, &end, 10);

            if (end > at + 1 && *end == '#' && number < count)
                reached[number] = true;
        }
        if (scroll < beyond && scroll + (size_t)height / 3 > beyond)
            scroll = beyond - (size_t)height / 3; /* the last screen as well */
    }
    for (size_t i = 0; i < count; i++)
        assert_true(reached[i]);
    free(reached);
    free(seen.text);
    free(findings);
}

static void
every_finding_is_within_reach(void **state)
{
    struct dice dice = dice_new();

    (void)state;
    check_reach(&dice, 1, 80, 24);
    check_reach(&dice, 200, 80, 24);
    check_reach(&dice, 200, 40, 10);
    check_reach(&dice, 200, 300, 60);
    check_reach(&dice, REACHED, 100, 30);
}

static void
ten_thousand_findings_fit(void **state)
{
    struct dice dice = dice_new();
    struct view_desk desk;
    struct view_finding *findings = fill(&desk, &dice, MANY);
    struct view view = {.desks = &desk, .desk_count = 1, .prompt = "", .clock = "21:37:05"};
    struct seen seen = {.text = NULL};

    (void)state;
    assert_true(rows_of(&view, 80, 24, 0, &seen) >= MANY - 24);
    free(findings);
}

static void
nothing_open_says_so(void **state)
{
    struct dice dice = dice_new();
    struct view_desk desk;
    struct view_finding *findings = fill(&desk, &dice, 0);
    struct view view = {.desks = &desk, .desk_count = 1, .prompt = "", .clock = "21:37:05"};
    char text[8192];
    struct seen seen = {.size = sizeof text, .text = text};

    (void)state;
    rows_of(&view, 80, 24, 0, &seen);
    assert_contains(text, "21:37:05  doors  Quarry Stage\n");
    assert_contains(text, "Nothing is open\n");
    free(findings);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_size_holds),
        cmocka_unit_test(every_finding_is_within_reach),
        cmocka_unit_test(ten_thousand_findings_fit),
        cmocka_unit_test(nothing_open_says_so),
    };

    if (!setlocale(LC_CTYPE, "C.UTF-8"))
        return 1;
    return cmocka_run_group_tests(tests, NULL, NULL);
}
