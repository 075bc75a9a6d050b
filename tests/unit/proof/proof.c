/* SPDX-License-Identifier: MIT */
/* The proved margin on desks whose figures can be worked out by hand. The bound's two theorems are
 * cited in rules/proof/proof.h; what moves cost in the room is measured on simulated stages.
 */
#include "unit.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "proof/say.h"
#include "proof_desk.h"
#include "rig.h"

enum { MOST = 4 };

struct stage {
    struct desk *now;
    struct show *show;
    struct proof_ceiling ceilings[MOST];
    struct proof_ring ring;
    struct proofs kept;
    struct proof *proof;
};

static int
make(void **state)
{
    struct stage *stage = calloc(1, sizeof *stage);

    stage->now = proof_desk_plain();
    stage->show = proof_desk_show();
    stage->kept.ceilings = stage->ceilings;
    *state = stage;
    return 0;
}

static int
drop(void **state)
{
    struct stage *stage = *state;

    proof_free(stage->proof);
    for (int i = 0; i < stage->kept.ceiling_count; i++)
        desk_free(stage->ceilings[i].desk);
    desk_free(stage->kept.left);
    desk_free(stage->now);
    show_free(stage->show);
    free(stage);
    return 0;
}

/* A ceiling over the desk as it stands: this mix so much higher, -1: all of them. */
static struct desk *
add_ceiling(struct stage *stage, int mix, double db)
{
    struct proof_ceiling *ceiling = &stage->ceilings[stage->kept.ceiling_count++];

    *ceiling = proof_ceiling_of(stage->now, -1);
    for (int i = 0; i < PROOF_MIXES; i++)
        if (mix < 0 || i == mix)
            proof_add(ceiling->desk, PARAM_MIX_FADER, i, 0, db);
    return ceiling->desk;
}

/* By the book: all together 6 dB below the ceiling, then mix 1 was pushed 9 dB and put back. */
static void
ring_out(struct stage *stage)
{
    add_ceiling(stage, -1, 6);
    add_ceiling(stage, 0, 9);
    stage->kept.left = desk_copy(stage->now);
}

static void
put(struct stage *stage, enum param_id id, int row, int column, double number)
{
    proof_put(stage->now, id, row, column, number);
}

static const struct proof_mix *
mix_of(struct stage *stage, int mix)
{
    proof_free(stage->proof);
    stage->proof = proof_new(stage->now, stage->show, &stage->kept);
    return proof_of_mix(stage->proof, mix);
}

static void
assert_left(struct stage *stage, int mix, double db, double allowance_db)
{
    const struct proof_mix *of = mix_of(stage, mix);

    assert_int_equal(of->state, PROOF_LEFT);
    assert_near(of->margin.db, db, 0.01); /* the skirts of a cut reach everywhere */
    assert_near(of->margin.allowance_db, allowance_db, 1e-9);
}

static void
assert_says(struct stage *stage, int mix, const char *part)
{
    char says[600];
    struct text text;

    mix_of(stage, mix);
    text_init(&text, says, sizeof says);
    proof_says(&text, stage->proof, mix);
    assert_contains(says, part);
}

static void
assert_none(struct stage *stage, int mix, enum proof_why why, int at_input, int at_mix)
{
    const struct proof_mix *of = mix_of(stage, mix);

    assert_int_equal(of->state, PROOF_NONE);
    assert_int_equal(of->why, why);
    assert_int_equal(of->input, at_input);
    assert_int_equal(of->mix, at_mix);
}

/* ---- margins ---- */

static void
test_right_after_the_ring_out(void **state)
{
    struct stage *stage = *state;

    ring_out(stage);
    assert_left(stage, 0, 9, 0);
    assert_int_equal(mix_of(stage, 0)->margin.ceiling, 1);
    assert_left(stage, 1, 6, 0);
    assert_near(mix_of(stage, 1)->after_db, 6, 1e-9);
    assert_near(proof_of_desk(stage->proof)->db, 6, 1e-9);
    assert_true(isnan(mix_of(stage, 0)->counted_db));
    assert_true(isnan(mix_of(stage, 0)->margin.hz));
}

/* All together it stood 6 dB higher; alone, with the others as they are, it rang 5.5 dB up. */
static void
test_its_own_push_is_believed(void **state)
{
    struct stage *stage = *state;

    add_ceiling(stage, -1, 6);
    add_ceiling(stage, 0, 5);
    stage->kept.left = desk_copy(stage->now);
    assert_left(stage, 0, 5, 0);
    assert_int_equal(mix_of(stage, 0)->margin.ceiling, 1);
    assert_near(mix_of(stage, 0)->after_db, 5, 1e-9);
    assert_left(stage, 1, 6, 0);
    assert_near(proof_of_desk(stage->proof)->db, 6, 1e-9);
    put(stage, PARAM_MIX_FADER, 1, 0, 0.5); /* past the push, which still tells what rang */
    assert_left(stage, 0, 5, 0);
    assert_int_equal(mix_of(stage, 0)->taken_mix, -1);
    put(stage, PARAM_MIX_FADER, 0, 0, 1);
    assert_near(mix_of(stage, 0)->counted_db, 4, 1e-6);
    assert_near(mix_of(stage, 0)->lost_db, 1, 1e-6);
}

/* Between its push and all together: it is told, and the others have no proof beside it. */
static void
test_past_its_push_it_is_past_all_together(void **state)
{
    struct stage *stage = *state;

    add_ceiling(stage, -1, 6);
    add_ceiling(stage, 0, 5);
    stage->kept.left = desk_copy(stage->now);
    put(stage, PARAM_MIX_FADER, 0, 0, 5.5);
    assert_near(mix_of(stage, 0)->counted_db, -0.5, 1e-6);
    assert_int_equal(mix_of(stage, 1)->state, PROOF_NONE);
    assert_int_equal(mix_of(stage, 1)->why, PROOF_TAKEN);
    assert_int_equal(mix_of(stage, 1)->mix, 0);
    assert_true(isnan(mix_of(stage, 1)->counted_db));
    put(stage, PARAM_MIX_FADER, 0, 0, 4.5);
    assert_left(stage, 1, 6, 0);
}

/* What all together proved may be a little more than there is where the mix was not pushed itself. */
static void
test_a_mix_that_was_not_pushed_may_have_less(void **state)
{
    struct stage *stage = *state;

    ring_out(stage);
    assert_near(mix_of(stage, 0)->less_db, 0, 1e-9);
    assert_near(mix_of(stage, 1)->less_db, 1, 1e-9);
    assert_says(stage, 1, "6 dB proved left, through input 1; not pushed itself: up to 1 dB less");
    for (int mix = 0; mix < PROOF_MIXES; mix++)
        if (mix != 1)
            put(stage, PARAM_MIX_MUTE, mix, 0, 1); /* nobody cancels anything */
    assert_near(mix_of(stage, 1)->less_db, 0, 1e-9);
}

/* Where another rose with it, by more than hands miss when they put it back, it is no push. */
static void
test_a_rise_of_several_is_no_push(void **state)
{
    struct stage *stage = *state;
    struct desk *ceiling;

    add_ceiling(stage, -1, 6);
    ceiling = add_ceiling(stage, 0, 5);
    proof_add(ceiling, PARAM_MIX_FADER, 1, 0, 0.5);
    stage->kept.left = desk_copy(stage->now);
    assert_left(stage, 0, 5, 0);
    proof_add(ceiling, PARAM_MIX_FADER, 1, 0, 1);
    assert_left(stage, 0, 6, 0);
}

static void
test_a_send_that_rose_is_its_mix_alone(void **state)
{
    struct stage *stage = *state;

    ring_out(stage);
    put(stage, PARAM_SEND_LEVEL, 2, 1, 0.5);
    assert_left(stage, 1, 5.5, 0);
    assert_int_equal(mix_of(stage, 1)->margin.input, 2);
    assert_near(mix_of(stage, 1)->counted_db, 5.5, 1e-6);
    assert_near(mix_of(stage, 1)->lost_db, 0.5, 1e-6);
    /* the ceiling of mix 1 does not cover it any more */
    assert_left(stage, 0, 6, 0);
    assert_says(stage, 0, "6 dB proved left, through input 1; 3 dB less since mix 2 moved");
    assert_int_equal(mix_of(stage, 1)->taken_mix, -1);
    assert_int_equal(mix_of(stage, 2)->taken_mix, -1);
    assert_true(isnan(mix_of(stage, 0)->counted_db));
}

static void
test_past_every_ceiling(void **state)
{
    struct stage *stage = *state;

    ring_out(stage);
    put(stage, PARAM_SEND_LEVEL, 2, 1, 9);
    assert_left(stage, 1, -3, 0);
    assert_near(mix_of(stage, 1)->counted_db, -3, 1e-6);
    assert_none(stage, 0, PROOF_TAKEN, 2, 1);
    assert_true(isnan(mix_of(stage, 0)->counted_db));
    assert_int_equal(proof_of_desk(stage->proof)->ceiling, 0);
    assert_near(proof_of_desk(stage->proof)->db, -3, 1e-6);
}

/* The spare microphone: its input says that it is not used, and then somebody sings into it. */
static void
test_an_unused_input_that_opened_has_no_proof(void **state)
{
    struct stage *stage = *state;

    stage->show->inputs[2].source = rig_source("unused");
    put(stage, PARAM_INPUT_MUTE, 2, 0, 1);
    ring_out(stage);
    assert_left(stage, 1, 6, 0);
    assert_false(proof_guesses_input(stage->proof, 2));
    put(stage, PARAM_INPUT_MUTE, 2, 0, 0);
    assert_none(stage, 1, PROOF_OPENED, 2, 1);
    assert_true(proof_guesses_input(stage->proof, 2));
}

static void
test_an_allowance_puts_nothing_past(void **state)
{
    struct stage *stage = *state;

    add_ceiling(stage, -1, 0);
    stage->kept.left = desk_copy(stage->now);
    put(stage, PARAM_SEND_LEVEL, 2, 1, -10);
    assert_says(stage, 1, "0 dB proved left, through input 1; 2 dB taken off: it is up to so much");
}

/* Whose own paths passed every ceiling is told so, and not that another one moved. */
static void
test_several_past_every_ceiling(void **state)
{
    struct stage *stage = *state;

    ring_out(stage);
    put(stage, PARAM_INPUT_TRIM, 2, 0, 8);
    for (int mix = 1; mix < 3; mix++)
        assert_says(stage, mix,
                    "2 dB past what was proved, through input 3, since its trim rose by 8 dB");
    assert_says(stage, 0, "no proof since mix 2 moved; alone 1 dB, which is not the margin");
}

/* A ceiling under which the path that rose was closed says nothing of it. */
static void
test_what_was_closed_then_hides_no_rise(void **state)
{
    struct stage *stage = *state;

    ring_out(stage);
    proof_put(add_ceiling(stage, 1, 9), PARAM_SEND_ON, 2, 1, 0);
    put(stage, PARAM_SEND_LEVEL, 2, 1, 9);
    assert_left(stage, 1, -3, 0);
    assert_near(mix_of(stage, 1)->counted_db, -3, 1e-6);
    desk_free(stage->kept.left);
    stage->kept.left = NULL;
    assert_near(mix_of(stage, 1)->counted_db, -3, 1e-6);
}

/* Each alone would be covered: both answer for what they did together; the one that hardly rose
 * does not. */
static void
test_two_that_rose_together(void **state)
{
    struct stage *stage = *state;

    ring_out(stage);
    put(stage, PARAM_MIX_FADER, 0, 0, 7);
    put(stage, PARAM_MIX_FADER, 1, 0, 7);
    assert_near(mix_of(stage, 0)->counted_db, -1, 1e-6);
    assert_near(mix_of(stage, 1)->counted_db, -1, 1e-6);
    put(stage, PARAM_MIX_FADER, 0, 0, 0.5);
    assert_near(mix_of(stage, 0)->counted_db, 8.5, 1e-6);
    assert_near(mix_of(stage, 1)->counted_db, -1, 1e-6);
}

static void
test_proved_alone_is_no_margin(void **state)
{
    struct stage *stage = *state;
    struct desk *ceiling = add_ceiling(stage, 0, 5);

    for (int mix = 1; mix < PROOF_MIXES; mix++)
        proof_put(ceiling, PARAM_MIX_MUTE, mix, 0, 1);
    stage->ceilings[0].mix = 0;
    assert_none(stage, 0, PROOF_ALONE_ONLY, -1, -1);
    assert_near(mix_of(stage, 0)->alone.db, 5, 1e-6);
    /* but it is when the others are closed now */
    for (int mix = 1; mix < PROOF_MIXES; mix++)
        put(stage, PARAM_MIX_MUTE, mix, 0, 1);
    assert_left(stage, 0, 5, 0);
    assert_int_equal(mix_of(stage, 1)->state, PROOF_CLOSED);
}

/* ---- where ---- */

/* A narrow boost between two places of the grid is seen at its centre. */
static void
test_a_narrow_boost(void **state)
{
    struct stage *stage = *state;

    ring_out(stage);
    put(stage, PARAM_MIX_EQ_BAND_FREQ, 1, 0, 3333);
    put(stage, PARAM_MIX_EQ_BAND_Q, 1, 0, 40);
    put(stage, PARAM_MIX_EQ_BAND_GAIN, 1, 0, 4);
    assert_left(stage, 1, 2, 0);
    assert_near(mix_of(stage, 1)->margin.hz, 3333, 1);
    put(stage, PARAM_MIX_EQ_BAND_GAIN, 1, 0, 0);
    put(stage, PARAM_INPUT_EQ_BAND_FREQ, 1, 0, 777);
    put(stage, PARAM_INPUT_EQ_BAND_GAIN, 1, 0, 3);
    assert_left(stage, 1, 3, 0);
    assert_near(mix_of(stage, 1)->margin.hz, 777, 1);
    assert_int_equal(mix_of(stage, 1)->margin.input, 1);
    /* a send before the equaliser does not go through it */
    for (int i = 0; i < PROOF_INPUTS; i++) {
        put(stage, PARAM_SEND_TAP, i, 1, TAP_PRE_EQ);
        for (int k = 0; k < stage->kept.ceiling_count; k++)
            proof_put(stage->ceilings[k].desk, PARAM_SEND_TAP, i, 1, TAP_PRE_EQ);
        proof_put(stage->kept.left, PARAM_SEND_TAP, i, 1, TAP_PRE_EQ);
    }
    assert_left(stage, 1, 6, 0);
}

static void
test_a_band_that_was_cut_then_and_is_not_now(void **state)
{
    struct stage *stage = *state;

    put(stage, PARAM_MIX_GRAPHIC_BAND_GAIN, 1, 5, -6);
    ring_out(stage);
    put(stage, PARAM_MIX_GRAPHIC_ON, 1, 0, 0);
    assert_left(stage, 1, 0, 0);
    assert_near(mix_of(stage, 1)->margin.hz, 1000, 1); /* band 6 of 10: IEC 61260-1, 1000 Hz */
}

/* ---- allowances: of the kind that moved down, and they raise nothing ---- */

static void
test_allowances(void **state)
{
    struct stage *stage = *state;

    ring_out(stage);
    put(stage, PARAM_INPUT_MUTE, 1, 0, 1);
    assert_left(stage, 1, 6 - 2, 2);
    assert_int_equal(mix_of(stage, 1)->margin.moves.kinds, 1u << ALLOWANCE_CLOSED);
    assert_true(isnan(mix_of(stage, 1)->counted_db));
    assert_says(stage, 1, "since input 2 into mix 1 closed or went far down");
    put(stage, PARAM_INPUT_MUTE, 1, 0, 0);
    put(stage, PARAM_MIX_GRAPHIC_BAND_GAIN, 1, 5, -6);
    assert_left(stage, 1, 6 - 0.7, 0.7);
    put(stage, PARAM_INPUT_HIGH_PASS_ON, 1, 0, 1);
    assert_left(stage, 1, 6 - 5.2, 5.2);
    assert_says(stage, 1, "since a cut in mix 2, a high-pass in input 2");
    put(stage, PARAM_INPUT_PREAMP_GAIN, 0, 0, 28);
    assert_left(stage, 1, 0, ALLOWANCE_MOST_DB);
    assert_says(stage, 2, "since a cut in mix 2, a high-pass in input 2, input 1 into mix 1");
    assert_true(isnan(mix_of(stage, 1)->counted_db));
}

static void
test_what_all_did_alike_costs_nothing(void **state)
{
    struct stage *stage = *state;

    ring_out(stage);
    for (int mix = 0; mix < PROOF_MIXES; mix++)
        put(stage, PARAM_MIX_FADER, mix, 0, -4);
    assert_left(stage, 1, 10, 0);
    assert_near(proof_of_desk(stage->proof)->db, 10, 1e-6);
    /* and a mix as a whole costs itself nothing, but the others */
    for (int mix = 0; mix < PROOF_MIXES; mix++)
        put(stage, PARAM_MIX_FADER, mix, 0, mix == 1 ? -2 : 0);
    assert_left(stage, 1, 8, 0);
    assert_left(stage, 2, 6 - 1, 1);
}

/* ---- no proof ---- */

static void
test_a_path_that_opened(void **state)
{
    struct stage *stage = *state;

    put(stage, PARAM_SEND_ON, 2, 1, 0);
    ring_out(stage);
    put(stage, PARAM_SEND_ON, 2, 1, 1);
    assert_none(stage, 1, PROOF_OPENED, 2, 1);
    assert_int_equal(mix_of(stage, 1)->opened_input, 2);
    assert_near(mix_of(stage, 1)->rose_db, 0, 1e-9);
    assert_none(stage, 0, PROOF_OTHER_OPENED, 2, 1);
}

static void
test_what_magnitudes_do_not_tell(void **state)
{
    static const struct {
        enum param_id id;
        int row, column;
        double was, is;
    } moves[] = {{PARAM_INPUT_POLARITY, 2, 0, 0, 1},
                 {PARAM_INPUT_DELAY, 2, 0, 0, 1},
                 {PARAM_SEND_TAP, 2, 1, TAP_PRE_FADER, TAP_POST_FADER}};
    struct stage *stage = *state;

    ring_out(stage);
    for (size_t i = 0; i < COUNT(moves); i++) {
        put(stage, moves[i].id, moves[i].row, moves[i].column, moves[i].is);
        assert_none(stage, 1, PROOF_OPENED, 2, 1);
        put(stage, moves[i].id, moves[i].row, moves[i].column, moves[i].was);
        assert_left(stage, 1, 6, 0);
    }
    put(stage, PARAM_MIX_DELAY, 1, 0, 2);
    assert_none(stage, 1, PROOF_OPENED, 0, 1);
}

/* Behind a gate that was on nothing need have been loud; one that is on now may be. */
static void
test_a_gate(void **state)
{
    struct stage *stage = *state;

    ring_out(stage);
    put(stage, PARAM_INPUT_GATE_ON, 2, 0, 1);
    assert_left(stage, 1, 6, 0);
    for (int i = 0; i < stage->kept.ceiling_count; i++)
        proof_put(stage->ceilings[i].desk, PARAM_INPUT_GATE_ON, 2, 0, 1);
    assert_none(stage, 1, PROOF_OPENED, 2, 1);
}

static void
forget(struct stage *stage, enum param_id id, int row, int column)
{
    struct value unknown = {.state = VALUE_UNKNOWN};

    desk_swap(stage->now, id, row, column, &unknown);
}

static void
test_what_was_never_heard_is_no_number(void **state)
{
    static const struct {
        enum param_id id;
        int row, column;
        const char *name;
    } lost[] = {{PARAM_SEND_LEVEL, 2, 1, "send.level of input 3, mix 2 was never heard"},
                {PARAM_INPUT_PREAMP_GAIN, 2, 0, "input.preamp_gain of input 3 was never heard"},
                {PARAM_INPUT_MUTE, 2, 0, "input.mute of input 3 was never heard"},
                {PARAM_INPUT_POLARITY, 2, 0, "input.polarity of input 3 was never heard"},
                {PARAM_MIX_EQ_BAND_GAIN, 1, 0, "mix.eq.band.gain of mix 2, band 1 was never heard"},
                {PARAM_MIX_FADER, 1, 0, "mix.fader of mix 2 was never heard"}};
    struct stage *stage = *state;
    char why[MISSES_SIZE];
    struct text text;

    ring_out(stage);
    for (size_t i = 0; i < COUNT(lost); i++) {
        struct value was = *desk_value(stage->now, lost[i].id, lost[i].row, lost[i].column);
        struct misses misses;

        forget(stage, lost[i].id, lost[i].row, lost[i].column);
        assert_row(lost[i].name, mix_of(stage, 1)->state, PROOF_NOT_KNOWN);
        assert_row(lost[i].name, mix_of(stage, 0)->state, PROOF_NOT_KNOWN);
        assert_true(isnan(mix_of(stage, 1)->counted_db));
        assert_int_equal(proof_of_desk(stage->proof)->ceiling, -1);
        misses = proof_missing(stage->proof, 1);
        text_init(&text, why, sizeof why);
        misses_add(&text, &misses);
        assert_contains(why, lost[i].name);
        desk_swap(stage->now, lost[i].id, lost[i].row, lost[i].column, &was);
    }
    /* what is known to be closed need not be known besides */
    put(stage, PARAM_INPUT_MUTE, 2, 0, 1);
    forget(stage, PARAM_SEND_LEVEL, 2, 1);
    assert_int_equal(mix_of(stage, 1)->state, PROOF_LEFT);
}

/* ---- what can be a loop ---- */

static void
test_lines_and_ears_are_no_loops(void **state)
{
    struct stage *stage = *state;

    stage->show->inputs[2].source = rig_source("keys");
    stage->show->mixes[2].feeds = FEEDS_IN_EAR;
    ring_out(stage);
    put(stage, PARAM_SEND_LEVEL, 2, 1, 9);
    put(stage, PARAM_SEND_LEVEL, 1, 2, 9);
    assert_left(stage, 1, 6, 0);
    assert_int_equal(mix_of(stage, 2)->state, PROOF_NO_LOOP);
    /* what nobody knows counts, and is named */
    stage->show->inputs[2].source = SOURCE_UNKNOWN;
    assert_left(stage, 1, -3, 0);
    assert_true(proof_guesses_input(stage->proof, 2));
    assert_false(proof_guesses_input(stage->proof, 1));
    assert_false(proof_guesses_mix(stage->proof, 1));
}

static void
test_the_other_side(void **state)
{
    struct stage *stage = *state;

    ring_out(stage);
    stage->ring = (struct proof_ring){.hz = 2500, .mix = 1, .input = 2, .gain_db = 38};
    stage->kept.rings = &stage->ring;
    stage->kept.ring_count = 1;
    mix_of(stage, 1);
    assert_near(proof_below_ring_db(stage->proof, 0), 8, 1e-6);
    put(stage, PARAM_MIX_EQ_BAND_GAIN, 1, 0, -6); /* at 2500 Hz */
    mix_of(stage, 1);
    assert_near(proof_below_ring_db(stage->proof, 0), 14, 1e-6);
    put(stage, PARAM_SEND_ON, 2, 1, 0);
    mix_of(stage, 1);
    assert_true(isnan(proof_below_ring_db(stage->proof, 0)));
}

/* A crash before the ring-out ended keeps no desk that it left: the margin stands, and what rose is
 * not known. */
static void
test_without_what_was_left(void **state)
{
    struct stage *stage = *state;

    add_ceiling(stage, -1, 6);
    assert_left(stage, 1, 6, 0);
    put(stage, PARAM_SEND_LEVEL, 2, 1, 9);
    assert_near(mix_of(stage, 1)->counted_db, -3, 1e-6);
    assert_true(isnan(mix_of(stage, 1)->rose_db));
    assert_true(isnan(mix_of(stage, 0)->counted_db));
}

/* What rose was left behind by nothing that is known to have gone down. */
static void
test_without_what_was_left_nothing_is_said_to_have_fallen(void **state)
{
    struct stage *stage = *state;
    char says[400];
    struct text text;

    add_ceiling(stage, -1, 6);
    put(stage, PARAM_SEND_LEVEL, 2, 1, 3);
    assert_left(stage, 1, 3 - 1, 1);
    text_init(&text, says, sizeof says);
    proof_says(&text, stage->proof, 1);
    assert_string_equal(says, "2 dB proved left, through input 3; 1 dB taken off: it is up "
                              "to so much less sure since what may have come after the ring-out, "
                              "of which the end is not known: input 1 into mix 1 went down");
    stage->kept.left = proof_desk_plain();
    assert_left(stage, 1, 3, 0);
}

#define STAGE_TEST(name) cmocka_unit_test_setup_teardown(name, make, drop)

int
main(void)
{
    const struct CMUnitTest tests[] = {
        STAGE_TEST(test_right_after_the_ring_out),
        STAGE_TEST(test_its_own_push_is_believed),
        STAGE_TEST(test_past_its_push_it_is_past_all_together),
        STAGE_TEST(test_a_mix_that_was_not_pushed_may_have_less),
        STAGE_TEST(test_a_rise_of_several_is_no_push),
        STAGE_TEST(test_a_send_that_rose_is_its_mix_alone),
        STAGE_TEST(test_past_every_ceiling),
        STAGE_TEST(test_what_was_closed_then_hides_no_rise),
        STAGE_TEST(test_an_unused_input_that_opened_has_no_proof),
        STAGE_TEST(test_an_allowance_puts_nothing_past),
        STAGE_TEST(test_several_past_every_ceiling),
        STAGE_TEST(test_two_that_rose_together),
        STAGE_TEST(test_proved_alone_is_no_margin),
        STAGE_TEST(test_a_narrow_boost),
        STAGE_TEST(test_a_band_that_was_cut_then_and_is_not_now),
        STAGE_TEST(test_allowances),
        STAGE_TEST(test_what_all_did_alike_costs_nothing),
        STAGE_TEST(test_a_path_that_opened),
        STAGE_TEST(test_what_magnitudes_do_not_tell),
        STAGE_TEST(test_a_gate),
        STAGE_TEST(test_what_was_never_heard_is_no_number),
        STAGE_TEST(test_lines_and_ears_are_no_loops),
        STAGE_TEST(test_the_other_side),
        STAGE_TEST(test_without_what_was_left),
        STAGE_TEST(test_without_what_was_left_nothing_is_said_to_have_fallen),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
