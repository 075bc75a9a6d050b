/* SPDX-License-Identifier: MIT */
#include "unit.h"

#include "listen/address.h"
#include "listen/guess.h"

static void
numbers_are_found_where_they_stand(void **state)
{
    struct address_number numbers[ADDRESS_NUMBERS];

    (void)state;
    assert_int_equal(address_numbers("/in/07/to/12", numbers), 2);
    assert_int_equal(numbers[0].at, 4);
    assert_int_equal(numbers[0].digits, 2);
    assert_int_equal(numbers[0].value, 7);
    assert_int_equal(numbers[1].value, 12);
    assert_int_equal(address_numbers("/fader", numbers), 0);
    assert_int_equal(address_numbers("", numbers), 0);
    assert_int_equal(address_numbers("/1/2/3/4", numbers), 4);
    assert_int_equal(address_numbers("/1/2/3/4/5", numbers), -1);
    assert_int_equal(address_numbers("/999999", numbers), 1);
    assert_int_equal(address_numbers("/1234567", numbers), -1);
}

static void
alike_are_those_that_differ_in_numbers(void **state)
{
    static const struct {
        const char *one, *other;
        bool alike;
    } rows[] = {{"/in/1/x", "/in/24/x", true}, {"/in/1/x", "/in/1/y", false},
                {"/in/1", "/in/", false},      {"/in/", "/in/", true},
                {"/a1b2", "/a30b4", true},     {"/a1b2", "/a1b", false},
                {"/a1", "/a1/", false},        {"", "", true}};

    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        assert_row(rows[i].one, address_alike(rows[i].one, rows[i].other), rows[i].alike);
        assert_row(rows[i].one, address_shape(rows[i].one) == address_shape(rows[i].other),
                   rows[i].alike);
    }
}

static void
what_is_odd_gets_no_entry(void **state)
{
    (void)state;
    assert_true(address_is_plain("/in/1/head-amp_2:x.y"));
    assert_true(address_is_plain("in/1"));
    assert_false(address_is_plain(""));
    assert_false(address_is_plain("/in/*"));
    assert_false(address_is_plain("/in/ 1"));
    assert_false(address_is_plain("/in/{input}"));
    assert_false(address_is_plain("/in/\xc3\xa4"));
}

static enum param_id
guessed(const char *address, int numbers)
{
    struct guess_words words;
    struct guess_indexes indexes = {.count = 0};

    guess_split(&words, address);
    for (int i = 0; i < numbers; i++) {
        enum index_kind kind = guess_index(&words, i, &indexes);

        indexes.kind[indexes.count++] = kind;
    }
    return guess_param(&words, &indexes);
}

static void
words_tell_what_a_value_may_be(void **state)
{
    (void)state;
    assert_int_equal(guessed("/mix/3/fader", 1), PARAM_MIX_FADER);
    assert_int_equal(guessed("/in/3/fader", 1), PARAM_INPUT_FADER);
    assert_int_equal(guessed("/ch/3/send/2/level", 2), PARAM_SEND_LEVEL);
    assert_int_equal(guessed("/in/3/head/gain", 1), PARAM_INPUT_PREAMP_GAIN);
    assert_int_equal(guessed("/bus/3/limiter/on", 1), PARAM_MIX_LIMITER_ON);
    assert_int_equal(guessed("/nothing/3/that/is/known", 1), PARAMS);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(numbers_are_found_where_they_stand),
        cmocka_unit_test(alike_are_those_that_differ_in_numbers),
        cmocka_unit_test(what_is_odd_gets_no_entry),
        cmocka_unit_test(words_tell_what_a_value_may_be),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
