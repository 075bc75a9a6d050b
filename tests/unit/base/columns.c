/* SPDX-License-Identifier: MIT */
/* Text by columns: widths and cuts of what terminals measure differently, and random bytes. */
#include "base/columns.h"

#include <locale.h>
#include <stdio.h>
#include <string.h>

#include "base/escape.h"
#include "unit.h"

static const struct {
    const char *text, *drawn;
    int width;
} texts[] = {
    {"", "", 0},
    {"mix 8 Drums", "mix 8 Drums", 11},
    {"\xc3\xa9", "\xc3\xa9", 1},
    {"\xe3\x83\x89\xe3\x83\xa9", "\xe3\x83\x89\xe3\x83\xa9", 4}, /* katakana */
    {"a\xcc\x81\xcc\x82", "a\xcc\x81\xcc\x82", 1},               /* combining */
    {"\xf0\x9f\xa5\x81", "\xf0\x9f\xa5\x81", 2},                 /* a drum */
    {"\xf0\x9f\xa5\x81\xef\xb8\x8f", "\xf0\x9f\xa5\x81", 2},     /* varied */
    {"\xf0\x9f\x91\xa9\xe2\x80\x8d\xf0\x9f\x8e\xa4", "\xf0\x9f\x91\xa9\xf0\x9f\x8e\xa4", 4},
    {"\xcd\xb8", "?", 1},  /* not assigned */
    {"\xff\xfe", "??", 2}, /* no UTF-8 */
    {"\xe2\x80\xae"
     "x",
     "?x", 2},                   /* turns the direction */
    {"\x1b[2J\x07", "?[2J?", 5}, /* controls */
    {"\xc2\x9b"
     "2J",
     "?2J", 3},
};

static void
widths_and_drawings(void **state)
{
    char drawn[64];

    (void)state;
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        assert_row(texts[i].drawn, columns_width(texts[i].text), texts[i].width);
        columns_copy(drawn, sizeof drawn, texts[i].text, strlen(texts[i].text));
        assert_string_equal(drawn, texts[i].drawn);
    }
}

static void
cut_between_words_and_characters(void **state)
{
    (void)state;
    assert_int_equal(columns_fit("drums keys", 7, false), 7);
    assert_int_equal(columns_fit("drums keys", 7, true), 5);
    assert_int_equal(columns_fit("drums keys", 5, true), 5);
    assert_int_equal(columns_fit("drumskeys", 5, true), 5);
    assert_int_equal(columns_fit("a\xe3\x83\x89", 2, false), 1); /* half of it would fit */
    assert_int_equal(columns_fit("e\xcc\x81x", 1, false), 3);    /* what combines stays with it */
    assert_int_equal(columns_fit("\xe3\x83\x89", 1, true), 0);
}

static void
padding_fills_columns(void **state)
{
    char to[32];

    (void)state;
    columns_pad(to, sizeof to, "ab", 4);
    assert_string_equal(to, "ab  ");
    columns_pad(to, sizeof to, "\xe3\x83\x89\xe3\x83\xa9", 3);
    assert_string_equal(to, "\xe3\x83\x89 ");
    columns_pad(to, 4, "abcdefgh", 8); /* never beyond its end */
    assert_string_equal(to, "abc");
}

/* Bytes of every kind: whatever is drawn is valid, harmless, and as wide as was said. */
static void
random_bytes_are_drawn_within_their_columns(void **state)
{
    struct dice dice = dice_new();

    (void)state;
    for (int round = 0; round < 100000; round++) {
        char text[24], drawn[64], clean[64];
        int length = dice_below(&dice, 23), width = dice_below(&dice, 30);
        size_t cut;

        for (int i = 0; i < length; i++)
            text[i] = (char)(dice_below(&dice, 3) ? 0x80 + dice_below(&dice, 0x78)
                                                  : 1 + dice_below(&dice, 0x7f));
        text[length] = '\0';
        cut = columns_fit(text, width, dice_below(&dice, 2));
        columns_copy(drawn, sizeof drawn, text, cut);
        assert_true(cut <= (size_t)length);
        assert_true(columns_width(drawn) <= width);
        for (const char *at = drawn; *at; at += escape_character(at)) {
            assert_true(escape_is_harmless(at));
        }
        columns_copy(clean, sizeof clean, drawn, strlen(drawn));
        assert_string_equal(clean, drawn); /* a drawing is drawn as it is */
    }
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(widths_and_drawings),
        cmocka_unit_test(cut_between_words_and_characters),
        cmocka_unit_test(padding_fills_columns),
        cmocka_unit_test(random_bytes_are_drawn_within_their_columns),
    };

    if (!setlocale(LC_CTYPE, "C.UTF-8"))
        return 1;
    return cmocka_run_group_tests(tests, NULL, NULL);
}
