/* SPDX-License-Identifier: MIT */
#include "unit.h"

#include <math.h>
#include <string.h>

#include "desk/desk.h"

static const struct desk_counts counts = {.of = {[INDEX_INPUT] = 3,
                                                 [INDEX_MIX] = 2,
                                                 [INDEX_GROUP] = 1,
                                                 [INDEX_INPUT_EQ_BAND] = 4,
                                                 [INDEX_MIX_GRAPHIC_BAND] = 5}};

static int
make(void **state)
{
    *state = desk_new(&counts);
    return *state ? 0 : -1;
}

static int
drop(void **state)
{
    desk_free(*state);
    return 0;
}

static void
has_the_counts_it_was_given(void **state)
{
    const struct desk *desk = *state;

    assert_int_equal(desk_count(desk, INDEX_NONE), 1);
    assert_int_equal(desk_count(desk, INDEX_INPUT), 3);
    assert_int_equal(desk_count(desk, INDEX_MIX_EQ_BAND), 0);
    assert_int_equal(desk_rows(desk, PARAM_SEND_LEVEL), 3);
    assert_int_equal(desk_columns(desk, PARAM_SEND_LEVEL), 2);
    assert_int_equal(desk_rows(desk, PARAM_MIX_GRAPHIC_BAND_GAIN), 2);
    assert_int_equal(desk_columns(desk, PARAM_MIX_GRAPHIC_BAND_GAIN), 5);
    assert_int_equal(desk_rows(desk, PARAM_DESK_SCENE), 1);
    assert_int_equal(desk_columns(desk, PARAM_DESK_SCENE), 1);
}

/* Before anything is heard: what has a stand-in is known as that, the rest is not known. */
static void
starts_with_what_is_absent(void **state)
{
    const struct desk *desk = *state;

    for (int id = 0; id < PARAMS; id++) {
        bool stands_in = !isnan(params[id].absent);

        assert_row(params[id].name, desk_supplied(desk, (enum param_id)id),
                   stands_in ? SUPPLY_ABSENT : SUPPLY_NONE);
        if (desk_rows(desk, (enum param_id)id) * desk_columns(desk, (enum param_id)id) == 0)
            continue;
        assert_row(params[id].name, desk_value(desk, (enum param_id)id, 0, 0)->state,
                   stands_in ? VALUE_KNOWN : VALUE_UNKNOWN);
        if (stands_in)
            assert_near_in(params[id].name,
                           value_last_heard(desk_value(desk, (enum param_id)id, 0, 0)),
                           params[id].absent, 0);
    }
    assert_string_equal(desk_text(desk, PARAM_INPUT_NAME, 2, 0), "");
}

static void
first_same_and_moved(void **state)
{
    struct desk *desk = *state;
    const struct value *value;

    desk_supply(desk, PARAM_INPUT_FADER, SUPPLY_HEARD);
    assert_int_equal(desk_set(desk, PARAM_INPUT_FADER, 1, 0, 0, 5), CHANGE_FIRST);
    value = desk_value(desk, PARAM_INPUT_FADER, 1, 0);
    assert_int_equal(value->state, VALUE_KNOWN);
    assert_int_equal(desk_set(desk, PARAM_INPUT_FADER, 1, 0, 0, 9), CHANGE_SAME);
    assert_int_equal(value->heard_ms, 9);
    assert_int_equal(desk_set(desk, PARAM_INPUT_FADER, 1, 0, -3, 12), CHANGE_MOVED);
    assert_near(value_last_heard(value), -3, 0);
    assert_int_equal(desk_set(desk, PARAM_INPUT_FADER, 1, 0, -HUGE_VAL, 13), CHANGE_MOVED);
    assert_int_equal(desk_set(desk, PARAM_INPUT_FADER, 1, 0, -HUGE_VAL, 14), CHANGE_SAME);
    /* the neighbours were not touched */
    assert_int_equal(desk_value(desk, PARAM_INPUT_FADER, 0, 0)->state, VALUE_UNKNOWN);
    assert_int_equal(desk_value(desk, PARAM_INPUT_FADER, 2, 0)->state, VALUE_UNKNOWN);
}

/* A refused value leaves number, state and time as they were. */
static void
refused_values_change_nothing(void **state)
{
    struct desk *desk = *state;
    static const double refused[] = {NAN, HUGE_VAL, 30.001, -200.001};
    const struct value *value;

    desk_set(desk, PARAM_INPUT_FADER, 0, 0, -7, 100);
    value = desk_value(desk, PARAM_INPUT_FADER, 0, 0);
    for (size_t i = 0; i < sizeof refused / sizeof *refused; i++)
        assert_int_equal(desk_set(desk, PARAM_INPUT_FADER, 0, 0, refused[i], 200), CHANGE_REFUSED);
    assert_near(value_last_heard(value), -7, 0);
    assert_int_equal(value->heard_ms, 100);
    assert_int_equal(value->state, VALUE_KNOWN);
    assert_int_equal(desk_set(desk, PARAM_INPUT_PREAMP_GAIN, 0, 0, -HUGE_VAL, 200), CHANGE_REFUSED);
    assert_int_equal(desk_set(desk, PARAM_INPUT_NAME, 0, 0, 1, 200), CHANGE_REFUSED);
    assert_int_equal(desk_set_text(desk, PARAM_INPUT_FADER, 0, 0, "-7", 200), CHANGE_REFUSED);
}

static void
indexes_outside_the_counts_are_refused(void **state)
{
    struct desk *desk = *state;
    static const int outside[][2] = {{-1, 0}, {0, -1}, {3, 0}, {0, 2}, {2, 2}, {1000000, 0}};

    for (size_t i = 0; i < sizeof outside / sizeof *outside; i++)
        assert_int_equal(desk_set(desk, PARAM_SEND_LEVEL, outside[i][0], outside[i][1], 0, 1),
                         CHANGE_REFUSED);
    assert_int_equal(desk_set(desk, PARAM_SEND_LEVEL, 2, 1, 0, 1), CHANGE_FIRST);
    assert_int_equal(desk_set_text(desk, PARAM_INPUT_NAME, 3, 0, "x", 1), CHANGE_REFUSED);
    /* the desk has no parametric bands at all */
    assert_int_equal(desk_set(desk, PARAM_MIX_EQ_BAND_GAIN, 0, 0, 0, 1), CHANGE_REFUSED);
    assert_int_equal(desk_set(desk, PARAM_DESK_TALKBACK, 0, 0, 1, 1), CHANGE_FIRST);
    assert_int_equal(desk_set(desk, PARAM_DESK_TALKBACK, 1, 0, 1, 1), CHANGE_REFUSED);
}

struct stale_list {
    int count;
    enum param_id id;
    int row, column;
};

static void
list_stale(void *context, enum param_id id, int row, int column)
{
    *(struct stale_list *)context =
        (struct stale_list){((struct stale_list *)context)->count + 1, id, row, column};
}

/* Older than the limit goes stale, as old as it does not; silence is told once. */
static void
old_values_go_stale_once(void **state)
{
    struct desk *desk = *state;
    struct stale_list list = {0};

    desk_supply(desk, PARAM_SEND_LEVEL, SUPPLY_HEARD);
    desk_set(desk, PARAM_SEND_LEVEL, 2, 1, -5, 100);
    desk_set(desk, PARAM_SEND_LEVEL, 0, 0, -6, 200);
    desk_expire(desk, 100, list_stale, &list);
    assert_int_equal(list.count, 0);
    desk_expire(desk, 101, list_stale, &list);
    assert_int_equal(list.count, 1);
    assert_int_equal(list.id, PARAM_SEND_LEVEL);
    assert_int_equal(list.row, 2);
    assert_int_equal(list.column, 1);
    assert_int_equal(desk_value(desk, PARAM_SEND_LEVEL, 2, 1)->state, VALUE_STALE);
    assert_near(value_last_heard(desk_value(desk, PARAM_SEND_LEVEL, 2, 1)), -5, 0);
    desk_expire(desk, 101, list_stale, &list);
    assert_int_equal(list.count, 1);
}

/* Silence is no evidence that nothing moved. */
static void
same_value_after_silence_has_moved(void **state)
{
    struct desk *desk = *state;
    struct stale_list list = {0};

    desk_supply(desk, PARAM_SEND_LEVEL, SUPPLY_HEARD);
    desk_supply(desk, PARAM_INPUT_NAME, SUPPLY_HEARD);
    desk_set(desk, PARAM_SEND_LEVEL, 0, 0, -5, 100);
    desk_set_text(desk, PARAM_INPUT_NAME, 0, 0, "Kick", 100);
    desk_expire(desk, 1000, list_stale, &list);
    assert_int_equal(list.count, 2);
    assert_int_equal(desk_set(desk, PARAM_SEND_LEVEL, 0, 0, -5, 2000), CHANGE_MOVED);
    assert_int_equal(desk_set(desk, PARAM_SEND_LEVEL, 0, 0, -5, 2001), CHANGE_SAME);
    assert_int_equal(desk_set_text(desk, PARAM_INPUT_NAME, 0, 0, "Kick", 2000), CHANGE_MOVED);
    assert_int_equal(desk_set_text(desk, PARAM_INPUT_NAME, 0, 0, "Kick", 2001), CHANGE_SAME);
}

static void
constants_and_stand_ins_never_go_stale(void **state)
{
    struct desk *desk = *state;
    struct stale_list list = {0};

    desk_supply(desk, PARAM_SEND_TAP, SUPPLY_FIXED);
    desk_set(desk, PARAM_SEND_TAP, 0, 0, TAP_PRE_FADER, 0);
    desk_expire(desk, INT64_MAX, list_stale, &list);
    assert_int_equal(list.count, 0);
    assert_int_equal(desk_value(desk, PARAM_SEND_TAP, 0, 0)->state, VALUE_KNOWN);
    assert_int_equal(desk_value(desk, PARAM_INPUT_TRIM, 0, 0)->state, VALUE_KNOWN);
}

static void
states_of_heard_values_are_counted(void **state)
{
    struct desk *desk = *state;
    struct stale_list list = {0};

    assert_int_equal(desk_count_state(desk, VALUE_KNOWN), 0);
    desk_supply(desk, PARAM_SEND_LEVEL, SUPPLY_HEARD);
    desk_supply(desk, PARAM_INPUT_TRIM, SUPPLY_HEARD);
    assert_int_equal(desk_count_state(desk, VALUE_UNKNOWN), 3 * 2 + 3);
    desk_set(desk, PARAM_SEND_LEVEL, 1, 1, 0, 10);
    desk_set(desk, PARAM_INPUT_TRIM, 1, 0, 0, 20);
    desk_expire(desk, 15, list_stale, &list);
    assert_int_equal(desk_count_state(desk, VALUE_UNKNOWN), 7);
    assert_int_equal(desk_count_state(desk, VALUE_KNOWN), 1);
    assert_int_equal(desk_count_state(desk, VALUE_STALE), 1);
}

/* A parameter that the profile reads has no stand-in until it is heard. */
static void
heard_parameters_forget_the_stand_in(void **state)
{
    struct desk *desk = *state;

    assert_int_equal(desk_value(desk, PARAM_MIX_TRIM, 0, 0)->state, VALUE_KNOWN);
    desk_supply(desk, PARAM_MIX_TRIM, SUPPLY_HEARD);
    assert_int_equal(desk_value(desk, PARAM_MIX_TRIM, 0, 0)->state, VALUE_UNKNOWN);
    assert_int_equal(desk_set(desk, PARAM_MIX_TRIM, 0, 0, 0, 1), CHANGE_FIRST);
}

static void
texts_first_same_and_moved(void **state)
{
    struct desk *desk = *state;

    assert_int_equal(desk_set_text(desk, PARAM_MIX_NAME, 1, 0, "", 1), CHANGE_FIRST);
    assert_int_equal(desk_set_text(desk, PARAM_MIX_NAME, 1, 0, "Wedge", 2), CHANGE_MOVED);
    assert_int_equal(desk_set_text(desk, PARAM_MIX_NAME, 1, 0, "Wedge", 3), CHANGE_SAME);
    assert_string_equal(desk_text(desk, PARAM_MIX_NAME, 1, 0), "Wedge");
    assert_string_equal(desk_text(desk, PARAM_MIX_NAME, 0, 0), "");
}

/* Characters of 1 to 4 bytes, each pushed over the edge by one more byte in front. */
static void
long_text_is_cut_between_characters(void **state)
{
    static const char *const characters[] = {"x", "\xc3\xa4", "\xe2\x82\xac", "\xf0\x9f\x8e\xa4"};
    struct desk *desk = *state;

    for (size_t c = 0; c < 4; c++)
        for (size_t front = 0; front < 4; front++) {
            size_t size = strlen(characters[c]);
            size_t whole = (DESK_TEXT_SIZE - 1 - front) / size;
            char text[2 * DESK_TEXT_SIZE] = "";

            memset(text, 'a', front);
            while (strlen(text) < DESK_TEXT_SIZE + 8)
                strcat(text, characters[c]);
            desk_set_text(desk, PARAM_INPUT_NAME, 0, 0, text, 1);
            assert_int_equal(strlen(desk_text(desk, PARAM_INPUT_NAME, 0, 0)), front + whole * size);
            assert_memory_equal(desk_text(desk, PARAM_INPUT_NAME, 0, 0), text,
                                front + whole * size);
            /* what was cut off does not make it another text */
            assert_int_equal(desk_set_text(desk, PARAM_INPUT_NAME, 0, 0, text, 2), CHANGE_SAME);
        }
}

static void
text_of_the_whole_size_is_kept(void **state)
{
    struct desk *desk = *state;
    char text[DESK_TEXT_SIZE];

    memset(text, 'a', sizeof text - 1);
    text[sizeof text - 1] = '\0';
    desk_set_text(desk, PARAM_INPUT_NAME, 0, 0, text, 1);
    assert_string_equal(desk_text(desk, PARAM_INPUT_NAME, 0, 0), text);
}

static void
travel_is_the_desks_where_it_is_told(void **state)
{
    struct desk *desk = *state;
    struct travel travel = desk_travel(desk, PARAM_INPUT_PREAMP_GAIN);

    assert_true(isnan(travel.least) && isnan(travel.most)); /* none is invented */
    desk_set_travel(desk, PARAM_INPUT_PREAMP_GAIN, (struct travel){-6, 60});
    travel = desk_travel(desk, PARAM_INPUT_PREAMP_GAIN);
    assert_near(travel.least, -6, 0);
    assert_near(travel.most, 60, 0);
    desk_set_travel(desk, PARAM_INPUT_PREAMP_GAIN, (struct travel){NAN, 50});
    travel = desk_travel(desk, PARAM_INPUT_PREAMP_GAIN);
    assert_true(isnan(travel.least));
    assert_near(travel.most, 50, 0);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, make, drop)

int
main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(has_the_counts_it_was_given),
        TEST(starts_with_what_is_absent),
        TEST(first_same_and_moved),
        TEST(refused_values_change_nothing),
        TEST(indexes_outside_the_counts_are_refused),
        TEST(old_values_go_stale_once),
        TEST(same_value_after_silence_has_moved),
        TEST(constants_and_stand_ins_never_go_stale),
        TEST(states_of_heard_values_are_counted),
        TEST(heard_parameters_forget_the_stand_in),
        TEST(texts_first_same_and_moved),
        TEST(long_text_is_cut_between_characters),
        TEST(text_of_the_whole_size_is_kept),
        TEST(travel_is_the_desks_where_it_is_told),
    };

    return cmocka_run_group_tests_name("desk", tests, NULL, NULL);
}
