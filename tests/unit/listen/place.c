/* SPDX-License-Identifier: MIT */
/* From two controls to the entry of all of them; what is asked for, in which order. */
#include "unit.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "check/check.h"
#include "listen/pair.h"
#include "listen/turn_list.h"

static const struct desk_counts desk = {.of = {[INDEX_NONE] = 1,
                                               [INDEX_INPUT] = 24,
                                               [INDEX_MIX] = 8,
                                               [INDEX_GROUP] = 2,
                                               [INDEX_INPUT_EQ_BAND] = 4,
                                               [INDEX_MIX_GRAPHIC_BAND] = 31,
                                               [INDEX_MIX_EQ_BAND] = 4}};

static struct stirring_at
at(const char *address, int argument, size_t count)
{
    struct stirring_at here = {.argument = argument, .count = count, .type = 'f'};

    snprintf(here.address, sizeof here.address, "%s", address);
    return here;
}

static struct stirring_at
keyed(const char *address, int one, int other)
{
    struct stirring_at here = at(address, 2, 3);

    here.keys[0] = one;
    here.keys[1] = other;
    here.key_count = 2;
    return here;
}

static bool
find(enum param_id id, struct stirring_at one, struct stirring_at other, struct place *place)
{
    struct place_of of = {id, desk};
    struct place_object objects[2];
    struct stirring_at both[2] = {one, other};

    place_objects(&of, objects);
    return place_find(&of, both, objects, place);
}

/* The entry as text. */
static void
entry_is(enum param_id id, struct stirring_at one, struct stirring_at other, const char *expected)
{
    struct place place;
    struct json *value = json_new_object(), *entry;
    char *text;

    json_add_string(value, "is", "x");
    assert_true(find(id, one, other, &place));
    entry = place_entry(&place, value, true);
    text = json_print(entry, false);
    assert_string_equal(text, expected);
    free(text);
    json_free(entry);
}

static void
why_not(enum param_id id, struct stirring_at one, struct stirring_at other, const char *part)
{
    struct place place;

    assert_false(find(id, one, other, &place));
    assert_contains(place.why, part);
}

static void
two_objects_differ_in_each_index_by_another_number(void **state)
{
    struct place_of of = {PARAM_SEND_LEVEL, desk};
    struct place_object objects[2];

    (void)state;
    place_objects(&of, objects);
    assert_int_equal(objects[1].row, 2);
    assert_int_equal(objects[1].column, 1);
    of.counts.of[INDEX_INPUT] = 2;
    place_objects(&of, objects);
    assert_int_equal(objects[1].row, 1);
    assert_int_equal(objects[1].column, 2);
    of.param = PARAM_MIX_FADER;
    place_objects(&of, objects);
    assert_int_equal(objects[1].row, 2);
    assert_int_equal(objects[1].column, -1);
    of.param = PARAM_DESK_TALKBACK;
    place_objects(&of, objects);
    assert_int_equal(objects[1].row, -1);
}

static void
an_address_has_its_numbers_where_they_differ(void **state)
{
    (void)state;
    entry_is(PARAM_MIX_FADER, at("/mix/1/fader", 0, 1), at("/mix/3/fader", 0, 1),
             "{\"at\":\"/mix/{mix}/fader\",\"is\":\"x\"}");
    entry_is(PARAM_MIX_FADER, at("/mix/00/fader", 0, 1), at("/mix/02/fader", 0, 1),
             "{\"at\":\"/mix/{mix:2}/fader\",\"is\":\"x\",\"first\":0}");
    entry_is(PARAM_SEND_LEVEL, at("/v2/aux1/from1", 0, 1), at("/v2/aux2/from3", 0, 1),
             "{\"at\":\"/v2/aux{mix}/from{input}\",\"is\":\"x\"}");
    entry_is(PARAM_DESK_TALKBACK, at("/talk/1", 0, 1), at("/talk/1", 0, 1),
             "{\"at\":\"/talk/1\",\"is\":\"x\"}");
}

static void
indexes_may_be_arguments(void **state)
{
    (void)state;
    entry_is(PARAM_SEND_LEVEL, keyed("/to", 0, 0), keyed("/to", 2, 1),
             "{\"answer\":[\"/to\",\"{input}\",\"{mix}\",{\"is\":\"x\"}],\"first\":0}");
    entry_is(PARAM_SEND_LEVEL, keyed("/to", 1, 1), keyed("/to", 2, 3),
             "{\"answer\":[\"/to\",\"{mix}\",\"{input}\",{\"is\":\"x\"}]}");
    entry_is(PARAM_MIX_FADER, keyed("/to", 1, 7), keyed("/to", 3, 7),
             "{\"answer\":[\"/to\",\"{mix}\",\"*\",{\"is\":\"x\"}]}");
}

static void
a_run_is_known_by_where_the_value_stands(void **state)
{
    (void)state;
    entry_is(PARAM_MIX_GRAPHIC_BAND_GAIN, at("/mix/1/graphic", 0, 31), at("/mix/3/graphic", 1, 31),
             "{\"at\":\"/mix/{mix}/graphic\",\"is\":\"x\",\"each\":\"band\"}");
    entry_is(PARAM_MIX_GRAPHIC_BAND_GAIN, at("/mix/1/graphic", 1, 32), at("/mix/3/graphic", 2, 32),
             "{\"answer\":[\"/mix/{mix}/graphic\",\"*\",{\"is\":\"x\",\"each\":\"band\"}]}");
    why_not(PARAM_MIX_GRAPHIC_BAND_GAIN, at("/mix/1/graphic", 0, 30), at("/mix/3/graphic", 1, 30),
            "no run of 31");
}

static void
what_is_no_pair_is_told(void **state)
{
    (void)state;
    why_not(PARAM_MIX_FADER, at("/mix/1/fader", 0, 1), at("/mix/4/fader", 0, 1),
            "goes from 1 to 4");
    why_not(PARAM_MIX_FADER, at("/mix/5/fader", 0, 1), at("/mix/7/fader", 0, 1), "number 5");
    why_not(PARAM_MIX_FADER, at("/mix/A/fader", 0, 1), at("/mix/C/fader", 0, 1),
            "differ in more than numbers");
    why_not(PARAM_MIX_FADER, at("/selected/fader", 0, 1), at("/selected/fader", 0, 1),
            "nothing in what came says which mix it is");
    why_not(PARAM_SEND_LEVEL, at("/in/1/send", 0, 1), at("/in/3/send", 0, 1), "which mix it is");
}

static void
the_pair_is_found_among_others(void **state)
{
    struct stirring_found one[3] = {{.at = at("/clock", 0, 1), .score = 30},
                                    {.at = at("/mix/1/meter", 0, 1), .score = 3},
                                    {.at = at("/mix/1/fader", 0, 1), .score = 20}};
    struct stirring_found other[3] = {{.at = at("/mix/3/fader", 0, 1), .score = 20},
                                      {.at = at("/clock", 0, 1), .score = 30},
                                      {.at = at("/mix/3/meter", 0, 1), .score = 3}};
    struct pair_list lists[2] = {{one, 3}, {other, 3}};
    struct place_of of = {PARAM_MIX_FADER, desk};
    struct place_object objects[2];
    struct place place;
    size_t which = 9;

    (void)state;
    place_objects(&of, objects);
    assert_true(pair_find(&of, objects, lists, &place, &which));
    assert_string_equal(place.address, "/mix/{mix}/fader");
    assert_int_equal(which, 0);
    lists[0].count = 1;
    assert_false(pair_find(&of, objects, lists, &place, &which));
    assert_contains(place.why, "/clock");
}

/* ---- the list ---- */

static bool
is_listed(enum param_id id)
{
    for (const struct turn_task *task = turn_tasks; task->what; task++)
        if (task->param == id)
            return true;
    return false;
}

/* What a check reads can be turned; but meters, and what is no control. */
static void
what_the_checks_read_is_asked_for(void **state)
{
    static const enum param_id none[] = {
        PARAM_INPUT_PREAMP, PARAM_INPUT_POLARITY,        PARAM_DESK_SCENE,
        PARAM_DESK_ROOM,    PARAM_MIX_GRAPHIC_BAND_FREQ, PARAM_INPUT_EQ_BAND_ON};

    (void)state;
    for (int i = 0; i < CHECKS; i++)
        for (const enum param_id *id = check_set_all.of[i]->reads; *id != PARAMS; id++) {
            bool left_out = params[*id].class == DIFFERENCE_METER;

            for (size_t k = 0; k < COUNT(none); k++)
                left_out |= none[k] == *id;
            if (!is_listed(*id) && !left_out)
                printf("%s\n", params[*id].name);
            assert_true(is_listed(*id) || left_out);
        }
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(two_objects_differ_in_each_index_by_another_number),
        cmocka_unit_test(an_address_has_its_numbers_where_they_differ),
        cmocka_unit_test(indexes_may_be_arguments),
        cmocka_unit_test(a_run_is_known_by_where_the_value_stands),
        cmocka_unit_test(what_is_no_pair_is_told),
        cmocka_unit_test(the_pair_is_found_among_others),
        cmocka_unit_test(what_the_checks_read_is_asked_for),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
