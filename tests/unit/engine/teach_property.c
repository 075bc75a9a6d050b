/* SPDX-License-Identifier: MIT */
/* Worked examples on any desk: what is written adds up, and arrives at what the figures of the case
 * say when they are put together another way.
 */
#include "change/suspects.h"
#include "engine/teach.h"
#include "proof/proof.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "change/moves.h"
#include "check/check.h"
#include "equation.h"
#include "rig.h"
#include "stage/estimate.h"
#include "unit.h"

/* ---- what must come out, by another way ---- */

enum { RESULTS = 4 };

/* What the examples of one check must arrive at, from the figures of the case. */
typedef void results_fn(const struct verdict *verdict, double results[RESULTS]);

static double
of(const struct verdict *verdict, const char *name)
{
    return verdict_figure(verdict, name);
}

static void
preamp_results(const struct verdict *verdict, double results[RESULTS])
{
    results[0] = of(verdict, "preamp_db") + of(verdict, "loudest_after_preamp_db"); /* stays */
    results[1] = of(verdict, "preamp_after_db");
    results[2] = of(verdict, "send_to_top_raises_db");
    results[3] = of(verdict, "send_to_top_raises_after_db");
}

static void
cuts_results(const struct verdict *verdict, double results[RESULTS])
{
    double loss_db = round(of(verdict, "speech_level_loss_db") * 10) / 10;

    if (loss_db >= 0)
        results[0] = 100 / pow(10, loss_db / 10);
    if (of(verdict, "cuts_count") > 6)
        results[1] = of(verdict, "cuts_count") - 6;
}

static double
butterworth_db(double corner_hz, double freq_hz, double order)
{
    return 20 * log10(hypot(1, pow(corner_hz / freq_hz, order)));
}

static void
high_pass_missing_results(const struct verdict *verdict, double results[RESULTS])
{
    results[0] = butterworth_db(of(verdict, "usual_corner_low_hz"), 40, 2);
    results[1] = butterworth_db(of(verdict, "usual_corner_high_hz"), 40, 2);
}

static void
high_pass_low_results(const struct verdict *verdict, double results[RESULTS])
{
    double order = of(verdict, "filter_order");

    results[0] = of(verdict, "loss_at_63_hz_db");
    results[1] = butterworth_db(of(verdict, "usual_corner_low_hz"), 63, order);
    results[2] = log(of(verdict, "usual_corner_low_hz") / of(verdict, "corner_hz")) / log(2);
}

static void
high_pass_high_results(const struct verdict *verdict, double results[RESULTS])
{
    double lowest_hz = of(verdict, "lowest_note_hz");

    results[0] = isnan(lowest_hz) ? of(verdict, "loss_at_usual_top_db")
                                  : of(verdict, "loss_at_lowest_note_db");
    results[1] = isnan(lowest_hz) ? 10 * log10(2)
                                  : butterworth_db(of(verdict, "usual_corner_high_hz"), lowest_hz,
                                                   of(verdict, "filter_order"));
    if (!isnan(lowest_hz))
        results[2] = of(verdict, "one_db_corner_hz");
}

static void
master_results(const struct verdict *verdict, double results[RESULTS])
{
    if (isnan(of(verdict, "master_db")))
        return;
    results[0] = -of(verdict, "master_db"); /* louder */
    results[1] = of(verdict, "master_db");  /* as before */
    results[2] = fabs(of(verdict, "master_db"));
    results[3] = 0; /* the master after the cure */
}

static void
own_send_results(const struct verdict *verdict, double results[RESULTS])
{
    if (isnan(of(verdict, "own_send_db")))
        return;
    results[0] = of(verdict, "preamp_db") + of(verdict, "own_send_db");
    results[1] = -10 - of(verdict, "own_send_db");
    results[2] = fabs(of(verdict, "own_send_db"));
    results[3] = 0; /* the own send after the cure */
}

static void
follows_results(const struct verdict *verdict, double results[RESULTS])
{
    double sum_db = of(verdict, "one_send_db") + of(verdict, "its_fader_db");

    results[0] = sum_db;
    results[1] = sum_db + 6;
    results[2] = of(verdict, "sends_count") / of(verdict, "mixes_count");
}

static void
boost_results(const struct verdict *verdict, double results[RESULTS])
{
    double boost_db = round(of(verdict, "boost_db") * 10) / 10;

    if (boost_db <= 60)
        results[0] = exp(boost_db * log(10) / 20);
    results[1] = 10 - boost_db;
    results[2] = -boost_db;
    results[3] = 0;
}

static void
make_up_results(const struct verdict *verdict, double results[RESULTS])
{
    results[0] = 0;
    results[1] = of(verdict, "makeup_db");
    results[2] = 6 - of(verdict, "makeup_db");
}

static void
unused_results(const struct verdict *verdict, double results[RESULTS])
{
    results[0] = of(verdict, "preamp_db") + of(verdict, "send_db");
    results[1] = of(verdict, "send_db");
}

static void
microphones_results(const struct verdict *verdict, double results[RESULTS])
{
    results[0] = of(verdict, "margin_lost_db");
    results[1] = 10 * log(of(verdict, "microphones_count")) / log(10);
    results[2] = 10 * log(2) / log(10);
}

static void
ears_results(const struct verdict *verdict, double results[RESULTS])
{
    double ratio = of(verdict, "ratio_to_1"), taken_db = of(verdict, "taken_db");
    double behind_db = of(verdict, "behind_db"), threshold_db = of(verdict, "threshold_db");
    bool early = threshold_db < 0;

    if (!isnan(of(verdict, "attack_ms"))) {
        results[0] = of(verdict, "attack_ms");
    } else if (!isnan(of(verdict, "release_ms"))) {
        results[0] = of(verdict, "release_ms") / 1000;
    } else if (!isnan(of(verdict, "other_threshold_db"))) {
        results[0] = fabs(threshold_db - of(verdict, "other_threshold_db"));
    } else if (!isnan(of(verdict, "level_dbfs"))) {
        results[0] = of(verdict, "level_dbfs") + of(verdict, "above_mix_db");
    } else if (verdict->weight == WEIGHT_STOP || taken_db < 3) {
        results[0] = isnan(ratio) ? 20 - 20 / of(verdict, "least_ratio_to_1") : -threshold_db;
        if (early && isnan(behind_db))
            results[1] = -threshold_db * (1 - 1 / ratio);
    } else {
        results[0] = 20 / of(verdict, "least_ratio_to_1");
        results[1] = 20 / (round(ratio * 100) / 100);
    }
}

static void
phantom_results(const struct verdict *verdict, double results[RESULTS])
{
    results[0] = fabs(of(verdict, "needed_v") - of(verdict, "phantom_v"));
}

static void
hot_results(const struct verdict *verdict, double results[RESULTS])
{
    results[0] = -of(verdict, "level_dbfs");
    results[1] = of(verdict, "level_dbfs") + 12;
    results[2] = of(verdict, "preamp_db") - 12 - of(verdict, "level_dbfs");
    results[3] = -12;
}

static void
faint_results(const struct verdict *verdict, double results[RESULTS])
{
    results[0] = of(verdict, "below_full_scale_db");
    results[1] = of(verdict, "below_full_scale_db") - 18;
    results[2] = 6 - of(verdict, "below_full_scale_db");
}

static void
jumped_results(const struct verdict *verdict, double results[RESULTS])
{
    results[0] = of(verdict, "leap_db");
    results[1] = 10 - of(verdict, "leap_db");
    results[2] = exp(round(of(verdict, "leap_db") * 10) / 10 * log(10) / 20);
}

static void
moved_results(const struct verdict *verdict, double results[RESULTS])
{
    double moved_db = of(verdict, "now_db") - of(verdict, "approved_db");

    if (!isfinite(moved_db))
        return;
    results[0] = moved_db;
    results[1] = -moved_db;
}

static void
lost_results(const struct verdict *verdict, double results[RESULTS])
{
    results[0] = of(verdict, "cut_is_db") - of(verdict, "cut_was_db");
    results[1] = 6 + of(verdict, "cut_was_db") - of(verdict, "cut_is_db");
    results[2] = of(verdict, "threshold_is_db") - of(verdict, "threshold_was_db");
    results[3] = of(verdict, "phantom_is_v") - of(verdict, "phantom_was_v");
}

static void
left_on_results(const struct verdict *verdict, double results[RESULTS])
{
    results[0] = of(verdict, "talkback_on_count") + of(verdict, "oscillator_on_count");
}

static void
margin_results(const struct verdict *verdict, double results[RESULTS])
{
    results[0] = of(verdict, "after_db") - of(verdict, "gone_db");
    results[1] = isnan(results[0]) ? NAN : -of(verdict, "past_db");
}

static void
loop_results(const struct verdict *verdict, double results[RESULTS])
{
    double path_db = of(verdict, "loop_gain_db") - of(verdict, "others_db");

    results[0] = path_db;
    results[1] = of(verdict, "others_db") > 0.05 ? of(verdict, "loop_gain_db") : NAN;
}

static void
aim_results(const struct verdict *verdict, double results[RESULTS])
{
    results[0] = of(verdict, "wins_db");
}

static void
ringing_results(const struct verdict *verdict, double results[RESULTS])
{
    results[0] = -of(verdict, "level_dbfs");
}

static const struct {
    const char *check;
    results_fn *results;
} expectations[] = {
    {"unused-preamp-gain", preamp_results},
    {"too-many-cuts", cuts_results},
    {"high-pass-missing", high_pass_missing_results},
    {"high-pass-low", high_pass_low_results},
    {"high-pass-high", high_pass_high_results},
    {"master-off-unity", master_results},
    {"own-send-off-unity", own_send_results},
    {"send-follows-fader", follows_results},
    {"boost-into-wedge", boost_results},
    {"make-up-into-wedge", make_up_results},
    {"open-unused-input", unused_results},
    {"open-microphones", microphones_results},
    {"ears-unprotected", ears_results},
    {"phantom-mismatch", phantom_results},
    {"input-hot", hot_results},
    {"input-faint", faint_results},
    {"value-jumped", jumped_results},
    {"moved-from-approved", moved_results},
    {"protection-lost", lost_results},
    {"left-on", left_on_results},
    {"margin-left", margin_results},
    {"loop-margin", loop_results},
    {"microphone-aim", aim_results},
    {"mix-ringing", ringing_results},
};

/* What does not apply to the case stays NAN. */
static void
arrives(int check, const struct verdict *verdict, const char *text)
{
    double results[RESULTS] = {NAN, NAN, NAN, NAN};
    size_t at = 0;

    while (strcmp(expectations[at].check, check_name(check)) != 0) {
        at++;
        assert_in_range(at, 0, sizeof expectations / sizeof *expectations - 1);
    }
    expectations[at].results(verdict, results);
    for (int i = 0; i < RESULTS; i++)
        if (!isnan(results[i]) && !equation_results_in(text, results[i])) {
            print_error("%s: %g does not come out of: %s\n", check_name(check), results[i], text);
            fail();
        }
}

static void
every_sample_arrives(void **state)
{
    (void)state;
    for (int check = 0; check < CHECKS; check++) {
        struct verdict verdict;
        char buffer[TEACH_SIZE];

        teach_sample(check_set_all.of[check], &verdict, NULL);
        equation_work(check, &verdict, buffer);
        arrives(check, &verdict, buffer);
    }
}

/* ---- any desk ---- */

enum { ROUNDS = 600, CHANGES = 60, INPUTS = 12, MIXES = 3, LEAST_FOUND = 5 };

/* Values as desks have them, to a thousandth; sometimes an end of what is legal. */
static double
some_number(struct dice *dice, enum param_id id)
{
    const struct param *param = &params[id];
    double least = param->least, most = param->most;

    if (param->unit == UNIT_SWITCH || param->unit == UNIT_WORD || param->unit == UNIT_INDEX)
        return param->least + dice_below(dice, (int)fmin(most - least, 11) + 1);
    if (param_may_be_off(id) && dice_below(dice, 8) == 0)
        return -HUGE_VAL;
    if (dice_below(dice, 10) == 0)
        return dice_below(dice, 2) ? least : most;
    if (id == PARAM_INPUT_LEVEL)
        return round(dice_between(dice, -75e3, 3e3)) / 1000;
    if (param->unit == UNIT_DB)
        return fmax(least, fmin(most, round(dice_between(dice, -25e3, 25e3)) / 1000));
    if (param->unit == UNIT_HZ)
        return fmax(least, fmin(most, 10 * pow(10, dice_between(dice, 0, 3))));
    return dice_between(dice, least, fmin(most, 50));
}

static void
change_some(struct rig *rig, struct dice *dice, struct moves *moves)
{
    for (int i = 0; i < CHANGES; i++) {
        enum param_id id = (enum param_id)dice_below(dice, PARAMS);
        struct moved moved = {.id = id};

        if (params[id].unit == UNIT_TEXT || desk_supplied(rig->desk, id) != SUPPLY_HEARD ||
            desk_rows(rig->desk, id) == 0)
            continue;
        moved.row = dice_below(dice, desk_rows(rig->desk, id));
        moved.column = dice_below(dice, desk_columns(rig->desk, id));
        moved.before = *desk_value(rig->desk, id, moved.row, moved.column);
        rig_set(rig, id, moved.row, moved.column, some_number(dice, id));
        moves_note(moves, rig->desk, &moved, rig->now_ms);
    }
}

static void
name_some(struct rig *rig, struct dice *dice)
{
    static const char *const inputs[] = {"Ld Vox", "OH L", "Tenor Sax", "Spare", "Kick",
                                         "BV",     "Keys", "Playback",  "Hat",   "Ac Gtr"};
    static const char *const mixes[] = {"Vox wedge", "Drums IEM", "Side fill"};

    for (int input = 0; input < INPUTS; input++) {
        rig_set_text(rig, PARAM_INPUT_NAME, input, inputs[dice_below(dice, 10)]);
        for (int mix = 0; mix < MIXES; mix++)
            rig_set(rig, PARAM_SEND_LEVEL, input, mix, dice_below(dice, 3) ? 0 : -9.5);
    }
    for (int mix = 0; mix < MIXES; mix++) {
        rig_set_text(rig, PARAM_MIX_NAME, mix, mixes[dice_below(dice, 3)]);
        for (int band = dice_below(dice, 3); band < 31; band += 2 + dice_below(dice, 9))
            rig_set(rig, PARAM_MIX_GRAPHIC_BAND_GAIN, mix, band, -dice_between(dice, 0, 15));
    }
    rig->show->role = (enum role)dice_below(dice, 3);
    rig->show->checks[CHECK_OPEN_MICROPHONES].settings[0] = 3;
}

/* Saying comes behind the judging, any number of times, and changes nothing about it. */
static void
is_said(const struct ground *ground, const struct check *check, struct object object,
        const struct verdict *verdict)
{
    const struct verdict before = *verdict;
    struct words words, again;

    check_say(check, ground, CHECK_AFRESH, object, verdict, &words);
    check_say(check, ground, CHECK_AFRESH, object, verdict, &again);
    assert_row(check->id, *words.says && *words.cure, true);
    assert_string_equal(words.says, again.says);
    assert_string_equal(words.cure, again.cure);
    assert_memory_equal(verdict, &before, sizeof before);
}

static int
judge_all(const struct ground *ground, int check)
{
    int found = 0;

    for (int input = -1; input < INPUTS; input++)
        for (int mix = -1; mix < MIXES; mix++) {
            unsigned kind = input >= 0 && mix >= 0 ? 0
                            : input >= 0           ? OBJECT_INPUT
                            : mix >= 0             ? OBJECT_MIX
                                                   : OBJECT_DESK;
            struct verdict verdict;
            char buffer[TEACH_SIZE];

            if (!(check_set_all.of[check]->objects & kind))
                continue;
            check_run(check_set_all.of[check], ground, CHECK_AFRESH, (struct object){input, mix},
                      &verdict, NULL);
            if (verdict.outcome != OUTCOME_FINDING)
                continue;
            assert_row(check_name(check), verdict.figure_count > 0, true);
            is_said(ground, check_set_all.of[check], (struct object){input, mix}, &verdict);
            equation_work(check, &verdict, buffer);
            equation_check(check_name(check), buffer);
            arrives(check, &verdict, buffer);
            found++;
        }
    return found;
}

/* Everything 20 dB louder than before the second moves did not ring. */
struct rung {
    struct proof_ceiling ceiling;
    struct proofs kept;
};

static void
ring_out(struct rung *rung, struct desk *before)
{
    rung->ceiling = (struct proof_ceiling){.desk = desk_copy(before), .mix = -1, .step_db = 1};
    for (int mix = 0; mix < MIXES; mix++)
        desk_set(rung->ceiling.desk, PARAM_MIX_FADER, mix, 0,
                 20 + value_number(desk_value(before, PARAM_MIX_FADER, mix, 0)), 1);
    rung->kept = (struct proofs){.ceilings = &rung->ceiling, .ceiling_count = 1, .left = before};
}

/* Every microphone at some distance and angle from a wedge of every mix. */
static struct stage *
some_plan(struct dice *dice)
{
    struct stage *stage = stage_new();

    stage->calibration_db.how = GIVEN;
    for (int i = 0; i < INPUTS; i++) {
        struct stage_microphone *one = stage_add_microphone(stage);

        one->inputs = (struct serves){1, {i}};
        one->placed = true;
        one->at = (struct place){dice_between(dice, -4, 4), dice_between(dice, 0, 5), 1.5};
        one->pattern = (enum polar)dice_below(dice, PATTERNS);
        one->sensitivity_mv_per_pa = (struct stated){2, GIVEN};
    }
    for (int i = 0; i < MIXES; i++) {
        struct stage_loudspeaker *one = stage_add_loudspeaker(stage);

        one->mixes = (struct serves){1, {i}};
        one->placed = true;
        one->at = (struct place){dice_between(dice, -4, 4), dice_between(dice, 0, 5), 0.3};
        one->sensitivity_db.how = one->amplifier_db.how = GIVEN;
    }
    return stage;
}

/* In each mix a tone grows, somewhere, somehow fast. */
static struct suspects *
ring(struct rig *rig, struct dice *dice)
{
    enum { RATE = 20, QUIET = 4 * RATE, FRAMES = 7 * RATE };
    struct spectrum_bands bands;
    struct suspects *suspects;

    assert_true(spectrum_bands_of_thirds(SPECTRUM_THIRDS, &bands));
    suspects = suspects_new(rig->desk, &bands, RATE);
    for (int mix = 0; mix < MIXES; mix++) {
        int at = dice_below(dice, SPECTRUM_THIRDS);
        double db_s = dice_between(dice, 8, 25);

        for (int frame = 0; frame < FRAMES; frame++) {
            double levels[SPECTRUM_THIRDS];

            for (int i = 0; i < SPECTRUM_THIRDS; i++)
                levels[i] = -80;
            levels[at] = fmax(-70, -70 + db_s * (frame - QUIET) / RATE);
            suspects_take(suspects, mix, levels, rig->now_ms + frame * 1000 / RATE);
        }
    }
    return suspects;
}

static void
whatever_the_desk_it_adds_up(void **state)
{
    struct rig *rig = *state;
    struct dice dice = dice_new();
    int found[100] = {0};

    assert_in_range(CHECKS, 1, 100);
    for (int round = 0; round < ROUNDS; round++) {
        struct desk *before;
        struct moves *moves;
        struct estimate *estimate;
        struct proof *proof;
        struct suspects *suspects;
        struct rung rung;

        rig_start_plan(rig, INPUTS, MIXES, some_plan(&dice));
        name_some(rig, &dice);
        moves = moves_new(rig->desk);
        change_some(rig, &dice, moves);
        before = desk_copy(rig->desk);
        rig->now_ms += 500;
        change_some(rig, &dice, moves);
        ring_out(&rung, before);
        proof = proof_new(rig->desk, rig->show, &rung.kept);
        estimate = estimate_new(rig->desk, rig->show);
        suspects = ring(rig, &dice);
        for (int check = 0; check < CHECKS; check++)
            found[check] += judge_all(&(struct ground){.desk = rig->desk,
                                                       .show = rig->show,
                                                       .approved = before,
                                                       .anchor = before,
                                                       .moves = moves,
                                                       .proof = proof,
                                                       .estimate = estimate,
                                                       .suspects = suspects},
                                      check);
        proof_free(proof);
        estimate_free(estimate);
        suspects_free(suspects);
        desk_free(rung.ceiling.desk);
        moves_free(moves);
        desk_free(before);
    }
    for (int check = 0; check < CHECKS; check++) {
        if (found[check] < LEAST_FOUND)
            print_error("%s: %d cases only\n", check_name(check), found[check]);
        assert_true(found[check] >= LEAST_FOUND);
    }
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_sample_arrives),
        RIG_TEST(whatever_the_desk_it_adds_up),
    };

    return cmocka_run_group_tests_name("teach_property", tests, NULL, NULL);
}
