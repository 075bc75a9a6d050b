/* SPDX-License-Identifier: MIT */
#include "listen/asked.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/need.h"

/* The next word, for free(); NULL behind the last. Whether it stood in quotes, and whether those
 * were closed. */
static char *
next_word(const char **at, bool *quoted, bool *whole)
{
    const char *begin = *at + strspn(*at, " \t");
    size_t length;

    *quoted = *begin == '"';
    *whole = true;
    if (!*begin)
        return NULL;
    begin += *quoted;
    length = strcspn(begin, *quoted ? "\"" : " \t");
    *at = begin + length;
    *whole = !*quoted || **at == '"';
    *at += *quoted && *whole;
    return need_part(begin, length);
}

static struct json *
argument_of(const char *word, bool quoted)
{
    char *end;
    double number = strtod(word, &end);

    if (quoted)
        return json_new_string(word);
    if (strcmp(word, "true") == 0 || strcmp(word, "false") == 0)
        return json_new_bool(*word == 't');
    return *word && !*end && isfinite(number) ? json_new_number(number) : json_new_string(word);
}

/* Adds the words to the message; false when a quote is not closed or there are too many. */
static bool
add_words(const char *text, struct json *send, bool *only_asks)
{
    bool quoted, whole = true;
    char *word;

    *only_asks = false;
    while (whole && (word = next_word(&text, &quoted, &whole))) {
        *only_asks = !quoted && strcmp(word, "this_only_asks") == 0;
        if (whole && !*only_asks)
            json_add(send, NULL,
                     json_size(send) == 0 ? json_new_string(word) : argument_of(word, quoted));
        free(word);
        if (json_size(send) > ASKED_WORDS)
            return false;
    }
    return whole;
}

struct json *
asked_renewal(const char *text, struct problems *problems)
{
    struct json *renewal = json_new_object(), *send = json_new_array();
    bool only_asks, good = add_words(text, send, &only_asks) && json_size(send) > 0;

    json_add(renewal, "send", send);
    json_add_number(renewal, "every_s", ASKED_EVERY_S);
    if (only_asks)
        json_add_bool(renewal, "this_only_asks", true);
    if (good)
        return renewal;
    json_free(renewal);
    problems_add(problems,
                 "--ask=%s: must be an address and at most %d arguments, parted by blanks; a text "
                 "with blanks stands in double quotes",
                 text, ASKED_WORDS - 1);
    return NULL;
}
