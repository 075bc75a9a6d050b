/* How people say values: "30 dB", "off", "pre-fader", and which control is meant.
 */
#ifndef GAINWARDEN_WORDS_H
#define GAINWARDEN_WORDS_H

#include "desk.h"

enum { WORDS_VALUE_SIZE = 80, WORDS_PLACE_SIZE = 200 };

/* The value as people say it; "not known" when it is not. */
const char *words_value(const struct desk *desk, enum param_id id, int row, int column,
                        char text[WORDS_VALUE_SIZE]);

/* The same for a number alone. */
const char *words_number(enum param_id id, double number, char text[WORDS_VALUE_SIZE]);

/* "input 7 Snare: preamp", "input 7 Snare, mix 2 Keys: send", "talkback". */
const char *words_place(const struct desk *desk, enum param_id id, int row, int column,
                        char text[WORDS_PLACE_SIZE]);

#endif
