/* SPDX-License-Identifier: MIT */
/* What is no help: what nobody can know, what nobody can do, and what costs another mix of the same
 * wedge.
 */
#include "stage_rig.h"
#include "unit.h"

#include <math.h>
#include <stdlib.h>

#include "stage/ears.h"
#include "stage/help.h"

static const struct help *
found(const struct help *helps, int count, enum help_kind kind)
{
    for (int i = 0; i < count; i++)
        if (helps[i].kind == kind)
            return &helps[i];
    return NULL;
}

static int
ask(struct rig *rig, const struct stage *stage, struct help helps[HELPS_MOST])
{
    struct loops *loops = stage_rig_hear(rig, stage);
    int count = helps_of(loops, helps);

    loops_free(loops);
    return count;
}

/* ---- pairs ---- */

/* A pair tells one angle: how the second wedge lies after a turn nobody knows. */
static void
nobody_turns_what_two_pairs_tell(void **state)
{
    struct rig *rig = *state;
    struct help helps[HELPS_MOST];
    struct stage *stage = stage_new();

    *stage_add_pair(stage, 0, 0) = (struct stage_pair){0, 0, 1.4, 90, 10};
    stage_rig_open_all(rig, 1, 2);
    assert_non_null(found(helps, ask(rig, stage, helps), HELP_TURN));
    *stage_add_pair(stage, 0, 1) = (struct stage_pair){0, 1, 1.5, 120, 10};
    assert_null(found(helps, ask(rig, stage, helps), HELP_TURN));
    free(stage);
}

/* ---- the house ---- */

/* Nobody in the audience wears in-ears, and the house stays where it hangs, whoever has ears there. */
static void
the_house_is_not_moved_and_not_replaced(void **state)
{
    struct rig *rig = *state;
    struct help helps[HELPS_MOST];
    struct stage *stage = stage_new();
    struct stage_ears *ears = stage_add_ears(stage);
    struct stage_loudspeaker *house;
    int count;

    stage_rig_microphone(stage, 0, (struct place){0, 0, 1.5});
    house = stage_rig_loudspeaker(stage, 0, (struct place){3, 2, 1.5});
    ears->mix = 0;
    ears->at = (struct place){0, -9, 1.2};
    stage_rig_open_all(rig, 1, 1);
    count = ask(rig, stage, helps);
    assert_non_null(found(helps, count, HELP_IN_EARS));
    assert_non_null(found(helps, count, HELP_NULL));
    assert_non_null(found(helps, count, HELP_NEARER));
    house->house = true;
    count = ask(rig, stage, helps);
    assert_null(found(helps, count, HELP_IN_EARS));
    assert_null(found(helps, count, HELP_NULL));
    assert_null(found(helps, count, HELP_NEARER));
    free(stage);
}

/* ---- whose ears ---- */

/* Nearer to one player it is farther from the other, who hears as much as before once it is turned up: no
 * figure is told as if one of them were alone. */
static void
all_ears_of_a_mix_hear_as_before(void **state)
{
    struct rig *rig = *state;
    struct help helps[HELPS_MOST];
    struct stage *stage = stage_new();
    struct stage_ears *ears = stage_add_ears(stage), *other;
    const struct help *help;
    double alone_db;

    stage_rig_microphone(stage, 0, (struct place){0, 0, 1.5});
    stage_rig_loudspeaker(stage, 0, (struct place){1.5, -0.4, 0.3})->beam = stage_rig_all_round;
    ears->mix = 0;
    ears->at = (struct place){0, 0.2, 1.7};
    stage_rig_open_all(rig, 1, 1);
    help = found(helps, ask(rig, stage, helps), HELP_NULL);
    assert_non_null(help);
    alone_db = help->stage_db;
    other = stage_add_ears(stage);
    other->mix = 0;
    other->at = (struct place){3, 0.2, 1.7};
    help = found(helps, ask(rig, stage, helps), HELP_NULL);
    assert_true(!help || help->stage_db < alone_db - 2);
    free(stage);
}

/* Straight below the ears there is no way round them: it was told to go where it stands. */
static void
nothing_is_moved_to_where_it_stands(void **state)
{
    struct rig *rig = *state;
    struct help helps[HELPS_MOST];
    struct stage *stage = stage_new();
    struct stage_loudspeaker *wedge;
    struct stage_ears *ears = stage_add_ears(stage);

    stage_rig_microphone(stage, 0, (struct place){0, 0, 1.5});
    wedge = stage_rig_loudspeaker(stage, 0, (struct place){1.5, -0.4, 0.3});
    wedge->axis = (struct place){-1, 0, 0};
    wedge->axis_how = GIVEN;
    ears->mix = 0;
    ears->at = (struct place){1.5, -0.4, 1.7};
    stage_rig_open_all(rig, 1, 1);
    assert_null(found(helps, ask(rig, stage, helps), HELP_NULL));
    free(stage);
}

/* ---- one wedge, two mixes ---- */

/* What the whole stage wins with the wedge moved in the plan and the first mix turned down by hand until
 * its ears hear as much as before. */
static double
moved_db(struct rig *rig, const struct stage *stage, const struct help *help)
{
    struct stage *moved = stage_new();
    struct loops *before = stage_rig_hear(rig, stage), *after;
    double ears_db, wins_db;

    *moved = *stage;
    moved->loudspeakers[0].at = help->to; /* facing the ears by default */
    after = stage_rig_hear(rig, moved);
    ears_db = ears_gain_db(after, 0, 0, 0) - ears_gain_db(before, 0, 0, 0);
    loops_free(after);
    rig_set(rig, PARAM_MIX_FADER, 0, 0, -ears_db);
    after = stage_rig_hear(rig, moved);
    rig_set(rig, PARAM_MIX_FADER, 0, 0, 0);
    wins_db =
        loops_onset(before, PHASES_RANDOM).gain_db - loops_onset(after, PHASES_RANDOM).gain_db;
    loops_free(before);
    loops_free(after);
    free(moved);
    return wins_db;
}

static void
a_moved_wedge_takes_all_its_mixes_along(void **state)
{
    static const enum help_kind kinds[] = {HELP_NULL, HELP_NEARER};
    struct rig *rig = *state;
    int tried = 0;

    stage_rig_open_own(rig, 2);
    for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++) {
        struct stage *stage = stage_new();
        struct stage_ears *ears = stage_add_ears(stage);
        struct help helps[HELPS_MOST];
        const struct help *help;

        stage_rig_microphone(stage, 0, (struct place){0, 0, 1.5});
        stage_rig_microphone(stage, 1, (struct place){1.5, 0.5, 1.5});
        stage_rig_loudspeaker(stage, 0, (struct place){1.4, 1.6, 0.3})->mixes =
            (struct serves){2, {0, 1}};
        ears->mix = 0;
        ears->at = (struct place){0, 0.2, 1.6};
        help = found(helps, ask(rig, stage, helps), kinds[i]);
        tried += help != NULL;
        if (help)
            assert_near(help->stage_db, moved_db(rig, stage, help), 0.02);
        free(stage);
    }
    assert_true(tried > 0);
}

int
main(void)
{
    static const struct CMUnitTest tests[] = {
        RIG_TEST(nobody_turns_what_two_pairs_tell),
        RIG_TEST(the_house_is_not_moved_and_not_replaced),
        RIG_TEST(all_ears_of_a_mix_hear_as_before),
        RIG_TEST(nothing_is_moved_to_where_it_stands),
        RIG_TEST(a_moved_wedge_takes_all_its_mixes_along),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
