/* SPDX-License-Identifier: MIT */
#include "tell/words_only.h"

#include <stdbool.h>
#include <string.h>

#include "base/escape.h"
#include "core/need.h"

#define PART "\xe2\x80\x8a" /* U+200A, hair space */

/* Whatever is no blank; what a name is made of: all beyond ASCII, too. */
static bool
is_anything(const char *at)
{
    return !escape_is_blank(at);
}

static bool
is_letter(const char *at)
{
    char c = escape_ascii(at);

    return c ? (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') : is_anything(at);
}

static bool
is_opening(const char *at)
{
    return escape_ascii(at) == '[';
}

static bool
is_slash(const char *at)
{
    return escape_ascii(at) == '/';
}

/* Signs that are parted from what follows them. */
static const struct {
    const char *signs;
    bool (*before)(const char *at);
} parted[] = {{"@#~&<]", is_anything}, {"[", is_opening}, {":/", is_slash}, {".", is_letter}};

/* What is unseen is no part: some programs take it out. */
static bool
is_parted(char sign, const char *next)
{
    for (size_t i = 0; sign && *next && i < sizeof parted / sizeof *parted; i++)
        if (strchr(parted[i].signs, sign) && (parted[i].before(next) || escape_is_unseen(next)))
            return true;
    return false;
}

static size_t
length_of(const char *at)
{
    size_t length = escape_character(at);

    return length > 0 ? length : 1;
}

char *
words_only(const char *text)
{
    char *words = need_memory(strlen(text) + 1, sizeof PART), *to = words;

    while (*text) {
        size_t length = length_of(text);
        char sign = escape_ascii(text);
        const char *next = text + length;

        if (sign == '`')
            *to++ = '\'';
        else
            to = (char *)memcpy(to, text, length) + length;
        if (is_parted(sign, next))
            to = (char *)memcpy(to, PART, sizeof PART - 1) + sizeof PART - 1;
        text = next;
    }
    *to = '\0';
    return words;
}
