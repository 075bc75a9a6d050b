/* SPDX-License-Identifier: MIT */
/* Texts and times as the board has them. */
#ifndef GAINWARDEN_WATCH_BOARD_TEXT_H
#define GAINWARDEN_WATCH_BOARD_TEXT_H

#include "base/clock.h"
#include "base/json.h"

struct watch_desk;

/* Adds a text of any origin, made safe; the same as a sentence: "Put it back to -13." */
void board_add_text(struct json *json, const char *key, const char *text);
void board_add_sentence(struct json *json, const char *key, const char *text);

/* "21:37:05" of a time on the loop's clock, and "21:37". */
const char *board_time(const struct watch_desk *desk, int64_t ms, char text[CLOCK_SIZE]);
const char *board_minute(const struct watch_desk *desk, int64_t ms, char text[CLOCK_SIZE]);

#endif
