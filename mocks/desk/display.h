/* SPDX-License-Identifier: MIT */
/* A value as the desk's own screen shows it: for dialects that send it as text. */
#ifndef MOCK_DISPLAY_H
#define MOCK_DISPLAY_H

#include <stdbool.h>
#include <stddef.h>

#include "state.h"

enum { DISPLAY_SIZE = STATE_TEXT_SIZE };

/*
 * "28.0 dB", "-inf dB", "120 Hz", "1.25 kHz", "3.00", "yes", "pre-fader"; without `units` "28.0",
 * "-inf", "1250". `out` is room for it; the result may stand elsewhere.
 */
const char *display_value(const struct state *state, const struct field *field, size_t object,
                          bool units, char out[DISPLAY_SIZE]);

#endif
