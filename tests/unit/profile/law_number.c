/* SPDX-License-Identifier: MIT */
/* Numbers that a desk sends as text. */
#include "unit.h"

#include <math.h>

#include "profile/law.h"

static void
numbers_in_texts(void **state)
{
    static const struct {
        const char *text;
        double number;
    } rows[] = {
        {"0", 0},
        {"-12.5", -12.5},
        {"+3", 3},
        {".5", 0.5},
        {"-12.5 dB", -12.5},
        {"-12.5dB", -12.5},
        {"3 DB", 3},
        {"100 Hz", 100},
        {"1.2 kHz", 1200},
        {"1.2kHz", 1200},
        {"5 ms", 5},
        {"0.1ms", 0.1},
        {"  7  ", 7},
        {"1e3", 1000},
        {"-inf", -HUGE_VAL},
        {"-INF", -HUGE_VAL},
        {"-oo", -HUGE_VAL},
        {"-inf dB", -HUGE_VAL},
        {" -oo dB", -HUGE_VAL},
    };

    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        double number = NAN;

        if (!law_parse_number(rows[i].text, &number))
            print_error("\"%s\" is no number\n", rows[i].text);
        assert_near_in(rows[i].text, number, rows[i].number, 1e-12);
    }
}

static void
texts_that_are_no_numbers(void **state)
{
    static const char *const texts[] = {
        "",         " ",
        "off",      "nan",
        "inf",      "+inf",
        "-nan",     "-infinity",
        "0x10",     "1x",
        "1,5",      "1 2",
        "--1",      "-",
        ".",        "e5",
        "dB",       "1 dBu",
        "12 dB dB", "1e999",
        "oo",       "\xe2\x88\x92\x33",
        "1 MHz",    "kick",
        "5 MS",     "5 m",
    };

    (void)state;
    for (size_t i = 0; i < COUNT(texts); i++) {
        double number;

        if (law_parse_number(texts[i], &number))
            print_error("\"%s\" is read as %g\n", texts[i], number);
        assert_false(law_parse_number(texts[i], &number));
    }
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(numbers_in_texts),
        cmocka_unit_test(texts_that_are_no_numbers),
    };

    return cmocka_run_group_tests_name("law_number", tests, NULL, NULL);
}
