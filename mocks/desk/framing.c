/* SPDX-License-Identifier: MIT */
#include "framing.h"

#include <string.h>

#include "wire.h"

enum { END = 0300, ESC = 0333, ESC_END = 0334, ESC_ESC = 0335 };

size_t
stream_make_room(struct stream *stream)
{
    memmove(stream->bytes, stream->bytes + stream->start, stream->end - stream->start);
    stream->end -= stream->start;
    stream->start = 0;
    return STREAM_SIZE - stream->end;
}

/* Waiting for more is of no use when there is no room for more. */
static enum stream_result
wait_for_more(const struct stream *stream)
{
    return stream->end - stream->start == STREAM_SIZE ? STREAM_BROKEN : STREAM_WAITS;
}

static enum stream_result
next_sized(struct stream *stream, const uint8_t **packet, size_t *size)
{
    size_t have = stream->end - stream->start;

    if (have < 4)
        return STREAM_WAITS;
    *size = wire_get_u32(stream->bytes + stream->start);
    if (*size > STREAM_SIZE - 4)
        return STREAM_BROKEN;
    if (have - 4 < *size)
        return STREAM_WAITS;
    *packet = stream->bytes + stream->start + 4;
    stream->start += 4 + *size;
    return STREAM_PACKET;
}

/* Undoes the pairs in place. Returns the packet's size; 0 when an ESC stands before anything else.
 */
static size_t
unescape(uint8_t *bytes, size_t size)
{
    size_t used = 0;

    for (size_t i = 0; i < size; i++) {
        if (bytes[i] == ESC) {
            i++;
            if (i == size || (bytes[i] != ESC_END && bytes[i] != ESC_ESC))
                return 0;
            bytes[used++] = bytes[i] == ESC_END ? END : ESC;
        } else {
            bytes[used++] = bytes[i];
        }
    }
    return used;
}

/* Between two packets stand two ENDs, which looks like an empty packet: those are passed over. */
static enum stream_result
next_slip(struct stream *stream, const uint8_t **packet, size_t *size)
{
    while (stream->start < stream->end) {
        uint8_t *start = stream->bytes + stream->start;
        uint8_t *end = memchr(start, END, stream->end - stream->start);

        if (!end)
            return wait_for_more(stream);
        stream->start += (size_t)(end - start) + 1;
        *packet = start;
        *size = unescape(start, (size_t)(end - start));
        if (*size > 0)
            return STREAM_PACKET;
    }
    return STREAM_WAITS;
}

enum stream_result
stream_next(struct stream *stream, const uint8_t **packet, size_t *size)
{
    if (stream->framing == FRAMING_SIZE)
        return next_sized(stream, packet, size);
    return next_slip(stream, packet, size);
}

size_t
framing_most(enum framing framing, size_t size)
{
    return framing == FRAMING_SIZE ? 4 + size : 2 + 2 * size;
}

static size_t
write_slip(const uint8_t *packet, size_t size, uint8_t *out)
{
    size_t used = 0;

    out[used++] = END;
    for (size_t i = 0; i < size; i++) {
        if (packet[i] != END && packet[i] != ESC) {
            out[used++] = packet[i];
            continue;
        }
        out[used++] = ESC;
        out[used++] = packet[i] == END ? ESC_END : ESC_ESC;
    }
    out[used++] = END;
    return used;
}

size_t
framing_write(enum framing framing, const uint8_t *packet, size_t size, uint8_t *out)
{
    if (framing != FRAMING_SIZE)
        return write_slip(packet, size, out);
    wire_put_u32(out, (uint32_t)size);
    memcpy(out + 4, packet, size);
    return 4 + size;
}
