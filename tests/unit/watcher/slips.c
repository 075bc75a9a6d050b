/* SPDX-License-Identifier: MIT */
/* What a watch says to do about a hand that slipped: put it back, and nothing that makes up for it. */
#include <math.h>
#include <string.h>

#include "check/check.h"
#include "unit.h"
#include "watch_rig.h"

enum { MINUTE_MS = 60000 };

/* A vocal on input 1 with its own wedge, mix 1; approved or not. */
static struct watch_rig *
start(void **state, bool approved)
{
    struct watch_rig *rig = *state;

    watch_rig_start(rig, 4, 2, ROOM_DOORS);
    rig->rig.show->role = ROLE_MONITOR;
    rig->rig.show->checks[CHECK_OWN_SEND_OFF_UNITY].off = false;
    rig->rig.show->mixes[0].feeds = FEEDS_WEDGE;
    rig->rig.show->mixes[1].feeds = FEEDS_WEDGE;
    strcpy(rig->rig.show->inputs[0].player, "Ada");
    strcpy(rig->rig.show->mixes[0].player, "Ada");
    desk_set_travel(rig->rig.desk, PARAM_INPUT_PREAMP_GAIN, (struct travel){0, 60});
    desk_set_travel(rig->rig.desk, PARAM_SEND_LEVEL, (struct travel){-60, 10});
    rig_set(&rig->rig, PARAM_SEND_LEVEL, 0, 0, 0);
    rig_set(&rig->rig, PARAM_SEND_LEVEL, 0, 1, -12);
    if (approved)
        engine_set_approved(rig->rig.engine, desk_copy(rig->rig.desk));
    watch_rig_begin(rig);
    return rig;
}

/* What it says to do about the finding, "" where there is none. */
static const char *
advice(struct watch_rig *rig, int check, struct object object)
{
    const struct engine *engine = rig->rig.engine;
    static struct words words;

    engine_advice(engine, engine_slot(engine, engine_find(engine, check, object)), &words);
    return words.cure;
}

static void
move_and_wait(struct watch_rig *rig, enum param_id id, int row, int column, double number)
{
    watch_rig_move(rig, id, row, column, number);
    watch_rig_pass(rig, MINUTE_MS);
}

static const struct object input = {0, -1}, mix = {-1, 0};

static void
own_send_goes_back(void **state)
{
    for (int approved = 0; approved < 2; approved++) {
        struct watch_rig *rig = start(state, approved);

        move_and_wait(rig, PARAM_SEND_LEVEL, 0, 0, -26);
        assert_string_equal(advice(rig, CHECK_OWN_SEND_OFF_UNITY, input),
                            "if a hand slipped, put back: send into mix 1 Mix 1 \xe2\x88\x92"
                            "26 -> 0 dB; ends up to 26 dB louder, so slowly");
        assert_string_equal(advice(rig, CHECK_UNUSED_PREAMP_GAIN, input), "");
        move_and_wait(rig, PARAM_SEND_LEVEL, 0, 0, 0);
        move_and_wait(rig, PARAM_SEND_LEVEL, 0, 0, 4);
        move_and_wait(rig, PARAM_SEND_LEVEL, 0, 0, 10);
        assert_string_equal(advice(rig, CHECK_OWN_SEND_OFF_UNITY, input),
                            "if a hand slipped, put back: send into mix 1 Mix 1 10 -> 0 dB");
    }
}

static void
master_goes_back(void **state)
{
    for (int approved = 0; approved < 2; approved++) {
        struct watch_rig *rig = start(state, approved);

        move_and_wait(rig, PARAM_MIX_FADER, 0, 0, -7);
        assert_string_equal(advice(rig, CHECK_MASTER_OFF_UNITY, mix),
                            "if a hand slipped, put back: master \xe2\x88\x92"
                            "7 -> 0 dB; ends up to 7 dB louder, so slowly");
        watch_rig_move(rig, PARAM_MIX_FADER, 0, 0, 10);
        watch_rig_pass(rig, 1000);
        assert_string_equal(advice(rig, CHECK_VALUE_JUMPED, mix),
                            "if a hand slipped, put back: master 10 -> \xe2\x88\x92"
                            "7 dB");
        watch_rig_pass(rig, 3 * (int64_t)MINUTE_MS); /* left alone, the leap is over */
        assert_string_equal(advice(rig, CHECK_MASTER_OFF_UNITY, mix),
                            "if a hand slipped, put back: master 10 -> 0 dB");
    }
}

/* What a recall brought was meant: what stood before it is another song's. */
static void
a_recall_is_no_slip(void **state)
{
    struct watch_rig *rig = start(state, false);
    static const char hint[] = "if not, `gainwarden retrim` says what to move";

    for (int band = 0; band < 20; band++)
        rig_set(&rig->rig, PARAM_MIX_GRAPHIC_BAND_GAIN, 0, band, -1);
    for (int i = 0; i < 4; i++)
        for (int band = 0; band < 4; band++)
            rig_set(&rig->rig, PARAM_INPUT_EQ_BAND_GAIN, i, band, -1);
    rig_set(&rig->rig, PARAM_MIX_FADER, 1, 0, -0.4);
    rig_set(&rig->rig, PARAM_SEND_LEVEL, 0, 0, -5);
    watch_rig_move(rig, PARAM_MIX_FADER, 0, 0, -7);
    watch_rig_pass(rig, MINUTE_MS);
    assert_non_null(strstr(rig->text, "recall"));
    assert_contains(advice(rig, CHECK_MASTER_OFF_UNITY, mix), hint);
    /* and a slip behind it goes back to what it brought */
    move_and_wait(rig, PARAM_SEND_LEVEL, 0, 1, 8);
    move_and_wait(rig, PARAM_MIX_FADER, 1, 0, 5);
    assert_string_equal(advice(rig, CHECK_MASTER_OFF_UNITY, (struct object){-1, 1}),
                        "if a hand slipped, put back: master 5 -> \xe2\x88\x92"
                        "0.4 dB");
}

/* Whoever brings sends down and then the preamp up does not slip; the preamp alone does. */
static void
a_preamp_behind_its_sends_is_no_leap(void **state)
{
    struct watch_rig *rig = start(state, false);

    watch_rig_move(rig, PARAM_SEND_LEVEL, 0, 0, -10);
    watch_rig_move(rig, PARAM_SEND_LEVEL, 0, 1, -22);
    watch_rig_pass(rig, 1500);
    watch_rig_move(rig, PARAM_INPUT_PREAMP_GAIN, 0, 0, 40);
    watch_rig_pass(rig, 1000);
    assert_null(strstr(rig->text, "value-jumped"));
    watch_rig_pass(rig, MINUTE_MS);
    watch_rig_forget(rig);
    watch_rig_move(rig, PARAM_INPUT_PREAMP_GAIN, 0, 0, 50);
    watch_rig_pass(rig, 1000);
    assert_contains(rig->text, "raised value-jumped input 1");
    assert_contains(advice(rig, CHECK_VALUE_JUMPED, input), "put back: preamp 50 -> 40 dB");
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        WATCH_RIG_TEST(own_send_goes_back),
        WATCH_RIG_TEST(master_goes_back),
        WATCH_RIG_TEST(a_recall_is_no_slip),
        WATCH_RIG_TEST(a_preamp_behind_its_sends_is_no_leap),
    };

    return cmocka_run_group_tests_name("slips", tests, NULL, NULL);
}
