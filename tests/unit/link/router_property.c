/* SPDX-License-Identifier: MIT */
/* Random profiles: the answer for every place of every entry comes home to that place and no other.
 * The messages are written here from the entry's recipe, not by the program's own printing.
 */
#include "unit.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "link/router.h"
#include "osc/check.h"
#include "profiles.h"

enum { PROFILES = 60, ENTRIES = 20, PLACES = 40, TEXT_SIZE = 7000 };

/* An index of an entry: where it travels, and how it is written. */
struct index {
    enum index_kind kind;
    bool in_address;
    int width; /* in the address */
};

struct recipe {
    enum param_id id;
    int first; /* the number of index 0 */
    int index_count;
    struct index indexes[2];
    bool asked, asked_backwards; /* the question names the indexes, in the other order */
    bool padded;                 /* a literal and a gap stand before the value */
};

struct home {
    struct loaded loaded;
    struct engine *engine;
    struct router *router;
    struct recipe recipes[ENTRIES];
    int answers;
    size_t entry, place;
};

static const struct desk_counts counts = {.of = {[INDEX_NONE] = 1,
                                                 [INDEX_INPUT] = 24,
                                                 [INDEX_MIX] = 8,
                                                 [INDEX_GROUP] = 4,
                                                 [INDEX_INPUT_EQ_BAND] = 4,
                                                 [INDEX_MIX_GRAPHIC_BAND] = 31,
                                                 [INDEX_MIX_EQ_BAND] = 4}}; /* profile_with() */

/* ---- recipes ---- */

static void
make_recipe(struct recipe *recipe, struct dice *dice)
{
    const struct param *param;

    do
        recipe->id = (enum param_id)dice_below(dice, PARAMS);
    while (params[recipe->id].unit == UNIT_TEXT || params[recipe->id].unit == UNIT_WORD ||
           param_is_of_spectrum(recipe->id));
    param = &params[recipe->id];
    recipe->first = dice_below(dice, 2);
    recipe->index_count = 0;
    for (int i = 0; i < 2; i++) {
        enum index_kind kind = i == 0 ? param->row : param->column;

        if (kind != INDEX_NONE)
            recipe->indexes[recipe->index_count++] =
                (struct index){kind, dice_below(dice, 2) == 0, dice_below(dice, 4)};
    }
    recipe->asked = dice_below(dice, 2) == 0;
    recipe->asked_backwards = dice_below(dice, 2) == 0;
    recipe->padded = dice_below(dice, 2) == 0;
}

/* "/v3/{input:2}/{band}", then the arguments; every entry has an address of its own. */
static size_t
write_answer(const struct recipe *recipe, int number, char *to, size_t size)
{
    size_t used = (size_t)snprintf(to, size, "\"answer\": [\"/v%d", number);

    for (int i = 0; i < recipe->index_count; i++)
        if (recipe->indexes[i].in_address && recipe->indexes[i].width > 0)
            used += (size_t)snprintf(to + used, size - used, "/{%s:%d}",
                                     index_placeholder(recipe->indexes[i].kind),
                                     recipe->indexes[i].width);
        else if (recipe->indexes[i].in_address)
            used += (size_t)snprintf(to + used, size - used, "/{%s}",
                                     index_placeholder(recipe->indexes[i].kind));
    used +=
        (size_t)snprintf(to + used, size - used, "\"%s", recipe->padded ? ", \"is\", \"*\"" : "");
    for (int i = 0; i < recipe->index_count; i++)
        if (!recipe->indexes[i].in_address)
            used += (size_t)snprintf(to + used, size - used, ", \"{%s}\"",
                                     index_placeholder(recipe->indexes[i].kind));
    return used + (size_t)snprintf(to + used, size - used, ", {\"is\": \"%s\"}], \"first\": %d}",
                                   params[recipe->id].name, recipe->first);
}

static size_t
write_entry(const struct recipe *recipe, int number, char *to, size_t size)
{
    size_t used = (size_t)snprintf(to, size, "%s{", number > 0 ? ", " : "");

    if (recipe->asked) {
        used += (size_t)snprintf(to + used, size - used, "\"ask\": [\"/q%d\"", number);
        for (int i = 0; i < recipe->index_count; i++) {
            int at = recipe->asked_backwards ? recipe->index_count - 1 - i : i;

            used += (size_t)snprintf(to + used, size - used, ", \"{%s}\"",
                                     index_placeholder(recipe->indexes[at].kind));
        }
        used += (size_t)snprintf(to + used, size - used, "], ");
    }
    return used + write_answer(recipe, number, to + used, size - used);
}

/* ---- the router ---- */

static void
note_answer(void *context, size_t entry, size_t place)
{
    struct home *home = context;

    home->answers++;
    home->entry = entry;
    home->place = place;
}

static void
open_home(struct home *home, struct dice *dice)
{
    char values[TEXT_SIZE];
    size_t used = 0;

    for (int i = 0; i < ENTRIES; i++) {
        make_recipe(&home->recipes[i], dice);
        used += write_entry(&home->recipes[i], i, values + used, sizeof values - used);
    }
    assert_true(used < sizeof values);
    loaded_read(&home->loaded, profile_with(values, ""));
    for (size_t i = 0; i < home->loaded.problems.count; i++)
        print_error("%s\n%s\n", home->loaded.problems.lines[i], values);
    assert_non_null(home->loaded.profile);
    home->engine = engine_new(
        profile_desk(home->loaded.profile),
        check_set_show(check_set_all, counts.of[INDEX_INPUT], counts.of[INDEX_MIX]), check_set_all);
    home->router = router_new(home->loaded.profile, home->engine, note_answer, home);
    assert_non_null(home->router);
}

static void
close_home(struct home *home)
{
    router_free(home->router);
    engine_free(home->engine);
    loaded_release(&home->loaded);
}

/* ---- messages ---- */

struct sent {
    char address[100];
    struct argument arguments[8];
    size_t count;
};

static void
write_message(struct sent *sent, const struct recipe *recipe, int number, const int places[2],
              double value)
{
    size_t used = (size_t)snprintf(sent->address, sizeof sent->address, "/v%d", number);

    sent->count = 0;
    if (recipe->padded) {
        sent->arguments[sent->count++] = (struct argument){ARGUMENT_TEXT, 's', 0, "is"};
        sent->arguments[sent->count++] = (struct argument){ARGUMENT_SWITCH, 'T', 1, NULL};
    }
    for (int i = 0; i < recipe->index_count; i++) {
        int index = places[i] + recipe->first;

        if (recipe->indexes[i].in_address)
            used += (size_t)snprintf(sent->address + used, sizeof sent->address - used, "/%0*d",
                                     recipe->indexes[i].width, index);
        else
            sent->arguments[sent->count++] = (struct argument){ARGUMENT_NUMBER, 'i', index, NULL};
    }
    sent->arguments[sent->count++] = (struct argument){ARGUMENT_NUMBER, 'f', value, NULL};
}

static enum route_result
route(struct home *home, const struct sent *sent)
{
    size_t length;
    uint8_t *bytes = osc_encode(sent->address, sent->arguments, sent->count, true, &length);
    struct osc_message message;
    enum route_result result;

    assert_non_null(bytes);
    assert_int_equal(osc_check_message(bytes, length, (struct osc_forms){0}), OSC_OK);
    assert_true(osc_decode(&message, bytes, length));
    home->answers = 0;
    result = router_take(home->router, &message, 1000);
    free(bytes);
    return result;
}

/* The entry's variables stand in the order in which question, then answer (address, then arguments)
 * name them; the first counts most. */
static size_t
expected_place(const struct recipe *recipe, const int places[2])
{
    int order[2] = {0, 1};
    bool swap = recipe->index_count == 2 &&
                (recipe->asked ? recipe->asked_backwards
                               : !recipe->indexes[0].in_address && recipe->indexes[1].in_address);
    size_t place = 0;

    if (swap) {
        order[0] = 1;
        order[1] = 0;
    }
    for (int i = 0; i < recipe->index_count; i++)
        place =
            place * (size_t)counts.of[recipe->indexes[order[i]].kind] + (size_t)places[order[i]];
    return place;
}

/* A legal number; whole, so that switches and indexes take it too, and single precision keeps it.
 */
static double
legal(enum param_id id, struct dice *dice)
{
    double least = ceil(params[id].least), most = floor(params[id].most);

    return least + dice_below(dice, (int)(most - least) + 1);
}

static void
comes_home(struct home *home, int number, struct dice *dice)
{
    const struct recipe *recipe = &home->recipes[number];
    const struct desk *desk = engine_desk(home->engine);
    const struct param *param = &params[recipe->id];
    int places[2] = {0, 0}, row, column;
    size_t known = desk_count_state(desk, VALUE_KNOWN);
    double value = legal(recipe->id, dice);
    bool was_known;
    struct sent sent;

    for (int i = 0; i < recipe->index_count; i++)
        places[i] = dice_below(dice, counts.of[recipe->indexes[i].kind]);
    row = param->row != INDEX_NONE ? places[0] : 0;
    column = param->column != INDEX_NONE ? places[1] : 0;
    was_known = desk_value(desk, recipe->id, row, column)->state == VALUE_KNOWN;
    write_message(&sent, recipe, number, places, value);
    assert_row(sent.address, route(home, &sent), ROUTE_TAKEN);
    assert_int_equal(home->answers, 1);
    assert_int_equal(home->entry, number);
    assert_row(sent.address, home->place, expected_place(recipe, places));
    assert_near_in(sent.address, value_last_heard(desk_value(desk, recipe->id, row, column)), value,
                   0);
    assert_int_equal(desk_count_state(desk, VALUE_KNOWN), known + !was_known);
}

static void
every_place_comes_home(void **state)
{
    struct dice dice = dice_new();

    (void)state;
    for (int i = 0; i < PROFILES; i++) {
        struct home *home = calloc(1, sizeof *home);

        assert_non_null(home);
        open_home(home, &dice);
        for (int number = 0; number < ENTRIES; number++)
            for (int place = 0; place < PLACES; place++)
                comes_home(home, number, &dice);
        close_home(home);
        free(home);
    }
}

/* One digit wrong, one argument more: never taken as something else's. */
static void
neighbours_do_not_come_in(void **state)
{
    struct dice dice = dice_new();

    (void)state;
    for (int i = 0; i < PROFILES; i++) {
        struct home *home = calloc(1, sizeof *home);

        assert_non_null(home);
        open_home(home, &dice);
        for (int number = 0; number < ENTRIES; number++) {
            const struct recipe *recipe = &home->recipes[number];
            int places[2] = {-1, -1};
            struct sent sent;

            if (recipe->index_count == 0)
                continue;
            write_message(&sent, recipe, number, places, legal(recipe->id, &dice));
            assert_int_not_equal(route(home, &sent), ROUTE_TAKEN);
            for (int k = 0; k < recipe->index_count; k++)
                places[k] = counts.of[recipe->indexes[k].kind];
            write_message(&sent, recipe, number, places, legal(recipe->id, &dice));
            assert_int_not_equal(route(home, &sent), ROUTE_TAKEN);
            places[0] = places[1] = 0;
            write_message(&sent, recipe, number, places, legal(recipe->id, &dice));
            sent.arguments[sent.count] = sent.arguments[sent.count - 1];
            sent.count++;
            assert_int_equal(route(home, &sent), ROUTE_OTHER_ARGUMENTS);
        }
        assert_int_equal(desk_count_state(engine_desk(home->engine), VALUE_KNOWN), 0);
        close_home(home);
        free(home);
    }
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_place_comes_home),
        cmocka_unit_test(neighbours_do_not_come_in),
    };

    return cmocka_run_group_tests_name("router_property", tests, NULL, NULL);
}
