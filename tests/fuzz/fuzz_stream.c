/* SPDX-License-Identifier: MIT */
/* Bytes as what a TCP connection brings. The first byte says how: bit 0 the framing, bit 1 whether
 * the rest comes many times over, and all of it how the stream is chopped. In any pieces the same
 * packets come out, and they are those of a reading of the whole in one go; and what is framed
 * comes out as it was.
 */
#include <assert.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

#include "fuzz.h"
#include "osc/check.h"
#include "osc/osc.h"
#include "osc/stream.h"

enum { TIMES = 40 }; /* so that a packet can grow past any limit */

struct packets {
    uint8_t *bytes; /* each with its length before it */
    size_t used, size, count;
    uint64_t skipped;
};

int
LLVMFuzzerInitialize(int *argc, char ***argv)
{
    (void)argc;
    (void)argv;
    return 0;
}

/* ---- packets ---- */

static void
append(struct packets *packets, const void *bytes, size_t length)
{
    if (packets->used + length > packets->size) {
        packets->size = 2 * packets->size + length;
        packets->bytes = realloc(packets->bytes, packets->size);
        assert(packets->bytes);
    }
    memcpy(packets->bytes + packets->used, bytes, length);
    packets->used += length;
}

static void
on_message(void *context, const uint8_t *bytes, size_t length)
{
    struct osc_message message;

    (void)context;
    if (osc_decode(&message, bytes, length))
        assert(message.count <= OSC_ARGUMENTS && strlen(message.types) >= message.count);
}

static void
on_reject(void *context, enum osc_reject why, const uint8_t *bytes, size_t length)
{
    struct osc_outline outline = osc_outline(bytes, length);

    (void)context;
    assert(why > OSC_OK && why < OSC_REJECTS);
    assert(!outline.address || strlen(outline.address) < length);
}

/* A packet goes on as a datagram does; here from the buffer in which it was put together. */
static void
keep_packet(void *context, const uint8_t *bytes, size_t length)
{
    struct packets *packets = context;

    assert(length > 0 && length <= STREAM_PACKET_MOST);
    osc_check_datagram(bytes, length, (struct osc_forms){0},
                       &(struct osc_told){on_message, on_reject, NULL});
    append(packets, &length, sizeof length);
    append(packets, bytes, length);
    packets->count++;
}

static bool
same(const struct packets *one, const struct packets *other)
{
    return one->count == other->count && one->used == other->used &&
           one->skipped == other->skipped &&
           (one->used == 0 || memcmp(one->bytes, other->bytes, one->used) == 0);
}

/* ---- what the whole holds ---- */

/* OSC 1.0: an int32 size, then the packet. False at a size that nobody may send. */
static bool
read_sized(const uint8_t *bytes, size_t length, struct packets *packets)
{
    while (length >= 4) {
        size_t size =
            (size_t)bytes[0] << 24 | (size_t)bytes[1] << 16 | (size_t)bytes[2] << 8 | bytes[3];

        if (size % 4 != 0 || size > STREAM_PACKET_MOST)
            return false;
        if (size > length - 4)
            break;
        if (size > 0)
            keep_packet(packets, bytes + 4, size);
        bytes += 4 + size;
        length -= 4 + size;
    }
    return true;
}

/* RFC 1055: the frame between two ENDs, or what came of one whose END has not (`ended` false). That
 * is no packet yet, and is skipped as soon as it is bad; an ESC that stands last may still become
 * good. */
static void
read_frame(const uint8_t *bytes, size_t length, bool ended, struct packets *packets)
{
    uint8_t *packet = malloc(length + 1);
    size_t used = 0;
    bool good = true;

    assert(packet);
    for (size_t i = 0; i < length; i++) {
        if (!ended && i + 1 == length && bytes[i] == 0xdb)
            break;
        packet[used++] = bytes[i];
        if (bytes[i] != 0xdb)
            continue;
        good &= ++i < length && (bytes[i] == 0xdc || bytes[i] == 0xdd);
        packet[used - 1] = i < length && bytes[i] == 0xdc ? 0xc0 : 0xdb;
    }
    if (!good || used > STREAM_PACKET_MOST)
        packets->skipped++;
    else if (ended && used > 0)
        keep_packet(packets, packet, used);
    free(packet);
}

static void
read_slip(const uint8_t *bytes, size_t length, struct packets *packets)
{
    const uint8_t *end;

    while (length > 0 && (end = memchr(bytes, 0xc0, length))) {
        read_frame(bytes, (size_t)(end - bytes), true, packets);
        length -= (size_t)(end + 1 - bytes);
        bytes = end + 1;
    }
    read_frame(bytes, length, false, packets);
}

static bool
read_whole_stream(enum stream_framing framing, const uint8_t *bytes, size_t length,
                  struct packets *packets)
{
    *packets = (struct packets){0};
    if (framing == FRAMING_SIZE)
        return read_sized(bytes, length, packets);
    read_slip(bytes, length, packets);
    return true;
}

/* ---- pieces ---- */

/* The piece in a block of its own, so that the address sanitizer sees its ends. */
static bool
take_piece(struct stream *stream, const uint8_t *bytes, size_t length, struct packets *packets)
{
    uint8_t *piece = malloc(length);
    bool good;

    assert(piece);
    memcpy(piece, bytes, length);
    good = stream_take(stream, piece, length, keep_packet, packets);
    free(piece);
    return good;
}

/* Feeds all of it in pieces of up to `most` bytes, by a small random walk; 0: in one. */
static bool
feed(enum stream_framing framing, const uint8_t *bytes, size_t length, size_t most, uint32_t seed,
     struct packets *packets)
{
    struct stream *stream = stream_new(framing);
    bool good = true;

    assert(stream);
    *packets = (struct packets){0};
    while (good && length > 0) {
        size_t piece = length;

        seed = seed * 1664525 + 1013904223;
        if (most > 0)
            piece = 1 + (seed >> 16) % most;
        piece = piece < length ? piece : length;
        good = take_piece(stream, bytes, piece, packets);
        bytes += piece;
        length -= piece;
    }
    packets->skipped = stream_skipped(stream);
    stream_free(stream);
    return good;
}

/* Byte by byte takes too long for what came many times over. */
static void
check_pieces(enum stream_framing framing, const uint8_t *bytes, size_t length, uint32_t seed)
{
    static const size_t mosts[] = {1, 3, 9, 200, 5000, 0};
    struct packets expected, found;
    bool good = read_whole_stream(framing, bytes, length, &expected);

    for (size_t i = length > 5000 ? 3 : 0; i < sizeof mosts / sizeof *mosts; i++) {
        assert(feed(framing, bytes, length, mosts[i], seed, &found) == good);
        assert(same(&expected, &found));
        free(found.bytes);
    }
    free(expected.bytes);
}

static void
check_many_times(enum stream_framing framing, const uint8_t *bytes, size_t length, uint32_t seed)
{
    uint8_t *many = malloc(length * TIMES + 1);

    assert(many);
    for (size_t i = 0; i < TIMES; i++)
        memcpy(many + i * length, bytes, length);
    check_pieces(framing, many, length * TIMES, seed);
    free(many);
}

/* ---- framing ---- */

/* The packet twice, framed: twice the packet. An OSC packet is a multiple of 4 bytes, and some. */
static void
check_frame(enum stream_framing framing, const uint8_t *bytes, size_t length, uint32_t seed)
{
    struct packets expected = {0}, found;
    size_t framed;
    uint8_t *frame, *twice;

    length = length / 4 * 4;
    if (length == 0)
        return;
    frame = stream_frame(framing, bytes, length, &framed);
    twice = malloc(2 * framed);
    assert(frame && twice);
    memcpy(twice, frame, framed);
    memcpy(twice + framed, frame, framed);
    keep_packet(&expected, bytes, length);
    keep_packet(&expected, bytes, length);
    assert(feed(framing, twice, 2 * framed, 1 + seed % 50, seed, &found));
    assert(same(&expected, &found));
    free(found.bytes);
    free(expected.bytes);
    free(twice);
    free(frame);
}

int
LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length)
{
    enum stream_framing framing;
    uint32_t seed;

    if (length == 0)
        return 0;
    framing = bytes[0] & 1 ? FRAMING_SLIP : FRAMING_SIZE;
    seed = bytes[0];
    if (bytes[0] & 2)
        check_many_times(framing, bytes + 1, length - 1, seed);
    else
        check_pieces(framing, bytes + 1, length - 1, seed);
    check_frame(framing, bytes + 1, length - 1, seed);
    return 0;
}
