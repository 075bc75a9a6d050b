/* SPDX-License-Identifier: MIT */
/* What a move weighs beside the approved desk: up is not down, what hands ride counts from where it
 * is told as a jump, and lost protection weighs as the checks weigh it that look for it. */
#include "rig.h"
#include "unit.h"

#include <math.h>

#include "advice/scale.h"

enum { VOX, DI };
enum { WEDGE, EARS, UNUSED };

/* A voice into a wedge and into ears at 0 dB, a DI into a mix that nobody hears. */
static struct desk *
start(struct rig *rig)
{
    static const enum feeds feeds[] = {FEEDS_WEDGE, FEEDS_IN_EAR, FEEDS_UNUSED};

    rig_start(rig, 2, 3);
    for (int mix = 0; mix < 3; mix++)
        rig->show->mixes[mix].feeds = feeds[mix];
    rig_set(rig, PARAM_SEND_LEVEL, VOX, WEDGE, 0);
    rig_set(rig, PARAM_SEND_LEVEL, VOX, EARS, 0);
    rig_set(rig, PARAM_SEND_LEVEL, DI, UNUSED, 0);
    rig_set(rig, PARAM_MIX_LIMITER_ON, EARS, 0, 1);
    rig_set(rig, PARAM_MIX_LIMITER_ON, WEDGE, 0, 1);
    rig_set(rig, PARAM_MIX_GRAPHIC_BAND_GAIN, WEDGE, 10, -6);
    return desk_copy(rig->desk);
}

static enum weight
weigh(struct rig *rig, const struct desk *before, enum param_id id, int row, int column)
{
    const struct ground ground = {.desk = rig->desk, .show = rig->show};
    struct offsets *offsets = offsets_new(before, rig->desk);
    struct scale *scale = scale_new(&ground, &check_set_all, offsets);
    enum weight weight = scale_weigh(scale, id, row, column);

    assert_int_equal(scale_weigh(scale, id, row, column), weight); /* it leaves nothing behind */
    scale_free(scale);
    offsets_free(offsets);
    return weight;
}

static const struct row {
    const char *what;
    enum param_id id;
    int row, column;
    double to;
    enum weight weight;
} rows[] = {
    {"preamp 3 dB up", PARAM_INPUT_PREAMP_GAIN, VOX, 0, 33, WEIGHT_FIX},
    {"preamp 3 dB down", PARAM_INPUT_PREAMP_GAIN, VOX, 0, 27, WEIGHT_NOTE},
    {"preamp 11.4 dB up: fix at most", PARAM_INPUT_PREAMP_GAIN, VOX, 0, 41.4, WEIGHT_FIX},
    {"preamp 6 dB down", PARAM_INPUT_PREAMP_GAIN, VOX, 0, 24, WEIGHT_FIX},
    {"preamp half a dB up", PARAM_INPUT_PREAMP_GAIN, VOX, 0, 30.5, WEIGHT_NOTE},
    {"preamp 3 dB up, into nothing that is heard", PARAM_INPUT_PREAMP_GAIN, DI, 0, 33, WEIGHT_NOTE},
    {"send 11 dB up: more of me", PARAM_SEND_LEVEL, VOX, WEDGE, 10, WEIGHT_NOTE},
    {"send from off", PARAM_SEND_LEVEL, DI, WEDGE, -20, WEIGHT_FIX},
    {"send off", PARAM_SEND_LEVEL, VOX, WEDGE, -HUGE_VAL, WEIGHT_NOTE},
    {"master 6 dB up", PARAM_MIX_FADER, WEDGE, 0, 6, WEIGHT_FIX},
    {"master 5 dB up", PARAM_MIX_FADER, WEDGE, 0, 5, WEIGHT_NOTE},
    {"master 6 dB down", PARAM_MIX_FADER, WEDGE, 0, -6, WEIGHT_NOTE},
    {"mix trim 3 dB up", PARAM_MIX_TRIM, EARS, 0, 3, WEIGHT_FIX},
    {"mute", PARAM_INPUT_MUTE, VOX, 0, 1, WEIGHT_NOTE},
    {"limiter of ears off", PARAM_MIX_LIMITER_ON, EARS, 0, 0, WEIGHT_STOP},
    {"limiter of a wedge off", PARAM_MIX_LIMITER_ON, WEDGE, 0, 0, WEIGHT_FIX},
    {"high-pass into a wedge off", PARAM_INPUT_HIGH_PASS_ON, VOX, 0, 0, WEIGHT_FIX},
    {"corner of a high-pass", PARAM_INPUT_HIGH_PASS_FREQ, VOX, 0, 90, WEIGHT_NOTE},
    {"ring cut given back", PARAM_MIX_GRAPHIC_BAND_GAIN, WEDGE, 10, 0, WEIGHT_FIX},
    {"ring cut deeper", PARAM_MIX_GRAPHIC_BAND_GAIN, WEDGE, 10, -8, WEIGHT_NOTE},
    {"48 V on", PARAM_INPUT_PHANTOM, VOX, 0, 1, WEIGHT_FIX},
    {"group", PARAM_GROUP_FADER, 0, 0, -4, WEIGHT_NOTE},
};

static void
each_move_by_itself(void **state)
{
    struct rig *rig = *state;

    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const struct row *row = &rows[i];
        struct desk *before = start(rig);

        rig_set(rig, row->id, row->row, row->column, row->to);
        if (weigh(rig, before, row->id, row->row, row->column) != row->weight)
            fail_msg("%s: %s", row->what,
                     weight_name(weigh(rig, before, row->id, row->row, row->column)));
        desk_free(before);
    }
}

/* What else moved of the object weighs by itself. */
static void
a_small_move_beside_a_large_one(void **state)
{
    struct rig *rig = *state;
    struct desk *before = start(rig);

    rig_set(rig, PARAM_MIX_LIMITER_ON, EARS, 0, 0);
    rig_set(rig, PARAM_MIX_GRAPHIC_BAND_GAIN, EARS, 3, -2);
    assert_int_equal(weigh(rig, before, PARAM_MIX_LIMITER_ON, EARS, 0), WEIGHT_STOP);
    assert_int_equal(weigh(rig, before, PARAM_MIX_GRAPHIC_BAND_GAIN, EARS, 3), WEIGHT_NOTE);
    desk_free(before);
}

/* A check that the show switches off, and a limiter that sits elsewhere. */
static void
as_the_show_has_it(void **state)
{
    struct rig *rig = *state;
    struct desk *before = start(rig);

    rig_set(rig, PARAM_MIX_LIMITER_ON, EARS, 0, 0);
    rig->show->mixes[EARS].limited_elsewhere = true;
    assert_int_equal(weigh(rig, before, PARAM_MIX_LIMITER_ON, EARS, 0), WEIGHT_FIX);
    rig_set(rig, PARAM_INPUT_PREAMP_GAIN, VOX, 0, 24);
    rig->show->checks[CHECK_MOVED_FROM_APPROVED].off = true;
    assert_int_equal(weigh(rig, before, PARAM_INPUT_PREAMP_GAIN, VOX, 0), WEIGHT_NOTE);
    rig_set(rig, PARAM_INPUT_PREAMP_GAIN, VOX, 0, 34);
    assert_int_equal(weigh(rig, before, PARAM_INPUT_PREAMP_GAIN, VOX, 0), WEIGHT_FIX);
    rig->show->checks[CHECK_MOVED_FROM_APPROVED].settings[0] = 5;
    assert_int_equal(weigh(rig, before, PARAM_INPUT_PREAMP_GAIN, VOX, 0), WEIGHT_NOTE);
    desk_free(before);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {RIG_TEST(each_move_by_itself),
                                       RIG_TEST(a_small_move_beside_a_large_one),
                                       RIG_TEST(as_the_show_has_it)};

    return cmocka_run_group_tests_name("scale", tests, NULL, NULL);
}
