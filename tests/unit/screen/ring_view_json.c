/* SPDX-License-Identifier: MIT */
/* The view of a ring-out as it goes to the watch: what was sent is there again, and nothing that
 * somebody else sends comes through unread or grows.
 */
#include "screen/ring_view_json.h"

#include <stdlib.h>
#include <string.h>

#include "unit.h"

static const char lines[20][VIEW_TEXT_SIZE] = {"one", "two", "three", [19] = "last"};

static const char *
line_of(const struct json *json, const char *key, int number)
{
    const struct json *one = json_first_at(json, key);

    while (number-- > 0)
        one = json_next(one);
    return json_string(one);
}

static void
what_is_shown_is_said(void **state)
{
    struct ring_view view = {.title = "Barn: ring-out",
                             .link = "steady",
                             .lost = true,
                             .next = "mix 1 up, slowly",
                             .urgent = true,
                             .figures = {lines, 1},
                             .care = {lines, 2},
                             .rings = {lines, 0},
                             .seen = {lines, 20},
                             .large = {"UP", "", "4.5 dB"}};
    struct json *json = ring_view_json(&view);

    (void)state;
    assert_string_equal(json_string_at(json, "title"), "Barn: ring-out");
    assert_string_equal(json_string_at(json, "link"), "steady");
    assert_string_equal(json_string_at(json, "next"), "mix 1 up, slowly");
    assert_true(json_bool_at(json, "lost"));
    assert_true(json_bool_at(json, "urgent"));
    assert_int_equal(json_size(json_get(json, "figures")), 1);
    assert_string_equal(line_of(json, "care", 1), "two");
    assert_int_equal(json_size(json_get(json, "rings")), 0);
    assert_int_equal(json_size(json_get(json, "seen")), RING_VIEW_SEEN);
    assert_string_equal(line_of(json, "seen", RING_VIEW_SEEN - 1), "last");
    assert_string_equal(line_of(json, "large", 2), "4.5 dB");
    json_free(json);
}

/* One with a member another, or gone. */
static struct json *
spoilt(const char *key, struct json *value)
{
    struct ring_view view = {.title = "t"};
    struct json *json = ring_view_json(&view), *clean;

    json_remove(json, key);
    if (value)
        json_add(json, key, value);
    clean = ring_view_clean(json);
    json_free(json);
    return clean;
}

static void
what_is_none_is_refused(void **state)
{
    static const char *const keys[] = {"title",   "link", "next",  "lost", "urgent",
                                       "figures", "care", "rings", "seen", "large"};

    (void)state;
    assert_null(ring_view_clean(NULL));
    for (size_t i = 0; i < sizeof keys / sizeof *keys; i++) {
        assert_null(spoilt(keys[i], NULL));
        assert_null(spoilt(keys[i], json_new_number(7)));
        assert_null(spoilt(keys[i], json_new_object()));
    }
}

static void
what_others_send_is_made_safe_and_short(void **state)
{
    struct json *many = json_new_array(), *json;
    char *text = malloc(5000);

    (void)state;
    assert_non_null(text);
    memset(text, 'x', 4999);
    text[4999] = '\0';
    for (int i = 0; i < 500; i++)
        json_add(many, NULL, i % 2 == 0 ? json_new_string(text) : json_new_number(i));
    json = spoilt("rings", many);
    assert_int_equal(json_size(json_get(json, "rings")), RING_VIEW_LINES / 2);
    assert_true(strlen(line_of(json, "rings", 0)) < VIEW_TEXT_SIZE);
    json_free(json);
    json = spoilt("next", json_new_string("a\x1b[2Jb\xe2\x80\xae"
                                          "c"));
    assert_string_equal(json_string_at(json, "next"), "a?[2Jb?c");
    json_free(json);
    free(text);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_shown_is_said),
        cmocka_unit_test(what_is_none_is_refused),
        cmocka_unit_test(what_others_send_is_made_safe_and_short),
    };

    json_init();
    return cmocka_run_group_tests(tests, NULL, NULL);
}
