/* SPDX-License-Identifier: MIT */
/* Unknown is not fine, and not a fault either. For every check there is a scene in which it finds
 * something; then each value it rests on is taken away in three ways: never heard, not named by the
 * profile, gone stale. It must end as not known with that reason and without a figure, tell
 * nothing, and keep what was open.
 */
#include "unit.h"

#include <math.h>
#include <string.h>

#include "core/text.h"
#include "desk/source.h"
#include "rig.h"
#include "stage_rig.h"

typedef void scene_fn(struct rig *rig);

static void
wedge_and_singer(struct rig *rig)
{
    rig_start(rig, 2, 2);
    rig_set_text(rig, PARAM_INPUT_NAME, 0, "Ld Vox");
    rig_set_text(rig, PARAM_MIX_NAME, 0, "Wedge 1");
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, -14);
}

/* As above, the send behind a fader in a group, and the preamps numbered. */
static void
post_fader_send(struct rig *rig)
{
    wedge_and_singer(rig);
    rig_set(rig, PARAM_INPUT_GROUP, 0, 0, 1);
    rig_set(rig, PARAM_GROUP_FADER, 0, 0, -0.5);
    rig_set(rig, PARAM_SEND_TAP, 0, 0, TAP_POST_FADER);
    rig_set(rig, PARAM_INPUT_FADER, 0, 0, -2);
    rig_forget(rig, PARAM_INPUT_PREAMP, SUPPLY_HEARD);
    rig_set(rig, PARAM_INPUT_PREAMP, 0, 0, 0);
    rig_set(rig, PARAM_INPUT_PREAMP, 1, 0, 1);
}

/* As above, behind a compressor, too. */
static void
whole_strip(struct rig *rig)
{
    post_fader_send(rig);
    rig_set(rig, PARAM_INPUT_COMP_ON, 0, 0, 1);
}

static void
house_desk(struct rig *rig)
{
    post_fader_send(rig);
    rig->show->role = ROLE_HOUSE;
}

static void
monitor_desk(struct rig *rig)
{
    post_fader_send(rig);
    rig->show->role = ROLE_MONITOR;
}

/* The player's own send is too loud, so that the preamp is asked for nothing else. */
static void
own_send(struct rig *rig)
{
    whole_strip(rig);
    strcpy(rig->show->inputs[0].player, "singer");
    strcpy(rig->show->mixes[0].player, "singer");
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, -5);
    rig_set(rig, PARAM_INPUT_FADER, 0, 0, 0);
}

static void
eight_cuts(struct rig *rig)
{
    wedge_and_singer(rig);
    rig_forget(rig, PARAM_MIX_GRAPHIC_BAND_FREQ, SUPPLY_HEARD);
    for (int band = 0; band < 31; band++)
        for (int mix = 0; mix < 2; mix++)
            rig_set(rig, PARAM_MIX_GRAPHIC_BAND_FREQ, mix, band, 20 * pow(10, band / 10.0));
    for (int band = 0; band < 8; band++)
        rig_set(rig, PARAM_MIX_GRAPHIC_BAND_GAIN, 0, 2 * band, -6);
    /* a flat band's frequency would not matter */
    for (int band = 0; band < 4; band++)
        rig_set(rig, PARAM_MIX_EQ_BAND_GAIN, 0, band, 1);
}

/* Each strip has a filter of its own that is far too low. */
static void
filtered_strips(struct rig *rig)
{
    whole_strip(rig);
    rig_set(rig, PARAM_INPUT_EQ_BAND_SHAPE, 0, 0, SHAPE_HIGH_PASS);
    rig_set(rig, PARAM_INPUT_EQ_BAND_FREQ, 0, 0, 20);
    rig_set(rig, PARAM_MIX_EQ_BAND_SHAPE, 0, 0, SHAPE_HIGH_PASS);
    rig_set(rig, PARAM_MIX_EQ_BAND_FREQ, 0, 0, 20);
    rig_set(rig, PARAM_MIX_HIGH_PASS_ON, 0, 0, 1);
    rig_set(rig, PARAM_MIX_HIGH_PASS_FREQ, 0, 0, 20);
    rig_set(rig, PARAM_MIX_HIGH_PASS_SLOPE, 0, 0, 12);
}

static void
no_high_pass(struct rig *rig)
{
    filtered_strips(rig);
    rig_set(rig, PARAM_INPUT_EQ_BAND_ON, 0, 0, 0);
    rig_set(rig, PARAM_INPUT_HIGH_PASS_ON, 0, 0, 0);
}

static void
low_high_pass(struct rig *rig)
{
    filtered_strips(rig);
    rig_set(rig, PARAM_INPUT_HIGH_PASS_FREQ, 0, 0, 30);
}

/* By a band of the equaliser; the filter itself is as usual. */
static void
high_high_pass(struct rig *rig)
{
    filtered_strips(rig);
    rig_set(rig, PARAM_INPUT_EQ_BAND_FREQ, 0, 0, 600);
}

static void
master_low(struct rig *rig)
{
    wedge_and_singer(rig);
    rig_set(rig, PARAM_MIX_FADER, 0, 0, -8);
}

static void
master_down(struct rig *rig)
{
    post_fader_send(rig);
    rig_set(rig, PARAM_MIX_FADER, 0, 0, -HUGE_VAL);
}

/* Open before the fader, closed behind it. */
static void
master_down_fader_down(struct rig *rig)
{
    master_down(rig);
    rig_set(rig, PARAM_SEND_TAP, 0, 0, TAP_PRE_FADER);
    rig_set(rig, PARAM_INPUT_FADER, 0, 0, -HUGE_VAL);
}

static void
boosted_input(struct rig *rig)
{
    post_fader_send(rig);
    for (int band = 0; band < 4; band++) {
        rig_set(rig, PARAM_INPUT_EQ_BAND_FREQ, 0, band, 1000 * (band + 1));
        rig_set(rig, PARAM_INPUT_EQ_BAND_GAIN, 0, band, 6);
    }
}

static void
boosted_mix(struct rig *rig)
{
    eight_cuts(rig);
    for (int band = 0; band < 4; band++) {
        rig_set(rig, PARAM_MIX_EQ_BAND_FREQ, 0, band, 1000 * (band + 1));
        rig_set(rig, PARAM_MIX_EQ_BAND_GAIN, 0, band, 6);
    }
    for (int mix = 0; mix < 2; mix++) {
        rig_set(rig, PARAM_MIX_HIGH_PASS_ON, mix, 0, 1);
        rig_set(rig, PARAM_MIX_HIGH_PASS_FREQ, mix, 0, 80);
        rig_set(rig, PARAM_MIX_HIGH_PASS_SLOPE, mix, 0, 12);
    }
}

static void
make_up(struct rig *rig)
{
    post_fader_send(rig);
    rig_set(rig, PARAM_INPUT_COMP_ON, 0, 0, 1);
    rig_set(rig, PARAM_INPUT_COMP_MAKEUP, 0, 0, 6);
}

static void
nothing_plugged_in(struct rig *rig)
{
    post_fader_send(rig);
    rig_set_text(rig, PARAM_INPUT_NAME, 0, "Spare");
}

/* Two of them, so that two are already too many. */
static void
open_microphones(struct rig *rig)
{
    post_fader_send(rig);
    rig_set_text(rig, PARAM_INPUT_NAME, 1, "BV 1");
    rig_set(rig, PARAM_SEND_LEVEL, 1, 0, 0);
    rig->show->checks[CHECK_OPEN_MICROPHONES].settings[0] = 2;
}

static void
bare_ears(struct rig *rig)
{
    wedge_and_singer(rig);
    rig_set_text(rig, PARAM_MIX_NAME, 0, "Ld Vox IEM");
    rig_set(rig, PARAM_MIX_LIMITER_RATIO, 0, 0, 2);
}

/* A limiter that the master behind it undoes. */
static void
lifted_ears(struct rig *rig)
{
    bare_ears(rig);
    rig_set(rig, PARAM_MIX_LIMITER_RATIO, 0, 0, 20);
    rig_set(rig, PARAM_MIX_FADER, 0, 0, 4);
    rig_set(rig, PARAM_MIX_TRIM, 0, 0, 2);
    desk_set_filters(rig->desk,
                     (struct desk_filters){.rate_hz = 48000, .limiter = LIMITER_BEFORE_MASTER});
}

/* What only some desks publish. */
static void
soft_ears(struct rig *rig)
{
    bare_ears(rig);
    rig_set(rig, PARAM_MIX_LIMITER_RATIO, 0, 0, 20);
    rig_set(rig, PARAM_MIX_LEVEL, 0, 0, -30);
}

static void
slow_ears(struct rig *rig, enum param_id id, double ms)
{
    bare_ears(rig);
    rig_set(rig, PARAM_MIX_LIMITER_RATIO, 0, 0, 20);
    rig_forget(rig, id, SUPPLY_HEARD);
    for (int mix = 0; mix < 2; mix++)
        rig_set(rig, id, mix, 0, ms);
}

static void
late_ears(struct rig *rig)
{
    slow_ears(rig, PARAM_MIX_LIMITER_ATTACK, 50);
}

static void
long_ears(struct rig *rig)
{
    slow_ears(rig, PARAM_MIX_LIMITER_RELEASE, 3000);
}

static void
dead_overhead(struct rig *rig)
{
    wedge_and_singer(rig);
    rig_set_text(rig, PARAM_INPUT_NAME, 0, "OH L");
    rig_set(rig, PARAM_INPUT_PHANTOM, 0, 0, 0);
}

static void
hot_input(struct rig *rig)
{
    wedge_and_singer(rig);
    rig_set(rig, PARAM_INPUT_LEVEL, 0, 0, -2);
}

static void
faint_input(struct rig *rig)
{
    post_fader_send(rig);
    rig_set(rig, PARAM_INPUT_LEVEL, 0, 0, -50);
}

/* By the plan a singer's cardioid stands beside a wedge, on a desk of which every part of the path does
 * something, so that every part is asked for. */
static void
near_a_ring(struct rig *rig)
{
    struct stage *stage = stage_new();
    struct stage_microphone *microphone = stage_rig_microphone(stage, 0, (struct place){0, 1, 1.6});
    struct stage_loudspeaker *wedge =
        stage_rig_loudspeaker(stage, 0, (struct place){1.5, 0.6, 0.3});

    stage->critical_m.number = HUGE_VAL;
    stage->calibration_db.how = microphone->sensitivity_mv_per_pa.how = GIVEN;
    wedge->sensitivity_db.how = wedge->amplifier_db.how = GIVEN;
    rig_start_plan(rig, 2, 2, stage);
    rig_set_text(rig, PARAM_INPUT_NAME, 0, "Ld Vox");
    rig_set_text(rig, PARAM_MIX_NAME, 0, "Wedge 1");
    rig_set(rig, PARAM_INPUT_PREAMP_GAIN, 0, 0, 60);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, 0);
    rig_set(rig, PARAM_SEND_TAP, 0, 0, TAP_POST_FADER);
    rig_set(rig, PARAM_INPUT_GROUP, 0, 0, 1);
    rig_set(rig, PARAM_INPUT_COMP_ON, 0, 0, 1);
    rig_set(rig, PARAM_MIX_HIGH_PASS_ON, 0, 0, 1);
    rig_set(rig, PARAM_MIX_HIGH_PASS_SLOPE, 0, 0, 12);
    rig_forget(rig, PARAM_MIX_GRAPHIC_BAND_FREQ, SUPPLY_HEARD);
    for (int band = 0; band < 31; band++) {
        for (int mix = 0; mix < 2; mix++)
            rig_set(rig, PARAM_MIX_GRAPHIC_BAND_FREQ, mix, band, 20 * pow(10, band / 10.0));
        rig_set(rig, PARAM_MIX_GRAPHIC_BAND_GAIN, 0, band, 1);
    }
    for (int band = 0; band < 4; band++) {
        rig_set(rig, PARAM_INPUT_EQ_BAND_GAIN, 0, band, 1);
        rig_set(rig, PARAM_MIX_EQ_BAND_GAIN, 0, band, 1);
    }
}

/* What each check needs to know in a scene; ended by PARAMS. */
#define BEHIND_FADER                                                                               \
    PARAM_SEND_ON, PARAM_SEND_LEVEL, PARAM_INPUT_FADER, PARAM_INPUT_GROUP, PARAM_GROUP_FADER,      \
        PARAM_GROUP_MUTE
#define SEND BEHIND_FADER, PARAM_SEND_TAP
#define LEVEL                                                                                      \
    SEND, PARAM_INPUT_PREAMP_GAIN, PARAM_INPUT_PAD, PARAM_INPUT_TRIM, PARAM_INPUT_COMP_ON,         \
        PARAM_INPUT_COMP_MAKEUP, PARAM_MIX_FADER, PARAM_MIX_TRIM
#define MIX_HIGH_PASS                                                                              \
    PARAM_MIX_HIGH_PASS_ON, PARAM_MIX_HIGH_PASS_FREQ, PARAM_MIX_HIGH_PASS_SLOPE, PARAM_MIX_EQ_ON,  \
        PARAM_MIX_EQ_BAND_ON, PARAM_MIX_EQ_BAND_SHAPE, PARAM_MIX_EQ_BAND_FREQ
#define INPUT_HIGH_PASS                                                                            \
    PARAM_INPUT_NAME, PARAM_INPUT_MUTE, PARAM_INPUT_HIGH_PASS_ON, PARAM_INPUT_HIGH_PASS_FREQ,      \
        PARAM_INPUT_HIGH_PASS_SLOPE, PARAM_INPUT_EQ_ON, PARAM_INPUT_EQ_BAND_ON,                    \
        PARAM_INPUT_EQ_BAND_SHAPE, PARAM_INPUT_EQ_BAND_FREQ

static const enum param_id path[] = {LEVEL, PARAM_INPUT_MUTE, PARAM_INPUT_PREAMP, PARAMS};
static const enum param_id send[] = {SEND, PARAMS};
static const enum param_id behind_fader[] = {BEHIND_FADER, PARAMS};
static const enum param_id tap[] = {PARAM_SEND_TAP, PARAMS};
static const enum param_id master[] = {PARAM_MIX_FADER, PARAMS};
static const enum param_id high_filter[] = {INPUT_HIGH_PASS, LEVEL, PARAMS};
static const enum param_id low_filter[] = {INPUT_HIGH_PASS, LEVEL, MIX_HIGH_PASS, PARAMS};
static const enum param_id no_filter[] = {LEVEL,
                                          MIX_HIGH_PASS,
                                          PARAM_INPUT_NAME,
                                          PARAM_INPUT_MUTE,
                                          PARAM_INPUT_HIGH_PASS_ON,
                                          PARAM_INPUT_EQ_ON,
                                          PARAM_INPUT_EQ_BAND_ON,
                                          PARAM_INPUT_EQ_BAND_SHAPE,
                                          PARAM_MIX_NAME,
                                          PARAMS};
static const enum param_id equaliser[] = {PARAM_MIX_NAME,
                                          PARAM_MIX_GRAPHIC_ON,
                                          PARAM_MIX_GRAPHIC_BAND_GAIN,
                                          PARAM_MIX_GRAPHIC_BAND_FREQ,
                                          PARAM_MIX_EQ_ON,
                                          PARAM_MIX_EQ_BAND_ON,
                                          PARAM_MIX_EQ_BAND_SHAPE,
                                          PARAM_MIX_EQ_BAND_FREQ,
                                          PARAM_MIX_EQ_BAND_GAIN,
                                          PARAM_MIX_EQ_BAND_Q,
                                          PARAMS};

#define REACH SEND, PARAM_MIX_NAME
static const enum param_id input_boost[] = {REACH,
                                            PARAM_INPUT_MUTE,
                                            PARAM_INPUT_HIGH_PASS_ON,
                                            PARAM_INPUT_HIGH_PASS_FREQ,
                                            PARAM_INPUT_HIGH_PASS_SLOPE,
                                            PARAM_INPUT_EQ_ON,
                                            PARAM_INPUT_EQ_BAND_ON,
                                            PARAM_INPUT_EQ_BAND_SHAPE,
                                            PARAM_INPUT_EQ_BAND_FREQ,
                                            PARAM_INPUT_EQ_BAND_GAIN,
                                            PARAM_INPUT_EQ_BAND_Q,
                                            PARAMS};
static const enum param_id mix_boost[] = {PARAM_MIX_NAME,
                                          PARAM_MIX_HIGH_PASS_ON,
                                          PARAM_MIX_HIGH_PASS_FREQ,
                                          PARAM_MIX_HIGH_PASS_SLOPE,
                                          PARAM_MIX_EQ_ON,
                                          PARAM_MIX_EQ_BAND_ON,
                                          PARAM_MIX_EQ_BAND_SHAPE,
                                          PARAM_MIX_EQ_BAND_FREQ,
                                          PARAM_MIX_EQ_BAND_GAIN,
                                          PARAM_MIX_EQ_BAND_Q,
                                          PARAM_MIX_GRAPHIC_ON,
                                          PARAM_MIX_GRAPHIC_BAND_GAIN,
                                          PARAM_MIX_GRAPHIC_BAND_FREQ,
                                          PARAMS};
static const enum param_id compressor[] = {REACH, PARAM_INPUT_MUTE, PARAM_INPUT_COMP_ON,
                                           PARAM_INPUT_COMP_MAKEUP, PARAMS};
static const enum param_id unused[] = {REACH, PARAM_INPUT_MUTE, PARAM_INPUT_NAME,
                                       PARAM_INPUT_PREAMP_GAIN, PARAMS};
static const enum param_id microphones[] = {REACH, PARAM_INPUT_MUTE, PARAM_INPUT_NAME,
                                            PARAM_INPUT_PREAMP, PARAMS};
static const enum param_id limiter[] = {PARAM_MIX_NAME, PARAM_MIX_LIMITER_ON,
                                        PARAM_MIX_LIMITER_THRESHOLD, PARAM_MIX_LIMITER_RATIO,
                                        PARAMS};
static const enum param_id lifted[] = {PARAM_MIX_FADER, PARAM_MIX_TRIM, PARAMS};
static const enum param_id level[] = {PARAM_MIX_LEVEL, PARAMS};
static const enum param_id attack[] = {PARAM_MIX_LIMITER_ATTACK, PARAMS};
static const enum param_id release[] = {PARAM_MIX_LIMITER_RELEASE, PARAMS};
static const enum param_id phantom[] = {PARAM_INPUT_NAME, PARAM_INPUT_PHANTOM, PARAMS};
static const enum param_id meter[] = {PARAM_INPUT_LEVEL, PARAM_INPUT_PREAMP_GAIN, PARAMS};
static const enum param_id open_meter[] = {REACH, PARAM_INPUT_LEVEL, PARAM_INPUT_MUTE, PARAMS};

static const enum param_id loop[] = {LEVEL,
                                     PARAM_INPUT_MUTE,
                                     PARAM_INPUT_HIGH_PASS_ON,
                                     PARAM_INPUT_HIGH_PASS_FREQ,
                                     PARAM_INPUT_HIGH_PASS_SLOPE,
                                     PARAM_INPUT_EQ_ON,
                                     PARAM_INPUT_EQ_BAND_ON,
                                     PARAM_INPUT_EQ_BAND_SHAPE,
                                     PARAM_INPUT_EQ_BAND_FREQ,
                                     PARAM_INPUT_EQ_BAND_GAIN,
                                     PARAM_INPUT_EQ_BAND_Q,
                                     PARAM_MIX_MUTE,
                                     PARAM_MIX_HIGH_PASS_ON,
                                     PARAM_MIX_HIGH_PASS_FREQ,
                                     PARAM_MIX_HIGH_PASS_SLOPE,
                                     PARAM_MIX_EQ_ON,
                                     PARAM_MIX_EQ_BAND_ON,
                                     PARAM_MIX_EQ_BAND_SHAPE,
                                     PARAM_MIX_EQ_BAND_FREQ,
                                     PARAM_MIX_EQ_BAND_GAIN,
                                     PARAM_MIX_EQ_BAND_Q,
                                     PARAM_MIX_GRAPHIC_ON,
                                     PARAM_MIX_GRAPHIC_BAND_GAIN,
                                     PARAM_MIX_GRAPHIC_BAND_FREQ,
                                     PARAMS};

static const struct scene {
    const char *check;
    scene_fn *set;
    struct object object;
    const enum param_id *needs;
} scenes[] = {
    {"unused-preamp-gain", whole_strip, {0, -1}, path},
    {"too-many-cuts", eight_cuts, {-1, 0}, equaliser},
    {"high-pass-missing", no_high_pass, {0, -1}, no_filter},
    {"high-pass-low", low_high_pass, {0, -1}, low_filter},
    {"high-pass-high", high_high_pass, {0, -1}, high_filter},
    {"master-off-unity", master_low, {-1, 0}, master},
    {"master-off-unity", master_down, {-1, 0}, behind_fader},
    {"master-off-unity", master_down_fader_down, {-1, 0}, tap},
    {"own-send-off-unity", own_send, {0, -1}, path},
    {"send-follows-fader", house_desk, {-1, 0}, send},
    {"send-follows-fader", monitor_desk, {-1, 0}, send},
    {"send-follows-fader", post_fader_send, {-1, -1}, send},
    {"boost-into-wedge", boosted_input, {0, -1}, input_boost},
    {"boost-into-wedge", boosted_mix, {-1, 0}, mix_boost},
    {"make-up-into-wedge", make_up, {0, -1}, compressor},
    {"open-unused-input", nothing_plugged_in, {0, -1}, unused},
    {"open-microphones", open_microphones, {-1, 0}, microphones},
    {"ears-unprotected", bare_ears, {-1, 0}, limiter},
    {"ears-unprotected", lifted_ears, {-1, 0}, lifted},
    {"ears-unprotected", soft_ears, {-1, 0}, level},
    {"ears-unprotected", late_ears, {-1, 0}, attack},
    {"ears-unprotected", long_ears, {-1, 0}, release},
    {"phantom-mismatch", dead_overhead, {0, -1}, phantom},
    {"input-hot", hot_input, {0, -1}, meter},
    {"input-faint", faint_input, {0, -1}, open_meter},
    {"loop-margin", near_a_ring, {-1, 0}, loop},
    {"microphone-aim", near_a_ring, {0, -1}, loop},
};

static const struct verdict *
judge(struct rig *rig, const struct scene *scene)
{
    if (scene->object.input >= 0)
        return rig_judge_input(rig, scene->check, scene->object.input);
    if (scene->object.mix >= 0)
        return rig_judge_mix(rig, scene->check, scene->object.mix);
    return rig_judge_desk(rig, scene->check);
}

static int
told(const struct rig *rig, const struct scene *scene)
{
    return rig_told(rig, scene->check, EVENT_RAISED) + rig_told(rig, scene->check, EVENT_WORSE) +
           rig_told(rig, scene->check, EVENT_CLEARED);
}

/* "send.on of input 1, mix 1": the first of its kind, with what follows. */
static const char *
reason(enum param_id id, const char *what)
{
    static char buffer[200];
    struct text text;

    text_init(&text, buffer, sizeof buffer);
    text_add(&text, "%s of %s 1", params[id].name, index_placeholder(params[id].row));
    if (params[id].column != INDEX_NONE)
        text_add(&text, ", %s 1", index_placeholder(params[id].column));
    text_add(&text, " %s", what);
    return buffer;
}

static void
is_not_known(struct rig *rig, const struct scene *scene, const char *why)
{
    const struct verdict *verdict = judge(rig, scene);

    if (verdict->outcome != OUTCOME_NOT_KNOWN || strncmp(rig->why, why, strlen(why)) != 0)
        print_error("%s: outcome %d, why \"%s\"\n", scene->check, (int)verdict->outcome, rig->why);
    assert_int_equal(verdict->outcome, OUTCOME_NOT_KNOWN);
    assert_memory_equal(rig->why, why, strlen(why));
    /* never a number */
    assert_int_equal(verdict->figure_count, 0);
}

static void
every_scene_is_a_finding(void **state)
{
    struct rig *rig = *state;

    for (size_t i = 0; i < COUNT(scenes); i++) {
        scenes[i].set(rig);
        assert_row(scenes[i].check, judge(rig, &scenes[i])->outcome, OUTCOME_FINDING);
        assert_int_equal(rig_told(rig, scenes[i].check, EVENT_RAISED), 1);
    }
}

static void
never_heard_is_not_known(void **state)
{
    struct rig *rig = *state;

    for (size_t i = 0; i < COUNT(scenes); i++)
        for (const enum param_id *id = scenes[i].needs; *id != PARAMS; id++) {
            scenes[i].set(rig);
            rig_forget(rig, *id, SUPPLY_HEARD);
            is_not_known(rig, &scenes[i], reason(*id, "was never heard"));
            assert_int_equal(rig_told(rig, scenes[i].check, EVENT_RAISED), 0);
        }
}

/* What a check asks only of desks that publish it: without it the rest decides. */
static bool
is_extra(enum param_id id)
{
    return id == PARAM_MIX_LEVEL || id == PARAM_MIX_LIMITER_ATTACK ||
           id == PARAM_MIX_LIMITER_RELEASE;
}

/* Two parameters have a fallback where the profile does not name them: preamps are one per input,
 * graphic bands stand at the standard centres. */
static void
not_named_is_not_known(void **state)
{
    struct rig *rig = *state;

    for (size_t i = 0; i < COUNT(scenes); i++)
        for (const enum param_id *id = scenes[i].needs; *id != PARAMS; id++) {
            char why[200];
            struct text text;

            text_init(&text, why, sizeof why);
            text_add(&text, "the profile does not name %s (add it, or a constant under \"fixed\")",
                     params[*id].name);
            scenes[i].set(rig);
            rig_forget(rig, *id, SUPPLY_NONE);
            if (*id == PARAM_INPUT_PREAMP || *id == PARAM_MIX_GRAPHIC_BAND_FREQ)
                assert_row(scenes[i].check, judge(rig, &scenes[i])->outcome, OUTCOME_FINDING);
            else if (is_extra(*id))
                assert_row(scenes[i].check, judge(rig, &scenes[i])->outcome, OUTCOME_PASS);
            else
                is_not_known(rig, &scenes[i], why);
        }
}

/* A finding whose ground went stale stays open, frozen, with its last numbers and words; hearing
 * the same value again thaws it, and nobody is told. */
static void
stale_freezes_the_finding(void **state)
{
    struct rig *rig = *state;

    for (size_t i = 0; i < COUNT(scenes); i++)
        for (const enum param_id *id = scenes[i].needs; *id != PARAMS; id++) {
            const struct scene *scene = &scenes[i];
            const struct finding *finding;
            double severity, number;
            char label[DESK_TEXT_SIZE];
            struct words words, frozen;

            scene->set(rig);
            severity = judge(rig, scene)->severity;
            words = rig->words;
            rig_stale(rig, *id, 0, 0);
            is_not_known(rig, scene, reason(*id, "is stale"));
            assert_int_equal(told(rig, scene), 0);
            finding = rig_finding(rig, scene->check, scene->object.input, scene->object.mix);
            assert_non_null(finding);
            assert_true(finding->life.frozen);
            assert_near_in(scene->check, finding->verdict.severity, severity, 0);
            engine_words(rig->engine, finding, &frozen);
            assert_string_equal(frozen.says, words.says);
            assert_string_equal(frozen.cure, words.cure);

            number = value_last_heard(desk_value(rig->desk, *id, 0, 0));
            if (params[*id].unit == UNIT_TEXT) {
                strcpy(label, desk_text(rig->desk, *id, 0, 0));
                rig_set_text(rig, *id, 0, label);
            } else {
                rig_set(rig, *id, 0, 0, number);
            }
            assert_row(scene->check, judge(rig, scene)->outcome, OUTCOME_FINDING);
            assert_int_equal(told(rig, scene), 0);
        }
}

/* What the show file tells need not be heard. */
static void
show_file_stands_in_for_labels(void **state)
{
    struct rig *rig = *state;

    for (size_t i = 0; i < COUNT(scenes); i++) {
        scenes[i].set(rig);
        for (int n = 0; n < 2; n++) {
            char rest[SHOW_NAME_SIZE];
            int source = source_from_label(desk_text(rig->desk, PARAM_INPUT_NAME, n, 0));
            enum feeds feeds = feeds_from_label(desk_text(rig->desk, PARAM_MIX_NAME, n, 0), rest);

            rig->show->inputs[n].source =
                source != SOURCE_UNKNOWN ? source : rig_source("lead-vocal");
            rig->show->mixes[n].feeds = feeds != FEEDS_UNKNOWN ? feeds : FEEDS_WEDGE;
        }
        rig_forget(rig, PARAM_INPUT_NAME, SUPPLY_HEARD);
        rig_forget(rig, PARAM_MIX_NAME, SUPPLY_HEARD);
        assert_row(scenes[i].check, judge(rig, &scenes[i])->outcome, OUTCOME_FINDING);
        assert_false(rig->verdict.inferred);
    }
}

static bool
is_needed(const char *check, enum param_id id)
{
    for (size_t i = 0; i < COUNT(scenes); i++)
        for (const enum param_id *need = scenes[i].needs; *need != PARAMS; need++)
            if (strcmp(scenes[i].check, check) == 0 && *need == id)
                return true;
    return false;
}

/* Whether something made up for a leap of a master is asked by a watch alone. */
static bool
is_of_leaps(int check, enum param_id id)
{
    static const enum param_id parts[] = {PARAM_INPUT_PREAMP_GAIN, PARAM_INPUT_PAD,
                                          PARAM_INPUT_TRIM,        PARAM_INPUT_COMP_ON,
                                          PARAM_INPUT_COMP_MAKEUP, PARAM_MIX_TRIM};
    size_t i = 0;

    while (i < COUNT(parts) && parts[i] != id)
        i++;
    return check == CHECK_MASTER_OFF_UNITY && i < COUNT(parts);
}

/* The scenes leave out nothing that a check says it reads; labels also stand in its sentences. What
 * only a watch asks rests on what it remembers, which a scene has not: watcher.c and
 * watcher_property.c of tests/unit/watcher and silence_property.c of tests/unit/engine take its
 * values away. */
static void
scenes_cover_what_checks_read(void **state)
{
    (void)state;
    for (int check = 0; check < CHECKS; check++)
        for (const enum param_id *id = check_set_all.of[check]->reads; *id != PARAMS; id++) {
            if (params[*id].unit == UNIT_TEXT || check_set_all.of[check]->watch_only ||
                is_of_leaps(check, *id) || is_needed(check_name(check), *id))
                continue;
            print_error("%s reads %s, which no scene takes away\n", check_name(check),
                        params[*id].name);
            fail();
        }
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        RIG_TEST(every_scene_is_a_finding),       RIG_TEST(never_heard_is_not_known),
        RIG_TEST(not_named_is_not_known),         RIG_TEST(stale_freezes_the_finding),
        RIG_TEST(show_file_stands_in_for_labels), cmocka_unit_test(scenes_cover_what_checks_read),
    };

    return cmocka_run_group_tests_name("not_known", tests, NULL, NULL);
}
