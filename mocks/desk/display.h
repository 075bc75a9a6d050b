/* A value as the desk's own screen shows it: for dialects that send it as text. */
#ifndef MOCK_DISPLAY_H
#define MOCK_DISPLAY_H

#include "state.h"

#include <stdbool.h>
#include <stddef.h>

enum { DISPLAY_SIZE = STATE_TEXT_SIZE };

/*
 * "28.0 dB", "-inf dB", "120 Hz", "1.25 kHz", "3.00", "yes", "pre-fader"; without `units` "28.0",
 * "-inf", "1250". `out` is room for it; the result may stand elsewhere.
 */
const char *Display_value(const struct State *state, const struct Field *field, size_t object,
                          bool units, char out[DISPLAY_SIZE]);

#endif
