/* SPDX-License-Identifier: MIT */
#include "unit.h"

#include <string.h>

#include "base/text_format.h"

static void
appends_as_printf_does(void **state)
{
    char buffer[40];
    struct text text;

    (void)state;
    text_init(&text, buffer, sizeof buffer);
    text_add(&text, "%s", "a");
    text_format(&text, "\\x%02x %5.2f|%.*s", 7U, 1.5, 2, "bcd");
    text_format(&text, "%s", "");
    text_add(&text, "%d", 1);
    assert_string_equal(buffer, "a\\x07  1.50|bc1");
}

/* Whatever the room, it is cut as text_add() cuts, and nothing is written behind the buffer. */
static void
cuts_as_text_add_does(void **state)
{
    static const char label[] = "caf\xc3\xa9 \xf0\x9f\x8e\xa4 long";

    (void)state;
    for (size_t size = 4; size <= sizeof label + 2; size++) {
        char formatted[sizeof label + 3], added[sizeof label + 3];
        struct text one, other;

        memset(formatted, '#', sizeof formatted);
        text_init(&one, formatted, size);
        text_init(&other, added, size);
        for (int i = 0; i < 2; i++) {
            text_format(&one, "%s", label);
            text_add(&other, "%s", label);
            assert_string_equal(formatted, added);
            assert_int_equal(one.cut, other.cut);
        }
        assert_int_equal(formatted[size], '#');
    }
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(appends_as_printf_does),
        cmocka_unit_test(cuts_as_text_add_does),
    };

    return cmocka_run_group_tests_name("text_format", tests, NULL, NULL);
}
