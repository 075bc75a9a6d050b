/* SPDX-License-Identifier: MIT */
#include "ring_rig.h"

#include <math.h>

enum { FIRST_MS = 1000, PASS_MS = 100 };

static void
take(struct ring_rig *rig)
{
    while (ringing_event(rig->ringing, &rig->seen[rig->count])) {
        rig->count++;
        assert_true(rig->count < (int)COUNT(rig->seen));
    }
}

void
ring_rig_again(struct ring_rig *rig, bool together)
{
    static const int mixes[] = {0, 1, 2};

    ringing_free(rig->ringing);
    rig->now_ms = FIRST_MS;
    rig->count = 0;
    rig->ringing = ringing_new(rig->desk, rig->show, mixes, 3, together, rig->now_ms);
    take(rig);
}

void
ring_rig_setup(struct ring_rig *rig)
{
    *rig = (struct ring_rig){.desk = proof_desk_plain(), .show = proof_desk_show()};
    desk_set_travel(rig->desk, PARAM_INPUT_PREAMP_GAIN, (struct travel){0, 60});
    for (int i = 0; i < 3; i++) {
        proof_put(rig->desk, PARAM_INPUT_PREAMP_GAIN, i, 0, 0);
        proof_put(rig->desk, PARAM_INPUT_HIGH_PASS_ON, i, 0, 1);
        proof_put(rig->desk, PARAM_INPUT_MUTE, i, 0, i != 0);
        proof_put(rig->desk, PARAM_MIX_FADER, i, 0, i == 0 ? 0 : -HUGE_VAL);
    }
    ring_rig_again(rig, true);
}

void
ring_rig_teardown(struct ring_rig *rig)
{
    ringing_free(rig->ringing);
    show_free(rig->show);
    desk_free(rig->desk);
}

void
ring_wait(struct ring_rig *rig, int ms)
{
    int64_t until_ms = rig->now_ms + ms;

    while (rig->now_ms < until_ms) {
        rig->now_ms = rig->now_ms + PASS_MS < until_ms ? rig->now_ms + PASS_MS : until_ms;
        ringing_passed(rig->ringing, rig->now_ms);
    }
    take(rig);
}

void
ring_move(struct ring_rig *rig, enum param_id id, int row, int column, double number)
{
    proof_put(rig->desk, id, row, column, number);
    ringing_moved(rig->ringing, id, row, column, rig->now_ms);
    take(rig);
}

void
ring_up(struct ring_rig *rig, int ms, double db)
{
    double was = value_number(desk_value(rig->desk, PARAM_INPUT_PREAMP_GAIN, 0, 0));

    ring_wait(rig, ms);
    ring_move(rig, PARAM_INPUT_PREAMP_GAIN, 0, 0, was + db);
}

void
ring_cut(struct ring_rig *rig, int ms, int band, double db)
{
    ring_wait(rig, ms);
    ring_move(rig, PARAM_MIX_GRAPHIC_BAND_GAIN, 0, band, db);
}

int
ring_told(const struct ring_rig *rig, enum ring_kind kind)
{
    int count = 0;

    for (int i = 0; i < rig->count; i++)
        count += rig->seen[i].kind == kind;
    return count;
}

const struct ring_event *
ring_last(const struct ring_rig *rig, enum ring_kind kind)
{
    for (int i = rig->count - 1; i >= 0; i--)
        if (rig->seen[i].kind == kind)
            return &rig->seen[i];
    fail_msg("%s was never told", ring_kind_name(kind));
    return NULL;
}

int
ring_remarks(const struct ring_rig *rig)
{
    int count = 0;

    for (int i = 0; i < rig->count; i++)
        count += ring_kind_weight(rig->seen[i].kind) != RING_SEEN;
    return count;
}

enum ring_next
ring_next_of(struct ring_rig *rig)
{
    return ringing_state(rig->ringing)->next;
}
