/* SPDX-License-Identifier: MIT */
/* A view that is sent and read is the same view, as far as it is bounded; and what is no view is
 * refused with its place, whatever it is.
 */
#include "screen/view_json.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "unit.h"

enum { DESKS = 5, MANY = 3000 };

static void
random_text(struct dice *dice, char *to, size_t size)
{
    static const char *const parts[] = {"Ld Vox",       " ",         "\"", "\\", "-13",
                                        "\xe3\x83\x89", "e\xcc\x81", ""};
    size_t used = 0;

    for (int i = dice_below(dice, 12); i > 0 && used + 8 < size; i--)
        used += (size_t)snprintf(to + used, size - used, "%s", parts[dice_below(dice, 8)]);
    to[used] = '\0';
}

static struct view_finding
random_finding(struct dice *dice)
{
    struct view_finding finding = {.weight = (enum weight)dice_below(dice, WEIGHTS),
                                   .stale = dice_below(dice, 2),
                                   .closed = dice_below(dice, 2),
                                   .fresh = dice_below(dice, 2)};

    random_text(dice, finding.player, sizeof finding.player);
    random_text(dice, finding.text, sizeof finding.text);
    random_text(dice, finding.since, sizeof finding.since);
    random_text(dice, finding.hidden, sizeof finding.hidden);
    random_text(dice, finding.figure, sizeof finding.figure);
    random_text(dice, finding.brief, sizeof finding.brief);
    return finding;
}

static const char (*random_lines(struct dice *dice, size_t count))[VIEW_TEXT_SIZE]
{
    char(*lines)[VIEW_TEXT_SIZE] = calloc(count + 1, sizeof *lines);

    assert_non_null(lines);
    for (size_t i = 0; i < count; i++)
        random_text(dice, lines[i], VIEW_TEXT_SIZE);
    return (const char(*)[VIEW_TEXT_SIZE])lines;
}

static void
fill(struct view_desk *desk, struct dice *dice, size_t findings, size_t lines)
{
    struct view_finding *list = calloc(findings + 1, sizeof *list);

    assert_non_null(list);
    for (size_t i = 0; i < findings; i++)
        list[i] = random_finding(dice);
    *desk = (struct view_desk){.findings = list,
                               .finding_count = findings,
                               .lost = dice_below(dice, 2),
                               .unknown_count = lines,
                               .quiet_count = lines,
                               .event_count = lines,
                               .not_known = (size_t)dice_below(dice, 3000)};
    random_text(dice, desk->show, sizeof desk->show);
    random_text(dice, desk->room, sizeof desk->room);
    random_text(dice, desk->link, sizeof desk->link);
    desk->unknown = random_lines(dice, lines);
    desk->quiets = random_lines(dice, lines);
    desk->events = random_lines(dice, lines);
}

static void
release(struct view_desk *desk)
{
    free((void *)desk->findings);
    free((void *)desk->unknown);
    free((void *)desk->quiets);
    free((void *)desk->events);
}

/* Written, printed, parsed and read, as over the socket. */
static struct view *
sent(const struct view *view)
{
    struct json *json = view_json(view), *again;
    struct problems problems = {0};
    char *text = json_print(json, false);
    struct view *read;

    assert_true(strlen(text) < VIEW_BYTES);
    assert_null(strchr(text, '\n'));
    again = json_parse(text, strlen(text), "sent", &problems);
    assert_non_null(again);
    read = view_read(again, &problems);
    assert_int_equal(problems.count, 0);
    assert_non_null(read);
    json_free(json);
    json_free(again);
    free(text);
    return read;
}

static void
assert_same_lines(const char (*one)[VIEW_TEXT_SIZE], const char (*other)[VIEW_TEXT_SIZE],
                  size_t count)
{
    for (size_t i = 0; i < count; i++)
        assert_string_equal(one[i], other[i]);
}

static void
assert_same_finding(const struct view_finding *one, const struct view_finding *other)
{
    assert_int_equal(one->weight, other->weight);
    assert_int_equal(one->fresh, other->fresh);
    assert_int_equal(one->stale, other->stale);
    assert_int_equal(one->closed, other->closed);
    assert_string_equal(one->player, other->player);
    assert_string_equal(one->text, other->text);
    assert_string_equal(one->since, other->since);
    assert_string_equal(one->hidden, other->hidden);
    assert_string_equal(one->figure, other->figure);
    assert_string_equal(one->brief, other->brief);
}

static void
assert_same_desk(const struct view_desk *one, const struct view_desk *other)
{
    assert_string_equal(one->show, other->show);
    assert_string_equal(one->room, other->room);
    assert_string_equal(one->link, other->link);
    assert_int_equal(one->lost, other->lost);
    assert_int_equal(one->finding_count, other->finding_count);
    for (size_t i = 0; i < one->finding_count; i++)
        assert_same_finding(&one->findings[i], &other->findings[i]);
    assert_memory_equal(&one->unlisted, &other->unlisted, sizeof one->unlisted);
    assert_int_equal(one->not_known, other->not_known);
    assert_int_equal(one->unknown_count, other->unknown_count);
    assert_int_equal(one->quiet_count, other->quiet_count);
    assert_int_equal(one->event_count, other->event_count);
    assert_same_lines(one->unknown, other->unknown, one->unknown_count);
    assert_same_lines(one->quiets, other->quiets, one->quiet_count);
    assert_same_lines(one->events, other->events, one->event_count);
}

static void
what_is_read_is_what_was_sent(void **state)
{
    struct dice dice = dice_new();

    (void)state;
    for (int turn = 0; turn < 300; turn++) {
        struct view_desk desks[DESKS];
        struct view view = {.desks = desks, .desk_count = 1 + (size_t)dice_below(&dice, DESKS)};
        struct view *read;

        for (size_t i = 0; i < view.desk_count; i++)
            fill(&desks[i], &dice, (size_t)dice_below(&dice, 60), (size_t)dice_below(&dice, 40));
        view.chosen = (size_t)dice_below(&dice, (int)view.desk_count);
        read = sent(&view);
        assert_int_equal(read->desk_count, view.desk_count);
        assert_int_equal(read->chosen, view.chosen);
        for (size_t i = 0; i < view.desk_count; i++) {
            assert_same_desk(&desks[i], &read->desks[i]);
            release(&desks[i]);
        }
        view_free(read);
    }
}

/* However much there is, a view has its bounds, and the counts count all of it. */
static void
of_many_the_first_are_listed_and_all_are_counted(void **state)
{
    struct dice dice = dice_new();
    struct view_desk *desks = calloc(VIEW_DESKS, sizeof *desks);
    struct view view = {.desks = desks, .desk_count = VIEW_DESKS};
    struct view_counts all = {.held_back = 0}, read_all;
    struct view *read;

    (void)state;
    assert_non_null(desks);
    for (size_t i = 0; i < VIEW_DESKS; i++)
        fill(&desks[i], &dice, i == 0 ? MANY : 100, 100);
    for (size_t i = 0; i < MANY; i++)
        view_count(&all, &desks[0].findings[i]);
    read = sent(&view);
    assert_int_equal(read->desks[0].finding_count, VIEW_LISTED_LEAST);
    assert_int_equal(read->desks[0].event_count, VIEW_LINES);
    assert_string_equal(read->desks[0].events[VIEW_LINES - 1], desks[0].events[99]);
    read_all = read->desks[0].unlisted;
    for (size_t i = 0; i < VIEW_LISTED_LEAST; i++)
        view_count(&read_all, &read->desks[0].findings[i]);
    assert_memory_equal(&read_all, &all, sizeof all);
    view_free(read);
    view.desk_count = 1;
    read = sent(&view);
    assert_int_equal(read->desks[0].finding_count, VIEW_LISTED);
    view_free(read);
    for (size_t i = 0; i < VIEW_DESKS; i++)
        release(&desks[i]);
    free(desks);
}

#define DESK(findings, more)                                                                       \
    "{\"version\":1,\"chosen\":0,\"desks\":[{\"show\":\"S\",\"room\":\"doors\",\"link\":\"\","     \
    "\"lost\":false,\"findings\":" findings ",\"unlisted\":{\"stop\":0,\"fix\":0,\"note\":0,"      \
    "\"held_back\":0},\"unknown\":[],\"not_known\":0,\"proved\":[],\"quieted\":[]" more "}]}"
#define FINDING(weight, fresh)                                                                     \
    "[{\"weight\":" weight ",\"fresh\":" fresh                                                     \
    ",\"stale\":false,\"closed\":false,\"player\":\"\","                                           \
    "\"figure\":\"\",\"brief\":\"\",\"says\":\"\",\"since\":\"\",\"hidden\":\"\"}]"

static void
what_is_no_view_is_refused_with_its_place(void **state)
{
    static const struct {
        const char *text, *says; /* NULL: it is one */
    } cases[] = {
        {DESK("[]", ",\"last\":[]"), NULL},
        {DESK(FINDING("\"stop\"", "true"), ",\"last\":[]"), NULL},
        {DESK("[]", ""), "\"last\" must be an array"},
        {DESK("[]", ",\"last\":[1]"), "\"last\" must be a list of strings"},
        {DESK("[1]", ",\"last\":[]"), "\"findings\" must be a list of objects"},
        {DESK("{}", ",\"last\":[]"), "\"findings\" must be an array"},
        {DESK(FINDING("\"grave\"", "true"), ",\"last\":[]"), "\"weight\" must be one of stop"},
        {DESK(FINDING("1", "true"), ",\"last\":[]"), "\"weight\" must be a string"},
        {DESK(FINDING("\"fix\"", "1"), ",\"last\":[]"), "\"fresh\" must be true or false"},
        {"[]", "\"screen\" must be an object"},
        {"{\"version\":2}", "is of version 2, and this program shows version 1"},
        {"{\"version\":1}", "\"desks\" must be an array"},
        {"{\"version\":1,\"desks\":[1],\"chosen\":0}", "\"desks\" must be a list of objects"},
        {"{\"version\":1,\"desks\":[],\"chosen\":0}", "\"chosen\" must be one of the desks"},
        {"{\"version\":1,\"desks\":[],\"chosen\":1e300}", "\"chosen\" must be a count"},
        {"{\"version\":1,\"desks\":[],\"chosen\":0.5}", "\"chosen\" must be a count"},
    };

    (void)state;
    for (size_t i = 0; i < COUNT(cases); i++) {
        struct problems problems = {0};
        struct json *json = json_parse(cases[i].text, strlen(cases[i].text), "view", &problems);
        struct view *view = view_read(json, &problems);

        assert_non_null(json);
        assert_true((view == NULL) == (cases[i].says != NULL));
        assert_int_equal(problems.count, cases[i].says != NULL);
        if (cases[i].says)
            assert_contains(problems.lines[0], cases[i].says);
        view_free(view);
        json_free(json);
        problems_release(&problems);
    }
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_read_is_what_was_sent),
        cmocka_unit_test(of_many_the_first_are_listed_and_all_are_counted),
        cmocka_unit_test(what_is_no_view_is_refused_with_its_place),
    };

    json_init();
    return cmocka_run_group_tests(tests, NULL, NULL);
}
