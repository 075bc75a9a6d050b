/* SPDX-License-Identifier: MIT */
/* The groups of findings by player, from findings of our own. */
#include "report/players.h"

#include <string.h>

#include "rig.h"
#include "unit.h"

/* Inputs 1 to 5 are Ann's, Bo's, nobody's, Ann's and Bo's. */
static void
name_players(struct rig *rig)
{
    static const char *const names[] = {"Ann", "Bo", "", "Ann", "Bo"};

    rig_start(rig, 5, 1);
    for (size_t i = 0; i < sizeof names / sizeof *names; i++)
        strcpy(rig->show->inputs[i].player, names[i]);
}

static void
group(struct rig *rig, struct player_finding list[], const int inputs[], size_t count)
{
    static struct finding findings[8];

    for (size_t i = 0; i < count; i++) {
        findings[i] = (struct finding){.object = {inputs[i], -1}, .verdict = {.mix = -1}};
        list[i] = (struct player_finding){.finding = &findings[i], .at = i, .rank = list[i].rank};
    }
    players_group(rig->engine, list, count);
}

static void
players_come_in_the_order_of_their_first(void **state)
{
    struct player_finding list[5] = {{0}};

    name_players(*state);
    group(*state, list, (int[]){1, 0, 4, 2, 3}, 5);
    for (size_t i = 0; i < 5; i++) {
        assert_string_equal(list[i].player, ((const char *[]){"Bo", "Bo", "Ann", "Ann", ""})[i]);
        assert_int_equal(list[i].at, ((size_t[]){0, 2, 1, 4, 3})[i]);
        assert_int_equal(list[i].group, ((size_t[]){0, 0, 1, 1, 2})[i]);
        assert_int_equal(players_begin(list, i), i == 0 || i == 2 || i == 4);
    }
}

static void
a_rank_orders_what_is_for_one_player_alone(void **state)
{
    struct player_finding list[4] = {{.rank = 7}, {.rank = 9}, {.rank = 2}, {.rank = 1}};

    name_players(*state);
    group(*state, list, (int[]){1, 0, 4, 3}, 4);
    for (size_t i = 0; i < 4; i++)
        assert_int_equal(list[i].at, ((size_t[]){2, 0, 3, 1})[i]);
}

static void
a_name_from_a_label_is_marked(void **state)
{
    struct rig *rig = *state;
    struct player_finding list[2] = {{0}};

    name_players(rig);
    rig_set_text(rig, PARAM_MIX_NAME, 0, "Cy wedge");
    rig_set(rig, PARAM_SEND_LEVEL, 2, 0, -6);
    group(rig, list, (int[]){2, 0}, 2);
    assert_true(list[0].inferred);
    assert_string_equal(players_title(&list[0]), list[0].player);
    assert_int_equal(list[0].player[0], 'C');
    assert_false(list[1].inferred);
}

static void
nobody_has_a_title_too(void **state)
{
    struct player_finding list[1] = {{0}};

    name_players(*state);
    group(*state, list, (int[]){2}, 1);
    assert_string_equal(list[0].player, "");
    assert_string_equal(players_title(&list[0]), "no player named");
    players_group(((struct rig *)*state)->engine, NULL, 0); /* and none is no trouble */
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        RIG_TEST(players_come_in_the_order_of_their_first),
        RIG_TEST(a_rank_orders_what_is_for_one_player_alone),
        RIG_TEST(a_name_from_a_label_is_marked),
        RIG_TEST(nobody_has_a_title_too),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
