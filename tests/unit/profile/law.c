/* SPDX-License-Identifier: MIT */
/* Laws between wire and units: what they give, and what is refused when they are read. Round trips
 * of random laws: law_property.c. */
#include "unit.h"

#include <math.h>
#include <string.h>

#include "law_wire.h"
#include "profile/law.h"

struct reading {
    struct problems problems;
    struct law law;
};

/* Reads a law from the text; release_reading() in any case. */
static void
read_law(struct reading *reading, const char *text)
{
    struct where where;
    struct where here;
    struct json *json;

    reading->problems = (struct problems){0};
    json = json_parse(text, strlen(text), "p", &reading->problems);
    assert_non_null(json);
    where = where_file("p", NULL, &reading->problems);
    here = where_key(&where, "law");
    here.json = json;
    law_read(&reading->law, "law", &here);
    json_free(json);
}

static void
release_reading(struct reading *reading)
{
    law_release(&reading->law);
    problems_release(&reading->problems);
}

/* As above; the law must be good. */
static void
read_good(struct reading *reading, const char *text)
{
    read_law(reading, text);
    if (reading->problems.count > 0)
        print_error("%s\n", reading->problems.lines[0]);
    assert_int_equal(reading->problems.count, 0);
}

static double
value(const struct reading *reading, double wire)
{
    double number = NAN;

    assert_true(law_value(&reading->law, wire, &number));
    return number;
}

static bool
has_value(const struct reading *reading, double wire)
{
    double number;

    return law_value(&reading->law, wire, &number);
}

/* ---- values ---- */

static void
line_is_straight_between_its_points(void **state)
{
    struct reading reading;

    (void)state;
    read_good(&reading, "{\"line\": [[0, -4], [0.5, 20], [1, 56]]}");
    assert_int_equal(reading.law.kind, LAW_LINE);
    assert_near(value(&reading, 0), -4, 0);
    assert_near(value(&reading, 0.25), 8, 1e-12);
    assert_near(value(&reading, 0.5), 20, 0);
    assert_near(value(&reading, 0.75), 38, 1e-12);
    assert_near(value(&reading, 1), 56, 0);
    release_reading(&reading);
}

static void
line_may_fall(void **state)
{
    struct reading reading;
    double wire;

    (void)state;
    read_good(&reading, "{\"line\": [[-10, 5], [10, -15]]}");
    assert_near(value(&reading, 0), -5, 1e-12);
    assert_true(law_wire(&reading.law, -10, &wire));
    assert_near(wire, 5, 1e-12);
    release_reading(&reading);
}

/* 16 to 500 Hz: half way is the geometric mean. */
static void
ratio_is_geometric(void **state)
{
    struct reading reading;
    double wire;

    (void)state;
    read_good(&reading, "{\"ratio\": [[0, 16], [1, 500]]}");
    assert_near(value(&reading, 0), 16, 1e-12);
    assert_near(value(&reading, 0.5), sqrt(16.0 * 500), 1e-9);
    assert_near(value(&reading, 1), 500, 1e-9);
    assert_true(law_wire(&reading.law, 100, &wire));
    assert_near(wire, log(100.0 / 16) / log(500.0 / 16), 1e-12);
    release_reading(&reading);
}

/* A thousandth of the span is forgiven at the ends, no more. */
static void
ends_forgive_a_thousandth(void **state)
{
    struct reading reading;

    (void)state;
    read_good(&reading, "{\"line\": [[0, -4], [1000, 56]]}");
    assert_near(value(&reading, -0.999), -4, 0);
    assert_near(value(&reading, 1000.999), 56, 0);
    assert_false(has_value(&reading, -1.001));
    assert_false(has_value(&reading, 1001.001));
    release_reading(&reading);
}

static void
off_is_reached_only_at_its_point(void **state)
{
    struct reading reading;
    double wire;

    (void)state;
    read_good(&reading, "{\"line\": [[0, \"-inf\"], [0.04, -70], [1, 10]]}");
    assert_near(value(&reading, 0), -HUGE_VAL, 0);
    assert_near(value(&reading, 1e-9), -70, 0);
    assert_near(value(&reading, 0.04), -70, 0);
    assert_true(law_wire(&reading.law, -HUGE_VAL, &wire));
    assert_near(wire, 0, 0);
    assert_true(law_wire(&reading.law, -70, &wire));
    assert_near(wire, 0.04, 0);
    assert_false(law_wire(&reading.law, -80, &wire)); /* the control has no such place */
    release_reading(&reading);

    read_good(&reading, "{\"line\": [[0, 10], [0.96, -70], [1, \"-inf\"]]}");
    assert_near(value(&reading, 1), -HUGE_VAL, 0);
    assert_near(value(&reading, 0.99), -70, 0);
    release_reading(&reading);
}

static void
factor_multiplies(void **state)
{
    struct reading reading;
    double wire;

    (void)state;
    read_good(&reading, "{\"times\": 0.1}");
    assert_near(value(&reading, -125), -12.5, 1e-12);
    assert_true(law_wire(&reading.law, -12.5, &wire));
    assert_near(wire, -125, 1e-9);
    release_reading(&reading);
}

static void
amplitude_is_twenty_times_the_logarithm(void **state)
{
    struct reading reading;
    double wire;

    (void)state;
    read_good(&reading, "{\"amplitude\": true}");
    assert_near(value(&reading, 1), 0, 1e-12);
    assert_near(value(&reading, 0.5), -6.0206, 1e-5);
    assert_near(value(&reading, 10), 20, 1e-12);
    assert_near(value(&reading, 0), -HUGE_VAL, 0);
    assert_false(has_value(&reading, -0.1));
    assert_true(law_wire(&reading.law, -20, &wire));
    assert_near(wire, 0.1, 1e-12);
    assert_true(law_wire(&reading.law, -HUGE_VAL, &wire));
    assert_near(wire, 0, 0);
    release_reading(&reading);
}

/* NaN and infinite wire numbers mean nothing in any law; what a desk calls "-inf" is a text or a
 * point. */
static void
wire_numbers_that_are_none_are_refused(void **state)
{
    static const char *const laws[] = {"{\"line\": [[0, \"-inf\"], [1, 10]]}",
                                       "{\"ratio\": [[0, 16], [1, 500]]}",
                                       "{\"times\": 2}",
                                       "{\"times\": -2}",
                                       "{\"amplitude\": true}",
                                       "{\"words\": [[0, false], [1, true]]}"};
    const struct law none = {.kind = LAW_NONE};
    double number;

    (void)state;
    for (size_t i = 0; i < COUNT(laws); i++) {
        struct reading reading;

        read_good(&reading, laws[i]);
        if (has_value(&reading, HUGE_VAL) || has_value(&reading, -HUGE_VAL))
            print_error("%s takes an infinite number\n", laws[i]);
        assert_false(has_value(&reading, NAN));
        assert_false(has_value(&reading, HUGE_VAL));
        assert_false(has_value(&reading, -HUGE_VAL));
        release_reading(&reading);
    }
    assert_false(law_value(&none, NAN, &number));
    assert_false(law_value(&none, HUGE_VAL, &number));
    assert_false(law_value(&none, -HUGE_VAL, &number));
    assert_true(law_value(&none, -3.5, &number));
    assert_near(number, -3.5, 0);
}

/* ---- tables ---- */

static void
table_of_numbers(void **state)
{
    struct reading reading;
    double wire;

    (void)state;
    read_good(&reading, "{\"words\": [[0, \"-inf\"], [1, -10], [2, 4.5], [7, true]]}");
    assert_near(value(&reading, 0), -HUGE_VAL, 0);
    assert_near(value(&reading, 1), -10, 0);
    assert_near(value(&reading, 2), 4.5, 0);
    assert_near(value(&reading, 7), 1, 0);
    assert_false(has_value(&reading, 3));
    assert_false(has_value(&reading, 1.5));
    assert_true(law_wire(&reading.law, 4.5, &wire));
    assert_near(wire, 2, 0);
    assert_false(law_wire(&reading.law, 5, &wire));
    release_reading(&reading);
}

static void
table_of_texts(void **state)
{
    struct reading reading;
    double number;

    (void)state;
    read_good(&reading, "{\"words\": [[\"ON\", true], [\"OFF\", false], [true, true]]}");
    assert_true(law_value_of_text(&reading.law, "ON", &number));
    assert_near(number, 1, 0);
    assert_true(law_value_of_text(&reading.law, "OFF", &number));
    assert_near(number, 0, 0);
    assert_false(law_value_of_text(&reading.law, "on", &number)); /* letter case counts */
    assert_false(law_value_of_text(&reading.law, "", &number));
    assert_near(value(&reading, 1), 1, 0); /* true on the wire is 1 */
    assert_false(has_value(&reading, 0));
    release_reading(&reading);
}

static void
words_are_bound_to_their_parameter(void **state)
{
    struct reading reading;
    struct where where;
    struct law bound;
    double wire;

    (void)state;
    read_good(&reading, "{\"words\": [[0, \"post-fader\"], [4, \"pre-fader\"], [5, \"pre-eq\"]]}");
    where = where_file("p", NULL, &reading.problems);
    assert_true(law_bind(&bound, &reading.law, PARAM_SEND_TAP, &where));
    assert_true(law_wire(&bound, TAP_PRE_FADER, &wire));
    assert_near(wire, 4, 0);
    assert_true(law_wire(&bound, TAP_POST_FADER, &wire));
    assert_near(wire, 0, 0);
    law_release(&bound);
    release_reading(&reading);
}

static void
law_that_cannot_give_the_values_is_not_bound(void **state)
{
    static const struct {
        const char *law;
        enum param_id id;
        const char *problem;
    } rows[] = {
        {"{\"words\": [[0, \"sideways\"]]}", PARAM_SEND_TAP,
         "p: \"sideways\" is no word of send.tap"},
        {"{\"words\": [[0, \"pre-fader\"]]}", PARAM_INPUT_MUTE,
         "p: \"pre-fader\" is no value of input.mute, which is on or off"},
        {"{\"words\": [[0, 2]]}", PARAM_INPUT_MUTE,
         "p: the table's value is no value of input.mute, which is on or off"},
        {"{\"words\": [[0, 91]]}", PARAM_INPUT_PREAMP_GAIN,
         "p: the table's value is no value of input.preamp_gain, which is dB"},
        {"{\"words\": [[0, \"-inf\"]]}", PARAM_INPUT_PREAMP_GAIN,
         "p: the table's value is no value of input.preamp_gain, which is dB"},
        {"{\"line\": [[0, 0], [1, 2]]}", PARAM_SEND_TAP,
         "p: send.tap takes words; its law must be a \"words\" table"},
        {"{\"times\": 2}", PARAM_INPUT_NAME, "p: input.name is text and takes no law"},
    };

    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct reading reading;
        struct where where;
        struct law bound;

        read_good(&reading, rows[i].law);
        where = where_file("p", NULL, &reading.problems);
        assert_false(law_bind(&bound, &reading.law, rows[i].id, &where));
        assert_int_equal(reading.problems.count, 1);
        assert_string_equal(reading.problems.lines[0], rows[i].problem);
        law_release(&bound);
        release_reading(&reading);
    }
}

/* ---- end stops ---- */

static void
travel_is_between_the_outermost_values(void **state)
{
    static const struct {
        const char *law;
        double least, most;
    } rows[] = {
        {"{\"line\": [[0, -4], [1, 56]]}", -4, 56},
        {"{\"line\": [[0, 56], [1, -4]]}", -4, 56},
        {"{\"line\": [[0, \"-inf\"], [0.1, -70], [1, 10]]}", -70, 10},
        {"{\"ratio\": [[0, 16], [1, 500]]}", 16, 500},
        {"{\"times\": 2}", NAN, NAN},
        {"{\"amplitude\": true}", NAN, NAN},
        {"{\"words\": [[0, false], [1, true]]}", NAN, NAN},
    };

    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct reading reading;
        struct travel travel;

        read_good(&reading, rows[i].law);
        travel = law_travel(&reading.law);
        assert_true(travel.least == rows[i].least || (isnan(travel.least) && isnan(rows[i].least)));
        assert_true(travel.most == rows[i].most || (isnan(travel.most) && isnan(rows[i].most)));
        release_reading(&reading);
    }
}

/* ---- a table before another law ---- */

/* "off" among the dB values, and 0 for a filter that is off among its corners. */
static void
words_stand_before_the_rest(void **state)
{
    static const char *const laws[] = {
        "{\"words\": [[\"off\", \"-inf\"], [5, -7], [0, null]], \"times\": 2}",
        "{\"times\": 2, \"words\": [[\"off\", \"-inf\"], [5, -7], [0, null]]}"};

    (void)state;
    for (size_t i = 0; i < COUNT(laws); i++) {
        struct reading reading;
        double number = 0;

        read_good(&reading, laws[i]);
        assert_true(law_value_of_text(&reading.law, "off", &number) && number == -HUGE_VAL);
        assert_true(law_value_of_text(&reading.law, "-3", &number) && number == -6);
        assert_true(law_value_of_text(&reading.law, "5 dB", &number) && number == -7);
        assert_true(law_value_of_text(&reading.law, "0", &number) && isnan(number));
        assert_false(law_value_of_text(&reading.law, "on", &number));
        assert_true(value(&reading, 5) == -7);
        assert_true(value(&reading, 4) == 8);
        assert_true(isnan(value(&reading, 0)));
        assert_false(has_value(&reading, NAN));
        release_reading(&reading);
    }
}

/* A line's own end stops and limits hold behind a table. */
static void
words_stand_before_a_line(void **state)
{
    struct reading reading;
    struct travel travel;

    (void)state;
    read_good(&reading, "{\"words\": [[-1, \"-inf\"]], \"line\": [[0, -60], [1, 10]]}");
    travel = law_travel(&reading.law);
    assert_true(travel.least == -60 && travel.most == 10);
    assert_true(value(&reading, -1) == -HUGE_VAL && value(&reading, 0.5) == -25);
    assert_false(has_value(&reading, -0.5));
    release_reading(&reading);
}

static void
all_that_is_not_in_the_table(void **state)
{
    struct reading reading;
    double number = 0;

    (void)state;
    read_good(&reading, "{\"words\": [[0, false], [\"out\", null]], \"else\": true}");
    assert_true(value(&reading, 0) == 0 && value(&reading, 120) == 1 && value(&reading, -1) == 1);
    assert_true(law_value_of_text(&reading.law, "0 Hz", &number) && number == 0);
    assert_true(law_value_of_text(&reading.law, "out", &number) && isnan(number));
    assert_true(law_value_of_text(&reading.law, "120 Hz", &number) && number == 1);
    assert_true(law_value_of_text(&reading.law, "in", &number) && number == 1);
    assert_false(has_value(&reading, NAN)); /* no number at all */
    release_reading(&reading);
    read_good(&reading, "{\"words\": [[0, false]], \"else\": null}");
    assert_true(isnan(value(&reading, 7)));
    release_reading(&reading);
}

/* ---- refused at reading ---- */

#define ONE_OF                                                                                     \
    "p: law: must hold one of line, ratio, words, times, amplitude, or words and one of the "      \
    "others"

static void
bad_laws_are_refused_with_their_place(void **state)
{
    static const struct {
        const char *law, *problem;
    } rows[] = {
        {"5", "p: law: is a number, must be an object"},
        {"{}", ONE_OF},
        {"{\"times\": 1, \"amplitude\": true}", ONE_OF},
        {"{\"times\": 1, \"amplitude\": true, \"words\": [[0, 1]]}", ONE_OF},
        {"{\"else\": 1, \"times\": 2, \"words\": [[0, 1]]}", ONE_OF},
        {"{\"else\": true}", "p: law: \"else\" goes with \"words\" alone"},
        {"{\"words\": [[0, 1]], \"else\": []}",
         "p: law.else: must be true, false, a number, \"-inf\", a word, or null for nothing"},
        {"{\"lime\": [[0, 0], [1, 1]]}", "p: law.lime: unknown key, did you mean \"line\"?"},
        {"{\"line\": [[0, 0]]}",
         "p: law.line: must be an array of at least two [wire, value] points"},
        {"{\"line\": 3}", "p: law.line: must be an array of at least two [wire, value] points"},
        {"{\"line\": [[0, 0], [1]]}",
         "p: law.line[1]: must be [wire, value]: two numbers, or \"-inf\" as the value"},
        {"{\"line\": [[0, 0], [1, \"loud\"]]}",
         "p: law.line[1]: must be [wire, value]: two numbers, or \"-inf\" as the value"},
        {"{\"line\": [[0, 0], [\"1\", 1]]}",
         "p: law.line[1]: must be [wire, value]: two numbers, or \"-inf\" as the value"},
        {"{\"line\": [[0, 0], [1e999, 1]]}",
         "p: law.line[1]: must be [wire, value]: two numbers, or \"-inf\" as the value"},
        {"{\"line\": [[0, 0], [0, 1]]}", "p: law.line[1]: the wire value 0 does not rise above 0"},
        {"{\"line\": [[1, 0], [0.5, 1]]}",
         "p: law.line[1]: the wire value 0.5 does not rise above 1"},
        {"{\"line\": [[0, 0], [1, 10], [2, 9]]}",
         "p: law.line[2]: the law turns back at 9; values must rise or fall throughout"},
        {"{\"line\": [[0, 5], [1, 5]]}",
         "p: law.line[1]: the law turns back at 5; values must rise or fall throughout"},
        {"{\"line\": [[0, 0], [1, \"-inf\"], [2, -10]]}",
         "p: law.line[1]: \"-inf\" may stand only in the first or last point"},
        {"{\"ratio\": [[0, 0], [1, 100]]}", "p: law.ratio[0]: a ratio law needs values above 0"},
        {"{\"ratio\": [[0, \"-inf\"], [1, 100]]}",
         "p: law.ratio[0]: a ratio law needs values above 0"},
        {"{\"words\": []}", "p: law.words: must be an array of [wire, value] pairs"},
        {"{\"words\": [[0]]}",
         "p: law.words[0]: must be [wire, value]: a number or text, and true, "
         "false, a number, \"-inf\", a word, or null for nothing"},
        {"{\"words\": [[0, 1], [0, 2]]}", "p: law.words[1]: the same wire value stands twice"},
        {"{\"words\": [[\"a\", 1], [\"a\", 2]]}",
         "p: law.words[1]: the same wire value stands twice"},
        {"{\"words\": [[1, 1], [true, 0]]}", "p: law.words[1]: the same wire value stands twice"},
        {"{\"times\": 0}", "p: law.times: must be a number other than 0"},
        {"{\"times\": \"2\"}", "p: law.times: must be a number other than 0"},
        {"{\"times\": 1e999}", "p: law.times: must be a number other than 0"},
        {"{\"amplitude\": false}", "p: law.amplitude: must be true"},
        {"{\"amplitude\": 1}", "p: law.amplitude: must be true"},
    };

    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct reading reading;

        read_law(&reading, rows[i].law);
        if (reading.problems.count == 0)
            print_error("%s is not refused\n", rows[i].law);
        assert_true(reading.problems.count > 0);
        assert_string_equal(reading.problems.lines[0], rows[i].problem);
        release_reading(&reading);
    }
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(line_is_straight_between_its_points),
        cmocka_unit_test(line_may_fall),
        cmocka_unit_test(ratio_is_geometric),
        cmocka_unit_test(ends_forgive_a_thousandth),
        cmocka_unit_test(off_is_reached_only_at_its_point),
        cmocka_unit_test(factor_multiplies),
        cmocka_unit_test(amplitude_is_twenty_times_the_logarithm),
        cmocka_unit_test(wire_numbers_that_are_none_are_refused),
        cmocka_unit_test(table_of_numbers),
        cmocka_unit_test(table_of_texts),
        cmocka_unit_test(words_are_bound_to_their_parameter),
        cmocka_unit_test(law_that_cannot_give_the_values_is_not_bound),
        cmocka_unit_test(travel_is_between_the_outermost_values),
        cmocka_unit_test(words_stand_before_the_rest),
        cmocka_unit_test(words_stand_before_a_line),
        cmocka_unit_test(all_that_is_not_in_the_table),
        cmocka_unit_test(bad_laws_are_refused_with_their_place),
    };

    return cmocka_run_group_tests_name("law", tests, NULL, NULL);
}
