/* SPDX-License-Identifier: MIT */
/* The library behind its owner file: checked bytes to arguments, and arguments to exact bytes. */
#include "unit.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "osc/check.h"
#include "osc/osc.h"
#include "osc_examples.h"

/* The example as bytes in a block of exactly its size, for free(). */
static uint8_t *
bytes_of(const char *hex, size_t *length)
{
    uint8_t *bytes;

    *length = strlen(hex) / 2;
    bytes = malloc(*length);
    assert_non_null(bytes);
    for (size_t i = 0; i < *length; i++) {
        const char digits[3] = {hex[2 * i], hex[2 * i + 1], '\0'};

        bytes[i] = (uint8_t)strtoul(digits, NULL, 16);
    }
    return bytes;
}

struct decoded {
    struct osc_message message;
    uint8_t *bytes;
};

static void
decode(struct decoded *decoded, const char *hex)
{
    size_t length;

    decoded->bytes = bytes_of(hex, &length);
    assert_int_equal(osc_check_message(decoded->bytes, length, (struct osc_forms){0}), OSC_OK);
    assert_true(osc_decode(&decoded->message, decoded->bytes, length));
}

static void
release(struct decoded *decoded)
{
    free(decoded->bytes);
}

static void
is_number(const struct argument *argument, char type, double number)
{
    assert_int_equal(argument->kind, ARGUMENT_NUMBER);
    assert_int_equal(argument->type, type);
    assert_near(argument->number, number, 0);
}

static void
is_text(const struct argument *argument, char type, const char *text)
{
    assert_int_equal(argument->kind, ARGUMENT_TEXT);
    assert_int_equal(argument->type, type);
    assert_string_equal(argument->text, text);
}

static void
is_switch(const struct argument *argument, char type, bool on)
{
    assert_int_equal(argument->kind, ARGUMENT_SWITCH);
    assert_int_equal(argument->type, type);
    assert_near(argument->number, on, 0);
}

/* ---- decoding ---- */

static void
addresses_and_counts_are_the_examples(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(reference_messages); i++) {
        const char *types = reference_messages[i].types;
        struct decoded decoded;
        size_t count = 0;

        decode(&decoded, reference_messages[i].hex);
        assert_string_equal(decoded.message.address, reference_messages[i].address);
        assert_string_equal(decoded.message.types, types);
        for (; *types; types++)
            if (*types != '[' && *types != ']')
                assert_int_equal(decoded.message.arguments[count++].type, *types);
        assert_int_equal(decoded.message.count, count);
        release(&decoded);
    }
}

static void
arguments_of_the_printed_examples(void **state)
{
    const struct argument *arguments;
    struct decoded decoded;

    (void)state;
    decode(&decoded, reference_messages[0].hex);
    is_number(&decoded.message.arguments[0], 'f', 440);
    release(&decoded);

    decode(&decoded, reference_messages[1].hex);
    arguments = decoded.message.arguments;
    is_number(&arguments[0], 'i', 1000);
    is_number(&arguments[1], 'i', -1);
    is_text(&arguments[2], 's', "hello");
    is_number(&arguments[3], 'f', (double)1.234f);
    is_number(&arguments[4], 'f', (double)5.678f);
    release(&decoded);
}

static void
arguments_of_the_other_examples(void **state)
{
    struct decoded decoded;

    (void)state;
    decode(&decoded, "2f7800002c54464e49000000");
    is_switch(&decoded.message.arguments[0], 'T', true);
    is_switch(&decoded.message.arguments[1], 'F', false);
    assert_int_equal(decoded.message.arguments[2].kind, ARGUMENT_OTHER);
    assert_int_equal(decoded.message.arguments[3].kind, ARGUMENT_OTHER);
    release(&decoded);

    decode(&decoded, "2f7300002c73000000000000");
    is_text(&decoded.message.arguments[0], 's', "");
    release(&decoded);

    decode(&decoded, "2f7700002c68746400000000fffffffffffffffe00000000000000013fe0000000000000");
    is_number(&decoded.message.arguments[0], 'h', -2);
    assert_int_equal(decoded.message.arguments[1].kind, ARGUMENT_OTHER);
    is_number(&decoded.message.arguments[2], 'd', 0.5);
    release(&decoded);

    decode(&decoded, "2f6200002c620000000000050102030405000000");
    assert_int_equal(decoded.message.arguments[0].kind, ARGUMENT_BLOB);
    assert_near(decoded.message.arguments[0].number, 5, 0);
    assert_memory_equal(decoded.message.arguments[0].text, "\1\2\3\4\5", 5);
    release(&decoded);
}

/* What stands in arrays comes in its order, wherever the brackets are. */
static void
arrays_are_flat(void **state)
{
    static const char *const rows[] = {"iis", "[iis]", "[]iis", "i[is]", "[i][i][s]", "[[i[i]]s]"};

    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        const uint8_t data[] = {0, 0, 0, 1, 0, 0, 0, 2, 'x', 0, 0, 0};
        uint8_t bytes[32] = "/v\0\0,";
        size_t types = (strlen(rows[i]) + 1) / 4 * 4 + 4;
        struct osc_message message;

        memcpy(bytes + 5, rows[i], strlen(rows[i]));
        memcpy(bytes + 4 + types, data, sizeof data);
        assert_row(rows[i],
                   osc_check_message(bytes, 4 + types + sizeof data, (struct osc_forms){0}),
                   OSC_OK);
        assert_true(osc_decode(&message, bytes, 4 + types + sizeof data));
        assert_row(rows[i], message.count, 3);
        is_number(&message.arguments[0], 'i', 1);
        is_number(&message.arguments[1], 'i', 2);
        is_text(&message.arguments[2], 's', "x");
        assert_string_equal(message.types, rows[i]);
    }
}

static void
the_array_of_the_examples(void **state)
{
    struct decoded decoded;

    (void)state;
    decode(&decoded, "2f7600002c5b66665d0000003f80000040000000");
    assert_int_equal(decoded.message.count, 2);
    is_number(&decoded.message.arguments[0], 'f', 1);
    is_number(&decoded.message.arguments[1], 'f', 2);
    release(&decoded);
}

/* 32 bits that are neither int nor float: a letter, a colour, a MIDI message. */
static void
words_are_letters_and_bits(void **state)
{
    struct decoded decoded;

    (void)state;
    decode(&decoded, "2f6100002c63726d6300000000000041ff80400100903c7f00000080");
    is_text(&decoded.message.arguments[0], 'c', "A");
    is_number(&decoded.message.arguments[1], 'r', 0xff804001);
    is_number(&decoded.message.arguments[2], 'm', 0x00903c7f);
    assert_int_equal(decoded.message.arguments[3].kind, ARGUMENT_OTHER); /* beyond ASCII */
    release(&decoded);
    for (uint8_t letter = 0; letter < 128; letter++) {
        const uint8_t bytes[] = {'/', 'a', 0, 0, ',', 'c', 0, 0, 0, 0, 0, letter};
        struct osc_message message;

        assert_true(osc_decode(&message, bytes, sizeof bytes));
        is_text(&message.arguments[0], 'c', (const char[]){(char)letter, '\0'});
    }
}

/* Numbers that are none come through as they are: refusing them is the law's and the model's
 * matter. */
static void
special_floats_come_through(void **state)
{
    struct decoded decoded;

    (void)state;
    decode(&decoded, "2f6100002c666666000000007fc000007f800000ff800000");
    assert_true(isnan(decoded.message.arguments[0].number));
    is_number(&decoded.message.arguments[1], 'f', HUGE_VAL);
    is_number(&decoded.message.arguments[2], 'f', -HUGE_VAL);
    release(&decoded);
}

/* ---- random messages ---- */

static uint8_t *
put_bits(uint8_t *to, uint64_t bits, int bytes)
{
    for (int i = 0; i < bytes; i++)
        to[i] = (uint8_t)(bits >> 8 * (bytes - 1 - i));
    return to + bytes;
}

/* What was put in, to compare with what comes out. */
struct put {
    char type;
    double number;
    char text[12];
};

static uint8_t *
put_argument(uint8_t *to, struct put *put, struct dice *dice)
{
    uint64_t bits = dice_next(dice);
    uint32_t half = (uint32_t)bits;
    int32_t whole;
    int64_t long_whole;
    float single = (float)dice_between(dice, -1e6, 1e6);
    double number = dice_between(dice, -1e12, 1e12);
    size_t length = (size_t)dice_below(dice, 12);

    switch (put->type) {
    case 'i':
        memcpy(&whole, &half, sizeof whole);
        put->number = whole;
        return put_bits(to, half, 4);
    case 'h':
        memcpy(&long_whole, &bits, sizeof long_whole);
        put->number = (double)long_whole;
        return put_bits(to, bits, 8);
    case 'f':
        memcpy(&half, &single, sizeof half);
        put->number = (double)single;
        return put_bits(to, half, 4);
    case 'd':
        memcpy(&bits, &number, sizeof bits);
        put->number = number;
        return put_bits(to, bits, 8);
    case 's':
    case 'S':
        memset(put->text, 0, sizeof put->text);
        memset(put->text, 'a' + dice_below(dice, 26), length);
        memcpy(to, put->text, length);
        return to + (length / 4 + 1) * 4;
    case 'b':
        return put_bits(to, length, 4) + (length + 3) / 4 * 4;
    case 'c':
        put->text[0] = (char)(half & 127);
        put->text[1] = '\0';
        return put_bits(to, half & 127, 4);
    case 'm':
    case 'r':
        put->number = half;
        return put_bits(to, half, 4);
    case 't':
        return put_bits(to, bits, 8);
    default:
        return to;
    }
}

static void
came_out(const struct argument *argument, const struct put *put)
{
    switch (put->type) {
    case 'i':
    case 'h':
    case 'f':
    case 'd':
    case 'm':
    case 'r':
        is_number(argument, put->type, put->number);
        break;
    case 's':
    case 'S':
    case 'c':
        is_text(argument, put->type, put->text);
        break;
    case 'T':
    case 'F':
        is_switch(argument, put->type, put->type == 'T');
        break;
    default:
        assert_int_equal(argument->kind, put->type == 'b' ? ARGUMENT_BLOB : ARGUMENT_OTHER);
        assert_int_equal(argument->type, put->type);
    }
}

/* Puts brackets among the type tags, each pair somewhere. */
static void
bracket(char types[64], struct dice *dice)
{
    for (int pairs = dice_below(dice, 3); pairs > 0; pairs--) {
        size_t length = strlen(types);
        size_t from = (size_t)dice_below(dice, (int)length + 1);
        size_t to = from + (size_t)dice_below(dice, (int)(length - from) + 1);

        memmove(types + to + 2, types + to, length - to + 1);
        types[to + 1] = ']';
        memmove(types + from + 1, types + from, to - from);
        types[from] = '[';
    }
}

/* Arguments of all types in any order and number, in arrays or not, encoded here by hand. Whatever
 * stands beside an argument, it comes out as it went in. */
static void
random_messages_come_out_as_they_went_in(void **state)
{
    static const char types[] = "ihfdsSbcrmtTFNI";
    struct dice dice = dice_new();

    (void)state;
    for (int round = 0; round < 20000; round++) {
        uint8_t bytes[512] = "/some/address";
        char tags[64] = "";
        struct put puts[20];
        int count = dice_below(&dice, (int)COUNT(puts) + 1);
        struct osc_message message;
        size_t length;
        uint8_t *at, *exact;

        for (int i = 0; i < count; i++)
            tags[i] = puts[i].type = types[dice_below(&dice, (int)sizeof types - 1)];
        bracket(tags, &dice);
        bytes[16] = ',';
        memcpy(bytes + 17, tags, strlen(tags));
        at = bytes + 16 + (strlen(tags) + 1) / 4 * 4 + 4;
        for (int i = 0; i < count; i++)
            at = put_argument(at, &puts[i], &dice);
        length = (size_t)(at - bytes);
        exact = malloc(length);
        assert_non_null(exact);
        memcpy(exact, bytes, length);
        assert_int_equal(osc_check_message(exact, length, (struct osc_forms){0}), OSC_OK);
        assert_true(osc_decode(&message, exact, length));
        assert_string_equal(message.address, "/some/address");
        assert_string_equal(message.types, tags);
        assert_int_equal(message.count, count);
        for (int i = 0; i < count; i++)
            came_out(&message.arguments[i], &puts[i]);
        free(exact);
    }
}

/* A message of `count` ints; the guard lets it pass. */
static uint8_t *
many_ints(int count, size_t *length)
{
    size_t types = ((size_t)count + 1) / 4 * 4 + 4;
    uint8_t *bytes;

    *length = 4 + types + 4 * (size_t)count;
    bytes = calloc(*length, 1);
    assert_non_null(bytes);
    memcpy(bytes, "/a", 2);
    bytes[4] = ',';
    memset(bytes + 5, 'i', (size_t)count);
    assert_int_equal(osc_check_message(bytes, *length, (struct osc_forms){0}), OSC_OK);
    return bytes;
}

static void
too_many_arguments_are_refused(void **state)
{
    struct osc_message message;
    size_t length;
    uint8_t *bytes = many_ints(OSC_ARGUMENTS, &length);

    (void)state;
    assert_true(osc_decode(&message, bytes, length));
    assert_int_equal(message.count, OSC_ARGUMENTS);
    assert_near(message.arguments[OSC_ARGUMENTS - 1].number, 0, 0);
    free(bytes);
    bytes = many_ints(OSC_ARGUMENTS + 1, &length);
    assert_false(osc_decode(&message, bytes, length));
    free(bytes);
}

/* ---- encoding ---- */

static void
is_encoded_as(const char *hex, const char *address, const struct argument *arguments, size_t count)
{
    size_t length = 0, expected_length;
    uint8_t *expected = bytes_of(hex, &expected_length);
    uint8_t *bytes = osc_encode(address, arguments, count, true, &length);

    assert_non_null(bytes);
    assert_int_equal(length, expected_length);
    assert_memory_equal(bytes, expected, length);
    free(bytes);
    free(expected);
}

static void
examples_are_encoded_to_their_bytes(void **state)
{
    const struct argument frequency[] = {{ARGUMENT_NUMBER, 'f', 440, NULL}};
    const struct argument foo[] = {{ARGUMENT_NUMBER, 'i', 1000, NULL},
                                   {ARGUMENT_NUMBER, 'i', -1, NULL},
                                   {ARGUMENT_TEXT, 's', 0, "hello"},
                                   {ARGUMENT_NUMBER, 'f', 1.234, NULL},
                                   {ARGUMENT_NUMBER, 'f', 5.678, NULL}};
    const struct argument empty[] = {{ARGUMENT_TEXT, 's', 0, ""}};
    const struct argument switches[] = {{ARGUMENT_SWITCH, 'T', 1, NULL},
                                        {ARGUMENT_SWITCH, 'F', 0, NULL}};

    (void)state;
    is_encoded_as(reference_messages[0].hex, "/oscillator/4/frequency", frequency, 1);
    is_encoded_as(reference_messages[1].hex, "/foo", foo, 5);
    is_encoded_as(reference_messages[2].hex, "/a", NULL, 0);
    is_encoded_as(reference_messages[5].hex, "/s", empty, 1);
    is_encoded_as("2f7800002c544600", "/x", switches,
                  2); /* the tags of example 4 without N and I */
}

/* An address and a text of every length modulo 4 come back as they went. */
static void
padding_is_right_for_every_length(void **state)
{
    (void)state;
    for (size_t n = 1; n <= 12; n++) {
        char address[16] = "/", text[16] = "";
        struct argument argument = {ARGUMENT_TEXT, 's', 0, text};
        struct osc_message message;
        size_t length;
        uint8_t *bytes;

        memset(address + 1, 'a', n);
        memset(text, 'b', n - 1);
        bytes = osc_encode(address, &argument, 1, true, &length);
        assert_int_equal(osc_check_message(bytes, length, (struct osc_forms){0}), OSC_OK);
        assert_true(osc_decode(&message, bytes, length));
        assert_string_equal(message.address, address);
        is_text(&message.arguments[0], 's', text);
        free(bytes);
    }
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(addresses_and_counts_are_the_examples),
        cmocka_unit_test(arguments_of_the_printed_examples),
        cmocka_unit_test(arguments_of_the_other_examples),
        cmocka_unit_test(arrays_are_flat),
        cmocka_unit_test(the_array_of_the_examples),
        cmocka_unit_test(words_are_letters_and_bits),
        cmocka_unit_test(special_floats_come_through),
        cmocka_unit_test(random_messages_come_out_as_they_went_in),
        cmocka_unit_test(too_many_arguments_are_refused),
        cmocka_unit_test(examples_are_encoded_to_their_bytes),
        cmocka_unit_test(padding_is_right_for_every_length),
    };

    return cmocka_run_group_tests_name("osc", tests, NULL, NULL);
}
