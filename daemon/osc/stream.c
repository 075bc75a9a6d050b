/* SPDX-License-Identifier: MIT */
#include "osc/stream.h"

#include <stdlib.h>
#include <string.h>

#include "core/need.h"
#include "osc/check.h"

/* RFC 1055 */
enum { SLIP_END = 0xc0, SLIP_ESC = 0xdb, SLIP_ESC_END = 0xdc, SLIP_ESC_ESC = 0xdd };

enum { SIZE_BYTES = 4 };

struct stream {
    enum stream_framing framing;
    size_t used;
    bool escaped;  /* SLIP: the last byte was an ESC */
    bool skipping; /* SLIP: the frame in hand is no good, to its END */
    uint64_t skipped;
    uint8_t packet[SIZE_BYTES + STREAM_PACKET_MOST]; /* with its size, where it has one */
};

struct stream *
stream_new(enum stream_framing framing)
{
    struct stream *stream = need_memory(1, sizeof *stream);

    stream->framing = framing;
    return stream;
}

void
stream_free(struct stream *stream)
{
    free(stream);
}

uint64_t
stream_skipped(const struct stream *stream)
{
    return stream->skipped;
}

/* ---- size before the packet ---- */

/* Copies until the packet has `want` bytes, or there are no more. True when it has. */
static bool
fill(struct stream *stream, size_t want, const uint8_t **bytes, size_t *length)
{
    size_t missing = want - stream->used;
    size_t take = missing < *length ? missing : *length;

    memcpy(stream->packet + stream->used, *bytes, take);
    stream->used += take;
    *bytes += take;
    *length -= take;
    return stream->used == want;
}

static bool
take_sized(struct stream *stream, const uint8_t *bytes, size_t length, stream_packet_fn *each,
           void *context)
{
    while (length > 0) {
        uint32_t size;

        if (stream->used < SIZE_BYTES && !fill(stream, SIZE_BYTES, &bytes, &length))
            return true;
        size = osc_word(stream->packet);
        if (size > STREAM_PACKET_MOST || size % 4 != 0)
            return false;
        if (!fill(stream, SIZE_BYTES + size, &bytes, &length))
            return true;
        stream->used = 0;
        if (size > 0)
            each(context, stream->packet + SIZE_BYTES, size);
    }
    return true;
}

/* ---- SLIP ---- */

/* Counted at once, not at its END: that may never come. */
static void
skip_frame(struct stream *stream)
{
    stream->skipped += !stream->skipping;
    stream->skipping = true;
}

static void
end_slip(struct stream *stream, stream_packet_fn *each, void *context)
{
    if (stream->escaped)
        skip_frame(stream);
    if (!stream->skipping && stream->used > 0) /* between two ENDs there is nothing */
        each(context, stream->packet, stream->used);
    stream->used = 0;
    stream->escaped = stream->skipping = false;
}

static void
take_byte(struct stream *stream, uint8_t byte)
{
    if (stream->escaped) {
        if (byte != SLIP_ESC_END && byte != SLIP_ESC_ESC)
            skip_frame(stream);
        byte = byte == SLIP_ESC_END ? SLIP_END : SLIP_ESC;
        stream->escaped = false;
    } else if (byte == SLIP_ESC) {
        stream->escaped = true;
        return;
    }
    if (stream->used == STREAM_PACKET_MOST)
        skip_frame(stream);
    else
        stream->packet[stream->used++] = byte;
}

bool
stream_take(struct stream *stream, const uint8_t *bytes, size_t length, stream_packet_fn *each,
            void *context)
{
    if (stream->framing == FRAMING_SIZE)
        return take_sized(stream, bytes, length, each, context);
    for (size_t i = 0; i < length; i++) {
        if (bytes[i] == SLIP_END)
            end_slip(stream, each, context);
        else
            take_byte(stream, bytes[i]);
    }
    return true;
}

/* ---- sending ---- */

static size_t
put_slip(uint8_t *to, const uint8_t *bytes, size_t length)
{
    uint8_t *at = to;

    *at++ = SLIP_END;
    for (size_t i = 0; i < length; i++) {
        if (bytes[i] == SLIP_END || bytes[i] == SLIP_ESC) {
            *at++ = SLIP_ESC;
            *at++ = bytes[i] == SLIP_END ? SLIP_ESC_END : SLIP_ESC_ESC;
        } else {
            *at++ = bytes[i];
        }
    }
    *at++ = SLIP_END;
    return (size_t)(at - to);
}

uint8_t *
stream_frame(enum stream_framing framing, const uint8_t *bytes, size_t length, size_t *framed)
{
    uint8_t *frame = need_memory(2 * length + SIZE_BYTES, 1);

    if (framing == FRAMING_SLIP) {
        *framed = put_slip(frame, bytes, length);
        return frame;
    }
    for (int i = 0; i < SIZE_BYTES; i++)
        frame[i] = (uint8_t)(length >> (24 - 8 * i));
    memcpy(frame + SIZE_BYTES, bytes, length);
    *framed = SIZE_BYTES + length;
    return frame;
}
