/* SPDX-License-Identifier: MIT */
/* What the guard in front of liblo lets pass besides the specification where a profile asks for it:
 * addresses that do not begin with '/', and messages without type tags. The rest: osc/check.c.
 */
#include "unit.h"

#include <stdlib.h>
#include <string.h>

#include "osc/check.h"
#include "osc_examples.h"
#include "wire_rig.h"

static const struct osc_forms strict = {0}, bare = {.bare = true}, untyped = {.untyped = true},
                              both = {.bare = true, .untyped = true};

struct heard {
    int messages;
    enum osc_reject first; /* of the rejects; OSC_OK: there were none */
};

static void
count_message(void *context, const uint8_t *bytes, size_t length)
{
    assert_true(length >= 4 && bytes[0] > ' ' && bytes[0] <= '~');
    ((struct heard *)context)->messages++;
}

static void
note_reject(void *context, enum osc_reject why, const uint8_t *bytes, size_t length)
{
    struct heard *heard = context;

    assert_true(bytes || length == 0);
    if (heard->first == OSC_OK)
        heard->first = why;
}

/* The datagram stands in a heap block of exactly its size. */
static enum osc_reject
check(const uint8_t *bytes, size_t length, struct osc_forms forms, int *messages)
{
    uint8_t *exact = malloc(length > 0 ? length : 1);
    struct heard heard = {0, OSC_OK};

    assert_non_null(exact);
    if (length > 0)
        memcpy(exact, bytes, length);
    osc_check_datagram(exact, length, forms,
                       &(struct osc_told){count_message, note_reject, &heard});
    free(exact);
    *messages = heard.messages;
    return heard.first;
}

static enum osc_reject
check_hex(const char *hex, struct osc_forms forms, int *messages)
{
    uint8_t bytes[256];

    return check(bytes, wire_from_hex(hex, bytes, sizeof bytes), forms, messages);
}

struct row {
    const char *name, *hex;
    enum osc_reject reject;
};

static void
each_is(const struct row *rows, size_t count, struct osc_forms forms)
{
    for (size_t i = 0; i < count; i++) {
        int messages;

        assert_row(rows[i].name, check_hex(rows[i].hex, forms, &messages), rows[i].reject);
        assert_row(rows[i].name, messages, rows[i].reject == OSC_OK);
    }
}

/* ---- bare addresses ---- */

/* Every byte in front of "ab", with one int32 behind. */
static void
every_first_byte(void **state)
{
    (void)state;
    for (int first = 0; first < 256; first++) {
        const uint8_t bytes[] = {(uint8_t)first, 'a', 'b', 0, ',', 'i', 0, 0, 0, 0, 0, 7};
        const char name[] = {(char)(first == 0 ? '0' : first), '\0'};
        bool printed = first >= 0x21 && first <= 0x7e && first != '#' && first != ',';
        int messages;

        assert_row(name, check(bytes, sizeof bytes, strict, &messages),
                   first == '/' ? OSC_OK : OSC_NO_ADDRESS);
        assert_row(name, check(bytes, sizeof bytes, untyped, &messages),
                   first == '/' ? OSC_OK : OSC_NO_ADDRESS);
        assert_row(name, check(bytes, sizeof bytes, bare, &messages),
                   printed ? OSC_OK : OSC_NO_ADDRESS);
        assert_row(name, messages, printed);
        assert_row(name, check(bytes, sizeof bytes, both, &messages),
                   printed ? OSC_OK : OSC_NO_ADDRESS);
    }
}

static void
bare_messages_are_checked_like_others(void **state)
{
    static const struct row rows[] = {
        {"one letter", "610000002c000000", OSC_OK},
        {"a digit", "310000002c000000", OSC_OK},
        {"no types", "61620000", OSC_NO_TYPES},
        {"never ended", "61626364", OSC_BAD_STRING},
        {"padded with a letter", "610062002c000000", OSC_BAD_STRING},
        {"int missing", "610000002c690000", OSC_SHORT},
        {"bytes left over", "610000002c00000000000000", OSC_LONG},
        {"only types", "2c000000", OSC_NO_ADDRESS},
        {"an empty address", "000000002c000000", OSC_NO_ADDRESS},
        {"half a bundle's name", "2362756e", OSC_NO_ADDRESS},
        {"another bundle's name", "2362756e646c660000000000", OSC_NO_ADDRESS},
        {"a bundle without a time", "2362756e646c6500", OSC_SHORT},
    };

    (void)state;
    each_is(rows, COUNT(rows), bare);
}

/* ---- without type tags ---- */

/* What follows the address is not looked at, unless it says that it is type tags. */
static void
untyped_messages_pass(void **state)
{
    static const struct row rows[] = {
        {"nothing behind", "2f610000", OSC_OK},
        {"an int32", "2f61000000000007", OSC_OK},
        {"any bytes", "2f610000ffffffff616263642d000000", OSC_OK},
        {"with types", "2f6100002c69000000000007", OSC_OK},
        {"int missing", "2f6100002c690000", OSC_SHORT},
        {"bytes left over", "2f6100002c00000000000000", OSC_LONG},
        {"types never ended", "2f6100002c696969", OSC_BAD_STRING},
        {"unknown letter", "2f6100002c7a0000", OSC_UNKNOWN_TYPE},
        {"trap: blob tag without a blob", REFERENCE_TRAP_BLOB_HEX, OSC_BAD_BLOB},
        {"five bytes", "2f61000000", OSC_UNALIGNED},
        {"address never ended", "2f616263", OSC_BAD_STRING},
        {"address padded with a letter", "2f61007800000007", OSC_BAD_STRING},
        {"nothing", "", OSC_EMPTY},
        {"no slash", "6162000000000007", OSC_NO_ADDRESS},
    };
    int messages;

    (void)state;
    each_is(rows, COUNT(rows), untyped);
    for (size_t i = 0; i < COUNT(rows); i++)
        if (rows[i].reject == OSC_OK && strstr(rows[i].hex, "2c69") == NULL)
            assert_row(rows[i].name, check_hex(rows[i].hex, strict, &messages), OSC_NO_TYPES);
}

static void
bundles_hold_the_same_forms(void **state)
{
    static const char two[] = REFERENCE_EMPTY_BUNDLE_HEX "000000086100000000000007"
                                                         "000000042f620000";
    int messages;

    (void)state;
    assert_int_equal(check_hex(two, both, &messages), OSC_OK);
    assert_int_equal(messages, 2);
    assert_int_equal(check_hex(two, bare, &messages), OSC_NO_TYPES);
    assert_int_equal(check_hex(two, untyped, &messages), OSC_NO_ADDRESS);
    assert_int_equal(check_hex(two, strict, &messages), OSC_NO_ADDRESS);
    assert_int_equal(check_hex(REFERENCE_BUNDLE_HEX, both, &messages), OSC_OK);
    assert_int_equal(messages, 2);
    assert_int_equal(check_hex(REFERENCE_TRAP_ELEMENT_HEX, both, &messages), OSC_BAD_ELEMENT);
}

/* Both forms are more, never less: what the specification allows passes under each, and a reject
 * that the forms do not lift stays what it was. */
static void
forms_only_add(void **state)
{
    static const char alphabet[] = "/a#,bundleifsbTd\0\0\0\0\0\0\0\1\4\x08\xff";
    struct dice dice = dice_new();

    (void)state;
    for (int round = 0; round < 100000; round++) {
        uint8_t bytes[48];
        size_t length = (size_t)dice_below(&dice, (int)sizeof bytes / 4 + 1) * 4;
        int messages;
        enum osc_reject plain, loose;

        for (size_t i = 0; i < length; i++)
            bytes[i] = (uint8_t)alphabet[dice_below(&dice, (int)sizeof alphabet - 1)];
        if (length >= 8 && dice_below(&dice, 2) == 0)
            memcpy(bytes, "/a\0\0,", 5);
        plain = check(bytes, length, strict, &messages);
        loose = check(bytes, length, both, &messages);
        if (plain != OSC_NO_TYPES && plain != OSC_NO_ADDRESS)
            assert_int_equal(loose, plain);
        assert_int_not_equal(loose, OSC_NO_TYPES);
    }
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_first_byte),
        cmocka_unit_test(bare_messages_are_checked_like_others),
        cmocka_unit_test(untyped_messages_pass),
        cmocka_unit_test(bundles_hold_the_same_forms),
        cmocka_unit_test(forms_only_add),
    };

    return cmocka_run_group_tests_name("osc_forms", tests, NULL, NULL);
}
