/* SPDX-License-Identifier: MIT */
/*
 * Open Sound Control 1.0 as bytes, written from the specification and on purpose not shared with
 * the program under test: an error made once here cannot hide the same error made there.
 *
 * Everything is big-endian and padded to four bytes. A packet is a message, or a bundle of packets.
 */
#ifndef MOCK_WIRE_H
#define MOCK_WIRE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum {
    WIRE_ARGUMENTS = 80,      /* more than any message a desk understands */
    WIRE_MESSAGE_SIZE = 2048, /* the longest message a desk sends, bytes */
    WIRE_BUNDLE_HEAD = 16,    /* "#bundle" with its NUL, and the time tag */
};

struct argument {
    char tag;
    double number;    /* i f d h T F; NaN for every other tag */
    const char *text; /* s and S: points into the datagram; NULL for every other tag */
};

struct message {
    const char *address; /* points into the datagram; any text, even "" */
    bool tagged;         /* false: arguments without tags, read as int32 */
    unsigned count;
    struct argument arguments[WIRE_ARGUMENTS];
};

typedef void message_visit_fn(void *context, const struct message *message);

/*
 * Calls `visit` for each message of a packet, in order, bundles opened. Time tags are read as
 * "now". False when any part is malformed; the messages before that part have been visited.
 */
bool packet_each(const uint8_t *data, size_t size, message_visit_fn *visit, void *context);

/* A message being written: the tags grow beside the arguments, since they travel before them. */
struct draft {
    const char *address; /* the caller's, must outlive the draft */
    bool untagged;       /* leaves the tags out */
    bool arrays;         /* the arguments behind the first are an array, the last one in another */
    size_t tag_count;
    size_t size;
    bool overflow;
    char tags[WIRE_ARGUMENTS + 2];
    uint8_t arguments[WIRE_MESSAGE_SIZE];
};

void draft_begin(struct draft *draft, const char *address);
void draft_int(struct draft *draft, int32_t value);
void draft_float(struct draft *draft, float value);
void draft_double(struct draft *draft, double value);
void draft_text(struct draft *draft, const char *text);
void draft_blob(struct draft *draft, const uint8_t *bytes, size_t size);

/* Writes the whole message; returns its size, or 0 when it does not fit in `capacity`. */
size_t draft_finish(const struct draft *draft, uint8_t *out, size_t capacity);

enum { WIRE_AT_ONCE = 1 }; /* the time tag that means "immediately" */

/* Writes the head of a bundle, WIRE_BUNDLE_HEAD bytes. */
void wire_bundle_head(uint8_t *out, uint64_t time_tag);
void wire_put_u32(uint8_t *out, uint32_t value);
uint32_t wire_get_u32(const uint8_t *bytes);

#endif
