/* SPDX-License-Identifier: MIT */
/* Reference bytes of Open Sound Control, in hexadecimal.
 *
 * OSC 1.0 specification, M. Wright, 26 March 2002, and its examples page, 29 March 2002
 * (opensoundcontrol.stanford.edu/spec-1_0.html). The first two messages are printed there; the
 * others are computed from its rules. Type tags N, I, t, h, d as in OSC 1.1: A. Freed and A.
 * Schmeder, NIME 2009.
 */
#ifndef GAINWARDEN_REFERENCE_OSC_H
#define GAINWARDEN_REFERENCE_OSC_H

static const struct {
    const char *name;
    const char *address;
    const char *types; /* without the comma */
    const char *hex;
} reference_messages[] = {
    {"spec example 1", "/oscillator/4/frequency", "f",
     "2f6f7363696c6c61746f722f342f6672657175656e6379002c66000043dc0000"},
    {"spec example 2", "/foo", "iisff",
     "2f666f6f000000002c69697366660000000003e8ffffffff68656c6c6f0000003f9df3b640b5b22d"},
    {"no arguments", "/a", "", "2f6100002c000000"},
    {"T F N I (no data bytes)", "/x", "TFNI", "2f7800002c54464e49000000"},
    {"blob of 5 bytes", "/b", "b", "2f6200002c620000000000050102030405000000"},
    {"empty string", "/s", "s", "2f7300002c73000000000000"},
    {"h t d", "/w", "htd",
     "2f7700002c68746400000000fffffffffffffffe00000000000000013fe0000000000000"},
    {"array [ff]", "/v", "[ff]", "2f7600002c5b66665d0000003f80000040000000"},
};

/* Every type tag of OSC 1.0 ("OSC Type Tag" and the optional ones), with the data bytes of the least
 * argument of each: read in the specification. The brackets of arrays have none. */
static const struct {
    char tag, end; /* a text of one letter */
    unsigned char size;
} reference_types[] = {
    {'i', 0, 4}, {'f', 0, 4}, {'s', 0, 4}, {'b', 0, 4}, {'h', 0, 8},
    {'t', 0, 8}, {'d', 0, 8}, {'S', 0, 4}, {'c', 0, 4}, {'r', 0, 4},
    {'m', 0, 4}, {'T', 0, 0}, {'F', 0, 0}, {'N', 0, 0}, {'I', 0, 0},
};

/* Time tag "immediately", holding the first two messages; 96 bytes. */
#define REFERENCE_BUNDLE_HEX                                                                       \
    "2362756e646c65000000000000000001000000202f6f7363696c6c61746f722f342f6672657175656e6379002c66" \
    "000043dc0000000000282f666f6f000000002c69697366660000000003e8ffffffff68656c6c6f0000003f9df3b6" \
    "40b5b22d"

#define REFERENCE_EMPTY_BUNDLE_HEX "2362756e646c65000000000000000001"

/* Two datagrams that make liblo 0.31 read past their end (reproduced): a blob tag without a blob,
 * and a bundle whose last element has length 0. */
#define REFERENCE_TRAP_BLOB_HEX "2f6100002c620000"
#define REFERENCE_TRAP_ELEMENT_HEX "2362756e646c6500000000000000000100000000"

#endif
