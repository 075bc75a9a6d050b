/* SPDX-License-Identifier: MIT */
/* Worked examples: every check has one, it is of the case at hand, and what it adds up adds up.
 * teach_property.c does the same for any desk. */
#include "engine/teach.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "change/moves.h"
#include "check/check.h"
#include "core/sum.h"
#include "equation.h"
#include "rig.h"
#include "unit.h"

static void
the_evaluator_can_tell(void **state)
{
    static const char words[] = "nothing = 3";
    bool rounds;
    static const struct {
        const char *text;
        double left;
    } rows[] = {
        {"so 42 - 14 = 28", 28},
        {"10 - (-14) = 24", 24},
        {"|-8| = 8", 8},
        {"(order 12 / 6 = 2)", 2},
        {"at 5 dB: 10 log10(1 + (100 / 50)^4) = 12.3", 12.304489},
        {"of 100 parts 100 x 10^(-3 / 10) = 50.1", 50.118723},
        {"-6 + 20 = 14", 14},
        {"2 x 3^(1 / 2) - 1 = 2.5", 2.464102},
    };

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        assert_near_in(rows[i].text,
                       equation_left(rows[i].text, strstr(rows[i].text, " = "), &rounds),
                       rows[i].left, 1e-6);
    assert_true(isnan(equation_left(words, strstr(words, " = "), &rounds)));
}

/* ---- sums ---- */

static const char *
sum_of(double first, double second)
{
    static char buffer[100];
    struct text text;

    text_init(&text, buffer, sizeof buffer);
    SUM(&text, first, second);
    return buffer;
}

static void
sums_take_the_decimals_they_need(void **state)
{
    (void)state;
    assert_string_equal(sum_of(42, -14), "42 - 14 = 28");
    assert_string_equal(sum_of(-14, 14), "-14 + 14 = 0");
    assert_string_equal(sum_of(42.25, -14.13), "42.25 - 14.13 = 28.12");
    assert_string_equal(sum_of(0.05, 0.05), "0.05 + 0.05 = 0.1");
    assert_string_equal(sum_of(0.001, 0.049), "0 + 0.05 = 0.05");
    assert_string_equal(sum_of(-0.333, -0.333), "-0.333 - 0.333 = -0.666");
}

static void
sums_add_up_as_written(void **state)
{
    struct dice dice = dice_new();

    (void)state;
    for (int i = 0; i < 20000; i++) {
        char buffer[100];
        struct text text;
        double a = round(dice_between(&dice, -90e3, 90e3)) / 1000;
        double b = round(dice_between(&dice, -90e3, 90e3)) / 1000;

        assert_int_equal(equation_check("sum", sum_of(a, b)), 1);
        text_init(&text, buffer, sizeof buffer);
        sum_difference(&text, a, b);
        assert_int_equal(equation_check("difference", buffer), 1);
        assert_near(strtod(strstr(buffer, " = ") + 3, NULL), a - b, 0.0501);
    }
}

/* ---- the samples ---- */

static void
every_check_says_where_the_trade_disagrees(void **state)
{
    (void)state;
    for (int check = 0; check < CHECKS; check++) {
        const char *said = check_set_all.of[check]->disagreement;

        assert_row(check_name(check), said && strlen(said) > 80, true);
        assert_row(check_name(check),
                   strstr(said, "common practice, no source") || strstr(said, ".com"), true);
        assert_row(check_name(check), check_set_all.of[check]->work != NULL, true);
    }
}

static void
every_sample_is_a_finding_that_adds_up(void **state)
{
    (void)state;
    for (int check = 0; check < CHECKS; check++) {
        struct verdict verdict;
        char buffer[TEACH_SIZE];

        teach_sample(check_set_all.of[check], &verdict, NULL);
        assert_row(check_name(check), verdict.outcome, OUTCOME_FINDING);
        equation_work(check, &verdict, buffer);
        assert_row(check_name(check), equation_check(check_name(check), buffer) > 0, true);
    }
}

/* No number reaches the text without being known. */
static void
nothing_is_worked_without_figures(void **state)
{
    (void)state;
    for (int check = 0; check < CHECKS; check++) {
        struct verdict verdict;
        char buffer[TEACH_SIZE];
        struct text text;

        teach_sample(check_set_all.of[check], &verdict, NULL);
        verdict.figure_count = 0;
        text_init(&text, buffer, sizeof buffer);
        assert_row(check_name(check), teach_work(&text, check_set_all.of[check], &verdict), false);
        assert_string_equal(buffer, "");
    }
}

static void
nothing_is_worked_of_what_is_no_finding(void **state)
{
    (void)state;
    for (int check = 0; check < CHECKS; check++) {
        struct verdict verdict;
        char buffer[TEACH_SIZE];
        struct text text;

        teach_sample(check_set_all.of[check], &verdict, NULL);
        verdict.outcome = OUTCOME_PASS;
        text_init(&text, buffer, sizeof buffer);
        assert_row(check_name(check), teach_work(&text, check_set_all.of[check], &verdict), false);
        assert_string_equal(buffer, "");
    }
}

/* Another case, another text; what the check is told by (`severity`) is always in it. */
static void
the_example_follows_the_figures(void **state)
{
    (void)state;
    for (int check = 0; check < CHECKS; check++) {
        struct verdict verdict;
        char before[TEACH_SIZE], after[TEACH_SIZE];
        int followed = 0;

        teach_sample(check_set_all.of[check], &verdict, NULL);
        equation_work(check, &verdict, before);
        assert_row(check_name(check), verdict.figure_count > 0, true);
        for (int i = 0; i < verdict.figure_count; i++) {
            struct verdict other = verdict;
            bool follows;

            other.figures[i].number += 1;
            equation_work(check, &other, after);
            follows = strcmp(before, after) != 0;
            followed += follows;
            if (strcmp(verdict.figures[i].name, check_set_all.of[check]->severity) == 0)
                assert_row(check_name(check), follows, true);
        }
        assert_row(check_name(check), followed > 0, true);
    }
}

static void
a_figure_that_is_missing_is_no_number(void **state)
{
    struct verdict verdict;

    (void)state;
    teach_sample(check_set_all.of[CHECK_UNUSED_PREAMP_GAIN], &verdict, NULL);
    assert_near(verdict_figure(&verdict, "surplus_db"), 14, 1e-9);
    assert_true(isnan(verdict_figure(&verdict, "surplus")));
}

/* ---- cases ---- */

static const char *
worked(struct rig *rig, const char *check, bool input)
{
    static char buffer[TEACH_SIZE];
    const struct verdict *verdict =
        input ? rig_judge_input(rig, check, 0) : rig_judge_mix(rig, check, 0);

    assert_row(check, verdict->outcome, OUTCOME_FINDING);
    equation_work(check_find(check), verdict, buffer);
    equation_check(check, buffer);
    return buffer;
}

static void
start(struct rig *rig, const char *input, const char *mix)
{
    rig_start(rig, 2, 2);
    rig_set_text(rig, PARAM_INPUT_NAME, 0, input);
    rig_set_text(rig, PARAM_MIX_NAME, 0, mix);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, 0);
}

static void
preamp_gain_is_worked(void **state)
{
    static const char check[] = "unused-preamp-gain";
    struct rig *rig = *state;
    const char *text;

    start(rig, "Ld Vox", "Ld Vox wedge");
    desk_set_travel(rig->desk, PARAM_SEND_LEVEL, (struct travel){-90, 10});
    desk_set_travel(rig->desk, PARAM_INPUT_PREAMP_GAIN, (struct travel){-6, 60});
    rig_set(rig, PARAM_INPUT_PREAMP_GAIN, 0, 0, 42.25);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, -14.13);
    text = worked(rig, check, true);
    assert_contains(text, "From socket to mix that is 42.25 - 14.13 = 28.12 dB");
    assert_contains(text, "the preamp stands at 42.25 - 14.13 = 28.12 dB");
    assert_contains(text, "10 - (-14.1) = 24.1 dB louder today");
    assert_null(strstr(text, "with trim"));
    rig_set(rig, PARAM_INPUT_TRIM, 0, 0, -2);
    assert_contains(worked(rig, check, true), "it is -14.1 - 2 = -16.1 dB behind the preamp");
    rig_set(rig, PARAM_INPUT_PREAMP_GAIN, 0, 0, 2); /* near its floor */
    assert_contains(worked(rig, check, true), "no lower than -6 dB: 2 - (-6) = 8 dB can be given");
}

static void
masters_and_own_sends_are_worked(void **state)
{
    struct rig *rig = *state;

    start(rig, "Ld Vox", "Ld Vox wedge");
    rig_set(rig, PARAM_MIX_FADER, 0, 0, 3);
    assert_contains(worked(rig, "master-off-unity", false), "|3| = 3 dB");
    rig_set(rig, PARAM_MIX_FADER, 0, 0, -HUGE_VAL);
    rig_set(rig, PARAM_SEND_LEVEL, 1, 0, -20);
    assert_contains(worked(rig, "master-off-unity", false), "2 sends are open");
    start(rig, "Ld Vox", "Ld Vox wedge");
    rig_set(rig, PARAM_INPUT_PREAMP_GAIN, 0, 0, 20.5);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, 7);
    assert_contains(worked(rig, "own-send-off-unity", true), "make 20.5 + 7 = 27.5 dB");
    memcpy(rig->show->inputs[0].player, "Ana", 4);
    memcpy(rig->show->mixes[0].player, "Ana", 4);
    rig_remark(rig);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, -HUGE_VAL);
    assert_contains(worked(rig, "own-send-off-unity", true), "of 20.5 dB of preamp gain nothing");
}

static void
filters_are_worked(void **state)
{
    struct rig *rig = *state;

    start(rig, "Hat", "Drums wedge"); /* its lowest note is not known */
    rig_set(rig, PARAM_INPUT_HIGH_PASS_FREQ, 0, 0, 1000);
    assert_contains(worked(rig, "high-pass-high", true), "No lowest note is known");
    rig_set(rig, PARAM_INPUT_HIGH_PASS_FREQ, 0, 0, 24000); /* the steepest, as far as it goes */
    rig_set(rig, PARAM_INPUT_HIGH_PASS_SLOPE, 0, 0, 96);
    assert_contains(worked(rig, "high-pass-high", true), "(24000 / 500)^32) = ");
    rig_set(rig, PARAM_INPUT_HIGH_PASS_FREQ, 0, 0, 1);
    assert_contains(worked(rig, "high-pass-low", true), "log2(150 / 1) = 7.23 octaves");
}

/* Every band of both at its legal top, all in one place: hundreds of dB. */
static void
the_most_absurd_equaliser_is_worked(void **state)
{
    struct rig *rig = *state;

    start(rig, "Ld Vox", "Ld Vox wedge");
    for (int band = 0; band < 31; band++)
        rig_set(rig, PARAM_MIX_GRAPHIC_BAND_GAIN, 0, band, 60);
    for (int band = 0; band < 4; band++) {
        rig_set(rig, PARAM_INPUT_EQ_BAND_GAIN, 0, band, 60);
        rig_set(rig, PARAM_MIX_EQ_BAND_GAIN, 0, band, 60);
    }
    assert_null(strstr(worked(rig, "boost-into-wedge", true), "times the voltage"));
    assert_true(rig_figure(&rig->verdict, "boost_db") > 200);
    worked(rig, "boost-into-wedge", false);
    assert_true(rig_figure(&rig->verdict, "boost_db") > 300);
    for (int band = 0; band < 31; band += 4)
        rig_set(rig, PARAM_MIX_GRAPHIC_BAND_GAIN, 0, band, -60);
    assert_contains(worked(rig, "too-many-cuts", false), "Speech is turned up by ");
    for (int band = 0; band < 31; band++)
        rig_set(rig, PARAM_MIX_GRAPHIC_BAND_GAIN, 0, band, -60);
    for (int band = 0; band < 4; band++)
        rig_set(rig, PARAM_MIX_EQ_BAND_GAIN, 0, band, -60);
    assert_contains(worked(rig, "too-many-cuts", false), " = 0 come through");
}

static void
ears_are_worked(void **state)
{
    static const char check[] = "ears-unprotected";
    struct rig *rig = *state;

    start(rig, "Kick", "Drums IEM");
    rig_set(rig, PARAM_MIX_LIMITER_RATIO, 0, 0, 8);
    assert_contains(worked(rig, check, false), "20 / 8 = 2.5 dB of it above the threshold");
    rig_set(rig, PARAM_MIX_LIMITER_RATIO, 0, 0, 1.065); /* 6 / 1.065 = 5.634, 0.366 taken off */
    assert_contains(worked(rig, check, false),
                    "At 1.065:1 6 / 1.065 = 5.63 dB of them stay, so 6 - "
                    "5.63 = 0.37 dB are taken off.");
    rig_set(rig, PARAM_MIX_LIMITER_THRESHOLD, 0, 0, 4);
    assert_contains(worked(rig, check, false), "0 - 4 = -4 dB left");
    rig_set(rig, PARAM_MIX_LIMITER_ON, 0, 0, 0);
    assert_contains(worked(rig, check, false), "Without a limiter");
    assert_contains(worked(rig, check, false), "depends on the pack");
    assert_null(strstr(worked(rig, check, false), "safe")); /* it never says so */
}

/* ---- what a watch remembers ---- */

static const char *
watched(struct rig *rig, const struct desk *before, const char *check, struct object object)
{
    static char buffer[TEACH_SIZE];
    struct moves *moves = moves_new(rig->desk);
    struct verdict verdict;

    check_run(check_set_all.of[check_find(check)],
              &(struct ground){.desk = rig->desk,
                               .show = rig->show,
                               .approved = before,
                               .anchor = before,
                               .moves = moves},
              CHECK_AFRESH, object, &verdict, NULL);
    moves_free(moves);
    assert_row(check, verdict.outcome, OUTCOME_FINDING);
    equation_work(check_find(check), &verdict, buffer);
    equation_check(check, buffer);
    return buffer;
}

static void
lost_protection_is_worked(void **state)
{
    static const char check[] = "protection-lost";
    struct object input = {0, -1}, mix = {-1, 0};
    struct rig *rig = *state;
    struct desk *before;

    start(rig, "Ld Vox", "Ld Vox wedge");
    rig_set(rig, PARAM_MIX_GRAPHIC_BAND_GAIN, 0, 9, -9);
    rig_set(rig, PARAM_MIX_GRAPHIC_BAND_GAIN, 0, 12, -6);
    rig_set(rig, PARAM_MIX_LIMITER_THRESHOLD, 0, 0, -HUGE_VAL); /* wherever it began */
    before = desk_copy(rig->desk);
    rig_set(rig, PARAM_MIX_GRAPHIC_BAND_GAIN, 0, 9, -2.5);
    rig_set(rig, PARAM_MIX_GRAPHIC_BAND_GAIN, 0, 12, 0);
    rig_set(rig, PARAM_MIX_LIMITER_THRESHOLD, 0, 0, 3);
    rig_set(rig, PARAM_INPUT_PHANTOM, 0, 0, 1);
    assert_contains(watched(rig, before, check, mix), "-2.5 - (-9) = 6.5 dB more loop gain");
    assert_contains(watched(rig, before, check, mix), "began at -200 dB and begins at 3 dB");
    assert_contains(watched(rig, before, check, mix), "2 things are not as");
    assert_contains(watched(rig, before, check, input), "48 - 0 = 48 V");
    desk_free(before);
}

static void
drift_is_worked(void **state)
{
    static const char check[] = "moved-from-approved";
    struct rig *rig = *state;
    struct desk *before;

    start(rig, "Ld Vox", "Ld Vox wedge");
    before = desk_copy(rig->desk);
    rig_set(rig, PARAM_INPUT_PHANTOM, 0, 0, 1);
    assert_contains(watched(rig, before, check, (struct object){0, -1}), "None of them is in dB");
    rig_set(rig, PARAM_INPUT_TRIM, 0, 0, -3);
    rig_set(rig, PARAM_INPUT_PREAMP_GAIN, 0, 0, 24);
    assert_contains(watched(rig, before, check, (struct object){0, -1}),
                    "stood at 30 dB and stands at 24 dB: 24 - 30 = -6 dB");
    rig_set(rig, PARAM_MIX_LIMITER_THRESHOLD, 0, 0, -HUGE_VAL);
    assert_contains(watched(rig, before, check, (struct object){-1, 0}), "stands at off dB.");
    desk_free(before);
}

static void
what_is_left_on_is_worked(void **state)
{
    struct rig *rig = *state;

    start(rig, "Ld Vox", "Ld Vox wedge");
    rig->show->checks[CHECK_LEFT_ON].raise_after_s = 25;
    rig_set(rig, PARAM_DESK_TALKBACK, 0, 0, 1);
    rig_set(rig, PARAM_DESK_OSCILLATOR, 0, 0, 1);
    assert_contains(watched(rig, NULL, "left-on", (struct object){-1, -1}),
                    "1 + 1 = 2 of 2 on, for 25 s");
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_evaluator_can_tell),
        cmocka_unit_test(sums_take_the_decimals_they_need),
        cmocka_unit_test(sums_add_up_as_written),
        cmocka_unit_test(every_check_says_where_the_trade_disagrees),
        cmocka_unit_test(every_sample_is_a_finding_that_adds_up),
        cmocka_unit_test(nothing_is_worked_without_figures),
        cmocka_unit_test(nothing_is_worked_of_what_is_no_finding),
        cmocka_unit_test(the_example_follows_the_figures),
        cmocka_unit_test(a_figure_that_is_missing_is_no_number),
        RIG_TEST(preamp_gain_is_worked),
        RIG_TEST(masters_and_own_sends_are_worked),
        RIG_TEST(filters_are_worked),
        RIG_TEST(the_most_absurd_equaliser_is_worked),
        RIG_TEST(ears_are_worked),
        RIG_TEST(lost_protection_is_worked),
        RIG_TEST(drift_is_worked),
        RIG_TEST(what_is_left_on_is_worked),
    };

    return cmocka_run_group_tests_name("teach", tests, NULL, NULL);
}
