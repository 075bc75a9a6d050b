/* SPDX-License-Identifier: MIT */
/*
 * Packets in a stream of bytes:
 *
 *   size   an int32 before each packet says how many bytes it has (OSC 1.0)
 *   SLIP   a packet lies between two END bytes; END and ESC inside it are written as two bytes
 *          (RFC 1055, with END at both ends as OSC 1.1 has it)
 */
#ifndef MOCK_FRAMING_H
#define MOCK_FRAMING_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum framing { FRAMING_NONE, FRAMING_SIZE, FRAMING_SLIP };

enum { STREAM_SIZE = 131072 }; /* no packet may need more */

/* What has come of a stream and is not taken yet. */
struct stream {
    enum framing framing;
    size_t start;
    size_t end;
    uint8_t bytes[STREAM_SIZE];
};

enum stream_result {
    STREAM_PACKET,
    STREAM_WAITS,  /* for more bytes */
    STREAM_BROKEN, /* no packet can come of this any more */
};

/* Moves what is left to the front: packets taken before are gone. Returns the room behind it. */
size_t stream_make_room(struct stream *stream);

/* Takes the next packet; it stays where it is until room is made. */
enum stream_result stream_next(struct stream *stream, const uint8_t **packet, size_t *size);

/* The most bytes that a packet of `size` becomes. */
size_t framing_most(enum framing framing, size_t size);

/* Writes the packet as it travels; returns how many bytes that are. */
size_t framing_write(enum framing framing, const uint8_t *packet, size_t size, uint8_t *out);

#endif
