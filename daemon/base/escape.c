/* SPDX-License-Identifier: MIT */
#include "base/escape.h"

#include <stdint.h>
#include <string.h>

/* Decodes one character; its length, 0 when the bytes are no UTF-8 (RFC 3629: no overlong forms, no
 * surrogates, nothing above U+10FFFF). */
static size_t
decode(const char *text, uint32_t *code)
{
    static const struct {
        unsigned char mask, lead;
        uint32_t least;
    } forms[] = {{0x80, 0x00, 0}, {0xe0, 0xc0, 0x80}, {0xf0, 0xe0, 0x800}, {0xf8, 0xf0, 0x10000}};
    const unsigned char *bytes = (const unsigned char *)text;

    for (size_t more = 0; more < 4; more++) {
        if ((bytes[0] & forms[more].mask) != forms[more].lead)
            continue;
        *code = bytes[0] & (unsigned char)~forms[more].mask;
        for (size_t i = 1; i <= more; i++) {
            if ((bytes[i] & 0xc0) != 0x80)
                return 0;
            *code = *code << 6 | (bytes[i] & 0x3f);
        }
        if (*code < forms[more].least || (*code >= 0xd800 && *code <= 0xdfff) || *code > 0x10ffff)
            return 0;
        return more + 1;
    }
    return 0;
}

/* Controls of C0 and C1, line and paragraph separators, and marks that turn the direction. */
static bool
is_harmless(uint32_t code)
{
    return code >= 0x20 && !(code >= 0x7f && code < 0xa0) && !(code >= 0x2028 && code <= 0x202e) &&
           !(code >= 0x2066 && code <= 0x2069) && code != 0x61c && code != 0x200e &&
           code != 0x200f && code != 0xfeff;
}

size_t
escape_character(const char *text)
{
    uint32_t code;

    return decode(text, &code);
}

char
escape_ascii(const char *text)
{
    uint32_t code;

    if (decode(text, &code) == 0)
        return '\0';
    if (code >= 0xff01 && code <= 0xff5e)
        code -= 0xff01 - 0x21;
    return code < 0x80 ? (char)code : '\0';
}

struct range {
    uint32_t first, last;
};

static bool
is_within(const char *text, const struct range *ranges, size_t count)
{
    uint32_t code;

    if (decode(text, &code) == 0)
        return false;
    for (size_t i = 0; i < count; i++)
        if (code >= ranges[i].first && code <= ranges[i].last)
            return true;
    return false;
}

/* Unicode's White_Space (PropList.txt). */
bool
escape_is_blank(const char *text)
{
    static const struct range blanks[] = {
        {0x09, 0x0d},     {0x20, 0x20},     {0x85, 0x85},     {0xa0, 0xa0},     {0x1680, 0x1680},
        {0x2000, 0x200a}, {0x2028, 0x2029}, {0x202f, 0x202f}, {0x205f, 0x205f}, {0x3000, 0x3000}};

    return is_within(text, blanks, sizeof blanks / sizeof *blanks);
}

/* The soft hyphen, joiners, other marks without a glyph, variation selectors. */
bool
escape_is_unseen(const char *text)
{
    static const struct range unseen[] = {{0xad, 0xad},     {0x200b, 0x200d}, {0x2060, 0x2064},
                                          {0xfe00, 0xfe0f}, {0xfeff, 0xfeff}, {0xe0000, 0xe0fff}};

    return is_within(text, unseen, sizeof unseen / sizeof *unseen);
}

bool
escape_is_harmless(const char *text)
{
    uint32_t code;

    return decode(text, &code) > 0 && is_harmless(code);
}

void
escape_print_part(FILE *to, const char *text, size_t size)
{
    for (size_t at = 0; at < size;) {
        uint32_t code = 0;
        size_t length = decode(text + at, &code);
        size_t bytes = length > 0 ? length : 1;

        if (length > 0 && is_harmless(code))
            fwrite(text + at, 1, length, to);
        else
            for (size_t i = 0; i < bytes; i++)
                fprintf(to, "\\x%02x", (unsigned char)text[at + i]);
        at += bytes;
    }
}

void
escape_print(FILE *to, const char *text)
{
    escape_print_part(to, text, strlen(text));
}

void
escape_clean(char *to, size_t size, const char *text)
{
    size_t used = 0;

    while (*text) {
        uint32_t code = 0;
        size_t length = decode(text, &code);
        bool good = length > 0 && is_harmless(code);
        size_t bytes = good ? length : 1;

        if (used + bytes >= size)
            break;
        memcpy(to + used, good ? text : "?", bytes);
        used += bytes;
        text += length > 0 ? length : 1;
    }
    to[used] = '\0';
}
