/* SPDX-License-Identifier: MIT */
/* The three checks of the high-pass filter: missing, too low, too high. */
#include "unit.h"

#include <math.h>
#include <string.h>

#include "desk/source.h"
#include "filters.h"
#include "rig.h"

static const char missing[] = "high-pass-missing";
static const char low[] = "high-pass-low";
static const char high[] = "high-pass-high";

/* A source with corners of its own choosing is looked up, so that a change of the table moves the
 * test along; the figures asserted below are then what the table gives today. */
static const struct source *
kind(const char *id)
{
    int source = rig_source(id);

    assert_int_not_equal(source, SOURCE_UNKNOWN);
    return &sources[source];
}

/* Input 1 is a lead vocal (corners 100 to 180 Hz) into a wedge at -14 dB. */
static struct rig *
start(void **state)
{
    struct rig *rig = *state;

    rig_start(rig, 1, 2);
    rig_set_text(rig, PARAM_INPUT_NAME, 0, "Ld Vox");
    rig_set_text(rig, PARAM_MIX_NAME, 0, "Wedge 1");
    rig_set_text(rig, PARAM_MIX_NAME, 1, "IEM 2");
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, -14);
    return rig;
}

static void
set_filter(struct rig *rig, double corner_hz, double slope)
{
    rig_set(rig, PARAM_INPUT_HIGH_PASS_ON, 0, 0, 1);
    rig_set(rig, PARAM_INPUT_HIGH_PASS_FREQ, 0, 0, corner_hz);
    rig_set(rig, PARAM_INPUT_HIGH_PASS_SLOPE, 0, 0, slope);
}

static void
set_source(struct rig *rig, const char *id)
{
    rig->show->inputs[0].source = rig_source(id);
    assert_int_not_equal(rig->show->inputs[0].source, SOURCE_UNKNOWN);
    rig_remark(rig);
}

/* ---- missing ---- */

static void
filter_off_into_a_wedge_is_a_fix(void **state)
{
    struct rig *rig = start(state);
    const struct verdict *verdict;

    assert_int_equal(rig_judge_input(rig, missing, 0)->outcome, OUTCOME_PASS);
    rig_set(rig, PARAM_INPUT_HIGH_PASS_ON, 0, 0, 0);
    verdict = rig_judge_input(rig, missing, 0);
    assert_int_equal(verdict->outcome, OUTCOME_FINDING);
    assert_int_equal(verdict->weight, WEIGHT_FIX);
    assert_true(verdict->inferred);
    assert_near(rig_figure(verdict, "usual_corner_low_hz"), 100, 0);
    assert_near(rig_figure(verdict, "usual_corner_high_hz"), 180, 0);
    assert_string_equal(rig->words.says, "the high-pass is off; a lead-vocal source needs nothing "
                                         "below 100 Hz, and it is open into a loudspeaker "
                                         "mix");
    assert_string_equal(rig->words.cure,
                        "high-pass on, from 100 Hz up; raise it while listening, until the sound "
                        "changes, then a little back (usual: 100 to 180 Hz)");
}

static void
filter_off_into_in_ears_is_a_note(void **state)
{
    struct rig *rig = start(state);
    const struct verdict *verdict;

    rig_set(rig, PARAM_INPUT_HIGH_PASS_ON, 0, 0, 0);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, -HUGE_VAL);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 1, -6);
    verdict = rig_judge_input(rig, missing, 0);
    assert_int_equal(verdict->outcome, OUTCOME_FINDING);
    assert_int_equal(verdict->weight, WEIGHT_NOTE);
    assert_null(strstr(rig->words.says, "loudspeaker"));
}

/* In-ears and a wedge: the wedge decides. From note to fix the same finding is told as worse. */
static void
wedge_beside_in_ears_makes_it_worse(void **state)
{
    struct rig *rig = start(state);

    rig_set(rig, PARAM_INPUT_HIGH_PASS_ON, 0, 0, 0);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, -HUGE_VAL);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 1, -6);
    rig_run(rig);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, -10);
    assert_int_equal(rig_judge_input(rig, missing, 0)->weight, WEIGHT_FIX);
    assert_int_equal(rig_told(rig, missing, EVENT_WORSE), 1);
}

static void
input_sent_nowhere_is_closed(void **state)
{
    struct rig *rig = start(state);

    rig_set(rig, PARAM_INPUT_HIGH_PASS_ON, 0, 0, 0);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, -HUGE_VAL);
    assert_int_equal(rig_judge_input(rig, missing, 0)->outcome, OUTCOME_CLOSED);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, -14);
    rig_set(rig, PARAM_SEND_ON, 0, 0, 0);
    assert_int_equal(rig_judge_input(rig, missing, 0)->outcome, OUTCOME_CLOSED);
    rig_set(rig, PARAM_SEND_ON, 0, 0, 1);
    rig_set(rig, PARAM_SEND_TAP, 0, 0, TAP_POST_FADER);
    rig_set(rig, PARAM_INPUT_FADER, 0, 0, -HUGE_VAL);
    assert_int_equal(rig_judge_input(rig, missing, 0)->outcome, OUTCOME_CLOSED);
}

/* A mix of unknown kind could be a wedge: only a wedge that is known settles it. */
static void
unknown_mix_hides_nothing(void **state)
{
    struct rig *rig = start(state);

    rig_set(rig, PARAM_INPUT_HIGH_PASS_ON, 0, 0, 0);
    rig_set_text(rig, PARAM_MIX_NAME, 1, "Aux 5");
    rig_set(rig, PARAM_SEND_LEVEL, 0, 1, -6);
    assert_int_equal(rig_judge_input(rig, missing, 0)->weight, WEIGHT_FIX);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, -HUGE_VAL);
    assert_int_equal(rig_judge_input(rig, missing, 0)->outcome, OUTCOME_NOT_KNOWN);
    assert_string_equal(rig->why, "mix 2: its label does not tell what it feeds; name it in "
                                  "the show file");
}

/* The corner of a filter that is in circuit is the other checks' matter: many desks publish no
 * slope. */
static void
filter_that_is_on_is_not_missing_whatever_its_corner(void **state)
{
    struct rig *rig = start(state);

    rig_forget(rig, PARAM_INPUT_HIGH_PASS_SLOPE, SUPPLY_NONE);
    assert_int_equal(rig_judge_input(rig, missing, 0)->outcome, OUTCOME_PASS);
}

static void
each_source_is_asked_for_what_it_wants(void **state)
{
    struct rig *rig = start(state);
    int wanting = 0;

    rig->show->mixes[0].feeds = FEEDS_WEDGE;
    rig_set(rig, PARAM_INPUT_HIGH_PASS_ON, 0, 0, 0);
    for (int i = 0; i < source_count; i++) {
        rig->show->inputs[0].source = i;
        rig_remark(rig);
        assert_row(sources[i].id, rig_judge_input(rig, missing, 0)->outcome,
                   sources[i].wants_high_pass ? OUTCOME_FINDING : OUTCOME_NOT_ASKED);
        assert_false(rig->verdict.inferred);
        wanting += sources[i].wants_high_pass;
    }
    assert_in_range(wanting, 1, source_count - 1);
}

/* What the trade lets go without, whatever the table says of others. */
static void
lows_are_left_to_those_who_need_them(void **state)
{
    static const char *const without[] = {"kick", "floor-tom", "bass",     "double-bass",
                                          "keys", "piano",     "playback", "unused"};
    static const char *const with[] = {"lead-vocal",      "backing-vocal", "speech",   "lectern",
                                       "acoustic-guitar", "snare",         "rack-tom", "hi-hat",
                                       "overhead",        "trumpet",       "violin",   "lavalier"};

    (void)state;
    for (size_t i = 0; i < COUNT(without); i++)
        assert_false(kind(without[i])->wants_high_pass);
    for (size_t i = 0; i < COUNT(with); i++)
        assert_true(kind(with[i])->wants_high_pass);
}

static void
muted_input_is_closed_in_all_three(void **state)
{
    struct rig *rig = start(state);

    rig_set(rig, PARAM_INPUT_HIGH_PASS_ON, 0, 0, 0);
    rig_set(rig, PARAM_INPUT_MUTE, 0, 0, 1);
    assert_int_equal(rig_judge_input(rig, missing, 0)->outcome, OUTCOME_CLOSED);
    set_filter(rig, 20, 12);
    assert_int_equal(rig_judge_input(rig, low, 0)->outcome, OUTCOME_CLOSED);
    set_filter(rig, 2000, 12);
    assert_int_equal(rig_judge_input(rig, high, 0)->outcome, OUTCOME_CLOSED);
}

static void
unreadable_label_is_not_known(void **state)
{
    struct rig *rig = start(state);

    rig_set_text(rig, PARAM_INPUT_NAME, 0, "Ch 17");
    rig_set(rig, PARAM_INPUT_HIGH_PASS_ON, 0, 0, 0);
    assert_int_equal(rig_judge_input(rig, missing, 0)->outcome, OUTCOME_NOT_KNOWN);
    assert_string_equal(rig->why, "input 1: its label does not tell the source; name it in "
                                  "the show file");
}

/* ---- low ---- */

static void
half_an_octave_under_is_the_limit(void **state)
{
    struct rig *rig = start(state);
    const struct verdict *verdict;

    set_filter(rig, 100 / sqrt(2), 12);
    rig->show->checks[check_find(low)].settings[0] = log2(100 / (100 / sqrt(2)));
    rig_remark(rig);
    assert_int_equal(rig_judge_input(rig, low, 0)->outcome, OUTCOME_PASS);
    rig_set(rig, PARAM_INPUT_HIGH_PASS_FREQ, 0, 0, nextafter(100 / sqrt(2), 0) - 1e-9);
    verdict = rig_judge_input(rig, low, 0);
    assert_int_equal(verdict->outcome, OUTCOME_FINDING);
    assert_int_equal(verdict->weight, WEIGHT_NOTE);
    assert_near(verdict->severity, 0.5, 1e-9);
}

/* The losses against the table and the closed form: corner 40 Hz, so that 40 Hz is at ratio 1. */
static void
losses_of_a_low_corner_are_butterworths(void **state)
{
    struct rig *rig = start(state);

    for (int order = 1; order <= 4; order++) {
        const struct verdict *verdict;
        double n2 = 2.0 * order;

        set_filter(rig, 40, 6 * order);
        verdict = rig_judge_input(rig, low, 0);
        assert_int_equal(verdict->outcome, OUTCOME_FINDING);
        assert_near(rig_figure(verdict, "loss_at_40_hz_db"), 3.0103, 6e-5);
        assert_near(rig_figure(verdict, "loss_at_63_hz_db"), 10 * log10(1 + pow(40.0 / 63, n2)),
                    1e-9);
        assert_near(rig_figure(verdict, "loss_at_100_hz_db"), 10 * log10(1 + pow(40.0 / 100, n2)),
                    1e-9);
        assert_near(rig_figure(verdict, "corner_hz"), 40, 0);
        assert_near(rig_figure(verdict, "octaves_under"), log2(100.0 / 40), 1e-9);
        /* 50 Hz under a corner of 100 Hz stands in the table: ratio 0.5 */
        set_filter(rig, 50, 6 * order);
        assert_near(rig_figure(rig_judge_input(rig, low, 0), "loss_at_100_hz_db"),
                    -reference_butterworth_db[order - 1][9], 6e-7);
    }
    assert_near(reference_ratios[9], 2, 0);
}

static void
words_of_a_low_corner(void **state)
{
    struct rig *rig = start(state);

    set_filter(rig, 30, 12);
    rig_judge_input(rig, low, 0);
    /* 10 log10(1 + (30/63)^4) = 0.22, 10 log10(1 + (100/63)^4) = 8.7 */
    assert_string_equal(rig->words.says,
                        "the high-pass at 30 Hz is far too low for a lead-vocal source: it takes "
                        "0.2 dB off at 63 Hz, a corner of 100 Hz would take 8.7 dB");
    assert_string_equal(rig->words.cure, "corner 30 -> 100 Hz, then up while listening, until the "
                                         "sound changes, then a little back (usual: up to 180 Hz)");
}

static void
filter_that_is_off_is_neither_low_nor_high(void **state)
{
    struct rig *rig = start(state);

    set_filter(rig, 20, 12);
    rig_set(rig, PARAM_INPUT_HIGH_PASS_ON, 0, 0, 0);
    assert_int_equal(rig_judge_input(rig, low, 0)->outcome, OUTCOME_NOT_ASKED);
    assert_int_equal(rig_judge_input(rig, high, 0)->outcome, OUTCOME_NOT_ASKED);
}

/* ---- high ---- */

/* A viola's lowest note is C3, 130.8128 Hz. The corner at which an order-n filter takes 3 dB from
 * it is note * (10^0.3 - 1)^(1 / 2n); it counts only above the usual corners. */
static void
three_decibels_at_the_lowest_note_is_the_limit(void **state)
{
    struct rig *rig = start(state);

    set_source(rig, "viola");
    for (int order = 1; order <= 4; order++) {
        double note = kind("viola")->lowest_hz;
        double limit = note * pow(pow(10, 0.3) - 1, 1 / (2.0 * order));

        assert_true(limit > kind("viola")->corner_high_hz * 1.02);
        set_filter(rig, limit * (1 - 1e-9), 6 * order);
        assert_int_equal(rig_judge_input(rig, high, 0)->outcome, OUTCOME_PASS);
        set_filter(rig, limit * (1 + 1e-9), 6 * order);
        assert_int_equal(rig_judge_input(rig, high, 0)->outcome, OUTCOME_FINDING);
        assert_near(rig->verdict.severity, 3, 1e-6);
        assert_int_equal(rig->verdict.weight, WEIGHT_NOTE);
    }
}

static void
losses_of_a_high_corner_are_butterworths(void **state)
{
    struct rig *rig = start(state);
    double note = kind("alto-sax")->lowest_hz; /* 138.5913 Hz */

    set_source(rig, "alto-sax");
    for (int order = 1; order <= 4; order++) {
        const struct verdict *verdict;

        set_filter(rig, 2 * note, 6 * order); /* ratio 0.5 */
        verdict = rig_judge_input(rig, high, 0);
        assert_near(rig_figure(verdict, "loss_at_lowest_note_db"),
                    -reference_butterworth_db[order - 1][3], 6e-7);
        assert_near(rig_figure(verdict, "lowest_note_hz"), 138.5913, 6e-5);
        assert_near(rig_figure(verdict, "corner_hz"), 2 * note, 1e-9);
        /* at the corner said to cost 1 dB it does */
        assert_near(10 *
                        log10(1 + pow(rig_figure(verdict, "one_db_corner_hz") / note, 2.0 * order)),
                    1, 1e-9);
    }
}

static void
words_of_a_high_corner(void **state)
{
    struct rig *rig = start(state);

    set_source(rig, "trumpet");
    set_filter(rig, 300, 24);
    rig_judge_input(rig, high, 0);
    /* 10 log10(1 + (300 / 164.8138)^8) = 20.8; 164.8138 (10^0.1 - 1)^(1/8) = 139.2 */
    assert_string_equal(rig->words.says,
                        "the high-pass at 300 Hz takes 20.8 dB off the lowest note of a "
                        "trumpet source (164.8 Hz)");
    assert_string_equal(rig->words.cure,
                        "corner 300 -> 150 Hz, the top of what is usual; 139.2 Hz would "
                        "cost 1 dB at the lowest note");
}

/* A voice has no lowest note in the table: the usual top stands in, until the show file tells. */
static void
players_own_lowest_note_decides(void **state)
{
    struct rig *rig = start(state);
    const struct verdict *verdict;

    set_filter(rig, 250, 12);
    verdict = rig_judge_input(rig, high, 0);
    assert_int_equal(verdict->outcome, OUTCOME_FINDING);
    assert_near(rig_figure(verdict, "loss_at_usual_top_db"), 10 * log10(1 + pow(250.0 / 180, 4)),
                1e-9);
    rig->show->inputs[0].lowest_hz = 261.6256; /* a soprano's C4 */
    rig_remark(rig);
    assert_int_equal(rig_judge_input(rig, high, 0)->outcome, OUTCOME_PASS);
    rig->show->inputs[0].lowest_hz = 130.8128; /* a tenor's C3 */
    rig_remark(rig);
    assert_near(rig_figure(rig_judge_input(rig, high, 0), "loss_at_lowest_note_db"),
                10 * log10(1 + pow(250 / 130.8128, 4)), 1e-9);
}

/* A filter at the top of the usual corners passes even where it takes 3 dB from the lowest note. */
static void
usual_corners_are_never_too_high(void **state)
{
    struct rig *rig = start(state);

    for (int i = 0; i < source_count; i++) {
        if (!sources[i].wants_high_pass)
            continue;
        rig->show->inputs[0].source = i;
        rig_remark(rig);
        set_filter(rig, sources[i].corner_high_hz, 24);
        assert_row(sources[i].id, rig_judge_input(rig, high, 0)->outcome, OUTCOME_PASS);
        set_filter(rig, sources[i].corner_low_hz, 24);
        assert_row(sources[i].id, rig_judge_input(rig, low, 0)->outcome, OUTCOME_PASS);
    }
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        RIG_TEST(filter_off_into_a_wedge_is_a_fix),
        RIG_TEST(filter_off_into_in_ears_is_a_note),
        RIG_TEST(wedge_beside_in_ears_makes_it_worse),
        RIG_TEST(input_sent_nowhere_is_closed),
        RIG_TEST(unknown_mix_hides_nothing),
        RIG_TEST(filter_that_is_on_is_not_missing_whatever_its_corner),
        RIG_TEST(each_source_is_asked_for_what_it_wants),
        cmocka_unit_test(lows_are_left_to_those_who_need_them),
        RIG_TEST(muted_input_is_closed_in_all_three),
        RIG_TEST(unreadable_label_is_not_known),
        RIG_TEST(half_an_octave_under_is_the_limit),
        RIG_TEST(losses_of_a_low_corner_are_butterworths),
        RIG_TEST(words_of_a_low_corner),
        RIG_TEST(filter_that_is_off_is_neither_low_nor_high),
        RIG_TEST(three_decibels_at_the_lowest_note_is_the_limit),
        RIG_TEST(losses_of_a_high_corner_are_butterworths),
        RIG_TEST(words_of_a_high_corner),
        RIG_TEST(players_own_lowest_note_decides),
        RIG_TEST(usual_corners_are_never_too_high),
    };

    return cmocka_run_group_tests_name("high_pass", tests, NULL, NULL);
}
