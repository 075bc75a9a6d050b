/* SPDX-License-Identifier: MIT */
/* Address patterns of Open Sound Control 1.0, "OSC Message Dispatching and Pattern Matching". */
#ifndef MOCK_PATTERN_H
#define MOCK_PATTERN_H

#include <stdbool.h>

/* True when the address holds any of ? * [ {. */
bool pattern_is(const char *address);

/*
 * Part by part: ? is one character, * any number of them, [a-z] one of them, [!a-z] one of the
 * others, {one,two} one of the words; nothing reaches across a slash. A bracket that is not closed
 * matches nothing, nor does any pattern match an address of more than 63 characters.
 */
bool pattern_match(const char *pattern, const char *address);

#endif
