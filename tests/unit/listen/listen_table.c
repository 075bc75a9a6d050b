/* SPDX-License-Identifier: MIT */
/* What is kept of a stranger's addresses, and what it comes to by pattern. */
#include "unit.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "listen/begun.h"
#include "listen/group.h"
#include "listen/start.h"
#include "listen/table.h"

static int
begin(void **state)
{
    struct listen_table *table = calloc(1, sizeof *table);

    listen_table_init(table);
    *state = table;
    return 0;
}

static int
end(void **state)
{
    listen_table_release(*state);
    free(*state);
    return 0;
}

static struct listen_row *
hear(struct listen_table *table, const char *address, const char *types, const double *numbers)
{
    static struct osc_message message;
    struct link_heard heard = {.message = &message, .result = ROUTE_UNKNOWN_ADDRESS};

    memset(&message, 0, sizeof message);
    message.address = address;
    message.count = strlen(types);
    for (size_t i = 0; i < message.count; i++) {
        bool text = types[i] == 's';

        message.arguments[i] = (struct argument){text ? ARGUMENT_TEXT : ARGUMENT_NUMBER, types[i],
                                                 text ? 0 : numbers[i], text ? "Kick In" : NULL};
    }
    return listen_table_note(table, &heard);
}

static struct listen_row *
hear_one(struct listen_table *table, const char *address, double number)
{
    return hear(table, address, "f", &number);
}

static bool
any(const struct listen_row *row)
{
    (void)row;
    return true;
}

static void
a_row_has_the_range_that_was_seen(void **state)
{
    hear_one(*state, "/x", 3);
    hear_one(*state, "/x", -1);
    assert_near(hear_one(*state, "/x", 2)->range[0].low, -1, 0);
    assert_near(hear_one(*state, "/x", 2)->range[0].high, 3, 0);
    assert_int_equal(hear_one(*state, "/x", 2)->count, 5);
}

static void
a_full_table_forgets_what_came_once(void **state)
{
    struct listen_table *table = *state;
    char address[20];

    hear_one(table, "/stays", 1);
    hear_one(table, "/stays", 1);
    for (int i = 0; i < 3 * LISTEN_ADDRESSES; i++) {
        snprintf(address, sizeof address, "/x%dy", i);
        assert_non_null(hear_one(table, address, 1));
    }
    assert_true(table->count <= LISTEN_ADDRESSES);
    assert_true(table->forgotten >= LISTEN_ADDRESSES);
    assert_int_equal(table->count + table->forgotten, 3 * LISTEN_ADDRESSES + 1);
    assert_int_equal(hear_one(table, "/stays", 1)->count, 3);
}

static void
what_all_say_twice_is_only_counted_when_full(void **state)
{
    struct listen_table *table = *state;
    char address[20];

    for (int i = 0; i < LISTEN_ADDRESSES + 5; i++)
        for (int twice = 0; twice < 2; twice++) {
            snprintf(address, sizeof address, "/x%dy", i);
            hear_one(table, address, 1);
        }
    assert_int_equal(table->count, LISTEN_ADDRESSES);
    assert_int_equal(table->untabled, 10);
}

static struct group *
groups(struct listen_table *table, size_t *count)
{
    static struct group all[GROUPS_KEPT];

    *count = groups_of(table, any, all);
    return all;
}

static void
numbers_that_differ_are_indexes(void **state)
{
    char address[64];
    struct group *group;
    size_t count;

    for (int i = 1; i <= 24; i++)
        for (int mix = 1; mix <= 8; mix++) {
            snprintf(address, sizeof address, "/v1/in/%02d/to/%d/level", i, mix);
            hear_one(*state, address, 0.5);
        }
    hear_one(*state, "/alone", 1);
    group = groups(*state, &count);
    assert_int_equal(count, 2);
    assert_int_equal(group->rows, 192);
    group_address(group, address, sizeof address);
    assert_string_equal(address, "/v1/in/{input:2}/to/{mix}/level");
    assert_int_equal(group->param, PARAM_SEND_LEVEL);
    assert_int_equal(group->number[1].high, 24);
    assert_int_equal(group->number[2].low, 1);
}

static void
whole_numbers_in_front_are_indexes(void **state)
{
    struct group *group;
    size_t count;

    for (int i = 0; i < 24; i++)
        for (int mix = 0; mix < 8; mix++)
            hear(*state, "/in/to/level", "iif", (double[]){i, mix, 0.25});
    group = groups(*state, &count);
    assert_int_equal(count, 1);
    assert_int_equal(group->counting, 2);
    assert_int_equal(group->number[0].kind, INDEX_INPUT);
    assert_int_equal(group->number[1].kind, INDEX_MIX);
    assert_int_equal(group->number[1].high, 7);
}

/* ---- the profile to start from ---- */

static struct json *
started(struct listen_table *table)
{
    struct json *profile = begun_new("x", 9000, 0, NULL);

    start_profile(table, profile);
    return profile;
}

static bool
loads(const struct json *profile)
{
    struct problems problems = {0};
    struct profile *loaded = profile_from_json(profile, "x", &problems);
    bool good = loaded != NULL;

    profile_free(loaded);
    problems_release(&problems);
    return good;
}

static void
counted_from_0_is_said(void **state)
{
    struct json *profile;
    const struct json *entry;
    char address[32];

    for (int i = 0; i < 5; i++) {
        snprintf(address, sizeof address, "/mix/%d/name", i);
        hear(*state, address, "s", NULL);
    }
    profile = started(*state);
    entry = json_first_at(profile, "values");
    assert_non_null(entry);
    assert_near(json_number_at(entry, "first", 1), 0, 0);
    assert_int_equal(begun_count(profile, INDEX_MIX), 5);
    assert_true(loads(profile));
    json_free(profile);
}

/* Whatever comes, what is written loads, or has no entry. */
static void
what_is_written_loads(void **state)
{
    static const char *const words[] = {
        "in",   "mix", "fader", "name", "to",  "level", "eq", "band", "gain",  "limit",  "on",
        "mute", "tap", "7",     "0",    "600", "02",    "q",  "freq", "group", "graphic"};
    struct dice dice = dice_new();
    size_t entries = 0;

    for (int round = 0; round < 30; round++) {
        struct json *profile;

        for (int i = 0; i < 40; i++) {
            char address[100] = "", types[6] = "";
            int length = 1 + dice_below(&dice, 6), arguments = dice_below(&dice, 5);

            for (int w = 0; w < length; w++) {
                strcat(address, "/");
                strcat(address, words[dice_below(&dice, COUNT(words))]);
            }
            for (int a = 0; a < arguments; a++)
                types[a] = "ifsT"[dice_below(&dice, 4)];
            hear(*state, address, types,
                 (double[]){dice_below(&dice, 4), dice_between(&dice, -30, 4), 0, 1, 1});
        }
        profile = started(*state);
        entries += (size_t)json_size(json_get(profile, "values"));
        if (json_size(json_get(profile, "values")) > 0)
            assert_true(loads(profile));
        json_free(profile);
    }
    assert_true(entries > 100);
}

int
main(void)
{
#define TEST(name) cmocka_unit_test_setup_teardown(name, begin, end)
    const struct CMUnitTest tests[] = {
        TEST(a_row_has_the_range_that_was_seen),
        TEST(a_full_table_forgets_what_came_once),
        TEST(what_all_say_twice_is_only_counted_when_full),
        TEST(numbers_that_differ_are_indexes),
        TEST(whole_numbers_in_front_are_indexes),
        TEST(counted_from_0_is_said),
        TEST(what_is_written_loads),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
