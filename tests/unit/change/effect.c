/* SPDX-License-Identifier: MIT */
/* What a value that differs does to path gains: hand-made desks, each sum by hand. */
#include "rig.h"
#include "unit.h"

#include <math.h>

#include "change/effect.h"

enum { VOX, KEYS };

/* Two inputs into three mixes: the voice at 0, -6 and -12 dB, the keys at -3 dB into the last two. */
static struct desk *
start(struct rig *rig)
{
    static const double sends_db[2][3] = {{0, -6, -12}, {-HUGE_VAL, -3, -3}};

    rig_start(rig, 2, 3);
    for (int input = 0; input < 2; input++)
        for (int mix = 0; mix < 3; mix++)
            rig_set(rig, PARAM_SEND_LEVEL, input, mix, sends_db[input][mix]);
    return desk_copy(rig->desk);
}

static void
expect(struct rig *rig, const struct desk *before, enum param_id id, int row, int column,
       double louder_db, double softer_db, const char *says)
{
    struct offsets *offsets = offsets_new(before, rig->desk);
    struct effect effect = effect_of(offsets, id, row, column);
    char said[200];
    struct text text;

    assert_near_in(says, effect.louder_db, louder_db, 1e-9);
    assert_near_in(says, effect.softer_db, softer_db, 1e-9);
    text_init(&text, said, sizeof said);
    effect_says(&text, offsets, id, row, column);
    assert_string_equal(said, says);
    offsets_free(offsets);
}

static void
a_preamp_in_every_mix_it_is_sent_to(void **state)
{
    struct rig *rig = *state;
    struct desk *before = start(rig);

    rig_set(rig, PARAM_INPUT_PREAMP_GAIN, VOX, 0, 41.4);
    expect(rig, before, PARAM_INPUT_PREAMP_GAIN, VOX, 0, 11.4, 0, ", 11.4 dB louder in mixes 1-3");
    /* a send that goes down takes its part back, and makes none softer */
    rig_set(rig, PARAM_SEND_LEVEL, VOX, 1, -10);
    expect(rig, before, PARAM_INPUT_PREAMP_GAIN, VOX, 0, 11.4, 0,
           ", up to 11.4 dB louder in mixes 1-3");
    expect(rig, before, PARAM_SEND_LEVEL, VOX, 1, 0, 0, "");
    rig_set(rig, PARAM_SEND_LEVEL, VOX, 1, -40);
    expect(rig, before, PARAM_INPUT_PREAMP_GAIN, VOX, 0, 11.4, 0, ", 11.4 dB louder in mixes 1, 3");
    expect(rig, before, PARAM_SEND_LEVEL, VOX, 1, 0, 22.6, ", 22.6 dB softer");
    rig_set(rig, PARAM_SEND_LEVEL, VOX, 2, -HUGE_VAL);
    expect(rig, before, PARAM_INPUT_PREAMP_GAIN, VOX, 0, 11.4, 0, ", 11.4 dB louder in mix 1");
    expect(rig, before, PARAM_SEND_LEVEL, VOX, 2, 0, HUGE_VAL, ", closes the path");
    desk_free(before);
}

static void
a_retrim_makes_none_louder(void **state)
{
    struct rig *rig = *state;
    struct desk *before = start(rig);

    rig_set(rig, PARAM_INPUT_PREAMP_GAIN, VOX, 0, 24);
    for (int mix = 0; mix < 3; mix++)
        rig_set(rig, PARAM_SEND_LEVEL, VOX, mix, 6 - 6 * mix);
    expect(rig, before, PARAM_INPUT_PREAMP_GAIN, VOX, 0, 0, 0, "");
    expect(rig, before, PARAM_SEND_LEVEL, VOX, 0, 0, 0, "");
    desk_free(before);
}

static void
sends_and_masters_say_no_mix(void **state)
{
    struct rig *rig = *state;
    struct desk *before = start(rig);

    rig_set(rig, PARAM_MIX_FADER, 1, 0, 10);
    rig_set(rig, PARAM_SEND_LEVEL, KEYS, 0, -9);
    expect(rig, before, PARAM_MIX_FADER, 1, 0, 10, 0, ", 10 dB louder");
    expect(rig, before, PARAM_SEND_LEVEL, KEYS, 0, HUGE_VAL, 0, ", opens the path");
    rig_set(rig, PARAM_MIX_FADER, 2, 0, -HUGE_VAL);
    expect(rig, before, PARAM_MIX_FADER, 2, 0, 0, HUGE_VAL, ", closes the path");
    desk_free(before);
}

/* A pad that goes in is softer; what lies behind the tap of no send does nothing. */
static void
the_other_parts_of_a_path(void **state)
{
    struct rig *rig = *state;
    struct desk *before = start(rig);

    rig_set(rig, PARAM_INPUT_PAD, VOX, 0, 20);
    rig_set(rig, PARAM_INPUT_FADER, KEYS, 0, 5);
    rig_set(rig, PARAM_GROUP_FADER, 0, 0, 3);
    expect(rig, before, PARAM_INPUT_PAD, VOX, 0, 0, 20, ", 20 dB softer in mixes 1-3");
    expect(rig, before, PARAM_INPUT_FADER, KEYS, 0, 0, 0, "");
    expect(rig, before, PARAM_GROUP_FADER, 0, 0, 0, 0, "");
    expect(rig, before, PARAM_INPUT_MUTE, VOX, 0, 0, 0, "");
    desk_free(before);

    before = start(rig);
    rig_set(rig, PARAM_INPUT_FADER, KEYS, 0, -8);
    desk_set(before, PARAM_INPUT_FADER, KEYS, 0, -8, 1);
    rig_set(rig, PARAM_SEND_TAP, KEYS, 2, TAP_POST_FADER);
    expect(rig, before, PARAM_SEND_TAP, KEYS, 2, 0, 8, ", 8 dB softer");
    desk_set(before, PARAM_SEND_TAP, KEYS, 2, TAP_POST_FADER, 1);
    rig_set(rig, PARAM_INPUT_GROUP, KEYS, 1, 1);
    desk_set(before, PARAM_INPUT_GROUP, KEYS, 1, 1, 1);
    rig_set(rig, PARAM_GROUP_FADER, 1, 0, 4);
    expect(rig, before, PARAM_GROUP_FADER, 1, 0, 4, 0, ", 4 dB louder in mix 3");
    /* a fader that takes part of it back, and a group to which nobody belongs */
    rig_set(rig, PARAM_INPUT_FADER, KEYS, 0, -9);
    rig_set(rig, PARAM_GROUP_FADER, 0, 0, 9);
    expect(rig, before, PARAM_GROUP_FADER, 1, 0, 3, 0, ", 3 dB louder in mix 3");
    expect(rig, before, PARAM_INPUT_FADER, KEYS, 0, 0, 0, "");
    expect(rig, before, PARAM_GROUP_FADER, 0, 0, 0, 0, "");
    desk_set(before, PARAM_INPUT_GROUP, KEYS, 1, 0, 1);
    desk_set(before, PARAM_GROUP_FADER, 1, 0, 4, 1);
    expect(rig, before, PARAM_INPUT_GROUP, KEYS, 1, 3, 0, ", 3 dB louder in mix 3");
    desk_free(before);
}

/* Where no path is known there is still how far the control moved. */
static void
paths_that_are_not_known(void **state)
{
    struct rig *rig = *state;
    struct desk *before;

    rig_start(rig, 2, 3);
    rig_forget(rig, PARAM_SEND_TAP, SUPPLY_HEARD);
    rig_set(rig, PARAM_SEND_LEVEL, VOX, 0, 0);
    before = desk_copy(rig->desk);
    rig_set(rig, PARAM_INPUT_PREAMP_GAIN, VOX, 0, 36);
    rig_set(rig, PARAM_INPUT_PAD, KEYS, 0, 10);
    expect(rig, before, PARAM_INPUT_PREAMP_GAIN, VOX, 0, 6, 0,
           ", 6 dB louder (its paths are not known)");
    expect(rig, before, PARAM_INPUT_PAD, KEYS, 0, 0, 0, "");
    desk_free(before);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        RIG_TEST(a_preamp_in_every_mix_it_is_sent_to), RIG_TEST(a_retrim_makes_none_louder),
        RIG_TEST(sends_and_masters_say_no_mix), RIG_TEST(the_other_parts_of_a_path),
        RIG_TEST(paths_that_are_not_known)};

    return cmocka_run_group_tests_name("effect", tests, NULL, NULL);
}
