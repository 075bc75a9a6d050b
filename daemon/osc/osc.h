/* SPDX-License-Identifier: MIT */
/* The only file that knows liblo: one checked message to arguments, and arguments to a message.
 *
 * Of OSC 1.0's optional types h and d are numbers, S and c texts, T and F switches, r and m the
 * number that their 32 bits are; t, N and I may stand there and have no value. What stands in an
 * array stands where the array does.
 */
#ifndef GAINWARDEN_OSC_H
#define GAINWARDEN_OSC_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum argument_kind {
    ARGUMENT_NUMBER,
    ARGUMENT_TEXT,
    ARGUMENT_SWITCH,
    ARGUMENT_BLOB,
    ARGUMENT_OTHER
};

struct argument {
    enum argument_kind kind;
    char type;        /* OSC type tag */
    double number;    /* of a NUMBER or, as 0 or 1, of a SWITCH; of a BLOB its size in bytes */
    const char *text; /* of a TEXT, or the bytes of a BLOB; belongs to the message, or to the
                         caller when encoding */
};

enum { OSC_ARGUMENTS = 576 }; /* a run along the longest index, behind others */

struct osc_message {
    const char *address; /* inside the datagram */
    size_t address_size; /* with its NUL and padding */
    bool untyped;        /* it has no type tags: osc_decode_untyped() reads its arguments */
    const char *types;   /* as they came, without the comma; "" when it is untyped */
    const uint8_t *data; /* the arguments' bytes */
    size_t data_size;
    size_t count;
    struct argument arguments[OSC_ARGUMENTS];
};

/* Decodes one message that osc_check_message() let pass; `bytes` must outlive it, for address and
 * texts point into them. False when it has more than OSC_ARGUMENTS arguments. */
bool osc_decode(struct osc_message *message, const uint8_t *bytes, size_t length)
    __attribute__((warn_unused_result));

/* Reads the arguments of an untyped message as these types; the last one stands for all that
 * follow when `run`. False when the bytes are no such arguments, or too many. */
bool osc_decode_untyped(struct osc_message *message, const char *types, bool run)
    __attribute__((warn_unused_result));

/* Encodes a message of i, f, s, T and F arguments, by their `type`, with or without a type-tag
 * string. The bytes are for free(). */
uint8_t *osc_encode(const char *address, const struct argument *arguments, size_t count, bool typed,
                    size_t *length);

#endif
