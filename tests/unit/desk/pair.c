/* SPDX-License-Identifier: MIT */
/* Two ears of one player: which mixes are a pair. */
#include "unit.h"

#include <string.h>

#include "desk/pair.h"
#include "rig.h"

enum { MIXES = 4 };

/* What the labels make of four mixes: the other ear of each, 0 for none, counted from 1. */
static void
labels_make_pairs(void **state)
{
    static const struct {
        const char *labels[MIXES];
        int other[MIXES];
    } rows[] = {
        {{"Drums IEM L", "Drums IEM R", "Keys IEM left", "Keys IEM right"}, {2, 1, 4, 3}},
        {{"Drums IEM R", "Drums IEM L", "IEM 1 L", "IEM 1 R"}, {2, 1, 4, 3}},
        {{"IEM 1 L", "IEM 1 R", "IEM 2 L", "IEM 2 R"}, {2, 1, 4, 3}},
        {{"Drums IEM", "Drums IEM L", "Drums IEM R", "Drums IEM"}, {0, 3, 2, 0}},
        {{"Drums IEM L", "Keys IEM R", "Drums IEM R", "Keys IEM L"}, {0, 0, 0, 0}},
        {{"Drums IEM L", "Drums IEM L", "Vox IEM", "Vox IEM"}, {0, 0, 0, 0}},
        {{"Drums wedge L", "Drums wedge R", "Side fill L", "Side fill R"}, {0, 0, 0, 0}},
        {{"Drums IEM L", "Drums wedge R", "IEM", "L"}, {0, 0, 0, 0}},
    };
    struct rig *rig = *state;

    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        rig_start(rig, 1, MIXES);
        for (int mix = 0; mix < MIXES; mix++)
            rig_set_text(rig, PARAM_MIX_NAME, mix, rows[i].labels[mix]);
        for (int mix = 0; mix < MIXES; mix++)
            assert_row(rows[i].labels[mix], pair_of(rig->desk, rig->show, mix) + 1,
                       rows[i].other[mix]);
    }
}

/* The show file knows better: one player has two ears, two players are no pair. */
static void
players_make_pairs(void **state)
{
    struct rig *rig = *state;

    rig_start(rig, 1, MIXES);
    for (int mix = 0; mix < MIXES; mix++)
        rig->show->mixes[mix].feeds = FEEDS_IN_EAR;
    strcpy(rig->show->mixes[0].player, "Ada");
    strcpy(rig->show->mixes[1].player, "ada");
    strcpy(rig->show->mixes[2].player, "Bo");
    strcpy(rig->show->mixes[3].player, "Cy");
    rig_set_text(rig, PARAM_MIX_NAME, 2, "Gtr IEM L");
    rig_set_text(rig, PARAM_MIX_NAME, 3, "Gtr IEM R");
    assert_int_equal(pair_of(rig->desk, rig->show, 0), 1);
    assert_int_equal(pair_of(rig->desk, rig->show, 1), 0);
    assert_int_equal(pair_of(rig->desk, rig->show, 2), -1);
    assert_int_equal(pair_of(rig->desk, rig->show, 3), -1);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        RIG_TEST(labels_make_pairs),
        RIG_TEST(players_make_pairs),
    };

    return cmocka_run_group_tests_name("pair", tests, NULL, NULL);
}
