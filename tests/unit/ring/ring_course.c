/* SPDX-License-Identifier: MIT */
/* One mix after another, by the book: what is seen, and what is to be done next. */
#include "ring_rig.h"

#include <math.h>
#include <stdio.h>

static int
setup(void **state)
{
    static struct ring_rig rig;

    ring_rig_setup(&rig);
    *state = &rig;
    return 0;
}

static int
teardown(void **state)
{
    ring_rig_teardown(*state);
    return 0;
}

static void
by_the_book_nothing_is_remarked(void **state)
{
    struct ring_rig *rig = *state;

    assert_int_equal(ring_next_of(rig), RING_NEXT_RAISE);
    for (int i = 0; i < 20; i++)
        ring_up(rig, 1500, 1);
    ring_cut(rig, 800, 4, -3);
    assert_int_equal(ring_next_of(rig), RING_NEXT_SILENCE);
    ring_wait(rig, 4000);
    assert_int_equal(ring_next_of(rig), RING_NEXT_RAISE_ON);
    for (int i = 0; i < 3; i++)
        ring_up(rig, 4000, 0.5);
    ring_up(rig, 800, -6);
    ring_wait(rig, 5000);
    assert_int_equal(ring_remarks(rig), 0);
    assert_int_equal(ring_told(rig, RING_MIX), 1);
    assert_int_equal(ring_told(rig, RING_RISE), 2);
    assert_int_equal(ring_told(rig, RING_CUT), 1);
    assert_int_equal(ring_told(rig, RING_LAST_PUSH), 1);
    assert_int_equal(ring_told(rig, RING_STEP_BACK), 1);
    assert_near(ring_last(rig, RING_LAST_PUSH)->won_db, 1.5, 1e-9);
    assert_near(ring_last(rig, RING_STEP_BACK)->db, 6, 1e-9);
    assert_int_equal(ring_next_of(rig), RING_NEXT_VOICE);
}

static void
a_rise_tells_from_where(void **state)
{
    struct ring_rig *rig = *state;

    ring_up(rig, 1500, 1);
    assert_int_equal(ring_last(rig, RING_RISE)->mix, 0);
    assert_int_equal(ring_last(rig, RING_RISE)->input, 0);
    assert_near(ring_last(rig, RING_RISE)->db, 0, 1e-9);
}

static void
a_cut_is_a_ring_with_its_frequency(void **state)
{
    struct ring_rig *rig = *state;
    const struct ring_state *now;

    ring_up(rig, 1500, 1);
    ring_cut(rig, 800, 5, -3);
    assert_near(ring_last(rig, RING_CUT)->hz, 1000, 1);
    assert_near(ring_last(rig, RING_CUT)->db, 3, 1e-9);
    ring_cut(rig, 1500, 5, -5); /* deeper, for the same ring */
    assert_near(ring_last(rig, RING_CUT)->db, 2, 1e-9);
    now = ringing_state(rig->ringing);
    assert_int_equal(now->ring_count, 1);
    assert_near(now->rings[0].cut_db, 5, 1e-9);
    assert_near(now->rings[0].hz, 1000, 1);
    assert_near(now->rings[0].level_db, 1, 1e-9);
    assert_int_equal(now->mixes[0].rings, 1);
    assert_int_equal(now->mixes[0].cuts, 1);
    assert_true(now->mixes[0].speech_db > 0);
}

/* What the spectrum shows in the band, up to 5 s before: the ring has that frequency, and so has what is kept. What else
 * rises, and is as loud and as late, is no matter. */
static void
a_spectrum_says_where_it_rang(void **state)
{
    static const struct {
        double heard_hz;
        int mix, ms; /* before the cut */
        double rang_hz;
    } rows[] = {{1130, 0, 800, 1130},
                {830, 0, 4900, 830},
                {1130, 0, 5100, NAN},
                {400, 0, 800, NAN},
                {1130, 1, 800, NAN}};
    struct ring_rig *rig = *state;

    for (size_t i = 0; i < COUNT(rows); i++) {
        struct heard_thirds heard = {0};
        double rang_hz = rows[i].rang_hz, seen_hz = isnan(rang_hz) ? 1000 : rang_hz;

        ring_rig_again(rig, false);
        ring_up(rig, 1500, 1);
        heard.of[0] = (struct heard){rows[i].heard_hz, -20, rig->now_ms, 0};
        heard.of[30] = (struct heard){5000, -3, rig->now_ms, 0};
        ringing_heard(rig->ringing, rows[i].mix, &heard);
        ring_cut(rig, rows[i].ms, 5, -3);
        assert_near(ring_last(rig, RING_CUT)->hz, 1000, 1);
        if (isnan(rang_hz))
            assert_true(isnan(ring_last(rig, RING_CUT)->other_hz));
        else
            assert_near(ring_last(rig, RING_CUT)->other_hz, rang_hz, 1e-9);
        assert_near(ringing_state(rig->ringing)->rings[0].hz, seen_hz, 1);
        assert_int_equal(ringing_proofs(rig->ringing)->ring_count, 1);
        assert_near(ringing_proofs(rig->ringing)->rings[0].hz, seen_hz, 1);
        ring_cut(rig, 4000, 5, 0);
        ring_up(rig, 1500, -1);
    }
}

static void
the_same_band_again_is_another_ring_but_no_other_cut(void **state)
{
    struct ring_rig *rig = *state;

    ring_up(rig, 1500, 1);
    ring_cut(rig, 800, 5, -3);
    ring_up(rig, 4000, 0.5);
    ring_cut(rig, 800, 5, -6);
    assert_int_equal(ringing_state(rig->ringing)->mixes[0].rings, 2);
    assert_int_equal(ringing_state(rig->ringing)->mixes[0].cuts, 1);
    assert_near(ringing_state(rig->ringing)->mixes[0].won_db, 0.5, 1e-9);
}

static void
a_cut_before_anything_was_raised_is_no_ring(void **state)
{
    struct ring_rig *rig = *state;

    ring_cut(rig, 800, 5, -3);
    assert_int_equal(ring_told(rig, RING_CUT), 0);
    ring_up(rig, 5000, 1);
    assert_int_equal(ring_told(rig, RING_NOT_FLAT), 1);
    assert_near(ring_last(rig, RING_NOT_FLAT)->db, -3, 1e-9);
}

static void
a_parametric_band_is_a_cut_too(void **state)
{
    struct ring_rig *rig = *state;

    ring_up(rig, 1500, 1);
    ring_wait(rig, 800);
    ring_move(rig, PARAM_MIX_EQ_BAND_GAIN, 0, 1, -4);
    assert_near(ring_last(rig, RING_CUT)->hz, 2500, 1e-9);
    assert_near(ring_last(rig, RING_CUT)->db, 4, 1e-9);
}

static void
back_by_little_is_asked_for_the_rest(void **state)
{
    struct ring_rig *rig = *state;

    ring_up(rig, 1500, 1);
    ring_up(rig, 1500, 9);
    ring_up(rig, 1500, -4);
    assert_int_equal(ring_next_of(rig), RING_NEXT_STEP_BACK);
    assert_near(ringing_state(rig->ringing)->next_db, 2, 1e-9);
    assert_int_equal(ring_told(rig, RING_STEP_BACK), 0);
    ring_wait(rig, 3000); /* it stays so */
    assert_near(ring_last(rig, RING_STEP_BACK)->db, 4, 1e-9);
    ring_up(rig, 1000, -2);
    assert_int_equal(ring_next_of(rig), RING_NEXT_VOICE);
}

static void
a_voice_is_heard_only_after_the_step_back(void **state)
{
    struct ring_rig *rig = *state;

    ring_up(rig, 1500, 8);
    ring_move(rig, PARAM_INPUT_LEVEL, 0, 0, -20);
    ring_up(rig, 1500, -6);
    ring_wait(rig, 1000);
    ring_move(rig, PARAM_INPUT_LEVEL, 0, 0, -21); /* a ring that dies away is none */
    assert_int_equal(ring_told(rig, RING_VOICE), 0);
    ring_wait(rig, 4000);
    ring_move(rig, PARAM_INPUT_LEVEL, 0, 0, -60);
    assert_int_equal(ring_told(rig, RING_VOICE), 0);
    ring_move(rig, PARAM_INPUT_LEVEL, 0, 0, -22);
    ring_move(rig, PARAM_INPUT_LEVEL, 0, 0, -23);
    assert_int_equal(ring_told(rig, RING_VOICE), 1);
    assert_int_equal(ring_next_of(rig), RING_NEXT_MIX);
    assert_int_equal(ringing_state(rig->ringing)->next_mix, 1);
}

static void
the_mix_that_alone_is_open_is_the_next(void **state)
{
    struct ring_rig *rig = *state;

    ring_up(rig, 1500, 8);
    ring_up(rig, 1500, -6);
    ring_wait(rig, 5000);
    ring_move(rig, PARAM_INPUT_MUTE, 0, 0, 1);
    ring_move(rig, PARAM_MIX_FADER, 0, 0, -HUGE_VAL);
    ring_move(rig, PARAM_MIX_FADER, 1, 0, 0);
    ring_move(rig, PARAM_INPUT_MUTE, 1, 0, 0);
    assert_int_equal(ring_told(rig, RING_MIX), 2);
    assert_int_equal(ring_last(rig, RING_MIX)->mix, 1);
    assert_int_equal(ring_told(rig, RING_NO_STEP_BACK), 0);
    ring_wait(rig, 2000);
    ring_move(rig, PARAM_INPUT_PREAMP_GAIN, 1, 0, 1);
    assert_int_equal(ring_last(rig, RING_RISE)->mix, 1);
    assert_int_equal(ring_last(rig, RING_RISE)->input, 1);
}

static void
a_small_step_after_the_step_back_is_no_new_rise(void **state)
{
    struct ring_rig *rig = *state;

    ring_up(rig, 1500, 8);
    ring_up(rig, 1500, -6);
    ring_up(rig, 4000, 1);
    assert_int_equal(ring_told(rig, RING_RISE), 1);
    ring_up(rig, 4000, 3);
    assert_int_equal(ring_told(rig, RING_RISE), 2);
}

static void
another_hand_is_named(void **state)
{
    struct ring_rig *rig = *state;

    ring_up(rig, 1500, 1);
    ring_move(rig, PARAM_MIX_FADER, 1, 0, 0); /* opens another mix */
    assert_int_equal(ring_told(rig, RING_HAND), 1);
    assert_int_equal(ring_last(rig, RING_HAND)->mix, 1);
    ring_wait(rig, 3000);
    ring_move(rig, PARAM_INPUT_MUTE, 1, 0, 0); /* another microphone */
    assert_int_equal(ring_told(rig, RING_HAND), 2);
    ring_wait(rig, 3000);
    ring_move(rig, PARAM_INPUT_MUTE, 1, 0, 1); /* what closes is none */
    ring_move(rig, PARAM_MIX_FADER, 1, 0, -HUGE_VAL);
    assert_int_equal(ring_told(rig, RING_HAND), 2);
}

static void
what_makes_no_loop_is_nobodys_hand(void **state)
{
    struct ring_rig *rig = *state;

    rig->show->mixes[1].feeds = FEEDS_IN_EAR;
    ring_rig_again(rig, true);
    ring_up(rig, 1500, 1);
    ring_move(rig, PARAM_MIX_FADER, 1, 0, 0);
    ring_move(rig, PARAM_SEND_LEVEL, 0, 1, 5);
    assert_int_equal(ring_told(rig, RING_HAND), 0);
}

static void
a_send_that_goes_to_its_mark_is_set_up(void **state)
{
    struct ring_rig *rig = *state;

    ring_move(rig, PARAM_SEND_LEVEL, 0, 0, -20);
    ring_wait(rig, 5000);
    ring_move(rig, PARAM_SEND_LEVEL, 0, 0, 0);
    assert_int_equal(ring_told(rig, RING_RISE), 0);
    assert_int_equal(ring_remarks(rig), 0);
}

/* ---- as people do it, who close no more than they must ---- */

/* All wedges stay up, and every microphone goes into all of them. */
static void
all_wedges_up(struct ring_rig *rig)
{
    static const char *const players[] = {"Ada", "Ben", "Cleo"};

    for (int i = 0; i < 3; i++) {
        snprintf(rig->show->inputs[i].player, SHOW_NAME_SIZE, "%s", players[i]);
        snprintf(rig->show->mixes[i].player, SHOW_NAME_SIZE, "%s", players[i]);
        proof_put(rig->desk, PARAM_MIX_FADER, i, 0, 0);
        for (int mix = 0; mix < 3; mix++)
            proof_put(rig->desk, PARAM_SEND_LEVEL, i, mix, i == mix ? 0 : -12);
    }
    ring_rig_again(rig, true);
}

static void
push_next(struct ring_rig *rig, int input)
{
    for (int db = 1; db <= 8; db++) {
        ring_wait(rig, 1500);
        ring_move(rig, PARAM_INPUT_PREAMP_GAIN, input, 0, db);
    }
}

static void
the_next_microphone_is_its_players_mix(void **state)
{
    struct ring_rig *rig = *state;

    all_wedges_up(rig);
    assert_int_equal(ring_next_of(rig), RING_NEXT_RAISE);
    push_next(rig, 0);
    assert_int_equal(ring_last(rig, RING_MIX)->mix, 0);
    ring_cut(rig, 800, 5, -3);
    ring_up(rig, 4000, 0.5);
    ring_up(rig, 1500, -6);
    ring_wait(rig, 5000);
    ring_move(rig, PARAM_INPUT_MUTE, 0, 0, 1);
    assert_true(ringing_state(rig->ringing)->mixes[0].closed);
    ring_move(rig, PARAM_INPUT_MUTE, 1, 0, 0);
    push_next(rig, 1);
    assert_int_equal(ring_told(rig, RING_MIX), 2);
    assert_int_equal(ring_last(rig, RING_MIX)->mix, 1);
    assert_int_equal(ring_last(rig, RING_RISE)->input, 1);
    ring_wait(rig, 800);
    ring_move(rig, PARAM_MIX_GRAPHIC_BAND_GAIN, 1, 6, -3);
    assert_int_equal(ring_last(rig, RING_CUT)->mix, 1);
    ring_wait(rig, 1500);
    ring_move(rig, PARAM_INPUT_PREAMP_GAIN, 1, 0, 5);
    ring_move(rig, PARAM_INPUT_PREAMP_GAIN, 1, 0, 2);
    ring_wait(rig, 5000);
    assert_near(ring_last(rig, RING_STEP_BACK)->db, 6, 1e-9);
    assert_int_equal(ring_remarks(rig), 0);
}

/* They stay up until all has been rung out: it is the other microphones, or masters that go down, with which all
 * together begins. */
static void
all_together_waits_for_what_opens(void **state)
{
    struct ring_rig *rig = *state;

    all_wedges_up(rig);
    for (int i = 0; i < 3; i++) {
        ring_move(rig, PARAM_INPUT_MUTE, i, 0, 0);
        push_next(rig, i);
        ring_move(rig, PARAM_INPUT_PREAMP_GAIN, i, 0, 2);
        ring_wait(rig, 5000);
        ring_move(rig, PARAM_INPUT_MUTE, i, 0, 1);
    }
    assert_int_equal(ring_told(rig, RING_MIX), 3);
    ring_move(rig, PARAM_INPUT_MUTE, 0, 0, 0); /* the first one once more */
    assert_int_equal(ring_told(rig, RING_TOGETHER), 0);
    ring_move(rig, PARAM_MIX_FADER, 0, 0, -12);
    ring_move(rig, PARAM_MIX_FADER, 1, 0, -12);
    assert_int_equal(ring_told(rig, RING_TOGETHER), 0);
    ring_move(rig, PARAM_MIX_FADER, 2, 0, -12);
    assert_int_equal(ring_told(rig, RING_TOGETHER), 1);
    assert_int_equal(ring_next_of(rig), RING_NEXT_OPEN_ALL);
    ring_move(rig, PARAM_INPUT_MUTE, 1, 0, 0);
    ring_move(rig, PARAM_INPUT_MUTE, 2, 0, 0);
    assert_int_equal(ring_next_of(rig), RING_NEXT_RAISE_TOGETHER);
    assert_int_equal(ring_remarks(rig), 0);
}

/* It came down to begin with, and nothing is louder than it was: the order in which hands set up is theirs. */
static void
what_was_as_loud_is_set_up_in_any_order(void **state)
{
    struct ring_rig *rig = *state;

    proof_put(rig->desk, PARAM_INPUT_PREAMP_GAIN, 0, 0, 42);
    proof_put(rig->desk, PARAM_SEND_LEVEL, 0, 0, -14);
    ring_rig_again(rig, true);
    ring_move(rig, PARAM_INPUT_PREAMP_GAIN, 0, 0, 10);
    ring_wait(rig, 300);
    ring_move(rig, PARAM_SEND_LEVEL, 0, 0, 0);
    ring_wait(rig, 5000);
    ring_move(rig, PARAM_INPUT_PREAMP_GAIN, 0, 0, 0);
    ring_wait(rig, 5000);
    assert_int_equal(ring_remarks(rig) + ring_told(rig, RING_RISE), 0);
    assert_int_equal(ringing_state(rig->ringing)->mixes[0].rings, 0);
    assert_int_equal(ring_next_of(rig), RING_NEXT_RAISE);
}

/* What was closed, or quieter, never stood so: that jump is one. */
static void
what_was_never_as_loud_is_a_rise(void **state)
{
    static const struct {
        double preamp_db;
        bool closed;
    } rows[] = {{20, false}, {42, true}};
    struct ring_rig *rig = *state;

    for (size_t i = 0; i < COUNT(rows); i++) {
        proof_put(rig->desk, PARAM_INPUT_PREAMP_GAIN, 0, 0, rows[i].preamp_db);
        proof_put(rig->desk, PARAM_SEND_LEVEL, 0, 0, -14);
        proof_put(rig->desk, PARAM_INPUT_MUTE, 0, 0, rows[i].closed);
        ring_rig_again(rig, true);
        ring_move(rig, PARAM_INPUT_MUTE, 0, 0, 0);
        ring_move(rig, PARAM_INPUT_PREAMP_GAIN, 0, 0, 10);
        ring_wait(rig, 300);
        ring_move(rig, PARAM_SEND_LEVEL, 0, 0, 0);
        assert_int_equal(ring_told(rig, RING_FAST), 1);
    }
}

/* A singer's guitar stands beside the voice: whichever of them is open alone is meant. */
static void
of_two_microphones_the_open_one_is_meant(void **state)
{
    struct ring_rig *rig = *state;
    const struct ring_state *now;

    all_wedges_up(rig);
    snprintf(rig->show->inputs[1].player, SHOW_NAME_SIZE, "Ada");
    proof_put(rig->desk, PARAM_INPUT_MUTE, 1, 0, 0);
    ring_rig_again(rig, true);
    now = ringing_state(rig->ringing);
    assert_int_equal(now->next, RING_NEXT_PREPARE);
    assert_int_equal(now->mixes[0].own, -1);
    assert_int_equal(now->ready.of[RING_READY_OTHERS].ready, SURE_NO);
    assert_int_equal(now->ready.of[RING_READY_OTHERS].input, -1);
    ring_move(rig, PARAM_INPUT_MUTE, 0, 0, 1);
    now = ringing_state(rig->ringing);
    assert_int_equal(now->mixes[0].own, 1);
    assert_int_equal(now->ready.of[RING_READY_OTHERS].ready, SURE_YES);
    assert_near(now->ready.of[RING_READY_OWN_SEND].db, -12, 1e-9);
}

/* A fader drags, 0.2 dB each 20 ms. */
static void
drag(struct ring_rig *rig, enum param_id id, int row, int column, double from_db, double to_db)
{
    int steps = (int)lround(fabs(to_db - from_db) / 0.2);

    for (int i = 0; i <= steps; i++) {
        ring_wait(rig, 20);
        ring_move(rig, id, row, column, from_db + (to_db - from_db) * i / steps);
    }
}

/* Where the line check left the preamp, all else may come up to where the path is as quiet as at the book's beginning. */
static void
what_is_below_the_beginning_is_set_up(void **state)
{
    struct ring_rig *rig = *state;

    proof_put(rig->desk, PARAM_INPUT_PREAMP_GAIN, 0, 0, 24);
    proof_put(rig->desk, PARAM_MIX_FADER, 0, 0, -HUGE_VAL);
    ring_rig_again(rig, true);
    drag(rig, PARAM_MIX_FADER, 0, 0, -60, -24);
    assert_int_equal(ring_remarks(rig) + ring_told(rig, RING_RISE), 0);
    for (int db = -23; db < -18; db++) {
        ring_wait(rig, 1500);
        ring_move(rig, PARAM_MIX_FADER, 0, 0, db);
    }
    assert_int_equal(ring_told(rig, RING_RISE), 1);
    assert_int_equal(ring_told(rig, RING_FAST), 0);
}

/* A microphone that was rung out is closed and opened again: it stays below what rang. */
static void
what_comes_back_below_its_ring_is_no_rise(void **state)
{
    struct ring_rig *rig = *state;

    for (int i = 0; i < 8; i++)
        ring_up(rig, 1500, 1);
    ring_up(rig, 1500, -6);
    ring_wait(rig, 5000);
    drag(rig, PARAM_SEND_LEVEL, 0, 0, 0, -60);
    ring_wait(rig, 5000);
    drag(rig, PARAM_SEND_LEVEL, 0, 0, -60, 0);
    assert_int_equal(ring_told(rig, RING_RISE), 1);
    assert_int_equal(ring_told(rig, RING_FAST), 0);
    assert_int_equal(ringing_proofs(rig->ringing)->ceiling_count, 1);
    assert_near(ringing_proofs(rig->ringing)->ceilings[0].step_db, 3, 1e-9);
}

/* The wedge goes up while the last singer's microphone is open: then that one is closed, and the next one's is raised. */
static void
what_was_closed_again_was_not_rung_out(void **state)
{
    struct ring_rig *rig = *state;

    all_wedges_up(rig);
    proof_put(rig->desk, PARAM_INPUT_PREAMP_GAIN, 0, 0, 20);
    proof_put(rig->desk, PARAM_MIX_FADER, 0, 0, -HUGE_VAL);
    proof_put(rig->desk, PARAM_MIX_FADER, 1, 0, -HUGE_VAL);
    proof_put(rig->desk, PARAM_MIX_FADER, 2, 0, -HUGE_VAL);
    ring_rig_again(rig, true);
    drag(rig, PARAM_MIX_FADER, 1, 0, -60, 0);
    assert_int_equal(ring_told(rig, RING_OWN_SEND), 0); /* of somebody else */
    assert_int_equal(ring_last(rig, RING_OTHER_OPEN)->input, 0);
    ring_move(rig, PARAM_INPUT_MUTE, 0, 0, 1);
    ring_move(rig, PARAM_INPUT_MUTE, 1, 0, 0);
    push_next(rig, 1);
    assert_int_equal(ringing_state(rig->ringing)->mixes[1].own, 1);
    ring_wait(rig, 800);
    ring_move(rig, PARAM_MIX_GRAPHIC_BAND_GAIN, 1, 5, -3);
    assert_int_equal(ring_last(rig, RING_CUT)->mix, 1);
    assert_int_equal(ring_last(rig, RING_CUT)->input, 1);
}

/* The singer's own then comes in: nobody else's hand, and the other one that closes was no push. */
static void
the_players_own_may_come_in_later(void **state)
{
    struct ring_rig *rig = *state;

    all_wedges_up(rig);
    proof_put(rig->desk, PARAM_INPUT_PREAMP_GAIN, 0, 0, 20);
    for (int mix = 0; mix < 3; mix++)
        proof_put(rig->desk, PARAM_MIX_FADER, mix, 0, -HUGE_VAL);
    ring_rig_again(rig, true);
    drag(rig, PARAM_MIX_FADER, 1, 0, -60, 0);
    ring_move(rig, PARAM_INPUT_MUTE, 1, 0, 0);
    drag(rig, PARAM_SEND_LEVEL, 0, 1, -12, -60);
    ring_move(rig, PARAM_SEND_LEVEL, 0, 1, -HUGE_VAL);
    assert_int_equal(ring_told(rig, RING_HAND) + ring_told(rig, RING_LAST_PUSH), 0);
    push_next(rig, 1);
    assert_int_equal(ringing_state(rig->ringing)->mixes[1].own, 1);
    assert_int_equal(ringing_state(rig->ringing)->mixes[1].rings, 0);
}

/* A mix that is done, its microphone closed, hears another one come up for the next mix. */
static void
what_comes_up_elsewhere_leaves_its_ceiling(void **state)
{
    struct ring_rig *rig = *state;

    all_wedges_up(rig);
    for (int i = 0; i < 8; i++)
        ring_up(rig, 1500, 1);
    ring_cut(rig, 800, 5, -3);
    ring_up(rig, 4000, 0.5);
    ring_up(rig, 1500, -6);
    ring_wait(rig, 5000);
    ring_move(rig, PARAM_INPUT_MUTE, 0, 0, 1);
    ring_move(rig, PARAM_MIX_FADER, 1, 0, -HUGE_VAL);
    ring_move(rig, PARAM_SEND_LEVEL, 1, 0, -60);
    ring_move(rig, PARAM_INPUT_MUTE, 1, 0, 0);
    drag(rig, PARAM_SEND_LEVEL, 1, 0, -60, -12);
    assert_int_equal(ring_told(rig, RING_RISE), 2);
    assert_int_equal(ring_remarks(rig), 0);
    assert_int_equal(ringing_proofs(rig->ringing)->ceiling_count, 1);
    assert_near(ringing_proofs(rig->ringing)->ceilings[0].step_db, 0.5, 1e-9);
}

/* ---- what a spectrum shows ---- */

static void
hear(struct ring_rig *rig, int mix, double hz, double level_db, int64_t rose_ms)
{
    struct heard_thirds heard = {0};

    heard.of[3] = (struct heard){400, level_db - 5, rig->now_ms, rose_ms};
    heard.of[9] = (struct heard){hz, level_db, rig->now_ms, rose_ms};
    ringing_heard(rig->ringing, mix, &heard);
}

static void
what_grows_is_said_before_anything_is_raised_on(void **state)
{
    struct ring_rig *rig = *state;

    hear(rig, 0, 640, -30, rig->now_ms);
    assert_int_equal(ring_next_of(rig), RING_NEXT_RAISE); /* nothing was raised yet */
    ring_up(rig, 1500, 1);
    hear(rig, 0, 640, -30, rig->now_ms);
    assert_int_equal(ring_next_of(rig), RING_NEXT_RINGS);
    assert_int_equal(ringing_state(rig->ringing)->next_mix, 0);
    assert_near(ringing_state(rig->ringing)->next_hz, 640, 1e-9);
    ring_cut(rig, 200, 5, -3);
    assert_int_equal(ring_next_of(rig), RING_NEXT_SILENCE);
    ring_wait(rig, 4000);
    assert_int_equal(ring_next_of(rig), RING_NEXT_RAISE_ON); /* it fell silent */
    hear(rig, 0, 640, -30, rig->now_ms);
    assert_int_equal(ring_next_of(rig), RING_NEXT_RINGS); /* it did not */
    hear(rig, 0, 640, -45, rig->now_ms - 12000);
    assert_int_equal(ring_next_of(rig), RING_NEXT_RAISE_ON); /* a hum stands for ever */
    hear(rig, 0, 640, -10, rig->now_ms - 12000);
    assert_int_equal(ring_next_of(rig), RING_NEXT_RINGS); /* nobody cuts it */
    ring_wait(rig, 1500);
    hear(rig, 1, 640, -30, rig->now_ms);
    assert_int_equal(ring_next_of(rig), RING_NEXT_RAISE_ON); /* another mix's */
}

#define TEST(test) cmocka_unit_test_setup_teardown(test, setup, teardown)

int
main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(by_the_book_nothing_is_remarked),
        TEST(a_rise_tells_from_where),
        TEST(a_cut_is_a_ring_with_its_frequency),
        TEST(a_spectrum_says_where_it_rang),
        TEST(the_same_band_again_is_another_ring_but_no_other_cut),
        TEST(a_cut_before_anything_was_raised_is_no_ring),
        TEST(a_parametric_band_is_a_cut_too),
        TEST(back_by_little_is_asked_for_the_rest),
        TEST(a_voice_is_heard_only_after_the_step_back),
        TEST(the_mix_that_alone_is_open_is_the_next),
        TEST(a_small_step_after_the_step_back_is_no_new_rise),
        TEST(another_hand_is_named),
        TEST(what_makes_no_loop_is_nobodys_hand),
        TEST(a_send_that_goes_to_its_mark_is_set_up),
        TEST(the_next_microphone_is_its_players_mix),
        TEST(all_together_waits_for_what_opens),
        TEST(what_was_as_loud_is_set_up_in_any_order),
        TEST(what_was_never_as_loud_is_a_rise),
        TEST(of_two_microphones_the_open_one_is_meant),
        TEST(what_is_below_the_beginning_is_set_up),
        TEST(what_comes_back_below_its_ring_is_no_rise),
        TEST(what_was_closed_again_was_not_rung_out),
        TEST(the_players_own_may_come_in_later),
        TEST(what_comes_up_elsewhere_leaves_its_ceiling),
        TEST(what_grows_is_said_before_anything_is_raised_on),
    };

    return cmocka_run_group_tests_name("ring_course", tests, NULL, NULL);
}
