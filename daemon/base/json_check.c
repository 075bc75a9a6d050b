/* SPDX-License-Identifier: MIT */
#include <ctype.h>
#include <stdio.h>
#include <string.h>
#include <strings.h>

#include "base/escape.h"
#include "base/json_reader.h"

/* ---- strings ---- */

/* The number that four hexadecimal digits are; -1: there are fewer. */
static int
four_digits(const char *text)
{
    int number = 0;

    for (int i = 0; i < 4; i++) {
        if (!isxdigit((unsigned char)text[i]))
            return -1;
        number = number * 16 + (isdigit((unsigned char)text[i])
                                    ? text[i] - '0'
                                    : tolower((unsigned char)text[i]) - 'a' + 10);
    }
    return number;
}

/* A character as \uNNNN, beyond 16 bits as two of them. */
static bool
skip_code(struct json_reader *reader)
{
    const char *here = reader->text + reader->at;
    int code = four_digits(here + 2);
    bool high = code >= 0xd800 && code < 0xdc00;

    if (code < 0)
        return json_fault_at(reader, reader->at, "\\u needs four hexadecimal digits");
    if (code == 0)
        return json_fault_at(reader, reader->at, "\\u0000 is not allowed in a string");
    if (high && here[6] == '\\' && here[7] == 'u' && four_digits(here + 8) >= 0xdc00 &&
        four_digits(here + 8) < 0xe000)
        reader->at += 6;
    else if (code >= 0xd800 && code < 0xe000)
        return json_fault_at(reader, reader->at, "\\u%.4s is half a character", here + 2);
    reader->at += 6;
    return true;
}

static bool
skip_escape(struct json_reader *reader)
{
    const char *here = reader->text + reader->at;

    if (here[1] == 'u')
        return skip_code(reader);
    if (here[1] == '\0' || !strchr("\"\\/bfnrt", here[1]))
        return json_fault_at(reader, reader->at, "a \\ in a text is written \\\\");
    reader->at += 2;
    return true;
}

/* An apostrophe, and nothing that was to end a text. */
static bool
is_in_word(const char *here, size_t size)
{
    return isalpha((unsigned char)here[-1]) && isalpha((unsigned char)here[size]);
}

/* One character of a string that is neither plain ASCII nor its end. */
static bool
skip_character(struct json_reader *reader, size_t begin)
{
    const char *here = reader->text + reader->at;
    size_t size = escape_character(here);

    if (*here == '\\')
        return skip_escape(reader);
    if (json_is_curly(here) && !is_in_word(here, size))
        reader->curly = reader->at;
    if (*here == '\n' || *here == '\r')
        return reader->curly > 0
                   ? json_fault_curly(reader, reader->curly)
                   : json_fault_at(reader, begin, "this text has no closing \" on its line");
    if (!*here)
        return json_fault_at(reader, reader->at, "a NUL byte");
    if (*here == '\t')
        return json_fault_at(reader, reader->at, "a tab in a text is written \\t");
    if (size == 1)
        return json_fault_at(reader, reader->at, "a control character in a text is written \\u%04x",
                             (unsigned)*here);
    if (size == 0)
        return json_fault_at(reader, reader->at, "not UTF-8 text");
    reader->at += size;
    return true;
}

static bool
is_plain(char c)
{
    return (unsigned char)c >= ' ' && (unsigned char)c < 0x80 && c != '"' && c != '\\';
}

/* From its quote to behind the other one. */
static bool
skip_string(struct json_reader *reader)
{
    size_t begin = reader->at++;

    reader->curly = 0;
    for (;;) {
        while (is_plain(reader->text[reader->at]))
            reader->at++;
        if (reader->text[reader->at] == '"') {
            reader->text_end = ++reader->at;
            return true;
        }
        if (reader->at == reader->length)
            return json_fault_at(reader, reader->at, "the file ends in the middle of a text");
        if (!skip_character(reader, begin))
            return false;
    }
}

/* ---- numbers and words ---- */

static size_t
digits(const char *text)
{
    size_t count = 0;

    while (isdigit((unsigned char)text[count]))
        count++;
    return count;
}

/* The end of a number, whose digits have been seen; NULL where one is missing, with the fault. */
static const char *
skip_decimals(const struct json_reader *reader, const char *here)
{
    if (*here == '.' && digits(++here) == 0) {
        json_fault_at(reader, (size_t)(here - reader->text),
                      "a number has a digit behind its point");
        return NULL;
    }
    here += digits(here);
    if (*here == 'e' || *here == 'E') {
        here += here[1] == '+' || here[1] == '-' ? 2 : 1;
        if (digits(here) == 0) {
            json_fault_at(reader, (size_t)(here - reader->text),
                          "a number has a digit behind its e");
            return NULL;
        }
        here += digits(here);
    }
    return here;
}

static bool
skip_number(struct json_reader *reader)
{
    const char *begin = reader->text + reader->at, *here = begin + (*begin == '-');
    size_t at = (size_t)(here - reader->text), whole = digits(here);

    if (whole == 0)
        return json_fault_at(reader, at,
                             strncasecmp(here, "inf", 3) == 0
                                 ? "minus infinity is written \"-inf\", with its quotes"
                                 : "a number has a digit behind its -");
    if (*here == '0' && whole > 1)
        return json_fault_at(reader, at, "a number has no 0 before its digits");
    here = skip_decimals(reader, here + whole);
    if (!here)
        return false;
    at = (size_t)(here - reader->text);
    if (isalnum((unsigned char)*here) || *here == '_' || *here == '.')
        return json_fault_at(reader, at,
                             "a number does not go on so; a text stands in double quotes");
    if (here - begin > JSON_NUMBER_MOST)
        return json_fault_at(reader, reader->at, "a number of more than %d characters",
                             JSON_NUMBER_MOST);
    reader->at = at;
    return true;
}

static bool
is_word(const char *text, size_t length, const char *word)
{
    return strlen(word) == length && strncasecmp(text, word, length) == 0;
}

static bool
skip_word(struct json_reader *reader)
{
    static const char *const words[] = {"true", "false", "null"};
    static const char *const switches[] = {"yes", "no", "on", "off"};
    const char *here = reader->text + reader->at;
    size_t length = 0;

    while (isalnum((unsigned char)here[length]) || here[length] == '_')
        length++;
    for (size_t i = 0; i < sizeof words / sizeof *words; i++) {
        if (!is_word(here, length, words[i]))
            continue;
        if (memcmp(here, words[i], length) != 0)
            return json_fault_at(reader, reader->at, "%s is written in small letters", words[i]);
        reader->at += length;
        return true;
    }
    for (size_t i = 0; i < sizeof switches / sizeof *switches; i++)
        if (is_word(here, length, switches[i]))
            return json_fault_at(reader, reader->at,
                                 "a switch is true or false; a text stands in "
                                 "double quotes");
    return json_fault_at(reader, reader->at, "a text stands in double quotes");
}

/* ---- what stands where ---- */

static bool
open_bracket(struct json_reader *reader)
{
    if (reader->depth == JSON_DEPTH)
        return json_fault_at(reader, reader->at, "nested more than %d deep", JSON_DEPTH);
    reader->open[reader->depth++] = reader->at;
    reader->state = reader->text[reader->at++] == '{' ? FIRST_KEY : FIRST_VALUE;
    return true;
}

static bool
close_bracket(struct json_reader *reader)
{
    reader->depth--;
    reader->at++;
    reader->state = BEHIND_VALUE;
    return true;
}

/* Something stands there that a sign is missing before, rather than a wrong sign. */
static bool
begins_more(char c)
{
    return isalnum((unsigned char)c) || (c && strchr("\"{[-", c));
}

/* Where a key or a value should stand. */
static bool
fault_missing(const struct json_reader *reader, const char *what)
{
    char here = reader->text[reader->at];
    bool listed = reader->state == KEY || (reader->state == VALUE && reader->depth > 0 &&
                                           json_closer(reader) == ']'); /* behind a , */

    if (listed && (here == '}' || here == ']'))
        return json_fault_at(reader, reader->comma, "nothing follows this , and so it must go");
    if (here == ',' || here == '}' || here == ']')
        return json_fault_at(reader, reader->at, "expected %s before this", what);
    return json_fault_expected(reader, what);
}

static bool
take_key(struct json_reader *reader)
{
    const char *here = reader->text + reader->at, *comma = reader->text + reader->comma;

    if (*here == '"') {
        reader->state = COLON;
        return skip_string(reader);
    }
    if (reader->state == FIRST_KEY && *here == '}')
        return close_bracket(reader);
    if (reader->state == KEY && here == comma + 1 && isdigit((unsigned char)*here) &&
        isdigit((unsigned char)comma[-1]))
        return json_fault_at(reader, reader->comma,
                             "decimals stand behind a point, not behind a ,");
    if (isalpha((unsigned char)*here) || *here == '_')
        return json_fault_at(reader, reader->at, "a key stands in double quotes");
    return fault_missing(reader, "a key in double quotes");
}

static bool
take_colon(struct json_reader *reader)
{
    char here = reader->text[reader->at];

    if (here == ':') {
        reader->at++;
        reader->state = VALUE;
        return true;
    }
    if (here == ',' || here == '}' || here == ']')
        return json_fault_before(reader, ": and a value");
    if (begins_more(here))
        return json_fault_before(reader, ":");
    return json_fault_expected(reader, ":");
}

static bool
take_value(struct json_reader *reader)
{
    char here = reader->text[reader->at];

    if (here == '{' || here == '[')
        return open_bracket(reader);
    if (reader->state == FIRST_VALUE && here == ']')
        return close_bracket(reader);
    if (here == '+')
        return json_fault_at(reader, reader->at, "a number has no + before it");
    if (here == '.')
        return json_fault_at(reader, reader->at, "a number has a digit before its point");
    if (here == '"' || here == '-' || isalnum((unsigned char)here)) {
        reader->state = BEHIND_VALUE;
        return here == '"'                                   ? skip_string(reader)
               : here == '-' || isdigit((unsigned char)here) ? skip_number(reader)
                                                             : skip_word(reader);
    }
    return fault_missing(reader, "a value");
}

static bool
take_end_of_value(struct json_reader *reader)
{
    char here = reader->text[reader->at];
    char expected[8];

    if (reader->depth > 0 && here == json_closer(reader))
        return close_bracket(reader);
    if (reader->depth > 0 && here == ',') {
        reader->comma = reader->at++;
        reader->state = json_closer(reader) == '}' ? KEY : VALUE;
        return true;
    }
    if (reader->depth == 0 && (here == '}' || here == ']'))
        return json_fault_at(reader, reader->at, "this %c closes nothing", here);
    if (reader->depth == 0)
        return json_fault_itself(reader) &&
               json_fault_at(reader, reader->at, "something follows the value");
    if (here == '}' || here == ']')
        return json_fault_open(reader,
                               here == '}' ? "this } comes too early" : "this ] comes too early");
    if (begins_more(here))
        return json_fault_before(reader, ",");
    snprintf(expected, sizeof expected, ", or %c", json_closer(reader));
    return json_fault_expected(reader, expected);
}

static bool
take_next(struct json_reader *reader)
{
    switch (reader->state) {
    case FIRST_KEY:
    case KEY:
        return take_key(reader);
    case COLON:
        return take_colon(reader);
    case FIRST_VALUE:
    case VALUE:
        return take_value(reader);
    case BEHIND_VALUE:
        break;
    }
    return take_end_of_value(reader);
}

static void
skip_blanks(struct json_reader *reader)
{
    reader->at += strspn(reader->text + reader->at, " \t\r\n");
}

bool
json_check(const char *text, size_t length, struct json_fault *fault)
{
    struct json_reader reader = {.text = text, .length = length, .state = VALUE, .fault = fault};

    if (strncmp(text, "\ufeff", 3) == 0)
        reader.at = 3;
    for (;;) {
        skip_blanks(&reader);
        if (reader.at == length)
            break;
        if (!take_next(&reader))
            return false;
    }
    return reader.depth == 0 && reader.state == BEHIND_VALUE ? true : json_fault_end(&reader);
}
