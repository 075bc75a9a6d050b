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

struct heard {
    int messages, rejects;
    enum osc_reject first; /* of the rejects; OSC_OK: there were none */
};

static void
count_message(void *context, const uint8_t *bytes, size_t length)
{
    assert_true(length >= 4 && bytes[0] == '/');
    ((struct heard *)context)->messages++;
}

static void
count_reject(void *context, enum osc_reject why, const uint8_t *bytes, size_t length)
{
    struct heard *heard = context;

    assert_true(bytes || length == 0);
    assert_int_not_equal(why, OSC_OK);
    if (heard->rejects++ == 0)
        heard->first = why;
}

static struct heard
hear(const uint8_t *bytes, size_t length)
{
    uint8_t *copy = exact_copy(bytes, length);
    struct heard heard = {0, 0, OSC_OK};

    osc_check_datagram(copy, length, (struct osc_forms){0},
                       &(struct osc_told){count_message, count_reject, &heard});
    free(copy);
    return heard;
}

static enum osc_reject
check(const uint8_t *bytes, size_t length, int *messages)
{
    struct heard heard = hear(bytes, length);

    *messages = heard.messages;
    return heard.first;
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

static void
reference_messages_pass(void **state)
{
    int messages;

    (void)state;
    for (size_t i = 0; i < COUNT(reference_messages); i++) {
        assert_row(reference_messages[i].name, check_hex(reference_messages[i].hex, &messages),
                   OSC_OK);
        assert_row(reference_messages[i].name, messages, 1);
    }
}

/* OSC 1.0: "An OSC application may also recognise" these; what stands in a packet of each is the
 * data bytes that the specification gives it, one after the other. */
static void
every_type_of_the_specification_passes(void **state)
{
    int messages;

    (void)state;
    for (size_t i = 0; i < COUNT(reference_types); i++) {
        uint8_t bytes[64] = {'/', 'a', 0, 0, ',', (uint8_t)reference_types[i].tag, 0, 0};
        size_t size = reference_types[i].size;

        assert_row(&reference_types[i].tag, check(bytes, 8 + size, &messages), OSC_OK);
        assert_row(&reference_types[i].tag, check(bytes, 8 + size + 4, &messages), OSC_LONG);
        if (size > 0)
            assert_row(&reference_types[i].tag, check(bytes, 8 + size - 4, &messages) == OSC_OK,
                       false);
    }
}

/* No letter but those of the specification is a type. */
static void
every_other_letter_is_unknown(void **state)
{
    char known[COUNT(reference_types) + 1] = "";

    (void)state;
    for (size_t i = 0; i < COUNT(reference_types); i++)
        known[i] = reference_types[i].tag;
    for (int letter = 1; letter < 256; letter++) {
        const uint8_t bytes[8] = {'/', 'a', 0, 0, ',', (uint8_t)letter, 0, 0};
        int messages;

        if (!strchr(known, letter) && letter != '[' && letter != ']')
            assert_int_equal(check(bytes, sizeof bytes, &messages), OSC_UNKNOWN_TYPE);
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

static void
no_reject(void *context, enum osc_reject why, const uint8_t *bytes, size_t length)
{
    (void)context;
    (void)bytes;
    (void)length;
    fail_msg("turned down: %s", osc_reject_name(why));
}

/* The offsets of the reference: element 1 at 20, element 2 at 56. */
static void
messages_are_given_out_in_place(void **state)
{
    uint8_t bytes[96];
    struct order order = {.begin = bytes};

    (void)state;
    wire_from_hex(REFERENCE_BUNDLE_HEX, bytes, sizeof bytes);
    osc_check_datagram(bytes, sizeof bytes, (struct osc_forms){0},
                       &(struct osc_told){note_order, no_reject, &order});
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
    {"colour cut", OSC_SHORT, "2f6100002c720000"},
    {"unknown letter", OSC_UNKNOWN_TYPE, "2f6100002c7a0000"},
    {"array never closed", OSC_BAD_ARRAY,
     "2f6100002c5b6900"
     "00000001"},
    {"array closed twice", OSC_BAD_ARRAY,
     "2f6100002c5b695d5d000000"
     "00000001"},
    {"array closed before it opens", OSC_BAD_ARRAY, "2f6100002c5d5b00"},
    {"array with an int missing", OSC_SHORT, "2f6100002c5b695d00000000"},
    {"array with an unknown letter", OSC_UNKNOWN_TYPE, "2f6100002c5b7a5d00000000"},
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

/* ---- neighbours ---- */

static size_t
put_element(uint8_t *to, const uint8_t *bytes, size_t length)
{
    size_t at = put_size(to, length);

    memcpy(to + at, bytes, length);
    return at + length;
}

/* Each bad message, and each bad bundle, between two good messages: turned down alone. */
static void
neighbours_of_a_bad_element_are_heard(void **state)
{
    const uint8_t good[8] = {'/', 'a', 0, 0, ','};

    (void)state;
    for (size_t i = 0; i < COUNT(refused); i++) {
        uint8_t bad[64], bytes[128];
        size_t length = wire_from_hex(refused[i].hex, bad, sizeof bad);
        size_t at = put_head(bytes);
        struct heard alone = hear(bad, length), heard;

        if (length == 0 || length % 4 != 0) /* its size is no element's */
            continue;
        at += put_element(bytes + at, good, sizeof good);
        at += put_element(bytes + at, bad, length);
        at += put_element(bytes + at, good, sizeof good);
        heard = hear(bytes, at);
        assert_row(refused[i].name, heard.messages, 2 + alone.messages);
        assert_row(refused[i].name, heard.rejects, alone.rejects);
        assert_row(refused[i].name, heard.first, refused[i].reject);
    }
}

static void
too_deep_a_bundle_is_turned_down_alone(void **state)
{
    const uint8_t good[8] = {'/', 'a', 0, 0, ','};
    uint8_t deep[512], bytes[1024];
    size_t length = nest(deep, OSC_DEPTH), at = put_head(bytes);
    struct heard heard;

    (void)state;
    at += put_element(bytes + at, deep, length);
    at += put_element(bytes + at, good, sizeof good);
    heard = hear(bytes, at);
    assert_int_equal(heard.messages, 1);
    assert_int_equal(heard.rejects, 1);
    assert_int_equal(heard.first, OSC_TOO_DEEP);
}

/* Where the size still says where the next element begins, that one is heard; else no more is of
 * this bundle, but of the one around it. */
static void
a_bad_size(void **state)
{
    static const struct {
        const char *name, *hex;
        int messages, rejects;
    } rows[] = {
        {"good, then nothing of size 0",
         "000000082f6100002c000000"
         "00000000",
         1, 1},
        {"nothing of size 0, then good",
         "00000000"
         "000000082f6100002c000000",
         1, 1},
        {"filled up with zeros",
         "000000082f6100002c000000"
         "000000000000000000000000",
         1, 1},
        {"size 6, then good, then half a size",
         "000000062f6100002c00"
         "000000082f6100002c000000"
         "0000",
         1, 2},
        {"past the end, then good",
         "000000402f6100002c000000"
         "000000082f6100002c000000",
         0, 1},
        {"size 6, filled up",
         "000000062f6100002c00"
         "0000",
         0, 1},
        {"past the end of an inner bundle, then good",
         "0000001c" REFERENCE_EMPTY_BUNDLE_HEX "000000402f6100002c000000"
         "000000082f6100002c000000",
         1, 1},
    };

    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        uint8_t bytes[128];
        size_t at = put_head(bytes);
        struct heard heard;

        at += wire_from_hex(rows[i].hex, bytes + at, sizeof bytes - at);
        heard = hear(bytes, at);
        assert_row(rows[i].name, heard.messages, rows[i].messages);
        assert_row(rows[i].name, heard.rejects, rows[i].rejects);
        assert_row(rows[i].name, heard.first, OSC_BAD_ELEMENT);
    }
}

/* ---- outlines ---- */

static void
outlines_say_what_can_be_read(void **state)
{
    static const struct {
        const char *hex, *address, *types;
    } rows[] = {
        {"2f6100002c7a0000", "/a", ",z"},
        {"2f6100002c69690000000001", "/a", ",ii"},
        {"2f6100002c69000000000001"
         "00000002",
         "/a", ",i"},
        {"2f610000", "/a", NULL},
        {"2f61000069000000", "/a", NULL},
        {"2f6100002c696969", "/a", NULL},
        {"2f6100782c690078", "/a", ",i"}, /* the padding is no matter */
        {"2f61", NULL, NULL},
        {"2f616263", NULL, NULL},
        {"2f6100", "/a", NULL},
        {"61622f63000000002c690000", "ab/c", ",i"},
        {"2c690000", NULL, NULL},
        {"6162ff00", NULL, NULL}, /* no name either */
        {"2fff0000", "/\xff", NULL},
        {"00000000", NULL, NULL},
        {"2362756e646c6500", NULL, NULL},
        {"", NULL, NULL},
    };

    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        uint8_t bytes[64];
        size_t length = wire_from_hex(rows[i].hex, bytes, sizeof bytes);
        uint8_t *copy = exact_copy(bytes, length);
        struct osc_outline outline = osc_outline(copy, length);

        assert_row(rows[i].hex, outline.address != NULL, rows[i].address != NULL);
        assert_row(rows[i].hex, outline.types != NULL, rows[i].types != NULL);
        if (rows[i].address)
            assert_string_equal(outline.address, rows[i].address);
        if (rows[i].types)
            assert_string_equal(outline.types, rows[i].types);
        free(copy);
    }
}

static void
reasons_have_names(void **state)
{
    (void)state;
    for (int i = 0; i < OSC_REJECTS; i++) {
        const char *name = osc_reject_name((enum osc_reject)i);

        assert_true(strlen(name) > 0);
        assert_true(strlen(osc_reject_says((enum osc_reject)i)) > 0);
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
        cmocka_unit_test(every_type_of_the_specification_passes),
        cmocka_unit_test(every_other_letter_is_unknown),
        cmocka_unit_test(every_argument_type_passes_alone),
        cmocka_unit_test(bundles_are_taken_apart_in_order),
        cmocka_unit_test(messages_are_given_out_in_place),
        cmocka_unit_test(nesting_ends_at_the_limit),
        cmocka_unit_test(elements_end_at_the_limit),
        cmocka_unit_test(elements_of_nested_bundles_count_together),
        cmocka_unit_test(every_reason_is_reached),
        cmocka_unit_test(neighbours_of_a_bad_element_are_heard),
        cmocka_unit_test(too_deep_a_bundle_is_turned_down_alone),
        cmocka_unit_test(a_bad_size),
        cmocka_unit_test(outlines_say_what_can_be_read),
        cmocka_unit_test(reasons_have_names),
        cmocka_unit_test(truncated_examples_are_refused),
        cmocka_unit_test(examples_with_one_wrong_byte_are_survived),
        cmocka_unit_test(random_datagrams_are_survived),
    };

    return cmocka_run_group_tests_name("osc_check", tests, NULL, NULL);
}
