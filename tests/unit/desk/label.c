/* SPDX-License-Identifier: MIT */
#include "unit.h"

#include <stdlib.h>
#include <string.h>

#include "desk/label.h"

/* The words of the label with "|" between them. */
static const char *
words_of(const char *text)
{
    static char joined[LABEL_WORDS * (LABEL_WORD_SIZE + 1)];
    struct label label;

    joined[0] = '\0';
    label_read(&label, text);
    for (int i = 0; i < label.count; i++) {
        strcat(joined, i > 0 ? "|" : "");
        strcat(joined, label.words[i]);
    }
    return joined;
}

static void
labels_are_split_into_words(void **state)
{
    static const struct {
        const char *text, *words;
    } rows[] = {
        {"", ""},
        {"   ", ""},
        {"57", ""},
        {"Kick In", "kick|in"},
        {"kick-in", "kick|in"},
        {"LdVox", "ld|vox"},
        {"LdVox 2", "ld|vox"},
        {"BV2", "bv"},
        {"BV2L", "bv|l"},
        {"OHL", "ohl"},
        {"Gtr L/R", "gtr|l|r"},
        {"(Spare)", "spare"},
        {"Tom1Tom2", "tom|tom"},
        {"aBcD", "a|bc|d"},
        {"Ges\xc3\xa4ng", "ges|ng"}, /* letters beyond ASCII part words */
        {"\xf0\x9f\x8e\xa4 Vox", "vox"},
    };

    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++)
        assert_string_equal(words_of(rows[i].text), rows[i].words);
}

/* A word too long to keep is dropped, its neighbours stay; words past the last place are dropped.
 */
static void
limits_drop_words_and_no_more(void **state)
{
    (void)state;
    assert_string_equal(words_of("one abcdefghijklmnopqrs two"), "one|abcdefghijklmnopqrs|two");
    assert_string_equal(words_of("one abcdefghijklmnopqrst two"), "one|two");
    assert_string_equal(words_of("a b c d e f g h i j k l m n"), "a|b|c|d|e|f|g|h|i|j|k|l");
}

static int
fit(const char *text, const char *alternatives)
{
    struct label label;

    label_read(&label, text);
    return label_fit(&label, alternatives);
}

static void
more_words_beat_more_letters(void **state)
{
    (void)state;
    assert_int_equal(fit("Kick", "snare|tom"), 0);
    assert_true(fit("Kick", "kick") > 0);
    assert_true(fit("ld vox", "ld vox") > fit("vocalization", "vocalization"));
    assert_true(fit("vocals", "vocals") > fit("vox", "vox"));
    assert_true(fit("Ld Vox", "vox|ld vox") == fit("Ld Vox", "ld vox"));
}

static void
every_word_of_an_alternative_must_appear(void **state)
{
    (void)state;
    assert_int_equal(fit("Ld", "ld vox"), 0);
    assert_int_equal(fit("Vox", "ld vox"), 0);
    assert_true(fit("Vox Ld", "ld vox") > 0); /* in any order */
    assert_int_equal(fit("Voxx Ld", "ld vox"), 0);
    assert_int_equal(fit("Vo Ld", "ld vox"), 0);
}

static void
empty_alternatives_fit_nothing(void **state)
{
    (void)state;
    assert_int_equal(fit("Kick", ""), 0);
    assert_int_equal(fit("", "kick"), 0);
    assert_int_equal(fit("", ""), 0);
}

static void
what_is_left_without_the_words(void **state)
{
    static const struct {
        const char *text, *alternatives, *rest;
    } rows[] = {
        {"Ld Vox wedge", "wedge", "Ld Vox"},
        {"Wedge Ld Vox", "wedge", "Ld Vox"},
        {"WDG 3", "wedge|wdg", "3"},
        {"wedge", "wedge", ""},
        {"Ld Vox", "wedge", "Ld Vox"},
        {"Ld Vox (wedge)", "wedge", "Ld Vox"},
        {"Drums - IEM", "iem", "Drums"},
        {"Bass wedge 2", "wedge", "Bass  2"},
        {"SideFill L", "side fill", "L"},
        {"J\xc3\xb6rg wedge", "wedge", "J\xc3\xb6rg"},
        {"", "wedge", ""},
        {"  ", "wedge", ""},
        {"Ld Vox", "", "Ld Vox"},
    };

    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        char rest[64];

        label_without(rows[i].text, rows[i].alternatives, rest, sizeof rest);
        assert_string_equal(rest, rows[i].rest);
    }
}

/* The rest never leaves its buffer, however small that is. */
static void
rest_stays_inside_its_buffer(void **state)
{
    static const char text[] = "Somebody with a long name on a wedge";

    (void)state;
    for (size_t size = 1; size <= sizeof text; size++) {
        char *rest = malloc(size);

        label_without(text, "wedge", rest, size);
        assert_true(strlen(rest) < size);
        assert_memory_equal(rest, text, strlen(rest));
        free(rest);
    }
}

/* The rest is a player's name and stays UTF-8 when it is cut. */
static void
rest_is_not_cut_inside_a_character(void **state)
{
    (void)state;
    for (size_t size = 2; size < 20; size++) {
        char rest[20];
        size_t length;

        label_without("\xc3\xa4\xc3\xb6\xc3\xbc\xc3\xa4\xc3\xb6\xc3\xbc\xc3\xa4\xc3\xb6\xc3\xbc",
                      "wedge", rest, size);
        length = strlen(rest);
        assert_int_equal(length % 2, 0);
    }
}

/* Ten thousand characters from a hostile or broken desk. */
static void
endless_labels_are_read(void **state)
{
    enum { LENGTH = 10000 };
    static const char *const patterns[] = {"a", "aB",    "a ", " ", "\xc3\xa4",
                                           "7", "Kick ", "|",  "%s"};
    char *text = malloc(LENGTH + 8);
    char rest[64];

    (void)state;
    for (size_t i = 0; i < COUNT(patterns); i++) {
        struct label label;

        text[0] = '\0';
        for (size_t at = 0; at < LENGTH; at += strlen(patterns[i]))
            memcpy(text + at, patterns[i], strlen(patterns[i]) + 1);
        label_read(&label, text);
        assert_in_range(label.count, 0, LABEL_WORDS);
        label_without(text, "kick|a", rest, sizeof rest);
        assert_true(strlen(rest) < sizeof rest);
    }
    free(text);
}

static void
names_are_equal_without_letter_case(void **state)
{
    (void)state;
    assert_true(label_equal("Ld Vox", "ld vOX"));
    assert_true(label_equal("", ""));
    assert_false(label_equal("Ld Vox", "Ld Vox "));
    assert_false(label_equal("Ld Vox", "Ld"));
    assert_false(label_equal("", "x"));
    assert_true(label_equal("J\xc3\xb6rg", "j\xc3\xb6RG"));
    assert_false(label_equal("J\xc3\x96rg", "j\xc3\xb6rg")); /* only ASCII has case here */
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(labels_are_split_into_words),
        cmocka_unit_test(limits_drop_words_and_no_more),
        cmocka_unit_test(more_words_beat_more_letters),
        cmocka_unit_test(every_word_of_an_alternative_must_appear),
        cmocka_unit_test(empty_alternatives_fit_nothing),
        cmocka_unit_test(what_is_left_without_the_words),
        cmocka_unit_test(rest_stays_inside_its_buffer),
        cmocka_unit_test(rest_is_not_cut_inside_a_character),
        cmocka_unit_test(endless_labels_are_read),
        cmocka_unit_test(names_are_equal_without_letter_case),
    };

    return cmocka_run_group_tests_name("label", tests, NULL, NULL);
}
