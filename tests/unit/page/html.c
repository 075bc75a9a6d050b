/* SPDX-License-Identifier: MIT */
/* Whatever is not part of a format is escaped, and what is no text is replaced. */
#include "unit.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "page/html.h"

/* What html_add() writes of the text, or of the number twice, to free(). */
static char *
written(const char *text, double number)
{
    char *bytes = NULL;
    size_t length = 0;
    FILE *page = open_memstream(&bytes, &length);

    assert_non_null(page);
    if (text)
        html_add(page, "<%s>", text);
    else
        html_add(page, "%f %+f.", number, number);
    fclose(page);
    return bytes;
}

static void
text_is_escaped(void **state)
{
    static const struct {
        const char *text, *html;
    } rows[] = {
        {"plain", "<plain>"},
        {"<b>&\"'", "<&lt;b&gt;&amp;&quot;&#39;>"},
        {"\xe2\x80\xae"
         "x",
         "<\xef\xbf\xbdx>"}, /* turns the direction */
        {"a\x1b[2J\x7f\x01", "<a\xef\xbf\xbd[2J\xef\xbf\xbd\xef\xbf\xbd>"},
        {"\xff\xc0\x80", "<\xef\xbf\xbd\xef\xbf\xbd\xef\xbf\xbd>"}, /* no UTF-8 */
        {"\xd7\xa9\xf0\x9f\x8e\xa4", "<\xd7\xa9\xf0\x9f\x8e\xa4>"},
        {"%s%d", "<%s%d>"},
    };

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char *html = written(rows[i].text, 0);

        assert_string_equal(html, rows[i].html);
        free(html);
    }
}

static void
numbers_have_one_decimal_at_most(void **state)
{
    static const struct {
        double number;
        const char *plain, *change;
    } rows[] = {{14, "14", "+14"},
                {-3.5,
                 "\xe2\x88\x92"
                 "3.5",
                 "\xe2\x88\x92"
                 "3.5"},
                {0.04, "0", "0"},
                {-0.04, "0", "0"},
                {9.96, "10", "+10"},
                {0.05, "0.1", "+0.1"},
                {-INFINITY, "off", "off"}};

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char *html = written(NULL, rows[i].number), expected[80];

        snprintf(expected, sizeof expected, "%s %s.", rows[i].plain, rows[i].change);
        assert_string_equal(html, expected);
        free(html);
    }
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(text_is_escaped),
        cmocka_unit_test(numbers_have_one_decimal_at_most),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
