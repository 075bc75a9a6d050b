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

struct Argument {
    char tag;
    double number;    /* i f d h T F; NaN for every other tag */
    const char *text; /* s and S: points into the datagram; NULL for every other tag */
};

struct Message {
    const char *address; /* points into the datagram; any text, even "" */
    bool tagged;         /* false: arguments without tags, read as int32 */
    unsigned count;
    struct Argument arguments[WIRE_ARGUMENTS];
};

typedef void MessageVisit(void *context, const struct Message *message);

/*
 * Calls `visit` for each message of a packet, in order, bundles opened. Time tags are read as
 * "now". False when any part is malformed; the messages before that part have been visited.
 */
bool Packet_each(const uint8_t *data, size_t size, MessageVisit *visit, void *context);

/* A message being written: the tags grow beside the arguments, since they travel before them. */
struct Draft {
    const char *address; /* the caller's, must outlive the draft */
    bool untagged;       /* leaves the tags out */
    size_t tag_count;
    size_t size;
    bool overflow;
    char tags[WIRE_ARGUMENTS + 2];
    uint8_t arguments[WIRE_MESSAGE_SIZE];
};

void Draft_begin(struct Draft *draft, const char *address);
void Draft_int(struct Draft *draft, int32_t value);
void Draft_float(struct Draft *draft, float value);
void Draft_text(struct Draft *draft, const char *text);
void Draft_blob(struct Draft *draft, const uint8_t *bytes, size_t size);

/* Writes the whole message; returns its size, or 0 when it does not fit in `capacity`. */
size_t Draft_finish(const struct Draft *draft, uint8_t *out, size_t capacity);

enum { WIRE_AT_ONCE = 1 }; /* the time tag that means "immediately" */

/* Writes the head of a bundle, WIRE_BUNDLE_HEAD bytes. */
void Wire_bundle_head(uint8_t *out, uint64_t time_tag);
void Wire_put_u32(uint8_t *out, uint32_t value);
uint32_t Wire_get_u32(const uint8_t *bytes);

#endif
