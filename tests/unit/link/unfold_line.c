/* SPDX-License-Identifier: MIT */
/* A text line parted into its fields. Line and texts stand in heap blocks of exactly the promised
 * size.
 */
#include "unit.h"

#include <stdlib.h>
#include <string.h>

#include "link/unfold.h"

enum { FIELDS_MOST = 8 };

struct parted {
    char *line, *texts;
    const char *fields[FIELDS_MOST];
    size_t count;
};

static struct parted
part(const char *line, char separator, size_t most)
{
    struct parted parted = {.line = malloc(strlen(line) + 1), .texts = malloc(strlen(line) + 1)};

    assert_non_null(parted.line);
    assert_non_null(parted.texts);
    strcpy(parted.line, line);
    parted.count = unfold_line(parted.line, separator, parted.texts, parted.fields, most);
    return parted;
}

static void
release(struct parted *parted)
{
    free(parted->line);
    free(parted->texts);
}

struct row {
    const char *line;
    char separator;
    const char *fields[FIELDS_MOST];
};

static void
each_is_parted(const struct row *rows, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        struct parted parted = part(rows[i].line, rows[i].separator, FIELDS_MOST);
        size_t expected = 0;

        while (rows[i].fields[expected])
            expected++;
        assert_row(rows[i].line, parted.count, expected);
        for (size_t k = 0; k < expected; k++)
            assert_string_equal(parted.fields[k], rows[i].fields[k]);
        release(&parted);
    }
}

static void
any_run_of_blanks_is_one_separator(void **state)
{
    static const struct row rows[] = {
        {"a", ' ', {"a"}},
        {"a b c", ' ', {"a", "b", "c"}},
        {"  a   b ", ' ', {"a", "b"}},
        {"a,b;c -3.5", ' ', {"a,b;c", "-3.5"}},
        {"a\tb", ' ', {"a", "b"}},
        {"\ta \t b\t\tc\t", ' ', {"a", "b", "c"}},
        {"", ' ', {NULL}},
        {"   ", ' ', {NULL}},
        {" \t ", ' ', {NULL}},
    };

    (void)state;
    each_is_parted(rows, COUNT(rows));
}

static void
other_separators_part_empty_fields_too(void **state)
{
    static const struct row rows[] = {
        {"a", ',', {"a"}},
        {"a,b,c", ',', {"a", "b", "c"}},
        {"1;2", ';', {"1", "2"}},
        {"a,,c", ',', {"a", "", "c"}},
        {",", ',', {"", ""}},
        {",a,", ',', {"", "a", ""}},
        {"", ',', {""}},
        {"a|b", '|', {"a", "b"}},
        {"a\tb", '\t', {"a", "b"}},
        {"a\t\tc", '\t', {"a", "", "c"}},
        {"\tb\t", '\t', {"", "b", ""}},
    };

    (void)state;
    each_is_parted(rows, COUNT(rows));
}

static void
blanks_around_a_field_are_dropped(void **state)
{
    static const struct row rows[] = {
        {" a , b ", ',', {"a", "b"}},
        {"\ta\t,\tb\t", ',', {"a", "b"}},
        {"a b , c", ',', {"a b", "c"}},
        {" , ", ',', {"", ""}},
        {"   ", ',', {""}},
        {" a \t b ", '\t', {"a", "b"}},
    };

    (void)state;
    each_is_parted(rows, COUNT(rows));
}

static void
quotes_hold_the_separator(void **state)
{
    static const struct row rows[] = {
        {"\"a,b\",c", ',', {"a,b", "c"}},
        {"1 \"Lead vocal\" 2", ' ', {"1", "Lead vocal", "2"}},
        {"\"a;b\";\"c\"", ';', {"a;b", "c"}},
        {" \" a \" , b", ',', {" a ", "b"}}, /* blanks inside quotes are the field's */
        {"\"\"", ' ', {""}},
        {"\"\",\"\"", ',', {"", ""}},
        {"\"a\" , b", ',', {"a", "b"}},
        {"a\"b,c\"", ',', {"a\"b", "c\""}}, /* a quote inside a field is a letter */
        {"\"a,b", ',', {"a,b"}},            /* never closed: to the end */
        {"\"", ',', {""}},
        {"\"a\"x,b", ',', {"a", "b"}},
    };

    (void)state;
    each_is_parted(rows, COUNT(rows));
}

/* More fields than there is room for are none at all: half an answer would be a wrong one. */
static void
too_many_fields_are_none(void **state)
{
    static const char separators[] = {' ', ','};

    (void)state;
    for (size_t i = 0; i < COUNT(separators); i++) {
        const char separator = separators[i];
        const char three[] = {'1', separator, '2', separator, '3', '\0'};

        for (size_t most = 0; most <= 4; most++) {
            struct parted parted = part(three, separator, most);

            assert_int_equal(parted.count, most < 3 ? 0 : 3);
            release(&parted);
        }
    }
}

/* ---- properties ---- */

/* Writes a random field, and what it is worth between separators. */
static void
random_field(struct dice *dice, char separator, char field[16], char *line)
{
    bool quoted = dice_below(dice, 3) == 0;
    int length = (quoted ? 0 : 1) + dice_below(dice, 8);

    for (int i = 0; i < length; i++) {
        int letter = '#' + dice_below(dice, 'z' - '#');

        field[i] = (char)(quoted || letter != separator ? letter : '_');
    }
    field[length] = '\0';
    strcat(line, quoted ? "\"" : "");
    strcat(line, field);
    strcat(line, quoted ? "\"" : "");
}

static void
joined_fields_come_back(void **state)
{
    static const char separators[] = {' ', ',', ';', '|', '/', '\t'};
    struct dice dice = dice_new();

    (void)state;
    for (int round = 0; round < 20000; round++) {
        char separator = separators[dice_below(&dice, COUNT(separators))];
        const char between[] = {separator, '\0'};
        char fields[FIELDS_MOST][16], line[400] = "";
        size_t count = 1 + (size_t)dice_below(&dice, FIELDS_MOST);
        struct parted parted;

        for (size_t i = 0; i < count; i++) {
            strcat(line, i > 0 ? between : "");
            strcat(line, dice_below(&dice, 4) == 0 ? "  " : "");
            random_field(&dice, separator, fields[i], line);
            strcat(line, dice_below(&dice, 4) == 0 ? " " : "");
        }
        parted = part(line, separator, FIELDS_MOST);
        assert_row(line, parted.count, count);
        for (size_t i = 0; i < count; i++)
            assert_string_equal(parted.fields[i], fields[i]);
        release(&parted);
    }
}

/* Whatever the line: no more fields than wanted, each of them inside the texts. */
static void
any_line_is_survived(void **state)
{
    static const char alphabet[] = "ab\" \t,;\x7f\xff";
    struct dice dice = dice_new();

    (void)state;
    for (int round = 0; round < 100000; round++) {
        char line[24] = "";
        size_t length = (size_t)dice_below(&dice, (int)sizeof line);
        size_t most = (size_t)dice_below(&dice, FIELDS_MOST + 1);
        struct parted parted;

        for (size_t i = 0; i < length; i++)
            line[i] = alphabet[dice_below(&dice, (int)sizeof alphabet - 1)];
        parted = part(line, " \t,;"[dice_below(&dice, 4)], most);
        assert_true(parted.count <= most);
        for (size_t i = 0; i < parted.count; i++) {
            assert_true(parted.fields[i] >= parted.texts);
            assert_true(parted.fields[i] + strlen(parted.fields[i]) <= parted.texts + length);
        }
        release(&parted);
    }
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(any_run_of_blanks_is_one_separator),
        cmocka_unit_test(other_separators_part_empty_fields_too),
        cmocka_unit_test(blanks_around_a_field_are_dropped),
        cmocka_unit_test(quotes_hold_the_separator),
        cmocka_unit_test(too_many_fields_are_none),
        cmocka_unit_test(joined_fields_come_back),
        cmocka_unit_test(any_line_is_survived),
    };

    return cmocka_run_group_tests_name("unfold_line", tests, NULL, NULL);
}
