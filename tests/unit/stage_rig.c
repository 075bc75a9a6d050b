/* SPDX-License-Identifier: MIT */
#include "stage_rig.h"
#include "unit.h"

static const enum param_id reads[] = {LOOPS_READS, PARAMS};

const struct beam stage_rig_all_round = {1, {{1000, 2, {0, 180}, {0, 0}}}};

struct stage_microphone *
stage_rig_microphone(struct stage *stage, int input, struct place at)
{
    struct stage_microphone *microphone = stage_add_microphone(stage);

    assert_non_null(microphone);
    microphone->inputs = (struct serves){1, {input}};
    microphone->placed = true;
    microphone->at = at;
    return microphone;
}

struct stage_loudspeaker *
stage_rig_loudspeaker(struct stage *stage, int mix, struct place at)
{
    struct stage_loudspeaker *loudspeaker = stage_add_loudspeaker(stage);

    assert_non_null(loudspeaker);
    loudspeaker->mixes = (struct serves){1, {mix}};
    loudspeaker->placed = true;
    loudspeaker->at = at;
    loudspeaker->from_hz.number = 0; /* alike in all bands */
    return loudspeaker;
}

static void
open_sends(struct rig *rig, int inputs, int mixes, bool own)
{
    rig_start(rig, inputs, mixes);
    for (int i = 0; i < inputs; i++) {
        rig_set(rig, PARAM_INPUT_HIGH_PASS_ON, i, 0, 0);
        for (int mix = 0; mix < mixes; mix++)
            if (!own || i == mix)
                rig_set(rig, PARAM_SEND_LEVEL, i, mix, 0);
    }
}

void
stage_rig_open_all(struct rig *rig, int inputs, int mixes)
{
    open_sends(rig, inputs, mixes, false);
}

void
stage_rig_open_own(struct rig *rig, int count)
{
    open_sends(rig, count, count, true);
}

struct loops *
stage_rig_hear_some(struct rig *rig, const struct stage *stage, int *missing)
{
    struct verdict verdict;
    struct look look = look_reader(rig->desk, rig->show, reads, &verdict);
    struct loops *loops = loops_new(stage);

    loops_hear(loops, &look);
    *missing = (int)look.missing;
    return loops;
}

struct loops *
stage_rig_hear(struct rig *rig, const struct stage *stage)
{
    int missing;
    struct loops *loops = stage_rig_hear_some(rig, stage, &missing);

    assert_int_equal(loops->unknown, 0);
    return loops;
}
