/* The only file that knows liblo: one checked message to arguments, and arguments to a message.
 */
#ifndef GAINWARDEN_OSC_H
#define GAINWARDEN_OSC_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum argument_kind { ARGUMENT_NUMBER, ARGUMENT_TEXT, ARGUMENT_SWITCH, ARGUMENT_OTHER };

struct argument {
    enum argument_kind kind;
    char type;        /* OSC type tag */
    double number;    /* of a NUMBER or, as 0 or 1, of a SWITCH */
    const char *text; /* of a TEXT; belongs to the message, or to the caller when encoding */
};

enum { OSC_ARGUMENTS = 256 };

struct osc_message {
    const char *address; /* inside the datagram */
    size_t address_size; /* with its NUL and padding */
    size_t count;
    struct argument arguments[OSC_ARGUMENTS];
};

/* Decodes one message that osc_check_message() let pass; `bytes` must outlive it, for address and
 * texts point into them. False when it has more than OSC_ARGUMENTS arguments. */
bool osc_decode(struct osc_message *message, const uint8_t *bytes, size_t length)
    __attribute__((warn_unused_result));

/* Encodes a message of i, f, s, T and F arguments, by their `type`. The bytes are for free(); NULL
 * when memory is short. */
uint8_t *osc_encode(const char *address, const struct argument *arguments, size_t count,
                    size_t *length);

#endif
