/* SPDX-License-Identifier: MIT */
/* The rows of the screen, at every size: as many as asked for, none wider than the screen, and
 * every finding within reach of scrolling, whatever stands in the labels.
 */
#include "screen/view.h"

#include <locale.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/columns.h"
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
        finding->fresh = dice_below(dice, 2);
        if (finding->fresh && dice_below(dice, 4) > 0) {
            snprintf(finding->figure, sizeof finding->figure, "+%d dB", dice_below(dice, 40));
            snprintf(finding->brief, sizeof finding->brief, "%s", labels[dice_below(dice, 7)]);
        }
        if (dice_below(dice, 5) == 0)
            snprintf(finding->hidden, sizeof finding->hidden, "room show");
    }
    *desk = (struct view_desk){.findings = findings, .finding_count = count};
    snprintf(desk->show, sizeof desk->show, "Quarry Stage");
    snprintf(desk->room, sizeof desk->room, "doors");
    snprintf(desk->link, sizeof desk->link, "desk steady, heard 0.4 s ago");
    return findings;
}

static const char lists[][VIEW_TEXT_SIZE] = {"21:05:12 one", "21:14:30 two", "21:24:24 three",
                                             "21:31:40 four", "21:33:45 five"};
#define KEYS "keys and more keys and more keys and more keys and more keys and more keys, "
static const char *const prompts[] = {"? for the keys", "", "End the watch? q again within 3 s",
                                      KEYS KEYS KEYS};

enum { DESKS = 12 };

static void
fill_lists(struct view_desk *desk, struct dice *dice)
{
    desk->lost = dice_below(dice, 4) == 0;
    desk->unknown = desk->quiets = desk->events = lists;
    desk->unknown_count = (size_t)dice_below(dice, 6);
    desk->quiet_count = (size_t)dice_below(dice, 6);
    desk->event_count = (size_t)dice_below(dice, 6);
    desk->not_known = desk->unknown_count + (size_t)dice_below(dice, 3000);
}

/* The clock, the link and the counts of the chosen desk stand on every screen, and every row of
 * what is scrolled is above, shown, or below. */
static void
check_screen(const struct view *view, int width, int height, size_t scroll)
{
    char text[200000];
    struct seen seen = {.size = sizeof text, .text = text, .width = width};
    struct view_extent extent = view_rows(view, width, height, scroll, take, &seen), last;

    assert_int_equal(seen.rows, height);
    if (width < VIEW_LEAST_WIDTH || height < VIEW_LEAST_HEIGHT) {
        assert_true(strncmp(text, "too small", width < 9 ? (size_t)width : 9) == 0);
        return;
    }
    assert_contains(text, "21:37:05  doors");
    assert_contains(text, "desk steady, heard 0.4 s ago");
    assert_contains(text, width < 60 ? "stop " : " stop, ");
    assert_true(extent.room >= 1 && extent.scroll <= scroll);
    assert_true(extent.scroll == scroll || extent.below == 0);
    last = view_rows(view, width, height, SIZE_MAX, take, &seen);
    assert_int_equal(last.below, 0);
    assert_int_equal(last.scroll, extent.scroll + extent.below);
}

static void
every_size_holds(void **state)
{
    struct dice dice = dice_new();

    (void)state;
    for (int i = 0; i < 3000; i++) {
        struct view_desk desks[DESKS];
        struct view_finding *findings[DESKS];
        struct view view = {.desks = desks,
                            .desk_count = 1 + (size_t)dice_below(&dice, DESKS),
                            .brief = dice_below(&dice, 2),
                            .prompt = prompts[dice_below(&dice, 4)],
                            .clock = "21:37:05"};

        for (int d = 0; d < DESKS; d++) {
            findings[d] = fill(&desks[d], &dice, (size_t)dice_below(&dice, 30));
            fill_lists(&desks[d], &dice);
        }
        view.chosen = (size_t)dice_below(&dice, (int)view.desk_count);
        check_screen(&view, 1 + dice_below(&dice, 300), 1 + dice_below(&dice, 100),
                     (size_t)dice_below(&dice, 50));
        for (int d = 0; d < DESKS; d++)
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

/* What one desk shows at 80x24 and 40x10, word for word. */
static void
one_screen(const struct view *view, int width, int height, const char *wanted)
{
    char text[8192];
    struct seen seen = {.size = sizeof text, .text = text};

    rows_of(view, width, height, 0, &seen);
    assert_string_equal(text, wanted);
}

static void
what_matters_stands_first(void **state)
{
    static const struct view_finding findings[] = {
        {WEIGHT_STOP, true, false, "drums", "mix 8 Drums IEM: no limiter [ears-unprotected]",
         "41 min 02 s", "", false, "", ""},
        {WEIGHT_FIX, false, true, "keys", "input 13: the high-pass is off [high-pass-missing]",
         "8.2 s", "", false, "", ""},
        {WEIGHT_NOTE, false, false, "", "mix 4: 7 cuts [too-many-cuts]", "3.0 s", "room show",
         false, "7 cuts", "mix 4: preamps down"},
    };
    struct view_desk desk = {.show = "Quarry Stage",
                             .room = "show",
                             .link = "desk LOST for 2 min 05 s: all STALE, findings as of 21:35:00",
                             .lost = true,
                             .findings = findings,
                             .finding_count = 3,
                             .unknown = lists,
                             .unknown_count = 2,
                             .not_known = 7,
                             .events = lists,
                             .event_count = 2};
    struct view view = {
        .desks = &desk, .desk_count = 1, .prompt = "? for the keys", .clock = "21:37:05"};

    (void)state;
    one_screen(&view, 80, 16,
               "21:37:05  show  Quarry Stage\n"
               "desk LOST for 2 min 05 s: all STALE, findings as of 21:35:00\n"
               "1 stop, 1 fix, 1 note, 7 not known, 1 held back\n"
               "STOP STALE drums: mix 8 Drums IEM: no limiter [ears-unprotected] (41 min 02 s)\n"
               "FIX  keys: input 13: the high-pass is off [high-pass-missing] (8.2 s, muted or\n"
               "     sent nowhere now)\n"
               "note mix 4: 7 cuts [too-many-cuts] (3.0 s, held back: room show)\n"
               "\n"
               "Not known (7)\n"
               "21:05:12 one\n"
               "21:14:30 two\n"
               "and 5 more\n"
               "Last\n"
               "21:05:12 one\n"
               "21:14:30 two\n"
               "? for the keys\n");
    one_screen(&view, 40, 10,
               "21:37:05  show  Quarry Stage\n"
               "desk LOST for 2 min 05 s: all STALE, fin\n"
               "stop 1, fix 1, note 1, unknown 7\n"
               "STOP STALE drums: mix 8 Drums IEM: no\n"
               "     limiter [ears-unprotected] (41 min\n"
               "     02 s)\n"
               "FIX  keys: input 13: the high-pass is\n"
               "     off [high-pass-missing] (8.2 s,\n"
               "     muted or sent nowhere now)\n"
               "? for the keys              7 rows below\n");
    view.brief = true;
    one_screen(&view, 40, 8,
               "21:37:05  show  Quarry Stage\n"
               "desk LOST for 2 min 05 s: all STALE, fin\n"
               "stop 1, fix 1, note 1, unknown 7\n"
               "STOP STALE drums: mix 8 Drums IEM: no li\n"
               "FIX  keys: input 13: the high-pass is of\n"
               "note 7 cuts  mix 4: 7 cuts [too-many-cut\n"
               "\n"
               "? for the keys              4 rows below\n");
}

/* What is fresh leads with number and cure; all of it stands below, unless findings have one row
 * each. */
static void
what_is_fresh_leads_with_number_and_cure(void **state)
{
    static const struct view_finding findings[] = {
        {WEIGHT_FIX, false, false, "lead vocal",
         "input 18 Ld Vox: the send into mix 1 Ld Vox wedge jumped from -13 to 10 dB while open "
         "[value-jumped]",
         "12 s", "", true, "+23 dB", "Ld Vox -> 1 Ld Vox wedge: put it back to -13"},
        {WEIGHT_STOP, false, false, "drums", "mix 8 Drums IEM: no limiter [ears-unprotected]",
         "41 min 02 s", "", false, "no limiter", "mix 8 Drums IEM: packs down"},
        {WEIGHT_FIX, false, false, "keys", "mix 3: it moved [told-before-a-restart]", "8.2 s", "",
         true, "", ""},
    };
    struct view_desk desk = {.show = "Quarry Stage",
                             .room = "show",
                             .link = "desk steady",
                             .findings = findings,
                             .finding_count = 3};
    struct view view = {
        .desks = &desk, .desk_count = 1, .prompt = "? for the keys", .clock = "21:37:05"};

    (void)state;
    one_screen(&view, 80, 12,
               "21:37:05  show  Quarry Stage\n"
               "desk steady\n"
               "1 stop, 2 fix, 0 note, 0 not known\n"
               "FIX  +23 dB  Ld Vox -> 1 Ld Vox wedge: put it back to -13 (12 s)\n"
               "     lead vocal: input 18 Ld Vox: the send into mix 1 Ld Vox wedge jumped from\n"
               "     -13 to 10 dB while open [value-jumped]\n"
               "STOP drums: mix 8 Drums IEM: no limiter [ears-unprotected] (41 min 02 s)\n"
               "FIX  keys: mix 3: it moved [told-before-a-restart] (8.2 s)\n"
               "\n"
               "\n"
               "\n"
               "? for the keys\n");
    one_screen(&view, 40, 7,
               "21:37:05  show  Quarry Stage\n"
               "desk steady\n"
               "stop 1, fix 2, note 0, unknown 0\n"
               "FIX  +23 dB  Ld Vox -> 1 Ld Vox wedge:\n"
               "     put it back to -13 (12 s)\n"
               "     lead vocal: input 18 Ld Vox: the\n"
               "? for the keys              7 rows below\n");
    view.brief = true;
    one_screen(&view, 40, 7,
               "21:37:05  show  Quarry Stage\n"
               "desk steady\n"
               "stop 1, fix 2, note 0, unknown 0\n"
               "FIX  +23 dB  Ld Vox -> 1 Ld Vox wedge: p\n"
               "STOP no limiter  drums: mix 8 Drums IEM:\n"
               "FIX  keys: mix 3: it moved [told-before-\n"
               "? for the keys\n");
}

/* A small screen shows what each of several fresh ones is before it tells one at length. */
static void
all_that_is_fresh_stands_before_any_of_it_at_length(void **state)
{
    static const struct view_finding findings[] = {
        {WEIGHT_STOP, false, false, "drums", "mix 8: the limiter was switched off", "2 s", "", true,
         "1 lost", "mix 8 Drums IEM: limiter back on"},
        {WEIGHT_FIX, false, false, "", "mix 3: the master stands at -8 dB", "4 s", "", true,
         "-8 dB", "mix 3 Keys: master back to 0, slowly"},
    };
    struct view_desk desk = {.show = "Quarry Stage",
                             .room = "show",
                             .link = "desk steady",
                             .findings = findings,
                             .finding_count = 2};
    struct view view = {
        .desks = &desk, .desk_count = 1, .prompt = "? for the keys", .clock = "21:37:05"};

    (void)state;
    one_screen(&view, 60, 8,
               "21:37:05  show  Quarry Stage\n"
               "desk steady\n"
               "1 stop, 1 fix, 0 note, 0 not known\n"
               "STOP 1 lost  mix 8 Drums IEM: limiter back on (2 s)\n"
               "FIX  -8 dB  mix 3 Keys: master back to 0, slowly (4 s)\n"
               "     drums: mix 8: the limiter was switched off\n"
               "     mix 3: the master stands at -8 dB\n"
               "? for the keys\n");
}

/* The end of the words is cut, never a number: a row may not say -1 where it is -13. */
static void
no_row_is_cut_within_a_number(void **state)
{
    static const struct {
        const char *event, *shown;
        int width;
    } rows[] = {
        {"21:37:05 raised, put it back to -13", "21:37:05 raised, put it back to ", 34},
        {"21:37:05 raised, put it back to -13", "21:37:05 raised, put it back to ", 33},
        {"21:37:05 raised, put it back to -13", "21:37:05 raised, put it back to ", 32},
        {"21:37:05 raised, put it back to -13", "21:37:05 raised, put it back to -13", 35},
        {"21:37:05 raised fix +12.5 dB", "21:37:05 raised fix +12.5 d", 31 - 4},
        {"21:37:05 the master stands at 2155.", "21:37:05 the master stands at 2155", 34},
        {"2137050000000000000000000000000000000", "21370500000000000000000000000000", 32},
    };

    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        char text[8192], events[1][VIEW_TEXT_SIZE];
        struct seen seen = {.size = sizeof text, .text = text};
        struct view_desk desk = {.event_count = 1, .events = (const char(*)[VIEW_TEXT_SIZE])events};
        struct view view = {.desks = &desk, .desk_count = 1, .prompt = "", .clock = "21:37:05"};
        int width = rows[i].width < VIEW_LEAST_WIDTH ? VIEW_LEAST_WIDTH : rows[i].width;
        char *row;

        snprintf(events[0], sizeof events[0], "%*s%s", width - rows[i].width, "", rows[i].event);
        rows_of(&view, width, 24, 0, &seen);
        row = strstr(text, "Last\n");
        assert_non_null(row);
        row += strlen("Last\n") + (size_t)(width - rows[i].width);
        *strchr(row, '\n') = '\0';
        assert_string_equal(row, rows[i].shown);
    }
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_size_holds),
        cmocka_unit_test(every_finding_is_within_reach),
        cmocka_unit_test(ten_thousand_findings_fit),
        cmocka_unit_test(nothing_open_says_so),
        cmocka_unit_test(what_matters_stands_first),
        cmocka_unit_test(what_is_fresh_leads_with_number_and_cure),
        cmocka_unit_test(all_that_is_fresh_stands_before_any_of_it_at_length),
        cmocka_unit_test(no_row_is_cut_within_a_number),
    };

    if (!setlocale(LC_CTYPE, "C.UTF-8"))
        return 1;
    return cmocka_run_group_tests(tests, NULL, NULL);
}
