/* SPDX-License-Identifier: MIT */
/* From positions to laws: each law of profile/law.h is set up, shown as a desk would, and must be
 * found again.
 */
#include "unit.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "listen/find_law.h"

struct row {
    double wire;
    const char *shown;
};

static bool
find(const struct row *rows, size_t count, enum param_id id, struct found_law *found)
{
    struct find_law_point points[FIND_LAW_POINTS];

    for (size_t i = 0; i < count; i++) {
        assert_true(find_law_shown(rows[i].shown, &points[i]));
        points[i].wire = rows[i].wire;
    }
    return find_law(points, count, id, found);
}

/* What the law is as JSON; "" where none is needed. */
static void
law_is(const struct row *rows, size_t count, enum param_id id, const char *expected)
{
    struct found_law found;
    char *text;

    assert_true(find(rows, count, id, &found));
    text = found.law ? json_print(found.law, false) : NULL;
    assert_string_equal(text ? text : "", expected);
    free(text);
    json_free(found.law);
}

#define LAW(id, expected, ...)                                                                     \
    law_is((const struct row[]){__VA_ARGS__},                                                      \
           sizeof((const struct row[]){__VA_ARGS__}) / sizeof(struct row), id, expected)

static void
the_simplest_law_is_found(void **state)
{
    (void)state;
    LAW(PARAM_INPUT_TRIM, "", {-60, "-60"}, {0.2, "0.2"}, {60, "60"});
    LAW(PARAM_INPUT_TRIM, "{\"times\":0.1}", {-600, "-60"}, {25, "2.5"}, {600, "60"});
    LAW(PARAM_INPUT_HIGH_PASS_FREQ, "{\"times\":1000}", {0.02, "20 Hz"}, {1, "1 kHz"});
    LAW(PARAM_INPUT_PREAMP_GAIN, "{\"line\":[[0,-4],[1,56]]}", {0, "-4"}, {0.5, "26"}, {1, "56"});
    LAW(PARAM_INPUT_HIGH_PASS_FREQ, "{\"ratio\":[[0,16],[1,500]]}", {0, "16 Hz"}, {0.5, "89.4 Hz"},
        {1, "500 Hz"});
    LAW(PARAM_SEND_LEVEL, "{\"amplitude\":true}", {0, "off"}, {0.5, "-6.0"}, {1, "0.0"},
        {3.1623, "10.0"});
    LAW(PARAM_SEND_LEVEL, "{\"line\":[[0,\"-inf\"],[0.04,-70],[0.7,0],[1,10]]}", {0.7, "0"},
        {0, "off"}, {1, "10"}, {0.04, "-70"});
    LAW(PARAM_SEND_LEVEL, "{\"line\":[[0,10],[127,-60]]}", {127, "-60"}, {0, "10"});
    /* a float of 32 bits is not printed with more digits than it has */
    LAW(PARAM_INPUT_PREAMP_GAIN, "{\"line\":[[0.1,0],[0.7,50]]}", {(double)0.1f, "0"},
        {(double)0.7f, "50"});
}

static void
points_that_turn_back_are_refused(void **state)
{
    struct found_law found;

    (void)state;
    assert_false(
        find((const struct row[]){{0, "-10"}, {0.5, "0"}, {1, "-5"}}, 3, PARAM_MIX_FADER, &found));
    assert_contains(found.says, "do not go one way");
    assert_false(find((const struct row[]){{0, "-10"}, {0.5, "off"}, {1, "-5"}}, 3, PARAM_MIX_FADER,
                      &found));
    assert_false(find((const struct row[]){{0.5, "-10"}, {0.5, "0"}}, 2, PARAM_MIX_FADER, &found));
    assert_contains(found.says, "two positions");
    assert_false(find(NULL, 0, PARAM_MIX_FADER, &found));
}

static void
end_stops_are_those_that_were_shown(void **state)
{
    struct found_law found;

    (void)state;
    assert_true(find((const struct row[]){{-12, "-12"}, {9, "9"}}, 2, PARAM_INPUT_TRIM, &found));
    assert_near(found.range.least, -12, 0);
    assert_near(found.range.most, 9, 0);
}

static void
what_is_typed_is_a_number_or_off(void **state)
{
    struct find_law_point point;

    (void)state;
    assert_true(find_law_shown("off", &point));
    assert_true(point.shown == -HUGE_VAL);
    assert_true(find_law_shown("OFF", &point));
    assert_true(find_law_shown("1.25 kHz", &point));
    assert_near(point.shown, 1250, 1e-9);
    assert_near(point.within, 5, 1e-9);
    assert_true(find_law_shown("-12.5 dB", &point));
    assert_near(point.within, 0.05, 1e-9);
    assert_false(find_law_shown("", &point));
    assert_false(find_law_shown("much", &point));
    assert_false(find_law_shown("1e300", &point));
    assert_false(find_law_shown("nan", &point));
}

/* Random straight and geometric laws, shown with one decimal: the law found shows the same. */
static void
laws_are_found_again(void **state)
{
    struct dice dice = dice_new();

    (void)state;
    for (int round = 0; round < 300; round++) {
        double low = dice_between(&dice, -60, 0), high = low + dice_between(&dice, 5, 60);
        double end = dice_between(&dice, 0.5, 20000);
        struct find_law_point points[5];
        struct found_law found;
        const struct json *line;

        for (int i = 0; i < 5; i++) {
            char text[40];

            snprintf(text, sizeof text, "%.1f", low + (high - low) * i / 4);
            assert_true(find_law_shown(text, &points[i]));
            points[i].wire = end * i / 4;
        }
        assert_true(find_law(points, 5, PARAM_INPUT_PREAMP_GAIN, &found));
        line = json_get(found.law, "line");
        assert_int_equal(json_size(line), 2);
        json_free(found.law);
    }
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_simplest_law_is_found),
        cmocka_unit_test(points_that_turn_back_are_refused),
        cmocka_unit_test(end_stops_are_those_that_were_shown),
        cmocka_unit_test(what_is_typed_is_a_number_or_off),
        cmocka_unit_test(laws_are_found_again),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
