/* SPDX-License-Identifier: MIT */
/* Packets on a byte stream. Whatever goes in stands in a heap block of exactly its size, so that
 * the address sanitizer sees the first byte read outside.
 */
#include "unit.h"

#include <stdlib.h>
#include <string.h>

#include "osc/stream.h"
#include "osc_streams.h"

enum { PACKETS_MOST = 64, MOST = STREAM_PACKET_MOST };

/* Bytes of a test; grows at its end. */
struct bytes {
    uint8_t *at;
    size_t length;
};

static void
append(struct bytes *bytes, const uint8_t *more, size_t length)
{
    bytes->at = realloc(bytes->at, bytes->length + length + 1);
    assert_non_null(bytes->at);
    if (length > 0)
        memcpy(bytes->at + bytes->length, more, length);
    bytes->length += length;
}

static void
append_hex(struct bytes *bytes, const char *hex)
{
    for (size_t i = 0; i < strlen(hex) / 2; i++) {
        const char digits[3] = {hex[2 * i], hex[2 * i + 1], '\0'};
        uint8_t byte = (uint8_t)strtoul(digits, NULL, 16);

        append(bytes, &byte, 1);
    }
}

static void
append_same(struct bytes *bytes, uint8_t byte, size_t times)
{
    uint8_t *all = malloc(times + 1);

    assert_non_null(all);
    memset(all, byte, times);
    append(bytes, all, times);
    free(all);
}

static void
append_frame(struct bytes *bytes, enum stream_framing framing, const struct bytes *packet)
{
    size_t length;
    uint8_t *frame = stream_frame(framing, packet->at, packet->length, &length);

    assert_non_null(frame);
    append(bytes, frame, length);
    free(frame);
}

static void
drop(struct bytes *bytes)
{
    free(bytes->at);
    *bytes = (struct bytes){0};
}

/* What came out. */
struct heard {
    struct bytes packets[PACKETS_MOST];
    size_t count;
};

static void
note_packet(void *context, const uint8_t *bytes, size_t length)
{
    struct heard *heard = context;

    assert_true(heard->count < PACKETS_MOST);
    append(&heard->packets[heard->count++], bytes, length);
}

static void
forget(struct heard *heard)
{
    for (size_t i = 0; i < heard->count; i++)
        drop(&heard->packets[i]);
    heard->count = 0;
}

static bool
take(struct stream *stream, const uint8_t *bytes, size_t length, struct heard *heard)
{
    uint8_t *exact = malloc(length > 0 ? length : 1);
    bool whole;

    assert_non_null(exact);
    if (length > 0)
        memcpy(exact, bytes, length);
    whole = stream_take(stream, exact, length, note_packet, heard);
    free(exact);
    return whole;
}

/* A new stream's answer to all of it at once; frames skipped are told. */
static bool
take_all(enum stream_framing framing, const struct bytes *bytes, struct heard *heard,
         uint64_t *skipped)
{
    struct stream *stream = stream_new(framing);
    bool whole;

    assert_non_null(stream);
    assert_int_equal(stream_skipped(stream), 0);
    whole = take(stream, bytes->at, bytes->length, heard);
    *skipped = stream_skipped(stream);
    stream_free(stream);
    return whole;
}

static void
same_bytes(const struct bytes *bytes, const struct bytes *expected)
{
    assert_int_equal(bytes->length, expected->length);
    assert_memory_equal(bytes->at, expected->at, expected->length);
}

static void
is_hex(const struct bytes *bytes, const char *hex)
{
    struct bytes expected = {0};

    append_hex(&expected, hex);
    same_bytes(bytes, &expected);
    drop(&expected);
}

/* The hexadecimal bytes bring these packets, in this order, and so many are skipped. */
static void
slip_brings(const char *hex, uint64_t skipped, const char *const packets[])
{
    struct bytes bytes = {0};
    struct heard heard = {0};
    uint64_t found;

    append_hex(&bytes, hex);
    assert_true(take_all(FRAMING_SLIP, &bytes, &heard, &found));
    for (size_t i = 0; packets[i]; i++) {
        assert_true(i < heard.count);
        is_hex(&heard.packets[i], packets[i]);
    }
    assert_row(hex, found, skipped);
    for (size_t i = 0; i < heard.count; i++)
        assert_non_null(packets[i]);
    forget(&heard);
    drop(&bytes);
}

#define SLIP_BRINGS(hex, skipped, ...)                                                             \
    slip_brings(hex, skipped, (const char *const[]){__VA_ARGS__, NULL})

/* ---- published figures ---- */

static void
reference_frames_are_made(void **state)
{
    static const struct {
        enum stream_framing framing;
        const char *packet, *frame;
    } rows[] = {
        {FRAMING_SIZE, REFERENCE_PACKET_HEX, REFERENCE_SIZED_HEX},
        {FRAMING_SLIP, REFERENCE_PACKET_HEX, REFERENCE_SLIP_HEX},
        {FRAMING_SLIP, REFERENCE_STUFFED_PLAIN_HEX, REFERENCE_STUFFED_HEX},
    };

    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct bytes packet = {0}, frame = {0};
        struct heard heard = {0};
        uint64_t skipped;

        append_hex(&packet, rows[i].packet);
        append_frame(&frame, rows[i].framing, &packet);
        is_hex(&frame, rows[i].frame);
        assert_true(take_all(rows[i].framing, &frame, &heard, &skipped));
        assert_int_equal(heard.count, 1);
        is_hex(&heard.packets[0], rows[i].packet);
        assert_int_equal(skipped, 0);
        forget(&heard);
        drop(&packet);
        drop(&frame);
    }
}

/* The four codes of RFC 1055, each by what it does. */
static void
slip_codes_are_the_published_ones(void **state)
{
    static const uint8_t plain[4] = {REFERENCE_END, 'a', REFERENCE_ESC, 'b'};
    static const uint8_t expected[] = {REFERENCE_END, REFERENCE_ESC, REFERENCE_ESC_END,
                                       'a',           REFERENCE_ESC, REFERENCE_ESC_ESC,
                                       'b',           REFERENCE_END};
    size_t length;
    uint8_t *frame = stream_frame(FRAMING_SLIP, plain, sizeof plain, &length);

    (void)state;
    assert_int_equal(length, sizeof expected);
    assert_memory_equal(frame, expected, sizeof expected);
    free(frame);
}

/* ---- sizes ---- */

static void
sizes_have_limits(void **state)
{
    static const struct {
        const char *name;
        uint32_t size;
        bool good;
    } rows[] = {
        {"4", 4, true},
        {"the largest", MOST, true},
        {"one more", MOST + 1, false},
        {"four more", MOST + 4, false},
        {"1", 1, false},
        {"2", 2, false},
        {"3", 3, false},
        {"6", 6, false},
        {"the largest but one", MOST - 1, false},
        {"16 MiB", 0x01000000, false},
        {"the largest int32", 0x7fffffff, false},
        {"the least int32", 0x80000000, false},
        {"-4", 0xfffffffc, false},
        {"-1", 0xffffffff, false},
    };

    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        const uint8_t head[4] = {(uint8_t)(rows[i].size >> 24), (uint8_t)(rows[i].size >> 16),
                                 (uint8_t)(rows[i].size >> 8), (uint8_t)rows[i].size};
        struct bytes bytes = {0};
        struct heard heard = {0};
        uint64_t skipped;

        append(&bytes, head, sizeof head);
        append_same(&bytes, 'x', rows[i].good ? rows[i].size : 8);
        assert_row(rows[i].name, take_all(FRAMING_SIZE, &bytes, &heard, &skipped), rows[i].good);
        assert_row(rows[i].name, heard.count, rows[i].good);
        if (rows[i].good)
            assert_row(rows[i].name, heard.packets[0].length, rows[i].size);
        forget(&heard);
        drop(&bytes);
    }
}

/* A packet of no bytes says nothing, and the next one is read. */
static void
size_zero_is_passed_over(void **state)
{
    struct bytes bytes = {0};
    struct heard heard = {0};
    uint64_t skipped;

    (void)state;
    append_hex(&bytes,
               "00000000" REFERENCE_SIZED_HEX "0000000000000000" REFERENCE_SIZED_HEX "00000000");
    assert_true(take_all(FRAMING_SIZE, &bytes, &heard, &skipped));
    assert_int_equal(heard.count, 2);
    is_hex(&heard.packets[1], REFERENCE_PACKET_HEX);
    forget(&heard);
    drop(&bytes);
}

/* Packets before a bad size are given out; behind it nothing is, for nobody knows where the next
 * one begins. */
static void
a_broken_stream_stays_broken(void **state)
{
    struct stream *stream = stream_new(FRAMING_SIZE);
    struct bytes bytes = {0};
    struct heard heard = {0};

    (void)state;
    append_hex(&bytes, REFERENCE_SIZED_HEX "00000006" REFERENCE_SIZED_HEX);
    assert_false(take(stream, bytes.at, bytes.length, &heard));
    assert_int_equal(heard.count, 1);
    drop(&bytes);
    append_hex(&bytes, REFERENCE_SIZED_HEX);
    assert_false(take(stream, bytes.at, bytes.length, &heard));
    assert_int_equal(heard.count, 1);
    stream_free(stream);
    forget(&heard);
    drop(&bytes);
}

/* ---- SLIP ---- */

/* Between two ENDs there is nothing, and what began before the first one is a packet all the same:
 * a sender need not put one in front (RFC 1055). */
static void
ends_between_packets_are_nothing(void **state)
{
    (void)state;
    SLIP_BRINGS("c0c0", 0, NULL);
    SLIP_BRINGS("c061626364c0c065666768c0", 0, "61626364", "65666768");
    SLIP_BRINGS("c061626364c065666768c0", 0, "61626364", "65666768");
    SLIP_BRINGS("61626364c0", 0, "61626364");
    SLIP_BRINGS("c0c0c0c061626364c0c0c0", 0, "61626364");
    SLIP_BRINGS("c061626364", 0, NULL); /* it has not ended */
}

static void
wrongly_escaped_frames_are_skipped(void **state)
{
    (void)state;
    SLIP_BRINGS("c061db62c0c061626364c0", 1, "61626364");
    SLIP_BRINGS("c061dbdbdcc061626364c0", 1, "61626364");
    SLIP_BRINGS("c06162dbc061626364c0", 1, "61626364"); /* an END breaks an escape off */
    SLIP_BRINGS("c0dbc061626364c0", 1, "61626364");
    SLIP_BRINGS("c0db00c0db01c0db02c061626364c0", 3, "61626364");
    SLIP_BRINGS("c061dbdc62dbddc0", 0, "61c062db"); /* and these are right */
}

/* `length` bytes in a frame, then a short packet. */
static void
long_frame(uint8_t byte, size_t length, bool skipped)
{
    struct bytes packet = {0}, next = {0}, bytes = {0};
    struct heard heard = {0};
    uint64_t found;

    append_same(&packet, byte, length);
    append_hex(&next, "61626364");
    append_frame(&bytes, FRAMING_SLIP, &packet);
    append_frame(&bytes, FRAMING_SLIP, &next);
    assert_true(take_all(FRAMING_SLIP, &bytes, &heard, &found));
    assert_int_equal(found, skipped);
    assert_int_equal(heard.count, skipped ? 1 : 2);
    if (!skipped)
        same_bytes(&heard.packets[0], &packet);
    same_bytes(&heard.packets[heard.count - 1], &next);
    forget(&heard);
    drop(&packet);
    drop(&next);
    drop(&bytes);
}

/* The limit is the packet's, however many of its bytes are escaped. */
static void
long_frames_are_skipped(void **state)
{
    static const uint8_t bytes[] = {'x', REFERENCE_END, REFERENCE_ESC};

    (void)state;
    for (size_t i = 0; i < COUNT(bytes); i++) {
        long_frame(bytes[i], MOST - 1, false);
        long_frame(bytes[i], MOST, false);
        long_frame(bytes[i], MOST + 1, true);
        long_frame(bytes[i], MOST + 2, true);
        long_frame(bytes[i], 3 * MOST, true);
    }
}

/* ---- properties ---- */

/* Many of the bytes that mean something to a framing. */
static uint8_t
random_byte(struct dice *dice)
{
    static const uint8_t special[] = {REFERENCE_END, REFERENCE_ESC, REFERENCE_ESC_END,
                                      REFERENCE_ESC_ESC, 0};

    return dice_below(dice, 2) == 0 ? special[dice_below(dice, COUNT(special))]
                                    : (uint8_t)dice_below(dice, 256);
}

static void
random_packet(struct dice *dice, struct bytes *packet)
{
    int length = 4 * (1 + dice_below(dice, dice_below(dice, 20) == 0 ? MOST / 4 : 30));

    append_same(packet, 0, (size_t)length);
    for (int i = 0; i < length; i++)
        packet->at[i] = random_byte(dice);
}

/* Feeds the bytes in random pieces, empty ones too. */
static bool
take_chopped(struct stream *stream, const struct bytes *bytes, struct dice *dice,
             struct heard *heard)
{
    int longest = dice_below(dice, 3) == 0 ? 1 : 1 + dice_below(dice, (int)bytes->length + 1);

    for (size_t at = 0; at < bytes->length;) {
        size_t left = bytes->length - at;
        size_t piece = (size_t)dice_below(dice, longest + 1);

        piece = piece < left ? piece : left;
        if (!take(stream, bytes->at + at, piece, heard))
            return false;
        at += piece;
    }
    return true;
}

/* What goes in frame by frame comes out packet by packet, however the network chops it. */
static void
framed_packets_come_back_from_any_pieces(void **state)
{
    struct dice dice = dice_new();

    (void)state;
    for (int round = 0; round < 300; round++) {
        enum stream_framing framing = round % 2 == 0 ? FRAMING_SIZE : FRAMING_SLIP;
        struct stream *stream = stream_new(framing);
        struct bytes packets[5] = {{0}}, bytes = {0};
        struct heard heard = {0};
        size_t count = 1 + (size_t)dice_below(&dice, COUNT(packets));

        for (size_t i = 0; i < count; i++) {
            random_packet(&dice, &packets[i]);
            append_frame(&bytes, framing, &packets[i]);
        }
        assert_true(take_chopped(stream, &bytes, &dice, &heard));
        assert_int_equal(heard.count, count);
        for (size_t i = 0; i < count; i++)
            same_bytes(&heard.packets[i], &packets[i]);
        assert_int_equal(stream_skipped(stream), 0);
        for (size_t i = 0; i < count; i++)
            drop(&packets[i]);
        stream_free(stream);
        forget(&heard);
        drop(&bytes);
    }
}

/* Bytes of any sort: in pieces they mean what they mean at once. */
static void
any_bytes_mean_the_same_in_pieces(void **state)
{
    struct dice dice = dice_new();

    (void)state;
    for (int round = 0; round < 4000; round++) {
        enum stream_framing framing = round % 2 == 0 ? FRAMING_SIZE : FRAMING_SLIP;
        struct stream *stream = stream_new(framing);
        struct bytes bytes = {0};
        struct heard once = {0}, pieces = {0};
        uint64_t skipped;
        bool whole;

        append_same(&bytes, 0, (size_t)dice_below(&dice, 64));
        for (size_t i = 0; i < bytes.length; i++)
            bytes.at[i] = framing == FRAMING_SIZE ? (uint8_t)(dice_below(&dice, 8) == 0 ? 4 : 0)
                                                  : random_byte(&dice);
        whole = take_all(framing, &bytes, &once, &skipped);
        assert_int_equal(take_chopped(stream, &bytes, &dice, &pieces), whole);
        assert_int_equal(stream_skipped(stream), skipped);
        assert_int_equal(pieces.count, once.count);
        for (size_t i = 0; i < once.count; i++)
            same_bytes(&pieces.packets[i], &once.packets[i]);
        stream_free(stream);
        forget(&once);
        forget(&pieces);
        drop(&bytes);
    }
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(reference_frames_are_made),
        cmocka_unit_test(slip_codes_are_the_published_ones),
        cmocka_unit_test(sizes_have_limits),
        cmocka_unit_test(size_zero_is_passed_over),
        cmocka_unit_test(a_broken_stream_stays_broken),
        cmocka_unit_test(ends_between_packets_are_nothing),
        cmocka_unit_test(wrongly_escaped_frames_are_skipped),
        cmocka_unit_test(long_frames_are_skipped),
        cmocka_unit_test(framed_packets_come_back_from_any_pieces),
        cmocka_unit_test(any_bytes_mean_the_same_in_pieces),
    };

    return cmocka_run_group_tests_name("osc_stream", tests, NULL, NULL);
}
