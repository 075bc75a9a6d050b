/* SPDX-License-Identifier: MIT */
/* The guard in front of liblo. Every datagram stands in a heap block of exactly its size, so that
 * the address sanitizer sees the first byte read outside.
 */
#include "unit.h"

#include <stdlib.h>
#include <string.h>

#include "osc/check.h"
#include "osc_examples.h"
#include "wire_rig.h"

/* ---- datagrams ---- */

static uint8_t *
exact_copy(const uint8_t *bytes, size_t length)
{
    uint8_t *copy = malloc(length > 0 ? length : 1);

    assert_non_null(copy);
    if (length > 0)
        memcpy(copy, bytes, length);
    return copy;
}

static void
count_message(void *context, const uint8_t *bytes, size_t length)
{
    assert_true(length >= 4 && bytes[0] == '/');
    ++*(int *)context;
}

static enum osc_reject
check(const uint8_t *bytes, size_t length, int *messages)
{
    uint8_t *copy = exact_copy(bytes, length);
    enum osc_reject reject;

    *messages = 0;
    reject = osc_check_datagram(copy, length, (struct osc_forms){0}, count_message, messages);
    free(copy);
    return reject;
}

static enum osc_reject
check_hex(const char *hex, int *messages)
{
    uint8_t bytes[256];

    return check(bytes, wire_from_hex(hex, bytes, sizeof bytes), messages);
}

/* Writes a bundle's head, or an element's size; returns the bytes used. */
static size_t
put_head(uint8_t *to)
{
    return wire_from_hex(REFERENCE_EMPTY_BUNDLE_HEX, to, 16);
}

static size_t
put_size(uint8_t *to, size_t size)
{
    const uint8_t bytes[4] = {(uint8_t)(size >> 24), (uint8_t)(size >> 16), (uint8_t)(size >> 8),
                              (uint8_t)size};

    memcpy(to, bytes, 4);
    return 4;
}

/* ---- accepted ---- */

/* The last example holds an array, which the specification makes optional; liblo refuses it, so
 * that the guard does, and the counts in a report name the reason. */
static void
reference_messages_pass(void **state)
{
    int messages;

    (void)state;
    for (size_t i = 0; i < COUNT(reference_messages); i++) {
        bool array = strchr(reference_messages[i].types, '[') != NULL;

        assert_row(reference_messages[i].name, check_hex(reference_messages[i].hex, &messages),
                   array ? OSC_UNKNOWN_TYPE : OSC_OK);
        assert_row(reference_messages[i].name, messages, array ? 0 : 1);
    }
}

static void
every_argument_type_passes_alone(void **state)
{
    static const struct {
        const char *name, *hex;
    } rows[] = {
        {"c", "2f6100002c63000000000041"},
        {"m", "2f6100002c6d000000903c7f"},
        {"t", "2f6100002c74000083aa7e8000000000"},
        {"S", "2f6100002c53000061626300"},
        {"I", "2f6100002c490000"},
        {"empty blob", "2f6100002c62000000000000"},
        {"NaN", "2f6100002c6600007fc00000"},
        {"padded types", "2f6100002c69697400000000"
                         "0000000100000002"
                         "0000000000000001"},
    };
    int messages;

    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++)
        assert_row(rows[i].name, check_hex(rows[i].hex, &messages), OSC_OK);
}

static void
bundles_are_taken_apart_in_order(void **state)
{
    int messages;

    (void)state;
    assert_int_equal(strlen(REFERENCE_BUNDLE_HEX) / 2, 96);
    assert_int_equal(check_hex(REFERENCE_BUNDLE_HEX, &messages), OSC_OK);
    assert_int_equal(messages, 2);
    assert_int_equal(check_hex(REFERENCE_EMPTY_BUNDLE_HEX, &messages), OSC_OK);
    assert_int_equal(messages, 0);
}

struct order {
    const uint8_t *begin;
    size_t offsets[4];
    size_t lengths[4];
    int count;
};

static void
note_order(void *context, const uint8_t *bytes, size_t length)
{
    struct order *order = context;

    assert_true(order->count < 4);
    order->offsets[order->count] = (size_t)(bytes - order->begin);
    order->lengths[order->count++] = length;
}

/* The offsets of the reference: element 1 at 20, element 2 at 56. */
static void
messages_are_given_out_in_place(void **state)
{
    uint8_t bytes[96];
    struct order order = {.begin = bytes};

    (void)state;
    wire_from_hex(REFERENCE_BUNDLE_HEX, bytes, sizeof bytes);
    assert_int_equal(
        osc_check_datagram(bytes, sizeof bytes, (struct osc_forms){0}, note_order, &order), OSC_OK);
    assert_int_equal(order.count, 2);
    assert_int_equal(order.offsets[0], 20);
    assert_int_equal(order.lengths[0], 32);
    assert_int_equal(order.offsets[1], 56);
    assert_int_equal(order.lengths[1], 40);
}

/* ---- limits ---- */

/* `depth` bundles in each other, "/a ," in the innermost. */
static size_t
nest(uint8_t *bytes, int depth)
{
    size_t at = put_head(bytes);
    size_t inner;

    if (depth == 1) {
        at += put_size(bytes + at, 8);
        return at + wire_from_hex("2f6100002c000000", bytes + at, 8);
    }
    inner = nest(bytes + at + 4, depth - 1);
    return at + put_size(bytes + at, inner) + inner;
}

static void
nesting_ends_at_the_limit(void **state)
{
    uint8_t bytes[2048];
    int messages;

    (void)state;
    for (int depth = 1; depth <= OSC_DEPTH; depth++) {
        assert_int_equal(check(bytes, nest(bytes, depth), &messages), OSC_OK);
        assert_int_equal(messages, 1);
    }
    assert_int_equal(check(bytes, nest(bytes, OSC_DEPTH + 1), &messages), OSC_TOO_DEEP);
    assert_int_equal(messages, 0);
    assert_int_equal(check(bytes, nest(bytes, 80), &messages), OSC_TOO_DEEP);
}

/* `count` messages "/a ," in a bundle. */
static size_t
fill(uint8_t *bytes, int count)
{
    size_t at = put_head(bytes);

    for (int i = 0; i < count; i++) {
        at += put_size(bytes + at, 8);
        at += wire_from_hex("2f6100002c000000", bytes + at, 8);
    }
    return at;
}

static void
elements_end_at_the_limit(void **state)
{
    uint8_t *bytes = malloc(16 + 12 * (OSC_ELEMENTS + 1));
    int messages;

    (void)state;
    assert_int_equal(check(bytes, fill(bytes, OSC_ELEMENTS), &messages), OSC_OK);
    assert_int_equal(messages, OSC_ELEMENTS);
    assert_int_equal(check(bytes, fill(bytes, OSC_ELEMENTS + 1), &messages), OSC_TOO_MANY);
    assert_int_equal(messages, OSC_ELEMENTS);
    free(bytes);
}

/* The limit is the datagram's, not each bundle's. */
static void
elements_of_nested_bundles_count_together(void **state)
{
    enum { HALF = OSC_ELEMENTS / 2 + 1 };
    uint8_t *bytes = malloc(16 + 2 * (4 + 16 + 12 * HALF));
    size_t at = put_head(bytes);
    int messages;

    (void)state;
    for (int i = 0; i < 2; i++) {
        size_t size = fill(bytes + at + 4, HALF);

        at += put_size(bytes + at, size) + size;
    }
    assert_int_equal(check(bytes, at, &messages), OSC_TOO_MANY);
    free(bytes);
}

/* ---- refused ---- */

static const struct {
    const char *name;
    enum osc_reject reject;
    const char *hex;
} refused[] = {
    {"trap: blob tag without a blob", OSC_BAD_BLOB, REFERENCE_TRAP_BLOB_HEX},
    {"trap: element of length 0", OSC_BAD_ELEMENT, REFERENCE_TRAP_ELEMENT_HEX},
    {"nothing", OSC_EMPTY, ""},
    {"five bytes", OSC_UNALIGNED, "2f61000000"},
    {"no slash", OSC_NO_ADDRESS, "616200002c000000"},
    {"a short '#'", OSC_NO_ADDRESS, "2362756e"},
    {"'#bundlf'", OSC_NO_ADDRESS, "2362756e646c66000000000000000001"},
    {"address without an end", OSC_BAD_STRING, "2f616263"},
    {"address padded with 'x'", OSC_BAD_STRING, "2f6100782c000000"},
    {"types without an end", OSC_BAD_STRING, "2f6100002c696969"},
    {"types padded with 'x'", OSC_BAD_STRING,
     "2f6100002c690078"
     "00000001"},
    {"no types", OSC_NO_TYPES, "2f610000"},
    {"types without a comma", OSC_NO_TYPES,
     "2f61000069000000"
     "00000001"},
    {"colour", OSC_UNKNOWN_TYPE, "2f6100002c720000ff00ff00"},
    {"unknown letter", OSC_UNKNOWN_TYPE, "2f6100002c7a0000"},
    {"array", OSC_UNKNOWN_TYPE,
     "2f6100002c5b695d00000000"
     "00000001"},
    {"int missing", OSC_SHORT, "2f6100002c690000"},
    {"double cut", OSC_SHORT,
     "2f6100002c640000"
     "3fe00000"},
    {"second float missing", OSC_SHORT,
     "2f6100002c666600"
     "3f800000"},
    {"string missing", OSC_SHORT, "2f6100002c730000"},
    {"string without an end", OSC_BAD_STRING,
     "2f6100002c730000"
     "61626364"},
    {"string padded with 'x'", OSC_BAD_STRING,
     "2f6100002c730000"
     "61006178"},
    {"bytes left over", OSC_LONG,
     "2f6100002c690000"
     "0000000100000002"},
    {"bytes behind no arguments", OSC_LONG,
     "2f6100002c000000"
     "00000000"},
    {"blob past the end", OSC_BAD_BLOB,
     "2f6100002c620000"
     "0000000501020304"},
    {"blob of negative size", OSC_BAD_BLOB,
     "2f6100002c620000"
     "ffffffff01020304"},
    {"blob of the largest size", OSC_BAD_BLOB,
     "2f6100002c620000"
     "7fffffff01020304"},
    {"bundle without a time", OSC_SHORT, "2362756e646c6500"},
    {"bundle with half a time", OSC_SHORT, "2362756e646c650000000000"},
    {"element past the end", OSC_BAD_ELEMENT,
     REFERENCE_EMPTY_BUNDLE_HEX "0000000c"
                                "2f6100002c000000"},
    {"element of size 6", OSC_BAD_ELEMENT,
     REFERENCE_EMPTY_BUNDLE_HEX "00000006"
                                "2f6100002c000000"},
    {"element of negative size", OSC_BAD_ELEMENT,
     REFERENCE_EMPTY_BUNDLE_HEX "fffffffc2f6100002c000000"},
    {"size without an element", OSC_BAD_ELEMENT, REFERENCE_EMPTY_BUNDLE_HEX "00000008"},
    {"bad message in a bundle", OSC_NO_TYPES, REFERENCE_EMPTY_BUNDLE_HEX "000000042f610000"},
    {"short bundle in a bundle", OSC_SHORT, REFERENCE_EMPTY_BUNDLE_HEX "000000082362756e646c6500"},
};

static void
every_reason_is_reached(void **state)
{
    int messages;

    (void)state;
    for (size_t i = 0; i < COUNT(refused); i++)
        assert_row(refused[i].name, check_hex(refused[i].hex, &messages), refused[i].reject);
}

/* What stood before the bad element has been heard. */
static void
messages_before_a_bad_one_are_given_out(void **state)
{
    int messages;

    (void)state;
    assert_int_equal(check_hex(REFERENCE_EMPTY_BUNDLE_HEX "000000082f6100002c000000"
                                                          "00000000",
                               &messages),
                     OSC_BAD_ELEMENT);
    assert_int_equal(messages, 1);
}

static void
reasons_have_names(void **state)
{
    (void)state;
    for (int i = 0; i < OSC_REJECTS; i++) {
        const char *name = osc_reject_name((enum osc_reject)i);

        assert_true(strlen(name) > 0);
        assert_int_equal(strspn(name, "abcdefghijklmnopqrstuvwxyz-"), strlen(name));
        for (int other = 0; other < i; other++)
            assert_string_not_equal(name, osc_reject_name((enum osc_reject)other));
    }
    assert_string_equal(osc_reject_name(OSC_BAD_BLOB), "bad-blob");
    assert_string_equal(osc_reject_name(OSC_REFUSED), "refused");
}

/* ---- broken copies ---- */

static const char *
datagram_hex(size_t i)
{
    if (i < COUNT(reference_messages))
        return reference_messages[i].hex;
    return i == COUNT(reference_messages) ? REFERENCE_BUNDLE_HEX : NULL;
}

/* Cut anywhere, an example is refused. Two cuts of the bundle leave whole bundles: an empty one,
 * and one with the first message alone. */
static void
truncated_examples_are_refused(void **state)
{
    const char *hex;

    (void)state;
    for (size_t i = 0; (hex = datagram_hex(i)); i++) {
        uint8_t bytes[128];
        size_t length = wire_from_hex(hex, bytes, sizeof bytes);
        int messages;

        for (size_t cut = 0; cut < length; cut++) {
            enum osc_reject reject = check(bytes, cut, &messages);
            bool whole = bytes[0] == '#' && (cut == 16 || cut == 52);

            assert_row(hex, reject == OSC_OK, whole);
        }
    }
}

/* One byte changed to anything: refused or valid, but never read outside. */
static void
examples_with_one_wrong_byte_are_survived(void **state)
{
    const char *hex;

    (void)state;
    for (size_t i = 0; (hex = datagram_hex(i)); i++) {
        uint8_t bytes[128];
        size_t length = wire_from_hex(hex, bytes, sizeof bytes);
        int messages;

        for (size_t at = 0; at < length; at++) {
            uint8_t right = bytes[at];

            for (int wrong = 0; wrong < 256; wrong++) {
                bytes[at] = (uint8_t)wrong;
                assert_in_range(check(bytes, length, &messages), OSC_OK, OSC_TOO_MANY);
            }
            bytes[at] = right;
        }
    }
}

static void
random_datagrams_are_survived(void **state)
{
    static const char alphabet[] = "/#,bundleifsTFNIhdtcm\0\0\0\0\0\0\0\1\4\x08\x10\xff";
    struct dice dice = dice_new();

    (void)state;
    for (int round = 0; round < 100000; round++) {
        uint8_t bytes[64];
        size_t length = (size_t)dice_below(&dice, (int)sizeof bytes / 4 + 1) * 4;
        int messages;

        for (size_t i = 0; i < length; i++)
            bytes[i] = (uint8_t)alphabet[dice_below(&dice, (int)sizeof alphabet)];
        if (length >= 16 && dice_below(&dice, 2) == 0)
            put_head(bytes);
        else if (length >= 4)
            memcpy(bytes, "/a\0", 4);
        assert_in_range(check(bytes, length, &messages), OSC_OK, OSC_TOO_MANY);
    }
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(reference_messages_pass),
        cmocka_unit_test(every_argument_type_passes_alone),
        cmocka_unit_test(bundles_are_taken_apart_in_order),
        cmocka_unit_test(messages_are_given_out_in_place),
        cmocka_unit_test(nesting_ends_at_the_limit),
        cmocka_unit_test(elements_end_at_the_limit),
        cmocka_unit_test(elements_of_nested_bundles_count_together),
        cmocka_unit_test(every_reason_is_reached),
        cmocka_unit_test(messages_before_a_bad_one_are_given_out),
        cmocka_unit_test(reasons_have_names),
        cmocka_unit_test(truncated_examples_are_refused),
        cmocka_unit_test(examples_with_one_wrong_byte_are_survived),
        cmocka_unit_test(random_datagrams_are_survived),
    };

    return cmocka_run_group_tests_name("osc_check", tests, NULL, NULL);
}
