/* SPDX-License-Identifier: MIT */
/* ringing on a rig with two wedges and a pack: what is told of a band that rises, by what the desk says
 * besides. The rule by itself is tested in spectrum/rise.c.
 */
#include "rig.h"
#include "unit.h"

#include <math.h>
#include <string.h>

#include "advice/plan.h"
#include "change/suspects.h"
#include "proof/proof.h"

enum { INPUTS = 3, MIXES = 3, PACK = 2, RATE = 20, PERIOD_MS = 1000 / RATE };
enum { AT = 12 }; /* 316 Hz */

static const char id[] = "mix-ringing";

struct evening {
    struct rig *rig;
    double ringing_db; /* of the band; the others are at -70 */
    int other;         /* another band, 0: none, and how loud it is */
    double other_db;
};

static void
begin(struct evening *evening, struct rig *rig)
{
    struct spectrum_bands bands;

    rig_start(rig, INPUTS, MIXES);
    for (int mix = 0; mix < MIXES; mix++) {
        rig_set_text(rig, PARAM_MIX_NAME, mix, mix == PACK ? "Drums IEM" : "Vox wedge");
        for (int input = 0; input < INPUTS; input++)
            rig_set(rig, PARAM_SEND_LEVEL, input, mix, -10);
    }
    for (int input = 0; input < INPUTS; input++)
        rig_set_text(rig, PARAM_INPUT_NAME, input, "Ld Vox");
    assert_true(spectrum_bands_of_thirds(SPECTRUM_THIRDS, &bands));
    engine_remember(rig->engine);
    engine_watch_spectra(rig->engine, &bands, RATE);
    *evening = (struct evening){rig, -70, 0, -70};
    rig_run(rig);
}

static void
frame(struct evening *evening, int mix)
{
    double levels[SPECTRUM_THIRDS];

    for (int i = 0; i < SPECTRUM_THIRDS; i++)
        levels[i] = i == AT                                     ? evening->ringing_db
                    : evening->other > 0 && i == evening->other ? evening->other_db
                                                                : -70;
    evening->rig->now_ms += PERIOD_MS;
    engine_hear_spectrum(evening->rig->engine, mix, levels, evening->rig->now_ms);
}

/* Nothing rises for so long. */
static void
quiet(struct evening *evening, int mix, int seconds)
{
    evening->ringing_db = -70;
    for (int i = 0; i < seconds * RATE; i++)
        frame(evening, mix);
    rig_run(evening->rig);
}

/* It rises by 20 dB a second for two seconds. */
static void
rise(struct evening *evening, int mix)
{
    for (int i = 0; i < 2 * RATE; i++) {
        evening->ringing_db += 20.0 / RATE;
        frame(evening, mix);
    }
    rig_run(evening->rig);
}

static void
assert_told(struct evening *evening, int mix, enum weight weight, const char *says)
{
    const struct verdict *verdict = rig_judge_mix(evening->rig, id, mix);

    assert_int_equal(verdict->outcome, OUTCOME_FINDING);
    assert_int_equal(verdict->weight, weight);
    assert_near(rig_figure(verdict, "at_hz"), 316.2, 0.1);
    assert_contains(rig_words_mix(evening->rig, id, mix)->says, says);
}

static void
assert_outcome(struct evening *evening, int mix, enum outcome outcome)
{
    assert_int_equal(rig_judge_mix(evening->rig, id, mix)->outcome, outcome);
}

static void
alone_it_is_a_suspicion(void **state)
{
    struct evening evening;

    begin(&evening, *state);
    quiet(&evening, 0, 4);
    assert_outcome(&evening, 0, OUTCOME_PASS);
    rise(&evening, 0);
    assert_told(&evening, 0, WEIGHT_NOTE, "may be ringing at 316 Hz, give or take a semitone");
    assert_outcome(&evening, 1, OUTCOME_PASS);
    assert_outcome(&evening, PACK, OUTCOME_NOT_ASKED);
    quiet(&evening, 0, 2); /* it fell */
    assert_outcome(&evening, 0, OUTCOME_PASS);
}

/* By any of its controls, also long ago on the way there; not by what is another mix's. */
static void
what_rose_is_told(void **state)
{
    static const struct {
        enum param_id id;
        int row, column;
        double from, to;
        enum weight weight;
        const char *says;
    } rows[] = {
        {PARAM_SEND_LEVEL, 1, 0, -10, -6, WEIGHT_FIX, "input 2 Ld Vox rose by 4 dB (send)"},
        {PARAM_MIX_FADER, 0, 0, 0, 3, WEIGHT_FIX, "rose by 3 dB (master)"},
        {PARAM_INPUT_PREAMP_GAIN, 2, 0, 30, 35, WEIGHT_FIX, "input 3 Ld Vox rose by 5 dB (preamp)"},
        {PARAM_INPUT_MUTE, 0, 0, 1, 0, WEIGHT_FIX, "input 1 Ld Vox opened"},
        {PARAM_SEND_LEVEL, 1, 1, -10, -6, WEIGHT_NOTE, "may be ringing"},
        {PARAM_SEND_LEVEL, 1, 0, -6, -10, WEIGHT_NOTE, "may be ringing"},
        {PARAM_SEND_LEVEL, 1, 0, -10, -9.5, WEIGHT_NOTE, "may be ringing"},
    };

    for (size_t i = 0; i < COUNT(rows); i++) {
        struct evening evening;

        begin(&evening, *state);
        rig_set(evening.rig, rows[i].id, rows[i].row, rows[i].column, rows[i].from);
        quiet(&evening, 0, 12);
        rig_set(evening.rig, rows[i].id, rows[i].row, rows[i].column, rows[i].to);
        rise(&evening, 0);
        assert_told(&evening, 0, rows[i].weight, rows[i].says);
    }
}

/* Ten seconds before it stood where it stands. */
static void
down_and_up_again_rose(void **state)
{
    struct evening evening;

    begin(&evening, *state);
    quiet(&evening, 0, 12);
    rig_set(evening.rig, PARAM_SEND_LEVEL, 1, 0, -18);
    rig_set(evening.rig, PARAM_SEND_LEVEL, 2, 0, -11); /* and did not come back */
    quiet(&evening, 0, 3);
    rig_set(evening.rig, PARAM_SEND_LEVEL, 1, 0, -10);
    rise(&evening, 0);
    assert_told(&evening, 0, WEIGHT_FIX, "input 2 Ld Vox rose by 8 dB (send)");
}

/* What another tells of the mix from now on: how often, and the last. */
struct said {
    int worse, raised;
    double at_hz;
};

static void
hear_event(void *context, const struct event *event)
{
    struct said *said = context;

    if (event->finding->check->number != CHECK_MIX_RINGING)
        return;
    said->raised += event->kind == EVENT_RAISED;
    said->worse += event->kind == EVENT_WORSE;
    said->at_hz = verdict_figure(&event->finding->verdict, "at_hz");
}

/* 316 Hz rises and stays; then another band does until it is as loud as said. */
static struct said
another_rises(struct evening *evening, int other, double to_db)
{
    struct said said = {0};

    quiet(evening, 0, 12);
    rig_set(evening->rig, PARAM_SEND_LEVEL, 1, 0, -6);
    evening->other = other;
    evening->other_db = -70;
    for (int i = 0; i < 4 * RATE; i++) {
        evening->ringing_db = fmin(evening->ringing_db + 20.0 / RATE, -36);
        if (i > 2 * RATE)
            evening->other_db = fmin(evening->other_db + 30.0 / RATE, to_db);
        frame(evening, 0);
        engine_run(evening->rig->engine, evening->rig->now_ms, hear_event, &said);
    }
    return said;
}

/* A wrong third may rise first: what stands out more then is told, too, and with the one before. One that is not louder
 * is nothing new. */
static void
the_louder_one_takes_over(void **state)
{
    static const struct {
        int other;
        double to_db;
        bool told;
    } rows[] = {{20, -20, true}, {6, -25, true}, {20, -38, false}};

    for (size_t i = 0; i < COUNT(rows); i++) {
        struct evening evening;
        struct said said;

        begin(&evening, *state);
        engine_hold(evening.rig->engine, true);
        said = another_rises(&evening, rows[i].other, rows[i].to_db);
        assert_int_equal(said.raised, 1);
        assert_int_equal(said.worse, rows[i].told);
        assert_near(said.at_hz, rows[i].told ? 1000 * pow(10, (rows[i].other - 17) / 10.0) : 316.2,
                    0.1);
        if (rows[i].told)
            assert_contains(rig_words_mix(evening.rig, id, 0)->says,
                            ". It stands out more than what rose before, at 316 Hz");
    }
}

/* A tone that stands between two thirds rises in both, now in this one more and then in that: it is one ring. */
static void
one_ring_is_told_once(void **state)
{
    struct evening evening;
    struct said said = {0};

    begin(&evening, *state);
    engine_hold(evening.rig->engine, true);
    quiet(&evening, 0, 12);
    rig_set(evening.rig, PARAM_SEND_LEVEL, 1, 0, -6);
    evening.other = AT + 1;
    for (int i = 0; i < 3 * RATE; i++) {
        evening.ringing_db += 20.0 / RATE;
        evening.other_db = evening.ringing_db + (i < 2 * RATE ? -0.5 : 0.5);
        frame(&evening, 0);
        engine_run(evening.rig->engine, evening.rig->now_ms, hear_event, &said);
    }
    assert_int_equal(said.raised, 1);
    assert_int_equal(said.worse, 0);
    assert_near(said.at_hz, 354.8, 5);
}

/* Behind a rise a note that swells is not yet a ring; one that climbs on is. */
static void
a_swell_behind_a_rise_is_no_ring(void **state)
{
    static const struct {
        double db_s;
        enum outcome outcome;
    } rows[] = {{9, OUTCOME_PASS}, {14, OUTCOME_FINDING}};

    for (size_t i = 0; i < COUNT(rows); i++) {
        struct evening evening;

        begin(&evening, *state);
        quiet(&evening, 0, 12);
        evening.ringing_db = -45;
        for (int n = 0; n < 20 * RATE; n++)
            frame(&evening, 0);
        quiet(&evening, 0, 1); /* a rest, in which the send comes up */
        rig_set(evening.rig, PARAM_SEND_LEVEL, 1, 0, 4);
        quiet(&evening, 0, 2);
        evening.ringing_db = -29;
        for (int n = 0; n < 3 * RATE; n++)
            frame(&evening, 0);
        for (int n = 0; n < 2 * RATE; n++) {
            evening.ringing_db += n < RATE ? rows[i].db_s / RATE : 0;
            frame(&evening, 0);
            rig_run(evening.rig);
        }
        assert_outcome(&evening, 0, rows[i].outcome);
    }
}

/* A held note gets louder by what a hand raises, in as straight a line, and that is no ring: while the fader goes up, and
 * behind it. What grows on is one. */
static void
a_note_that_is_ridden_is_no_ring(void **state)
{
    static const struct {
        double grows_db_s; /* besides */
        enum outcome outcome;
    } rows[] = {{0, OUTCOME_PASS}, {2, OUTCOME_PASS}, {20, OUTCOME_FINDING}};

    for (size_t i = 0; i < COUNT(rows); i++) {
        struct evening evening;

        begin(&evening, *state);
        quiet(&evening, 0, 12);
        evening.ringing_db = -45;
        for (int n = 0; n < 22 * RATE; n++) /* it is as loud as ever */
            frame(&evening, 0);
        for (int n = 1; n <= 30; n++) {
            rig_set(evening.rig, PARAM_SEND_LEVEL, 1, 0, -10 + n * 0.5);
            evening.ringing_db += 0.5 + rows[i].grows_db_s / RATE;
            frame(&evening, 0);
            rig_run(evening.rig);
            if (rows[i].outcome == OUTCOME_PASS)
                assert_outcome(&evening, 0, OUTCOME_PASS);
        }
        for (int n = 0; n < RATE; n++) {
            evening.ringing_db = fmin(evening.ringing_db + rows[i].grows_db_s / RATE, 0);
            frame(&evening, 0);
            rig_run(evening.rig);
        }
        assert_outcome(&evening, 0, rows[i].outcome);
    }
}

/* And a swell of it, behind the fader, is louder than lately by the hand alone. */
static void
a_swell_behind_a_ride_is_no_ring(void **state)
{
    struct evening evening;

    begin(&evening, *state);
    quiet(&evening, 0, 12);
    evening.ringing_db = -45;
    for (int n = 0; n < 22 * RATE; n++)
        frame(&evening, 0);
    rig_set(evening.rig, PARAM_SEND_LEVEL, 1, 0, 4);
    evening.ringing_db += 14;
    for (int n = 0; n < 2 * RATE; n++)
        frame(&evening, 0);
    for (int n = 0; n < 1.3 * RATE; n++) {
        evening.ringing_db += 8.4 / RATE;
        frame(&evening, 0);
        rig_run(evening.rig);
        assert_outcome(&evening, 0, OUTCOME_PASS);
    }
}

static void
what_rose_long_ago_is_no_cause(void **state)
{
    struct evening evening;

    begin(&evening, *state);
    quiet(&evening, 0, 4);
    rig_set(evening.rig, PARAM_SEND_LEVEL, 1, 0, -6);
    quiet(&evening, 0, 12);
    rise(&evening, 0);
    assert_told(&evening, 0, WEIGHT_NOTE, "may be ringing");
}

static void
no_loop_no_ring(void **state)
{
    struct evening evening;

    begin(&evening, *state);
    for (int input = 0; input < INPUTS; input++)
        rig_set(evening.rig, PARAM_SEND_LEVEL, input, 0, -HUGE_VAL);
    rig_set_text(evening.rig, PARAM_INPUT_NAME, 1, "Keys DI"); /* a line source is no loop */
    rig_set(evening.rig, PARAM_SEND_LEVEL, 1, 0, 0);
    quiet(&evening, 0, 12);
    rise(&evening, 0);
    assert_outcome(&evening, 0, OUTCOME_PASS);
    rig_set(evening.rig, PARAM_SEND_LEVEL, 0, 0, -20);
    rig_run(evening.rig);
    assert_told(&evening, 0, WEIGHT_NOTE, "may be ringing"); /* it opened behind the rise */
    rig_set(evening.rig, PARAM_MIX_MUTE, 0, 0, 1);
    rig_run(evening.rig);
    assert_outcome(&evening, 0, OUTCOME_PASS);
}

static void
a_recall_hushes(void **state)
{
    struct evening evening;

    begin(&evening, *state);
    quiet(&evening, 0, 4);
    rise(&evening, 0);
    engine_hush_spectra(evening.rig->engine, evening.rig->now_ms);
    rig_run(evening.rig);
    assert_outcome(&evening, 0, OUTCOME_PASS);
    quiet(&evening, 0, 5);
    rise(&evening, 0);
    assert_outcome(&evening, 0, OUTCOME_PASS);
    quiet(&evening, 0, 21);
    rise(&evening, 0);
    assert_told(&evening, 0, WEIGHT_NOTE, "may be ringing");
}

static void
without_frames_it_ends(void **state)
{
    struct evening evening;

    begin(&evening, *state);
    quiet(&evening, 0, 4);
    rise(&evening, 0);
    assert_told(&evening, 0, WEIGHT_NOTE, "may be ringing");
    assert_true(engine_next_ms(evening.rig->engine) <= evening.rig->now_ms + 3000);
    evening.rig->now_ms += 3000;
    rig_run(evening.rig);
    assert_outcome(&evening, 0, OUTCOME_PASS);
}

/* A ring-out left mix 1 with 2 dB, and noted a ring at 300 Hz. */
static void
a_ring_of_the_record(void **state)
{
    static const struct {
        double hz, left_db;
        int mix;
        enum weight weight;
    } rows[] = {{300, 2, 0, WEIGHT_FIX},
                {300, 9, 0, WEIGHT_NOTE},
                {300, 2, 1, WEIGHT_NOTE},
                {600, 2, 0, WEIGHT_NOTE}};

    for (size_t i = 0; i < COUNT(rows); i++) {
        struct evening evening;
        struct proof_ring ring = {
            .hz = rows[i].hz, .mix = rows[i].mix, .input = -1, .gain_db = NAN};
        struct proof_ceiling ceiling = {.mix = -1};
        struct proofs kept = {&ceiling, 1, &ring, 1, NULL, {0}};

        begin(&evening, *state);
        ceiling.desk = desk_copy(evening.rig->desk);
        for (int mix = 0; mix < MIXES; mix++)
            desk_set(ceiling.desk, PARAM_MIX_FADER, mix, 0, rows[i].left_db, 1);
        engine_set_proofs(evening.rig->engine, &kept);
        quiet(&evening, 0, 4);
        rise(&evening, 0);
        assert_told(&evening, 0, rows[i].weight,
                    rows[i].weight == WEIGHT_FIX ? "noted a ring at 300 Hz" : "may be ringing");
        engine_set_proofs(evening.rig->engine, NULL);
        desk_free(ceiling.desk);
    }
}

static void
what_rose_goes_back(void **state)
{
    struct evening evening;
    struct plan *plan;
    const struct card *card;
    size_t at;

    begin(&evening, *state);
    quiet(&evening, 0, 4);
    rig_set(evening.rig, PARAM_SEND_LEVEL, 1, 0, -3);
    rig_set(evening.rig, PARAM_SEND_LEVEL, 2, 1, -3); /* into another mix */
    rise(&evening, 0);
    plan = engine_advise(evening.rig->engine, 0);
    at = plan_card_of(plan, CHECK_MIX_RINGING, (struct object){-1, 0});
    assert_int_not_equal(at, PLAN_NO_CARD);
    card = &plan->cards[at];
    assert_int_equal(card->kind, CARD_PUT_BACK);
    assert_int_equal(card->count, 1);
    assert_int_equal(card->moves[0].id, PARAM_SEND_LEVEL);
    assert_int_equal(card->moves[0].row, 1);
    assert_int_equal(card->moves[0].column, 0);
    assert_near(card->moves[0].to, -10, 1e-9);
    plan_free(plan);
}

/* A desk that publishes no spectra: nothing is asked, and nothing marks the check. */
static void
without_spectra_nothing_is_asked(void **state)
{
    struct rig *rig = *state;

    rig_start(rig, INPUTS, MIXES);
    rig_run(rig);
    assert_int_equal(rig_judge_mix(rig, id, 0)->outcome, OUTCOME_NOT_ASKED);
    rig_run(rig);
    rig_set(rig, PARAM_MIX_HIGH_PASS_FREQ, 0, 0, 77); /* which others of the watch read alone */
    rig_run(rig);
    assert_null(rig_finding(rig, id, -1, 0));
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        RIG_TEST(alone_it_is_a_suspicion),
        RIG_TEST(what_rose_is_told),
        RIG_TEST(a_note_that_is_ridden_is_no_ring),
        RIG_TEST(a_swell_behind_a_rise_is_no_ring),
        RIG_TEST(a_swell_behind_a_ride_is_no_ring),
        RIG_TEST(the_louder_one_takes_over),
        RIG_TEST(one_ring_is_told_once),
        RIG_TEST(down_and_up_again_rose),
        RIG_TEST(what_rose_long_ago_is_no_cause),
        RIG_TEST(no_loop_no_ring),
        RIG_TEST(a_recall_hushes),
        RIG_TEST(without_frames_it_ends),
        RIG_TEST(a_ring_of_the_record),
        RIG_TEST(what_rose_goes_back),
        RIG_TEST(without_spectra_nothing_is_asked),
    };

    return cmocka_run_group_tests_name("mix_ringing", tests, NULL, NULL);
}
