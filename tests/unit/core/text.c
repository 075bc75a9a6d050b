/* SPDX-License-Identifier: MIT */
#include "unit.h"

#include <limits.h>
#include <math.h>
#include <stdint.h>
#include <string.h>

#include "core/text.h"

static void
starts_empty(void **state)
{
    char buffer[4] = "xyz";
    struct text text;

    (void)state;
    text_init(&text, buffer, sizeof buffer);
    assert_string_equal(buffer, "");
}

static void
numbers_have_at_most_one_decimal(void **state)
{
    static const struct {
        double number;
        const char *written;
    } rows[] = {
        {0, "0"},
        {-0.0, "0"},
        {0.04, "0"},
        {-0.04, "0"},
        {0.05, "0.1"},
        {-0.05, "-0.1"},
        {0.1, "0.1"},
        {-0.1, "-0.1"},
        {1, "1"},
        {-1, "-1"},
        {0.96, "1"},
        {-0.96, "-1"},
        {9.94, "9.9"},
        {9.96, "10"},
        {-12.5, "-12.5"},
        {41.2034, "41.2"},
        {19952.62, "19952.6"},
        {-HUGE_VAL, "off"},
        {99999999.5, "99999999.5"},
    };

    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        char buffer[40];
        struct text text;

        text_init(&text, buffer, sizeof buffer);
        text_add(&text, "%f", rows[i].number);
        assert_string_equal(buffer, rows[i].written);
    }
}

static void
ratios_have_at_most_two(void **state)
{
    static const struct {
        double number;
        const char *written;
    } rows[] = {{0.05, "0.05"},   {0.004, "0"}, {0.707, "0.71"}, {1.5, "1.5"},
                {-2.25, "-2.25"}, {0.996, "1"}, {20, "20"},      {-HUGE_VAL, "off"}};

    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        char buffer[40];
        struct text text;

        text_init(&text, buffer, sizeof buffer);
        text_add(&text, "%g", rows[i].number);
        assert_string_equal(buffer, rows[i].written);
    }
}

/* Every number between -2 and 2 in steps of a hundredth: "-0" never comes out. */
static void
zero_has_no_sign(void **state)
{
    (void)state;
    for (int i = -200; i <= 200; i++) {
        char buffer[40];
        struct text text;

        text_init(&text, buffer, sizeof buffer);
        text_add(&text, "%f", i / 100.0);
        assert_string_not_equal(buffer, "-0");
    }
}

static void
whole_numbers_and_words(void **state)
{
    char buffer[100];
    struct text text;

    (void)state;
    text_init(&text, buffer, sizeof buffer);
    text_add(&text, "%d %d %d%%", 0, INT_MAX, INT_MIN);
    text_add(&text, ", %s: %f -> %f dB", "preamp", 42.0, 28.0);
    text_add(&text, ", %zu of %zu", (size_t)0, SIZE_MAX);
    assert_string_equal(buffer, "0 2147483647 -2147483648%, preamp: 42 -> 28 dB, "
                                "0 of 18446744073709551615");
}

/* Whatever the room, what does not fit ends in "...", and nothing is written behind the buffer. */
static void
what_does_not_fit_ends_in_dots(void **state)
{
    static const char sentence[] = "twenty-one bytes long";

    (void)state;
    for (size_t size = 4; size <= sizeof sentence + 2; size++) {
        char buffer[sizeof sentence + 3];
        struct text text;

        memset(buffer, '#', sizeof buffer);
        text_init(&text, buffer, size);
        text_add(&text, "%s", sentence);
        assert_int_equal(buffer[size], '#');
        if (size >= sizeof sentence) {
            assert_string_equal(buffer, sentence);
            continue;
        }
        assert_int_equal(strlen(buffer), size - 1);
        assert_string_equal(buffer + size - 4, "...");
        assert_memory_equal(buffer, sentence, size - 4);
    }
}

static void
adding_to_a_full_text_changes_nothing_more(void **state)
{
    char buffer[12];
    struct text text;

    (void)state;
    text_init(&text, buffer, sizeof buffer);
    text_add(&text, "%s", "12345678901");
    assert_string_equal(buffer, "12345678901");
    text_add(&text, "%s", "");
    assert_string_equal(buffer, "12345678901");
    text_add(&text, "%d", 2);
    assert_string_equal(buffer, "12345678...");
    text_add(&text, "%f", 3.5);
    assert_string_equal(buffer, "12345678...");
}

/* A label in the text may be any UTF-8; a sentence cut inside a character would be no UTF-8 any
 * more. */
static void
is_not_cut_inside_a_character(void **state)
{
    static const char label[] =
        "\xc3\xa4\xc3\xb6\xc3\xbc\xe2\x82\xac\xf0\x9f\x8e\xa4\xc3\xa4\xc3\xb6";

    (void)state;
    for (size_t size = 4; size <= sizeof label; size++) {
        char buffer[sizeof label + 1];
        struct text text;
        size_t kept;

        text_init(&text, buffer, size);
        text_add(&text, "%s", label);
        if (size >= sizeof label)
            continue;
        kept = strlen(buffer) - 3;
        assert_memory_equal(buffer, label, kept);
        assert_string_equal(buffer + kept, "...");
        /* the first byte that was left out begins a character */
        assert_int_not_equal((unsigned char)label[kept] & 0xc0, 0x80);
        text_add(&text, " and more");
        assert_string_equal(buffer + kept, "...");
    }
}

/* As after vsnprintf(), which says how much it would have written. */
static void
takes_what_others_wrote(void **state)
{
    char buffer[12];
    struct text text;

    (void)state;
    text_init(&text, buffer, sizeof buffer);
    text_add(&text, "12345");
    memcpy(text.at + text.used, "678", 4);
    text_wrote(&text, 3);
    assert_string_equal(buffer, "12345678");
    assert_false(text.cut);
    memcpy(text.at + text.used, "901", 4);
    text_wrote(&text, 7);
    assert_string_equal(buffer, "12345678...");
    assert_true(text.cut);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(starts_empty),
        cmocka_unit_test(numbers_have_at_most_one_decimal),
        cmocka_unit_test(ratios_have_at_most_two),
        cmocka_unit_test(zero_has_no_sign),
        cmocka_unit_test(whole_numbers_and_words),
        cmocka_unit_test(what_does_not_fit_ends_in_dots),
        cmocka_unit_test(adding_to_a_full_text_changes_nothing_more),
        cmocka_unit_test(is_not_cut_inside_a_character),
        cmocka_unit_test(takes_what_others_wrote),
    };

    return cmocka_run_group_tests_name("text", tests, NULL, NULL);
}
