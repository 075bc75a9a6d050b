/* SPDX-License-Identifier: MIT */
#define _XOPEN_SOURCE 700 /* wcwidth() */
#include "base/columns.h"

#include <locale.h>
#include <stdlib.h>
#include <string.h>
#include <wchar.h>

#include "base/escape.h"

/* A character as it is drawn: `length` bytes of the text become `drawn_length` of `drawn`, which
 * take `columns`. */
struct drawn {
    size_t length, drawn_length;
    const char *drawn;
    int columns;
};

static struct drawn
draw_character(const char *text)
{
    size_t length = escape_character(text);
    struct drawn drawn = {length > 0 ? length : 1, 1, "?", 1};
    wchar_t wide = 0;
    mbstate_t state = {0};

    if (!escape_is_harmless(text) || mbrtowc(&wide, text, length, &state) != length)
        return drawn;
    if (escape_is_unseen(text))
        return (struct drawn){length, 0, text, 0};
    if (wcwidth(wide) < 0)
        return drawn;
    return (struct drawn){length, length, text, wcwidth(wide)};
}

void
columns_set_locale(void)
{
    if (!setlocale(LC_CTYPE, "") || MB_CUR_MAX < 2)
        setlocale(LC_CTYPE, "C.UTF-8");
}

int
columns_width(const char *text)
{
    int width = 0;

    while (*text) {
        struct drawn drawn = draw_character(text);

        width += drawn.columns;
        text += drawn.length;
    }
    return width;
}

/* "\\xNN" for each byte that is not printed as it is. */
int
columns_escaped(const char *text, size_t size)
{
    enum { ESCAPED_COLUMNS = 4 };
    int width = 0;

    for (size_t at = 0; at < size;) {
        size_t length = escape_character(text + at);
        size_t bytes = length > 0 ? length : 1;
        wchar_t wide = 0;
        mbstate_t state = {0};

        if (!escape_is_harmless(text + at))
            width += ESCAPED_COLUMNS * (int)bytes;
        else if (mbrtowc(&wide, text + at, length, &state) != length || wcwidth(wide) < 0)
            width++;
        else
            width += wcwidth(wide);
        at += bytes;
    }
    return width;
}

size_t
columns_fit(const char *text, int width, bool words)
{
    size_t used = 0, space = 0;
    int taken = 0;

    while (text[used]) {
        struct drawn drawn = draw_character(text + used);

        if (taken + drawn.columns > width)
            return words && text[used] != ' ' && space > 0 ? space : used;
        if (text[used] == ' ')
            space = used;
        used += drawn.length;
        taken += drawn.columns;
    }
    return used;
}

size_t
columns_copy(char *to, size_t size, const char *text, size_t length)
{
    size_t used = 0;

    for (size_t at = 0; at < length && text[at];) {
        struct drawn drawn = draw_character(text + at);

        if (used + drawn.drawn_length >= size)
            break;
        memcpy(to + used, drawn.drawn, drawn.drawn_length);
        used += drawn.drawn_length;
        at += drawn.length;
    }
    to[used] = '\0';
    return used;
}

size_t
columns_pad(char *to, size_t size, const char *text, int width)
{
    size_t used = columns_copy(to, size, text, columns_fit(text, width, false));

    for (int taken = columns_width(to); taken < width && used + 1 < size; taken++)
        to[used++] = ' ';
    to[used] = '\0';
    return used;
}
