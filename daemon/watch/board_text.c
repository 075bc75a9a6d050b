/* SPDX-License-Identifier: MIT */
#include "watch/board_text.h"

#include <stdio.h>
#include <string.h>

#include "base/escape.h"
#include "watch/handles.h"

enum { TEXT_SIZE = 1200 };

void
board_add_text(struct json *json, const char *key, const char *text)
{
    char clean[TEXT_SIZE];

    escape_clean(clean, sizeof clean, text);
    json_add_string(json, key, clean);
}

void
board_add_sentence(struct json *json, const char *key, const char *text)
{
    char sentence[TEXT_SIZE];
    size_t length = strlen(text);
    bool ends = length == 0 || text[length - 1] == '.';

    snprintf(sentence, sizeof sentence, "%s%s", text, ends ? "" : ".");
    if (*sentence >= 'a' && *sentence <= 'z')
        *sentence = (char)(*sentence - 'a' + 'A');
    board_add_text(json, key, sentence);
}

const char *
board_time(const struct watch_desk *desk, int64_t ms, char text[CLOCK_SIZE])
{
    return clock_time_at(clock_now_s() - (double)(watch_now_ms(desk) - ms) / 1000, text);
}

const char *
board_minute(const struct watch_desk *desk, int64_t ms, char text[CLOCK_SIZE])
{
    board_time(desk, ms, text);
    text[sizeof "21:37" - 1] = '\0';
    return text;
}
