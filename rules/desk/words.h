/* How people say values and controls.
 */
#ifndef GAINWARDEN_RULES_WORDS_H
#define GAINWARDEN_RULES_WORDS_H

#include "core/text.h"
#include "desk/desk.h"

/* "30 dB", "off", "pre-fader". */
void words_number(struct text *text, enum param_id id, double number);

/* The same for a value of a desk, labels in quotes; "not known" when it is not. */
void words_value(struct text *text, const struct desk *desk, enum param_id id, int row, int column);

/* The control as the trade calls it: "preamp", "48 V", "limiter threshold". */
void words_name(struct text *text, enum param_id id);

/* "preamp", "mix 2 Keys: send": what stands in the row of its input or mix. */
void words_control(struct text *text, const struct desk *desk, enum param_id id, int column);

/* "input 7 Snare: preamp", "input 7 Snare, mix 2 Keys: send", "talkback". */
void words_place(struct text *text, const struct desk *desk, enum param_id id, int row, int column);

#endif
