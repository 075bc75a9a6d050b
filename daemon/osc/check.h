/* SPDX-License-Identifier: MIT */
/* What stands between the socket and liblo: each datagram is walked within its bounds, bundles are
 * taken apart here, and only whole, well-formed messages go on. liblo 0.31 reads past the end of
 * some malformed datagrams, so nothing reaches it unchecked. What is malformed is turned down alone:
 * its neighbours in the bundle are good.
 *
 * OSC 1.0 specification, M. Wright 2002; type tags of OSC 1.1, Freed and Schmeder 2009.
 */
#ifndef GAINWARDEN_OSC_CHECK_H
#define GAINWARDEN_OSC_CHECK_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum osc_reject {
    OSC_OK,
    OSC_EMPTY,        /* no bytes */
    OSC_UNALIGNED,    /* length is no multiple of 4 */
    OSC_NO_ADDRESS,   /* begins neither with an address nor with "#bundle" */
    OSC_BAD_STRING,   /* a string runs past the end, or its padding is not NUL */
    OSC_NO_TYPES,     /* no type-tag string */
    OSC_UNKNOWN_TYPE, /* a type tag that OSC does not define */
    OSC_BAD_ARRAY,    /* a '[' or a ']' among the type tags without the other */
    OSC_SHORT,        /* fewer bytes than the type tags promise */
    OSC_LONG,         /* bytes left over behind the arguments */
    OSC_BAD_BLOB,     /* a blob's size is negative or runs past the end */
    OSC_BAD_ELEMENT,  /* a bundle element's size is 0, no multiple of 4, or past the end */
    OSC_TOO_DEEP,     /* bundles nested deeper than OSC_DEPTH */
    OSC_TOO_MANY,     /* more than OSC_ELEMENTS in a datagram */
    OSC_REFUSED,      /* more arguments than OSC_ARGUMENTS */
    OSC_REJECTS
};

enum { OSC_DEPTH = 8, OSC_ELEMENTS = 4096 };

/* "bad-blob", ...: short, for counts in reports. */
const char *osc_reject_name(enum osc_reject reject);

/* The same as a person understands it: "it has no type tags". */
const char *osc_reject_says(enum osc_reject reject);

/* What a desk may say besides what the specification asks for. */
struct osc_forms {
    bool
        untyped; /* messages without a type-tag string: what follows the address is not looked at */
    bool bare;   /* addresses that do not begin with '/' */
};

/* Checks one message that fills `length` bytes. */
enum osc_reject osc_check_message(const uint8_t *bytes, size_t length, struct osc_forms forms)
    __attribute__((warn_unused_result));

/* Checks that `bytes` are exactly the arguments of these type tags. Arrays are flat: what stands in
 * one stands where the array does. */
enum osc_reject osc_check_arguments(const char *types, const uint8_t *bytes, size_t length)
    __attribute__((warn_unused_result));

/* Four bytes, the highest first. */
uint32_t osc_word(const uint8_t *bytes);

/* What is told of a datagram: in order, each well-formed message, and each element, or the whole,
 * that is turned down. */
struct osc_told {
    void (*message)(void *context, const uint8_t *bytes, size_t length);
    void (*rejected)(void *context, enum osc_reject why, const uint8_t *bytes, size_t length);
    void *context;
};

/* Walks a datagram, message or bundle. A bad element ends the walk through its bundle only where
 * its size does not say where the next one begins. */
void osc_check_datagram(const uint8_t *bytes, size_t length, struct osc_forms forms,
                        const struct osc_told *told);

/* As much of a message that was turned down as can be read: address and type tags with their comma,
 * inside `bytes`; NULL where there is none. */
struct osc_outline {
    const char *address, *types;
};

struct osc_outline osc_outline(const uint8_t *bytes, size_t length);

#endif
