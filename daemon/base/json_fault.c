/* SPDX-License-Identifier: MIT */
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "base/escape.h"
#include "base/json_reader.h"

struct json_place
json_place(const char *text, size_t at)
{
    struct json_place place = {1, 1};

    for (size_t i = 0; i < at; i++) {
        place.column = text[i] == '\n' ? 1 : place.column + ((text[i] & 0xc0) != 0x80);
        place.line += text[i] == '\n';
    }
    return place;
}

bool
json_fault_at(const struct json_reader *reader, size_t at, const char *format, ...)
{
    va_list args;

    reader->fault->at = at;
    va_start(args, format);
    vsnprintf(reader->fault->says, sizeof reader->fault->says, format, args);
    va_end(args);
    return false;
}

char
json_closer(const struct json_reader *reader)
{
    return reader->text[reader->open[reader->depth - 1]] == '{' ? '}' : ']';
}

bool
json_fault_open(const struct json_reader *reader, const char *says)
{
    size_t open = reader->open[reader->depth - 1];
    struct json_place place = json_place(reader->text, open);

    return json_fault_at(reader, reader->at, "%s: the %c of line %d, column %d is not closed", says,
                         reader->text[open], place.line, place.column);
}

bool
json_is_curly(const char *text)
{
    static const char *const quotes[] = {"\u2018", "\u2019", "\u201a", "\u201b",
                                         "\u201c", "\u201d", "\u201e", "\u201f",
                                         "\u00ab", "\u00bb", "\u2039", "\u203a"};

    for (size_t i = 0; i < sizeof quotes / sizeof *quotes; i++)
        if (strncmp(text, quotes[i], strlen(quotes[i])) == 0)
            return true;
    return false;
}

bool
json_fault_curly(const struct json_reader *reader, size_t at)
{
    const char *here = reader->text + at;

    return json_fault_at(reader, at, "%.*s is a curly quote; a text stands in straight ones, \"",
                         (int)escape_character(here), here);
}

bool
json_fault_itself(const struct json_reader *reader)
{
    const char *here = reader->text + reader->at;
    int size = (int)escape_character(here);

    if (!*here)
        return json_fault_at(reader, reader->at, "a NUL byte");
    if (size == 0)
        return json_fault_at(reader, reader->at, "not UTF-8 text");
    if (*here == '#' || strncmp(here, "//", 2) == 0 || strncmp(here, "/*", 2) == 0)
        return json_fault_at(reader, reader->at, "comments are not allowed");
    if (json_is_curly(here))
        return json_fault_curly(reader, reader->at);
    if (*here == '\'')
        return json_fault_at(reader, reader->at, "a text stands in double quotes \", not in '");
    if (escape_is_blank(here) || escape_is_unseen(here))
        return json_fault_at(reader, reader->at,
                             "a blank that JSON does not know; type a plain one in its place");
    return true;
}

bool
json_fault_expected(const struct json_reader *reader, const char *expected)
{
    const char *here = reader->text + reader->at;
    int size = (int)escape_character(here);

    return json_fault_itself(reader) &&
           json_fault_at(reader, reader->at, "expected %s here, not %.*s", expected, size, here);
}

/* Where it goes on at once behind a text that holds a curly quote, that was to end it. */
bool
json_fault_before(const struct json_reader *reader, const char *expected)
{
    if (reader->curly > 0 && reader->text_end == reader->at)
        return json_fault_curly(reader, reader->curly);
    return json_fault_at(reader, reader->at, "expected %s before this", expected);
}

bool
json_fault_end(const struct json_reader *reader)
{
    if (reader->depth > 0)
        return json_fault_open(reader, "the file ends too early");
    return json_fault_at(reader, reader->at, "the file is empty");
}
