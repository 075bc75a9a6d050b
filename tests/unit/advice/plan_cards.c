/* SPDX-License-Identifier: MIT */
/* Single cards on a desk of two inputs that share one preamp, one mix and one group. */
#include "unit.h"

#include <math.h>
#include <stdlib.h>

#include "advice/plan.h"

enum { INPUTS = 2 };

static void
put(struct desk *desk, enum param_id id, int row, int column, double number)
{
    assert_int_not_equal(desk_set(desk, id, row, column, number, 1), CHANGE_REFUSED);
}

static void
put_input(struct desk *desk, int input)
{
    put(desk, PARAM_INPUT_PREAMP, input, 0, 0);
    put(desk, PARAM_INPUT_PREAMP_GAIN, input, 0, 40);
    put(desk, PARAM_INPUT_MUTE, input, 0, 0);
    put(desk, PARAM_INPUT_FADER, input, 0, 0);
    put(desk, PARAM_INPUT_GROUP, input, 0, 0);
    put(desk, PARAM_SEND_ON, input, 0, 1);
    put(desk, PARAM_SEND_LEVEL, input, 0, -10);
    put(desk, PARAM_SEND_TAP, input, 0, TAP_PRE_FADER);
}

/* Both sends at -10 dB with the preamp at 40, all else at 0 dB. */
static struct desk *
desk_of_two(void)
{
    static const enum param_id heard[] = {
        PARAM_INPUT_PREAMP, PARAM_INPUT_PREAMP_GAIN, PARAM_INPUT_MUTE, PARAM_INPUT_FADER,
        PARAM_INPUT_GROUP,  PARAM_GROUP_FADER,       PARAM_SEND_ON,    PARAM_SEND_LEVEL,
        PARAM_SEND_TAP,     PARAM_MIX_FADER};
    static const struct desk_counts counts = {
        .of = {[INDEX_INPUT] = INPUTS, [INDEX_MIX] = 1, [INDEX_GROUP] = 1}};
    struct desk *desk = desk_new(&counts);

    for (size_t i = 0; i < sizeof heard / sizeof *heard; i++)
        desk_supply(desk, heard[i], SUPPLY_HEARD);
    desk_set_travel(desk, PARAM_INPUT_PREAMP_GAIN, (struct travel){0, 60});
    desk_set_travel(desk, PARAM_SEND_LEVEL, (struct travel){-60, 10});
    for (int input = 0; input < INPUTS; input++)
        put_input(desk, input);
    put(desk, PARAM_GROUP_FADER, 0, 0, 0);
    put(desk, PARAM_MIX_FADER, 0, 0, 0);
    return desk;
}

static struct plan *
plan_of(const struct desk *desk, const struct show *show)
{
    struct ground ground = {.desk = desk, .show = show};
    struct plan_wish wish = {.ground = &ground, .set = &check_set_all};

    return plan_new(&wish);
}

/* The card of a kind, or NULL. */
static const struct card *
card_of(const struct plan *plan, enum card_kind kind)
{
    for (size_t i = 0; i < plan->count; i++)
        if (plan->cards[i].kind == kind)
            return &plan->cards[i];
    return NULL;
}

/* Where the card sets the control; NAN: it does not move it. */
static double
set_to(const struct card *card, enum param_id id, int row, int column)
{
    for (size_t i = 0; card && i < card->count; i++)
        if (card->moves[i].id == id && card->moves[i].row == row && card->moves[i].column == column)
            return card->moves[i].to;
    return NAN;
}

static void
accepted_preamp_stays(void **state)
{
    struct desk *desk = desk_of_two();
    struct show *show = check_set_show(check_set_all, INPUTS, 1);
    struct plan *plan;

    (void)state;
    show->role = ROLE_MONITOR;
    plan = plan_of(desk, show);
    assert_near(set_to(card_of(plan, CARD_TRIM), PARAM_INPUT_PREAMP_GAIN, 0, 0), 30, 1e-9);
    plan_free(plan);

    /* the finding is told on the first input, the accept is of the second: it is one control */
    show->accepts = calloc(1, sizeof *show->accepts);
    assert_non_null(show->accepts);
    show->accept_count = 1;
    show->accepts[0] = (struct accept){
        .check = CHECK_UNUSED_PREAMP_GAIN, .input = 1, .mix = -1, .up_to = HUGE_VAL};
    plan = plan_of(desk, show);
    assert_null(card_of(plan, CARD_TRIM));
    assert_int_equal(plan->stops[0].reason, STOP_ACCEPTED);
    plan_free(plan);
    show_free(show);
    desk_free(desk);
}

/* A fader parked at 0 dB is a technique on a monitor desk, but not while a group turns it down. */
static void
tap_counts_groups(void **state)
{
    struct desk *desk = desk_of_two();
    struct show *show = check_set_show(check_set_all, INPUTS, 1);
    struct plan *plan;

    (void)state;
    show->role = ROLE_MONITOR;
    put(desk, PARAM_SEND_TAP, 0, 0, TAP_POST_FADER);
    plan = plan_of(desk, show);
    assert_null(card_of(plan, CARD_TAP));
    plan_free(plan);

    put(desk, PARAM_INPUT_GROUP, 0, 0, 1);
    put(desk, PARAM_GROUP_FADER, 0, 0, -7);
    plan = plan_of(desk, show);
    assert_near(set_to(card_of(plan, CARD_TAP), PARAM_SEND_LEVEL, 0, 0), -17, 1e-9);
    assert_near(set_to(card_of(plan, CARD_TAP), PARAM_SEND_TAP, 0, 0), TAP_PRE_FADER, 0);
    plan_free(plan);
    show_free(show);
    desk_free(desk);
}

/* On a house desk a send behind the fader goes up with it and is not moved: that it stands near 0 dB
 * is no reason to leave the preamp up. */
static void
house_send_does_not_hold(void **state)
{
    struct desk *desk = desk_of_two();
    struct show *show = check_set_show(check_set_all, INPUTS, 1);
    struct plan *plan;

    (void)state;
    show->role = ROLE_HOUSE;
    show->checks[CHECK_SEND_FOLLOWS_FADER].off = true;
    for (int input = 0; input < INPUTS; input++) {
        put(desk, PARAM_INPUT_FADER, input, 0, -18);
        put(desk, PARAM_SEND_LEVEL, input, 0, -1);
        put(desk, PARAM_SEND_TAP, input, 0, TAP_POST_FADER);
    }
    plan = plan_of(desk, show);
    assert_near(set_to(card_of(plan, CARD_TRIM), PARAM_INPUT_PREAMP_GAIN, 0, 0), 22, 1e-9);
    assert_near(set_to(card_of(plan, CARD_TRIM), PARAM_INPUT_FADER, 1, 0), 0, 1e-9);
    assert_true(isnan(set_to(card_of(plan, CARD_TRIM), PARAM_SEND_LEVEL, 0, 0)));
    plan_free(plan);
    show_free(show);
    desk_free(desk);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(accepted_preamp_stays),
                                       cmocka_unit_test(tap_counts_groups),
                                       cmocka_unit_test(house_send_does_not_hold)};

    return cmocka_run_group_tests_name("plan_cards", tests, NULL, NULL);
}
