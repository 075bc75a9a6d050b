/* SPDX-License-Identifier: MIT */
/* How people say values and controls.
 */
#ifndef GAINWARDEN_RULES_WORDS_H
#define GAINWARDEN_RULES_WORDS_H

#include "core/text.h"
#include "desk/desk.h"

/* "30 dB", "off", "pre-fader". */
void words_number(struct text *text, enum param_id id, double number);

/* The control as the trade calls it: "preamp", "48 V", "limiter threshold". */
void words_name(struct text *text, enum param_id id);

/* "input 7 Snare: preamp", "input 7 Snare, mix 2 Keys: send", "talkback". */
void words_place(struct text *text, const struct desk *desk, enum param_id id, int row, int column);

#endif
