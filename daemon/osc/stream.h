/* SPDX-License-Identifier: MIT */
/* OSC on a byte stream: packets put into frames and taken out again, in whatever pieces the network
 * brings them.
 *
 * FRAMING_SIZE: an int32 size before each packet (OSC 1.0, "OSC Packets"). FRAMING_SLIP:
 * RFC 1055 with an END at both ends of a packet (OSC 1.1, Freed and Schmeder 2009).
 */
#ifndef GAINWARDEN_OSC_STREAM_H
#define GAINWARDEN_OSC_STREAM_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { STREAM_PACKET_MOST = 65536 };

enum stream_framing { FRAMING_SIZE, FRAMING_SLIP };

struct stream;

struct stream *stream_new(enum stream_framing framing);
void stream_free(struct stream *stream);

typedef void stream_packet_fn(void *context, const uint8_t *bytes, size_t length);

/* Takes what the connection brought and calls `each` for every packet that is whole; its bytes are
 * valid during the call. False when the stream is broken beyond repair, which SLIP never is: a size
 * that is negative, no multiple of 4, or over STREAM_PACKET_MOST. */
bool stream_take(struct stream *stream, const uint8_t *bytes, size_t length, stream_packet_fn *each,
                 void *context) __attribute__((warn_unused_result));

/* SLIP frames that were longer than STREAM_PACKET_MOST or wrongly escaped, and are skipped; each is
 * counted once, as soon as it is bad, for its END may never come. */
uint64_t stream_skipped(const struct stream *stream);

/* Puts one packet into a frame; the bytes are for free(). */
uint8_t *stream_frame(enum stream_framing framing, const uint8_t *bytes, size_t length,
                      size_t *framed);

#endif
