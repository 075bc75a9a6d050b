/* SPDX-License-Identifier: MIT */
#include "unit.h"

#include <math.h>
#include <string.h>

#include "desk/param.h"

static void
names_are_found_again(void **state)
{
    (void)state;
    for (int id = 0; id < PARAMS; id++)
        assert_row(params[id].name, param_find(params[id].name), id);
    assert_int_equal(param_find("input.preamp_gains"), PARAMS);
    assert_int_equal(param_find("Input.fader"), PARAMS);
    assert_int_equal(param_find(""), PARAMS);
}

static void
names_help_and_ranges_are_there(void **state)
{
    (void)state;
    for (int id = 0; id < PARAMS; id++) {
        const struct param *param = &params[id];

        assert_row(param->name, strspn(param->name, "abcdefghijklmnopqrstuvwxyz._"),
                   strlen(param->name));
        assert_true(strlen(param->help) > 0);
        if (param->unit == UNIT_TEXT)
            continue;
        assert_true(param->least < param->most);
        assert_true(isnan(param->absent) || param_accepts((enum param_id)id, param->absent));
    }
}

/* "input.eq.band.freq" has the index of the band, "send.level" has two, and so on: name and indexes
 * tell the same. */
static void
indexes_follow_from_the_name(void **state)
{
    static const struct {
        const char *start;
        enum index_kind row, column;
    } rules[] = {
        {"input.eq.band.", INDEX_INPUT, INDEX_INPUT_EQ_BAND},
        {"mix.graphic.band.", INDEX_MIX, INDEX_MIX_GRAPHIC_BAND},
        {"mix.eq.band.", INDEX_MIX, INDEX_MIX_EQ_BAND},
        {"input.spectrum.band.", INDEX_INPUT, INDEX_INPUT_SPECTRUM_BAND},
        {"mix.spectrum.band.", INDEX_MIX, INDEX_MIX_SPECTRUM_BAND},
        {"input.group", INDEX_INPUT, INDEX_GROUP},
        {"send.", INDEX_INPUT, INDEX_MIX},
        {"input.", INDEX_INPUT, INDEX_NONE},
        {"mix.", INDEX_MIX, INDEX_NONE},
        {"group.", INDEX_GROUP, INDEX_NONE},
        {"desk.", INDEX_NONE, INDEX_NONE},
    };

    (void)state;
    for (int id = 0; id < PARAMS; id++) {
        size_t rule = 0;

        while (strncmp(params[id].name, rules[rule].start, strlen(rules[rule].start)) != 0)
            assert_true(++rule < sizeof rules / sizeof *rules);
        assert_row(params[id].name, params[id].row, rules[rule].row);
        assert_row(params[id].name, params[id].column, rules[rule].column);
    }
}

static void
index_names_are_the_profiles(void **state)
{
    static const struct {
        enum index_kind kind;
        const char *count, *placeholder;
    } rows[INDEX_KINDS] = {
        {INDEX_NONE, "", ""},
        {INDEX_INPUT, "input", "input"},
        {INDEX_MIX, "mix", "mix"},
        {INDEX_GROUP, "group", "group"},
        {INDEX_INPUT_EQ_BAND, "input.eq.band", "band"},
        {INDEX_MIX_GRAPHIC_BAND, "mix.graphic.band", "band"},
        {INDEX_MIX_EQ_BAND, "mix.eq.band", "band"},
        {INDEX_INPUT_SPECTRUM_BAND, "input.spectrum.band", "band"},
        {INDEX_MIX_SPECTRUM_BAND, "mix.spectrum.band", "band"},
    };

    (void)state;
    for (int kind = 0; kind < INDEX_KINDS; kind++) {
        assert_int_equal(rows[kind].kind, kind);
        assert_string_equal(index_name(rows[kind].kind), rows[kind].count);
        assert_string_equal(index_placeholder(rows[kind].kind), rows[kind].placeholder);
    }
}

static void
every_unit_has_a_name(void **state)
{
    (void)state;
    for (int unit = UNIT_DB; unit <= UNIT_TEXT; unit++) {
        assert_true(strlen(unit_name((enum unit)unit)) > 0);
        for (int other = UNIT_DB; other < unit; other++)
            assert_string_not_equal(unit_name((enum unit)unit), unit_name((enum unit)other));
    }
}

static void
words_stand_in_the_order_of_their_enumerators(void **state)
{
    (void)state;
    assert_int_equal(param_word(PARAM_SEND_TAP, "pre-eq"), TAP_PRE_EQ);
    assert_int_equal(param_word(PARAM_SEND_TAP, "pre-fader"), TAP_PRE_FADER);
    assert_int_equal(param_word(PARAM_SEND_TAP, "post-fader"), TAP_POST_FADER);
    assert_int_equal(param_word(PARAM_SEND_TAP, "peak"), -1);
    for (int id = PARAM_INPUT_EQ_BAND_SHAPE; id < PARAMS;
         id = id == PARAM_INPUT_EQ_BAND_SHAPE ? PARAM_MIX_EQ_BAND_SHAPE : PARAMS) {
        assert_int_equal(param_word((enum param_id)id, "peak"), SHAPE_PEAK);
        assert_int_equal(param_word((enum param_id)id, "low-shelf"), SHAPE_LOW_SHELF);
        assert_int_equal(param_word((enum param_id)id, "high-shelf"), SHAPE_HIGH_SHELF);
        assert_int_equal(param_word((enum param_id)id, "low-pass"), SHAPE_LOW_PASS);
        assert_int_equal(param_word((enum param_id)id, "high-pass"), SHAPE_HIGH_PASS);
        assert_int_equal(param_word((enum param_id)id, "notch"), SHAPE_NOTCH);
    }
    assert_int_equal(param_word(PARAM_SEND_LEVEL, "pre-fader"), -1);
}

/* The table's range of a word is exactly its list of words. */
static void
words_fill_their_range(void **state)
{
    (void)state;
    for (int id = 0; id < PARAMS; id++) {
        const char *const *words = param_words((enum param_id)id);
        int count = 0;

        assert_row(params[id].name, words != NULL, params[id].unit == UNIT_WORD);
        while (words && words[count])
            count++;
        if (words) {
            assert_near_in(params[id].name, params[id].least, 0, 0);
            assert_near_in(params[id].name, params[id].most, count - 1, 0);
        }
    }
}

static void
range_holds_its_ends_and_no_more(void **state)
{
    (void)state;
    for (int id = 0; id < PARAMS; id++) {
        enum param_id param = (enum param_id)id;
        double least = params[id].least, most = params[id].most;

        if (params[id].unit == UNIT_TEXT)
            continue;
        assert_row(params[id].name, param_accepts(param, least), true);
        assert_row(params[id].name, param_accepts(param, most), true);
        assert_row(params[id].name, param_accepts(param, nextafter(least, -HUGE_VAL)), false);
        assert_row(params[id].name, param_accepts(param, nextafter(most, HUGE_VAL)), false);
    }
}

static void
nan_and_plus_infinity_stand_for_nothing(void **state)
{
    (void)state;
    for (int id = 0; id < PARAMS; id++) {
        assert_row(params[id].name, param_accepts((enum param_id)id, NAN), false);
        assert_row(params[id].name, param_accepts((enum param_id)id, -NAN), false);
        assert_row(params[id].name, param_accepts((enum param_id)id, HUGE_VAL), false);
    }
}

static bool
ends_in(const char *name, const char *end)
{
    size_t length = strlen(name), part = strlen(end);

    return length >= part && strcmp(name + length - part, end) == 0;
}

static void
only_faders_levels_and_thresholds_may_be_off(void **state)
{
    (void)state;
    for (int id = 0; id < PARAMS; id++) {
        bool may = ends_in(params[id].name, ".fader") || ends_in(params[id].name, ".level") ||
                   ends_in(params[id].name, ".threshold");

        assert_row(params[id].name, param_may_be_off((enum param_id)id), may);
        assert_row(params[id].name, param_accepts((enum param_id)id, -HUGE_VAL), may);
    }
}

/* Half a preamp number, half a word and half a switch mean nothing. */
static void
what_is_counted_takes_whole_numbers(void **state)
{
    (void)state;
    for (int id = 0; id < PARAMS; id++) {
        enum unit unit = params[id].unit;

        if (unit != UNIT_INDEX && unit != UNIT_WORD && unit != UNIT_SWITCH)
            continue;
        assert_row(params[id].name, param_accepts((enum param_id)id, 1), true);
        assert_row(params[id].name, param_accepts((enum param_id)id, 0.5), false);
    }
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(names_are_found_again),
        cmocka_unit_test(names_help_and_ranges_are_there),
        cmocka_unit_test(indexes_follow_from_the_name),
        cmocka_unit_test(index_names_are_the_profiles),
        cmocka_unit_test(every_unit_has_a_name),
        cmocka_unit_test(words_stand_in_the_order_of_their_enumerators),
        cmocka_unit_test(words_fill_their_range),
        cmocka_unit_test(range_holds_its_ends_and_no_more),
        cmocka_unit_test(nan_and_plus_infinity_stand_for_nothing),
        cmocka_unit_test(only_faders_levels_and_thresholds_may_be_off),
        cmocka_unit_test(what_is_counted_takes_whole_numbers),
    };

    return cmocka_run_group_tests_name("param", tests, NULL, NULL);
}
