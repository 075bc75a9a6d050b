/* SPDX-License-Identifier: MIT */
/*
 * All ways to match go on side by side: bit i of a set says that the pattern so far can end before
 * character i of the address. One pass over the pattern, whatever it holds, so a stranger's pattern
 * cannot make the desk think for long.
 */
#include "pattern.h"

#include <stdint.h>
#include <string.h>

enum { ADDRESS_MOST = 63 };

struct matching {
    const char *address;
    size_t length;
    uint64_t places; /* where the pattern so far can end */
};

/* Whether `c` lies in the brackets whose inside is `list`; `!` first turns the answer round. */
static bool
is_listed(const char *list, const char *end, char c)
{
    bool others = list < end && *list == '!';
    bool found = false;

    list += others;
    while (list < end) {
        bool range = end - list >= 3 && list[1] == '-';

        if (range)
            found = found || (c >= list[0] && c <= list[2]);
        else
            found = found || c == list[0];
        list += range ? 3 : 1;
    }
    return found != others;
}

/* Takes one character of the address for one of `list`; `list` NULL stands for any but a slash. */
static void
step(struct matching *matching, const char *list, const char *end)
{
    uint64_t next = 0;

    for (size_t i = 0; i < matching->length; i++) {
        char c = matching->address[i];
        bool fits = !list ? c != '/' : c != '/' && is_listed(list, end, c);

        if (fits && (matching->places >> i & 1) != 0)
            next |= UINT64_C(1) << (i + 1);
    }
    matching->places = next;
}

static void
step_any_number(struct matching *matching)
{
    for (size_t i = 0; i < matching->length; i++)
        if (matching->address[i] != '/' && (matching->places >> i & 1) != 0)
            matching->places |= UINT64_C(1) << (i + 1);
}

/* The places after `word`, for all that lie before it. */
static uint64_t
after_word(const struct matching *matching, const char *word, size_t size)
{
    uint64_t next = 0;

    for (size_t i = 0; i + size <= matching->length; i++)
        if ((matching->places >> i & 1) != 0 && memcmp(matching->address + i, word, size) == 0)
            next |= UINT64_C(1) << (i + size);
    return next;
}

static void
step_words(struct matching *matching, const char *words, const char *end)
{
    uint64_t next = 0;

    for (;;) {
        const char *comma = memchr(words, ',', (size_t)(end - words));
        const char *stop = comma ? comma : end;

        next |= after_word(matching, words, (size_t)(stop - words));
        if (!comma)
            break;
        words = comma + 1;
    }
    matching->places = next;
}

/* Deals with the bracket or brace at `pattern`; returns what follows it, NULL if it stays open. */
static const char *
step_group(struct matching *matching, const char *pattern)
{
    const char *end = strchr(pattern, *pattern == '[' ? ']' : '}');

    if (!end)
        return NULL;
    if (*pattern == '[')
        step(matching, pattern + 1, end);
    else
        step_words(matching, pattern + 1, end);
    return end + 1;
}

bool
pattern_is(const char *address)
{
    return strpbrk(address, "?*[{");
}

bool
pattern_match(const char *pattern, const char *address)
{
    struct matching matching = {.address = address, .length = strlen(address), .places = 1};

    if (matching.length > ADDRESS_MOST)
        return false;
    while (pattern && *pattern != '\0' && matching.places != 0) {
        if (*pattern == '[' || *pattern == '{') {
            pattern = step_group(&matching, pattern);
            continue;
        }
        if (*pattern == '*')
            step_any_number(&matching);
        else if (*pattern == '?')
            step(&matching, NULL, NULL);
        else
            matching.places = after_word(&matching, pattern, 1);
        pattern++;
    }
    return pattern && (matching.places >> matching.length & 1) != 0;
}
