/* SPDX-License-Identifier: MIT */
/* What a mix's label tells: the kind of mix, and whom it is for. */
#include "unit.h"

#include <string.h>

#include "check/check.h"
#include "desk/player.h"
#include "desk/show.h"
#include "desk/source.h"
#include "rig.h"

static const struct {
    const char *label;
    enum feeds feeds;
    const char *player;
} labels[] = {
    {"Ld Vox wedge", FEEDS_WEDGE, "Ld Vox"},
    {"Wedge Drums", FEEDS_WEDGE, "Drums"},
    {"WDG 3", FEEDS_WEDGE, "3"},
    {"Floor Wedge SL", FEEDS_WEDGE, "SL"},
    {"IEM Drums", FEEDS_IN_EAR, "Drums"},
    {"Drums IEM", FEEDS_IN_EAR, "Drums"},
    {"Drums (IEM)", FEEDS_IN_EAR, "Drums"},
    {"Ears 2", FEEDS_IN_EAR, "2"},
    {"In-Ear Bass", FEEDS_IN_EAR, "Bass"},
    {"Pack 4", FEEDS_IN_EAR, "4"},
    {"Side-fill", FEEDS_SIDE_FILL, ""},
    {"SideFill L", FEEDS_SIDE_FILL, "L"},
    {"Side Fills", FEEDS_SIDE_FILL, ""},
    {"SIDEFILL R", FEEDS_SIDE_FILL, "R"},
    {"Drum fill", FEEDS_DRUM_FILL, ""},
    {"DrumFill", FEEDS_DRUM_FILL, ""},
    {"Drum Sub", FEEDS_DRUM_FILL, ""},
    {"Spare", FEEDS_UNUSED, ""},
    {"Mon 3", FEEDS_UNKNOWN, "Mon 3"},
    {"Aux 5", FEEDS_UNKNOWN, "Aux 5"},
    {"Mix 1", FEEDS_UNKNOWN, "Mix 1"},
    {"", FEEDS_UNKNOWN, ""},
    {"Gears", FEEDS_UNKNOWN, "Gears"},
    {"J\xc3\xb6rg wedge", FEEDS_WEDGE, "J\xc3\xb6rg"},
};

static void
labels_tell_kind_and_player(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(labels); i++) {
        char player[SHOW_NAME_SIZE];

        assert_row(labels[i].label, feeds_from_label(labels[i].label, player), labels[i].feeds);
        if (strcmp(player, labels[i].player) != 0)
            print_error("label \"%s\"\n", labels[i].label);
        assert_string_equal(player, labels[i].player);
    }
}

static void
kinds_have_their_names(void **state)
{
    static const char *const names[FEEDS_COUNT] = {"",          "wedge",  "side-fill",
                                                   "drum-fill", "in-ear", "unused"};

    (void)state;
    for (int feeds = FEEDS_WEDGE; feeds < FEEDS_COUNT; feeds++)
        assert_string_equal(feeds_name((enum feeds)feeds), names[feeds]);
}

static void
feedback_is_possible_where_a_loudspeaker_is(void **state)
{
    (void)state;
    assert_true(feeds_loudspeaker(FEEDS_WEDGE));
    assert_true(feeds_loudspeaker(FEEDS_SIDE_FILL));
    assert_true(feeds_loudspeaker(FEEDS_DRUM_FILL));
    assert_false(feeds_loudspeaker(FEEDS_IN_EAR));
    assert_false(feeds_loudspeaker(FEEDS_UNUSED));
    assert_false(feeds_loudspeaker(FEEDS_UNKNOWN));
}

/* A show that says nothing: no kinds, no players, and the checks' own settings. */
static void
silent_show_has_the_presets(void **state)
{
    struct show *show = check_set_show(check_set_all, 3, 2);

    (void)state;
    assert_non_null(show);
    assert_int_equal(show->role, ROLE_UNKNOWN);
    for (int i = 0; i < 3; i++) {
        assert_int_equal(show->inputs[i].source, SOURCE_UNKNOWN);
        assert_string_equal(show->inputs[i].player, "");
        assert_near(show->inputs[i].lowest_hz, 0, 0);
    }
    assert_int_equal(show->mixes[1].feeds, FEEDS_UNKNOWN);
    for (int check = 0; check < CHECKS; check++) {
        assert_false(show->checks[check].off);
        for (int s = 0; s < CHECK_SETTINGS && check_set_all.of[check]->settings[s].name; s++)
            assert_near_in(check_set_all.of[check]->settings[s].name,
                           show->checks[check].settings[s],
                           check_set_all.of[check]->settings[s].preset, 0);
    }
    show_free(show);
}

/* The show file's word wins over the label. */
static void
player_of_a_mix_is_the_shows_else_the_labels(void **state)
{
    struct rig *rig = *state;
    char player[SHOW_NAME_SIZE];

    rig_start(rig, 1, 3);
    rig_set_text(rig, PARAM_MIX_NAME, 0, "Ld Vox wedge");
    rig_set_text(rig, PARAM_MIX_NAME, 1, "Anna");
    rig_set_text(rig, PARAM_MIX_NAME, 2, "Wedge");
    player_of_mix(rig->desk, rig->show, 0, player);
    assert_string_equal(player, "Ld Vox");
    strcpy(rig->show->mixes[0].player, "lead vocal");
    player_of_mix(rig->desk, rig->show, 0, player);
    assert_string_equal(player, "lead vocal");
    player_of_mix(rig->desk, rig->show, 1, player);
    assert_string_equal(player, "Anna");
    player_of_mix(rig->desk, rig->show, 2, player);
    assert_string_equal(player, "");
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(labels_tell_kind_and_player),
        cmocka_unit_test(kinds_have_their_names),
        cmocka_unit_test(feedback_is_possible_where_a_loudspeaker_is),
        cmocka_unit_test(silent_show_has_the_presets),
        RIG_TEST(player_of_a_mix_is_the_shows_else_the_labels),
    };

    return cmocka_run_group_tests_name("mix_label", tests, NULL, NULL);
}
