/* SPDX-License-Identifier: MIT */
/* Random laws: what goes to the unit and back is where it was, order is kept, and nothing leaves
 * the end stops. */
#include "unit.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "law_wire.h"
#include "profile/law.h"

enum { LAWS = 2000, PLACES = 50, POINTS_MOST = 7 };

struct random_law {
    enum law_kind kind;
    int count;
    double wires[POINTS_MOST],
        values[POINTS_MOST]; /* -HUGE_VAL at one end when the law can be off */
    bool falling;
    struct problems problems;
    struct law law;
};

/* Points with steps that differ by a factor of a thousand at most, so that no segment is so flat
 * that a rounded value says little about the wire. */
static void
make_points(struct random_law *random, struct dice *dice)
{
    bool ratio = random->kind == LAW_RATIO;
    double wire = dice_between(dice, -100, 100);
    double value = ratio ? dice_between(dice, 1, 100) : dice_between(dice, -90, 20);

    random->count = 2 + dice_below(dice, POINTS_MOST - 1);
    random->falling = dice_below(dice, 2) == 0;
    for (int i = 0; i < random->count; i++) {
        random->wires[i] = wire;
        random->values[random->falling ? random->count - 1 - i : i] = value;
        wire += dice_between(dice, 0.01, 10);
        value = ratio ? value * dice_between(dice, 1.01, 4) : value + dice_between(dice, 0.01, 10);
    }
    if (!ratio && random->count > 2 && dice_below(dice, 2) == 0)
        random->values[random->falling ? random->count - 1 : 0] = -HUGE_VAL;
}

/* By way of the JSON text, so that reading is tried too; 17 digits keep every bit. */
static void
write_points(const struct random_law *random, char *text, size_t size)
{
    size_t used =
        (size_t)snprintf(text, size, "{\"%s\": [", random->kind == LAW_RATIO ? "ratio" : "line");

    for (int i = 0; i < random->count; i++) {
        char number[40] = "\"-inf\"";

        if (random->values[i] != -HUGE_VAL)
            snprintf(number, sizeof number, "%.17g", random->values[i]);
        used += (size_t)snprintf(text + used, size - used, "%s[%.17g, %s]", i > 0 ? ", " : "",
                                 random->wires[i], number);
    }
    snprintf(text + used, size - used, "]}");
}

static void
make_law(struct random_law *random, struct dice *dice)
{
    char text[1000];
    struct json *json;
    struct where where;

    random->kind = (enum law_kind)(LAW_LINE + dice_below(dice, 5));
    random->count = 0;
    random->falling = false;
    if (random->kind == LAW_WORDS) /* a table has no places between its rows: law.c */
        random->kind = LAW_LINE;
    if (random->kind == LAW_TIMES)
        snprintf(text, sizeof text, "{\"times\": %.17g}",
                 dice_between(dice, 0.01, 10) * (dice_below(dice, 2) == 0 ? 1 : -1));
    else if (random->kind == LAW_AMPLITUDE)
        snprintf(text, sizeof text, "{\"amplitude\": true}");
    else {
        make_points(random, dice);
        write_points(random, text, sizeof text);
    }
    random->problems = (struct problems){0};
    json = json_parse(text, strlen(text), "p", &random->problems);
    assert_non_null(json);
    where = where_file("p", json, &random->problems);
    law_read(&random->law, "law", &where);
    json_free(json);
    if (random->problems.count > 0)
        print_error("%s: %s\n", text, random->problems.lines[0]);
    assert_int_equal(random->problems.count, 0);
}

static void
release(struct random_law *random)
{
    law_release(&random->law);
    problems_release(&random->problems);
}

static double
place(const struct random_law *random, struct dice *dice)
{
    if (random->count > 0)
        return dice_between(dice, random->wires[0], random->wires[random->count - 1]);
    return random->kind == LAW_AMPLITUDE ? dice_between(dice, 1e-6, 4)
                                         : dice_between(dice, -100, 100);
}

/* Between off and its neighbour every wire number means the neighbour's value, and leads back to
 * the neighbour. */
static bool
is_beside_off(const struct random_law *random, double wire)
{
    if (random->count == 0)
        return false;
    if (random->values[0] == -HUGE_VAL)
        return wire < random->wires[1];
    return random->values[random->count - 1] == -HUGE_VAL &&
           wire > random->wires[random->count - 2];
}

static double
value_of(const struct random_law *random, double wire)
{
    double value = NAN;

    assert_true(law_value(&random->law, wire, &value));
    assert_false(value != value);
    return value;
}

/* Wires differ from each other by 1e-2 at least and reach to some 160, values likewise: rounding
 * costs some 1e-14 x 1e3. */
static void
wire_leads_back_to_itself(void **state)
{
    struct dice dice = dice_new();

    (void)state;
    for (int i = 0; i < LAWS; i++) {
        struct random_law random;

        make_law(&random, &dice);
        for (int p = 0; p < PLACES; p++) {
            double wire = place(&random, &dice), back;
            double value = value_of(&random, wire);

            assert_true(law_wire(&random.law, value, &back));
            if (!is_beside_off(&random, wire))
                assert_near(back, wire, 1e-9);
            /* in any case it means the same */
            assert_near(value_of(&random, back), value, 1e-9 * fmax(1, fabs(value)));
        }
        release(&random);
    }
}

static void
points_are_met_exactly(void **state)
{
    struct dice dice = dice_new();

    (void)state;
    for (int i = 0; i < LAWS; i++) {
        struct random_law random;

        make_law(&random, &dice);
        for (int p = 0; p < random.count; p++) {
            double wire;

            assert_near(value_of(&random, random.wires[p]), random.values[p],
                        1e-12 * fmax(1, fabs(random.values[p])));
            assert_true(law_wire(&random.law, random.values[p], &wire));
            assert_near(wire, random.wires[p], 1e-9);
        }
        release(&random);
    }
}

static void
order_is_kept(void **state)
{
    struct dice dice = dice_new();

    (void)state;
    for (int i = 0; i < LAWS; i++) {
        struct random_law random;

        make_law(&random, &dice);
        for (int p = 0; p < PLACES; p++) {
            double one = place(&random, &dice), other = place(&random, &dice);
            double low = value_of(&random, fmin(one, other));
            double high = value_of(&random, fmax(one, other));
            bool falls = random.falling || (random.kind == LAW_TIMES && random.law.factor < 0);

            assert_true(falls ? low >= high : low <= high);
        }
        release(&random);
    }
}

static void
values_stay_between_the_end_stops(void **state)
{
    struct dice dice = dice_new();

    (void)state;
    for (int i = 0; i < LAWS; i++) {
        struct random_law random;
        struct travel travel;

        make_law(&random, &dice);
        travel = law_travel(&random.law);
        for (int p = 0; p < PLACES && random.count > 0; p++) {
            double value = value_of(&random, place(&random, &dice));
            double room = 1e-9 * fmax(1, fabs(value));

            assert_true(value == -HUGE_VAL ||
                        (value >= travel.least - room && value <= travel.most + room));
        }
        release(&random);
    }
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(wire_leads_back_to_itself),
        cmocka_unit_test(points_are_met_exactly),
        cmocka_unit_test(order_is_kept),
        cmocka_unit_test(values_stay_between_the_end_stops),
    };

    return cmocka_run_group_tests_name("law_property", tests, NULL, NULL);
}
