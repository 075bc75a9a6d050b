/* SPDX-License-Identifier: MIT */
/* A text that is posted calls nobody and links nowhere, and still reads the same. */
#include "unit.h"

#include <regex.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "tell/words_only.h"

#define Z "\xe2\x80\x8a" /* U+200A */
#define FULL_AT "\xef\xbc\xa0"

static void
assert_words(const char *text, const char *expected)
{
    char *words = words_only(text);

    assert_string_equal(words, expected);
    free(words);
}

static void
what_calls_or_links_is_parted(void **state)
{
    static const struct {
        const char *text, *words;
    } rows[] = {
        {"@everyone", "@" Z "everyone"},
        {"Vox @here!", "Vox @" Z "here!"},
        {"<!channel>", "<" Z "!channel>"},
        {"<@123>", "<" Z "@" Z "123>"},
        {"[x](http://host.example/a)", "[x]" Z "(http:" Z "/" Z "/host." Z "example/a)"},
        {"https://h", "https:" Z "/" Z "/h"},
        {"//h", "/" Z "/h"},
        {"www.host.example", "www." Z "host." Z "example"},
        {"#room ~room", "#" Z "room ~" Z "room"},
        {"&lt;b&gt;", "&" Z "lt;b&" Z "gt;"},
        {"<b>x</b>", "<" Z "b>x<" Z "/b>"},
        {"[a][b] [[c]] [d]: e", "[a]" Z "[b] [" Z "[c]" Z "] [d]" Z ": e"},
        {"a `b` ```c```", "a 'b' '''c'''"},
        {FULL_AT "everyone", FULL_AT Z "everyone"},
        {"@\xe2\x80\x8b"
         "x h:\xe2\x81\xa0/\xc2\xad/",
         "@" Z "\xe2\x80\x8b"
         "x h:" Z "\xe2\x81\xa0/" Z "\xc2\xad/"},
        {"\xff.host", "\xff." Z "host"},
    };

    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++)
        assert_words(rows[i].text, rows[i].words);
}

static void
other_texts_stay(void **state)
{
    static const char *const texts[] = {
        "",
        "Ostrel Barn: raised fix [master-off-unity] mix 2 Gtr wedge (gtr): at -14.5 dB; do: -13",
        "input 3 Snare: preamp 30 dB -> 42 dB, and 2 more values",
        "a recall of scene \"Second half\" changed 143 values",
        "lost 12:30:05 (3/4)",
        "Keys @ 2, A & B, a < b, # 1, ~ 3",
        "no. 5, 1.5, ends with @",
        "gr\xc3\xb6\xc3\x9f\x65 \xe5\xa4\xaa\xe9\xbc\x93",
    };

    (void)state;
    for (size_t i = 0; i < COUNT(texts); i++)
        assert_words(texts[i], texts[i]);
}

/* A text of pieces that like to become something. */
static void
throw_text(struct dice *dice, char text[400])
{
    static const char *const pieces[] = {"@",
                                         "#",
                                         "&",
                                         "<",
                                         ">",
                                         "~",
                                         "[",
                                         "]",
                                         "(",
                                         ")",
                                         ":",
                                         "/",
                                         "http",
                                         "www",
                                         ".",
                                         "`",
                                         " ",
                                         "everyone",
                                         "!",
                                         "1",
                                         "\xc2\xa0",
                                         Z,
                                         FULL_AT,
                                         "\xef\xbc\x83",
                                         "\xef\xbc\x9c",
                                         "\xc3\xa9",
                                         "\xff",
                                         "\n",
                                         ";",
                                         "x"};
    int count = dice_below(dice, 30);

    text[0] = '\0';
    for (int i = 0; i < count; i++)
        strcat(text, pieces[dice_below(dice, COUNT(pieces))]);
}

/* The words without the part, for free(). */
static char *
without_parts(const char *words)
{
    char *text = strdup(words), *to = text;

    assert_non_null(text);
    while (*words)
        if (strncmp(words, Z, strlen(Z)) == 0)
            words += strlen(Z);
        else
            *to++ = *words++;
    *to = '\0';
    return text;
}

static void
assert_reads_the_same(const char *text, const char *words)
{
    char *one = without_parts(text), *other = without_parts(words);

    for (char *at = one; *at; at++)
        *at = *at == '`' ? '\'' : *at;
    assert_string_equal(one, other);
    free(one);
    free(other);
}

static void
nothing_of_the_kind_survives(void **state)
{
    /* with every blank, and the part, as a space */
    static const char construct[] =
        "[@#&~<][^[:space:]]|" FULL_AT "[^[:space:]]|\xef\xbc\x83[^[:space:]]|"
        "\xef\xbc\x9c[^[:space:]]|\\][^[:space:]]|\\[\\[|//|:/|`|\\.[[:alpha:]]";
    struct dice dice = dice_new();
    regex_t regex;

    (void)state;
    assert_int_equal(regcomp(&regex, construct, REG_EXTENDED | REG_NOSUB), 0);
    for (int i = 0; i < 20000; i++) {
        char text[400], *words, *again, *spaced;

        throw_text(&dice, text);
        words = words_only(text);
        again = words_only(words);
        spaced = strdup(words);
        assert_non_null(spaced);
        for (char *at; (at = strstr(spaced, Z)) != NULL;)
            memcpy(at, "   ", 3);
        for (char *at; (at = strstr(spaced, "\xc2\xa0")) != NULL;)
            memcpy(at, "  ", 2);
        if (regexec(&regex, spaced, 0, NULL, 0) == 0)
            fail_msg("\"%s\" became \"%s\"", text, words);
        assert_string_equal(words, again);
        assert_reads_the_same(text, words);
        free(words);
        free(again);
        free(spaced);
    }
    regfree(&regex);
}

int
main(void)
{
    static const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_calls_or_links_is_parted),
        cmocka_unit_test(other_texts_stay),
        cmocka_unit_test(nothing_of_the_kind_survives),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
