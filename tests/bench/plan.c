/* SPDX-License-Identifier: MIT */
/* CPU of making a plan for a desk of 128 inputs x 64 mixes. The peer is the full evaluation of the
 * same desk in the same run, which finds what the plan is for.
 */
#include <stdio.h>

#include "advice/plan.h"
#include "big_desk.h"
#include "rig.h"

enum { ROUNDS = 20 };

#define GOAL_MS 20.0

static void
hear(struct engine *engine, enum param_id id, int row, int column, double number)
{
    engine_hear(engine, id, row, column, number, 1);
}

static void
leave(struct engine *engine)
{
    (void)engine;
}

/* Approved, and then hands slipped over two preamps, a mix's trim and a master. */
static void
slip(struct engine *engine)
{
    engine_set_approved(engine, desk_copy(engine_desk(engine)));
    hear(engine, PARAM_INPUT_PREAMP_GAIN, 17, 0, 42);
    hear(engine, PARAM_INPUT_PREAMP_GAIN, 18, 0, 22);
    hear(engine, PARAM_MIX_TRIM, 3, 0, 8);
    hear(engine, PARAM_MIX_FADER, 5, 0, 8);
}

/* Nobody ever looked at its gains: all preamps 30 dB up and all sends as far down, half of the
 * masters low, no high-pass in, make-up gain on every fourth input, an eighth of the mixes behind the
 * faders. */
static void
neglect(struct engine *engine)
{
    for (int input = 0; input < BIG_INPUTS; input++) {
        hear(engine, PARAM_INPUT_PREAMP_GAIN, input, 0, 30);
        hear(engine, PARAM_INPUT_FADER, input, 0, -5);
        hear(engine, PARAM_INPUT_HIGH_PASS_ON, input, 0, 0);
        hear(engine, PARAM_INPUT_COMP_ON, input, 0, input % 4 == 0);
        hear(engine, PARAM_INPUT_COMP_MAKEUP, input, 0, 6);
        for (int mix = 0; mix < BIG_MIXES; mix++) {
            hear(engine, PARAM_SEND_LEVEL, input, mix, -30 + (input + mix) % 20);
            hear(engine, PARAM_SEND_TAP, input, mix, mix % 8 == 0 ? TAP_POST_FADER : TAP_PRE_FADER);
        }
    }
    for (int mix = 0; mix < BIG_MIXES; mix += 2)
        hear(engine, PARAM_MIX_FADER, mix, 0, -6);
}

/* Nobody ever did, approved it so, and then a hand slipped. */
static void
neglect_and_slip(struct engine *engine)
{
    neglect(engine);
    slip(engine);
}

static void
measure(const char *what, enum role role, void (*make_worse)(struct engine *engine))
{
    double evaluation_ms = 0, plan_ms = 0;
    size_t cards = 0, moves = 0;

    for (int round = 0; round < ROUNDS; round++) {
        struct engine *engine = big_desk_engine(role);
        struct plan *plan;
        int64_t before;

        make_worse(engine);
        before = rig_cpu_ns();
        engine_run(engine, 1, NULL, NULL);
        evaluation_ms += (double)(rig_cpu_ns() - before) / 1e6 / ROUNDS;
        before = rig_cpu_ns();
        plan = engine_advise(engine, 0);
        plan_ms += (double)(rig_cpu_ns() - before) / 1e6 / ROUNDS;
        cards = plan->count;
        moves = 0;
        for (size_t i = 0; i < cards; i++)
            moves += plan->cards[i].count;
        plan_free(plan);
        engine_free(engine);
    }
    printf("  %-28s %8.2f ms = %5.1f x every check (%zu cards, %zu moves)%s\n", what, plan_ms,
           plan_ms / evaluation_ms, cards, moves, plan_ms < GOAL_MS ? "" : "  goal missed");
}

int
main(void)
{
    printf("a plan for 128 inputs x 64 mixes, 31-band graphics (goal: under %.0f ms)\n", GOAL_MS);
    measure("nothing to do", ROLE_UNKNOWN, leave);
    measure("slips to put back", ROLE_MONITOR, slip);
    measure("everything to do", ROLE_MONITOR, neglect);
    measure("the same approved, with slips", ROLE_MONITOR, neglect_and_slip);
    return 0;
}
