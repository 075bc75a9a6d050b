/* SPDX-License-Identifier: MIT */
#include "unit.h"

#include <math.h>
#include <string.h>

#include "rig.h"
#include "sound/band.h"

static const char check[] = "too-many-cuts";

/* Mix 1 is a wedge by its label; its graphic has 31 bands with end stops at -15 and +15 dB. */
static struct rig *
start(void **state)
{
    struct rig *rig = *state;

    rig_start(rig, 1, 2);
    rig_set_text(rig, PARAM_MIX_NAME, 0, "Wedge 1");
    desk_set_travel(rig->desk, PARAM_MIX_GRAPHIC_BAND_GAIN, (struct travel){-15, 15});
    desk_set_travel(rig->desk, PARAM_MIX_EQ_BAND_GAIN, (struct travel){-18, 18});
    return rig;
}

static void
cut_band(struct rig *rig, int band, double gain_db)
{
    rig_set(rig, PARAM_MIX_GRAPHIC_BAND_GAIN, 0, band, gain_db);
}

/* Cuts from the lowest band up, every other one, so that each counts. Most lie below speech and
 * hardly change its level. */
static void
cut_lows(struct rig *rig, int count, double gain_db)
{
    for (int band = 0; band < count; band++)
        cut_band(rig, 2 * band, gain_db);
}

static void
flat_mix_passes(void **state)
{
    struct rig *rig = start(state);

    assert_int_equal(rig_judge_mix(rig, check, 0)->outcome, OUTCOME_PASS);
}

static void
seven_cuts_are_a_note_and_eight_a_fix(void **state)
{
    struct rig *rig = start(state);
    const struct verdict *verdict;

    cut_lows(rig, 6, -6);
    assert_int_equal(rig_judge_mix(rig, check, 0)->outcome, OUTCOME_PASS);
    cut_lows(rig, 7, -6);
    verdict = rig_judge_mix(rig, check, 0);
    assert_int_equal(verdict->outcome, OUTCOME_FINDING);
    assert_int_equal(verdict->weight, WEIGHT_NOTE);
    assert_near(verdict->severity, 7, 0);
    cut_lows(rig, 8, -6);
    verdict = rig_judge_mix(rig, check, 0);
    assert_int_equal(verdict->weight, WEIGHT_FIX);
    assert_near(rig_figure(verdict, "cuts_count"), 8, 0);
    assert_near(rig_figure(verdict, "at_end_stop_count"), 0, 0);
}

static void
cut_counts_from_one_decibel(void **state)
{
    struct rig *rig = start(state);

    cut_lows(rig, 7, -0.99);
    assert_int_equal(rig_judge_mix(rig, check, 0)->outcome, OUTCOME_PASS);
    cut_lows(rig, 7, -1);
    assert_near(rig_figure(rig_judge_mix(rig, check, 0), "cuts_count"), 7, 0);
}

static void
boosts_are_no_cuts(void **state)
{
    struct rig *rig = start(state);

    for (int band = 0; band < 20; band++)
        cut_band(rig, band, 6);
    assert_int_equal(rig_judge_mix(rig, check, 0)->outcome, OUTCOME_PASS);
}

/* Neighbouring third-octave bands are one cut as long as they lie within an octave, and say so. */
static void
neighbouring_bands_are_one_cut(void **state)
{
    static const struct {
        int bands, cuts;
    } rows[] = {{1, 1}, {2, 1}, {3, 1}, {4, 2}, {6, 2}, {7, 3}, {31, 11}};
    struct rig *rig = start(state);
    const struct verdict *verdict;

    cut_band(rig, 0, -15); /* at its end stop, so that there is a finding to look at */
    for (size_t i = 0; i < COUNT(rows); i++) {
        for (int band = 0; band < rows[i].bands; band++)
            cut_band(rig, band, -15);
        verdict = rig_judge_mix(rig, check, 0);
        assert_near(rig_figure(verdict, "cuts_count"), rows[i].cuts, 0);
        assert_near(rig_figure(verdict, "bands_cut_count"), rows[i].bands, 0);
    }
    start(state);
    cut_lows(rig, 5, -6);
    cut_band(rig, 15, -3);
    cut_band(rig, 16, -9);
    cut_band(rig, 20, -15);
    verdict = rig_judge_mix(rig, check, 0);
    assert_near(rig_figure(verdict, "cuts_count"), 7, 0);
    assert_contains(rig->words.says,
                    "7 cuts (630 to 800 Hz: neighbouring bands count as one), 1 band "
                    "at the end stop, turned the mix down by ");
    /* a band in between that is hardly touched parts them */
    cut_band(rig, 17, -0.5);
    cut_band(rig, 18, -6);
    assert_near(rig_figure(rig_judge_mix(rig, check, 0), "cuts_count"), 8, 0);
}

static void
set_eq(struct rig *rig, int band, double hz, double gain_db, double q)
{
    rig_set(rig, PARAM_MIX_EQ_BAND_FREQ, 0, band, hz);
    rig_set(rig, PARAM_MIX_EQ_BAND_GAIN, 0, band, gain_db);
    rig_set(rig, PARAM_MIX_EQ_BAND_Q, 0, band, q);
}

/* A parametric band is part of what lies inside the same half-gain width, of either equaliser. */
static void
bands_in_one_place_are_one_cut(void **state)
{
    static const struct {
        const char *name;
        double one_hz, other_hz, q;
        int cuts;
    } rows[] = {
        {"as good as one frequency", 1000, 1010, 4, 1},
        {"the same, but narrow", 1000, 1010, 20, 1},
        {"inside a third of an octave", 1000, 1100, 4, 1},
        {"two narrow ones", 1000, 1100, 20, 2},
        {"two wide ones", 1000, 1200, 1, 2},
    };
    struct rig *rig = start(state);

    cut_lows(rig, 6, -6);
    for (size_t i = 0; i < COUNT(rows); i++) {
        set_eq(rig, 0, rows[i].one_hz, -6, rows[i].q);
        set_eq(rig, 1, rows[i].other_hz, -6, rows[i].q);
        assert_near_in(rows[i].name, rig_figure(rig_judge_mix(rig, check, 0), "cuts_count"),
                       6 + rows[i].cuts, 0);
    }
}

static void
one_frequency_on_both_equalisers_is_one_cut(void **state)
{
    struct rig *rig = start(state);
    const struct verdict *verdict;

    cut_lows(rig, 6, -6);
    cut_band(rig, 17, -2);
    for (int band = 0; band < 4; band++)
        set_eq(rig, band, 1000 + band, -1 - band, 6);
    verdict = rig_judge_mix(rig, check, 0);
    assert_near(rig_figure(verdict, "cuts_count"), 7, 0);
    assert_near(rig_figure(verdict, "bands_cut_count"), 11, 0);
    assert_contains(rig->words.says, "7 cuts (1000 to 1003 Hz: bands in one place count as one) ");
    assert_int_equal(verdict->weight, WEIGHT_NOTE);
    /* the depth of that place is -12 dB, so that one of the others is to spare */
    assert_contains(rig->words.cure, "least: 200 Hz (-6 dB), which");
    for (int low = 0; low < 6; low++)
        cut_band(rig, 2 * low, -13);
    assert_contains(rig_words_mix(rig, check, 0)->cure, "least: 1000 to 1003 Hz (-12 dB), which");
    /* a band inside a run of the graphic is part of it */
    for (int band = 0; band < 4; band++)
        set_eq(rig, band, 715, -3, 6);
    cut_band(rig, 17, 0);
    cut_band(rig, 15, -3);
    cut_band(rig, 16, -3);
    assert_near(rig_figure(rig_judge_mix(rig, check, 0), "cuts_count"), 7, 0);
}

static void
boost_beside_a_cut_is_named(void **state)
{
    struct rig *rig = start(state);
    const struct verdict *verdict;

    cut_lows(rig, 7, -6); /* the last at 315 Hz */
    cut_band(rig, 15, 4); /* 630 Hz, an octave above it */
    cut_band(rig, 13, 3);
    cut_band(rig, 25, 9); /* far from all of them */
    verdict = rig_judge_mix(rig, check, 0);
    assert_near(rig_figure(verdict, "boosts_beside_count"), 2, 0);
    assert_contains(rig->words.says, "; 2 bands boosted beside a cut, most at 630 Hz (+4 dB)");
}

/* A twentieth of a decibel from the stop is the stop: faders do not read alike at their ends. */
static void
band_at_its_end_stop_is_a_note(void **state)
{
    struct rig *rig = start(state);
    const struct verdict *verdict;

    cut_lows(rig, 1, -14.9);
    assert_int_equal(rig_judge_mix(rig, check, 0)->outcome, OUTCOME_PASS);
    cut_lows(rig, 1, -14.96);
    verdict = rig_judge_mix(rig, check, 0);
    assert_int_equal(verdict->outcome, OUTCOME_FINDING);
    assert_int_equal(verdict->weight, WEIGHT_NOTE);
    assert_near(rig_figure(verdict, "at_end_stop_count"), 1, 0);
    assert_near(rig_figure(verdict, "cuts_count"), 1, 0);
    assert_contains(rig->words.says,
                    "1 cut, 1 band at the end stop, turned the mix down by 0 dB for speech, ");
    cut_lows(rig, 1, -15);
    assert_int_equal(rig_judge_mix(rig, check, 0)->outcome, OUTCOME_FINDING);
}

static void
end_stop_of_the_parametric_is_its_own(void **state)
{
    struct rig *rig = start(state);

    rig_set(rig, PARAM_MIX_EQ_BAND_FREQ, 0, 0, 40);
    rig_set(rig, PARAM_MIX_EQ_BAND_GAIN, 0, 0, -15);
    assert_int_equal(rig_judge_mix(rig, check, 0)->outcome, OUTCOME_PASS);
    rig_set(rig, PARAM_MIX_EQ_BAND_GAIN, 0, 0, -18);
    assert_near(rig_figure(rig_judge_mix(rig, check, 0), "at_end_stop_count"), 1, 0);
}

static void
graphic_and_parametric_are_counted_together(void **state)
{
    struct rig *rig = start(state);

    cut_lows(rig, 5, -6);
    for (int band = 0; band < 3; band++) {
        rig_set(rig, PARAM_MIX_EQ_BAND_FREQ, 0, band, 1000 << band);
        rig_set(rig, PARAM_MIX_EQ_BAND_GAIN, 0, band, -6);
    }
    assert_near(rig_figure(rig_judge_mix(rig, check, 0), "cuts_count"), 8, 0);
    rig_set(rig, PARAM_MIX_EQ_BAND_ON, 0, 0, 0);
    assert_near(rig_figure(rig_judge_mix(rig, check, 0), "cuts_count"), 7, 0);
    rig_set(rig, PARAM_MIX_EQ_ON, 0, 0, 0);
    assert_int_equal(rig_judge_mix(rig, check, 0)->outcome, OUTCOME_PASS);
    rig_set(rig, PARAM_MIX_EQ_ON, 0, 0, 1);
    rig_set(rig, PARAM_MIX_GRAPHIC_ON, 0, 0, 0);
    assert_int_equal(rig_judge_mix(rig, check, 0)->outcome, OUTCOME_PASS);
}

/* A shelf is tone, not a ring cut; a notch is one whatever its gain says. */
static void
notches_are_cuts_and_shelves_are_not(void **state)
{
    static const struct {
        const char *name;
        enum shape shape;
        double gain_db;
        int cuts;
    } rows[] = {
        {"peak", SHAPE_PEAK, -6, 1},           {"peak up", SHAPE_PEAK, 6, 0},
        {"low shelf", SHAPE_LOW_SHELF, -6, 0}, {"high shelf", SHAPE_HIGH_SHELF, -6, 0},
        {"notch", SHAPE_NOTCH, 0, 1},          {"high-pass", SHAPE_HIGH_PASS, -6, 0},
        {"low-pass", SHAPE_LOW_PASS, -6, 0},
    };
    struct rig *rig = start(state);

    cut_lows(rig, 7, -6);
    for (size_t i = 0; i < COUNT(rows); i++) {
        bool high = rows[i].shape == SHAPE_HIGH_SHELF || rows[i].shape == SHAPE_LOW_PASS;

        rig_set(rig, PARAM_MIX_EQ_BAND_SHAPE, 0, 0, rows[i].shape);
        rig_set(rig, PARAM_MIX_EQ_BAND_FREQ, 0, 0, high ? 16000 : 41);
        rig_set(rig, PARAM_MIX_EQ_BAND_GAIN, 0, 0, rows[i].gain_db);
        assert_near_in(rows[i].name, rig_figure(rig_judge_mix(rig, check, 0), "cuts_count"),
                       7 + rows[i].cuts, 0);
    }
}

static void
set_shape(struct rig *rig, int band, enum shape shape, double hz, double gain_db)
{
    rig_set(rig, PARAM_MIX_EQ_BAND_SHAPE, 0, band, shape);
    rig_set(rig, PARAM_MIX_EQ_BAND_FREQ, 0, band, hz);
    rig_set(rig, PARAM_MIX_EQ_BAND_GAIN, 0, band, gain_db);
    rig_set(rig, PARAM_MIX_EQ_BAND_Q, 0, band, 0.7);
}

/* What no cut did is not told as cuts. */
static void
shelves_have_their_own_words(void **state)
{
    struct rig *rig = start(state);
    const struct verdict *verdict;

    set_shape(rig, 0, SHAPE_LOW_SHELF, 100, -9); /* below speech */
    assert_int_equal(rig_judge_mix(rig, check, 0)->outcome, OUTCOME_PASS);
    set_shape(rig, 0, SHAPE_LOW_SHELF, 4000, -9);
    verdict = rig_judge_mix(rig, check, 0);
    assert_int_equal(verdict->outcome, OUTCOME_FINDING);
    assert_near(rig_figure(verdict, "cuts_count"), 0, 0);
    assert_near(rig_figure(verdict, "broad_filters_count"), 1, 0);
    assert_ptr_equal(strstr(rig->words.says, "a low shelf at 4000 Hz (-9 dB) turned the mix down "),
                     rig->words.says); /* it begins so */
    assert_contains(rig->words.cure,
                    "where level was meant, bring the master down by as much, then "
                    "set the equaliser flat; where tone was meant, leave it");
    assert_null(strstr(rig->words.says, "graphic")); /* none of its bands is in it */
    set_shape(rig, 1, SHAPE_LOW_PASS, 12000, 0);
    set_shape(rig, 2, SHAPE_HIGH_SHELF, 9000, 2);
    cut_band(rig, 4, -6);
    assert_contains(rig_words_mix(rig, check, 0)->says,
                    "1 cut and a low shelf at 4000 Hz (-9 dB) and a low-pass at 12000 Hz and 1 "
                    "more like that turned the mix down by ");
}

/* Level and shape stand beside each other: nothing is taken from one for the other. */
static void
level_is_told_beside_shape(void **state)
{
    struct rig *rig = start(state);

    cut_lows(rig, 7, -6);
    rig_judge_mix(rig, check, 0);
    assert_contains(rig->words.says,
                    " dB for pink noise: a master can do that. What stays as shape "
                    "is ");
    assert_contains(rig->words.says, " dB around it (graphic bands taken as 1/3 octave wide)");
}

/* A notch takes one frequency away altogether; the figures around it stay numbers wherever it
 * stands. */
static void
notch_anywhere_gives_numbers(void **state)
{
    struct rig *rig = start(state);
    double without;

    cut_lows(rig, 7, -6);
    without = rig_figure(rig_judge_mix(rig, check, 0), "speech_level_loss_db");
    rig_set(rig, PARAM_MIX_EQ_BAND_SHAPE, 0, 0, SHAPE_NOTCH);
    rig_set(rig, PARAM_MIX_EQ_BAND_Q, 0, 0, 30);
    for (int band = 0; band < BANDS; band++) {
        const struct verdict *verdict;

        rig_set(rig, PARAM_MIX_EQ_BAND_FREQ, 0, 0, band_exact_hz(band));
        verdict = rig_judge_mix(rig, check, 0);
        assert_int_equal(verdict->outcome, OUTCOME_FINDING);
        for (int i = 0; i < verdict->figure_count; i++)
            if (!isfinite(verdict->figures[i].number)) {
                print_error("%s with a notch at %g Hz\n", verdict->figures[i].name,
                            band_exact_hz(band));
                fail();
            }
        /* a notch this narrow takes next to nothing of the programme */
        assert_near(rig_figure(verdict, "speech_level_loss_db"), without + 0.35, 0.35);
    }
}

/* The gain of a notch means nothing, so that its standing at the stop means nothing. */
static void
notch_is_not_at_an_end_stop(void **state)
{
    struct rig *rig = start(state);

    rig_set(rig, PARAM_MIX_EQ_BAND_SHAPE, 0, 0, SHAPE_NOTCH);
    rig_set(rig, PARAM_MIX_EQ_BAND_FREQ, 0, 0, 41);
    rig_set(rig, PARAM_MIX_EQ_BAND_GAIN, 0, 0, -18);
    assert_int_equal(rig_judge_mix(rig, check, 0)->outcome, OUTCOME_PASS);
}

static void
only_loudspeaker_mixes_are_judged(void **state)
{
    static const struct {
        enum feeds feeds;
        enum outcome outcome;
    } rows[] = {
        {FEEDS_WEDGE, OUTCOME_FINDING},     {FEEDS_SIDE_FILL, OUTCOME_FINDING},
        {FEEDS_DRUM_FILL, OUTCOME_FINDING}, {FEEDS_IN_EAR, OUTCOME_NOT_ASKED},
        {FEEDS_UNUSED, OUTCOME_NOT_ASKED},
    };
    struct rig *rig = start(state);

    cut_lows(rig, 8, -6);
    for (size_t i = 0; i < COUNT(rows); i++) {
        rig->show->mixes[0].feeds = rows[i].feeds;
        rig_remark(rig);
        assert_row(feeds_name(rows[i].feeds), rig_judge_mix(rig, check, 0)->outcome,
                   rows[i].outcome);
        assert_false(rig->verdict.inferred);
    }
}

static void
label_tells_what_the_mix_feeds(void **state)
{
    struct rig *rig = start(state);

    cut_lows(rig, 8, -6);
    assert_true(rig_judge_mix(rig, check, 0)->inferred);
    rig_set_text(rig, PARAM_MIX_NAME, 0, "IEM Drums");
    assert_int_equal(rig_judge_mix(rig, check, 0)->outcome, OUTCOME_NOT_ASKED);
    assert_int_equal(rig_told(rig, check, EVENT_CLEARED), 1);
    rig_set_text(rig, PARAM_MIX_NAME, 0, "Aux 5");
    assert_int_equal(rig_judge_mix(rig, check, 0)->outcome, OUTCOME_NOT_KNOWN);
    assert_string_equal(rig->why, "mix 1: its label does not tell what it feeds; name it in "
                                  "the show file");
}

/* The cuts that matter least are named as the equaliser prints them, as many as it takes to get
 * under the limit: the shallowest, and of two as deep the one that costs more speech. */
static void
cure_names_the_cuts_that_matter_least(void **state)
{
    struct rig *rig = start(state);
    const struct verdict *verdict;
    double with_all, promised;

    cut_lows(rig, 6, -6);
    cut_band(rig, 13, -3); /* 400 Hz, where speech is strong */
    cut_band(rig, 14, -2);
    cut_band(rig, 30, -3); /* 20 kHz, where there is none */
    cut_band(rig, 26, -6);
    verdict = rig_judge_mix(rig, check, 0);
    with_all = rig_figure(verdict, "speech_level_loss_db");
    assert_contains(rig->words.cure,
                    "bring the preamps into this mix, or its master, down by as much as the "
                    "deepest of these; then take out the cuts that matter least: 400 to 500 Hz (-3 "
                    "dB), 20000 Hz (-3 dB), 200 Hz (-6 dB), which gives speech ");
    assert_contains(rig->words.cure, " dB back; then ring it out again: ears protected and in-ears "
                                     "out, gain up slowly with a hand on the master");
    assert_contains(rig->words.says,
                    "9 cuts (400 to 500 Hz: neighbouring bands count as one) turned "
                    "the mix down by ");
    promised = rig_figure(verdict, "given_back_db");
    assert_true(promised > 0.1);
    for (int band = 13; band < 31; band++)
        cut_band(rig, band, 0);
    cut_band(rig, 10, 0);
    cut_band(rig, 30, -15); /* at its end stop, far above speech: a finding to look at */
    assert_near(rig_figure(rig_judge_mix(rig, check, 0), "speech_level_loss_db"),
                with_all - promised, 0.01);
}

static void
start_bands(struct rig *rig, int graphic, int parametric)
{
    const struct desk_counts counts = {.of = {[INDEX_INPUT] = 1,
                                              [INDEX_MIX] = 1,
                                              [INDEX_MIX_GRAPHIC_BAND] = graphic,
                                              [INDEX_MIX_EQ_BAND] = parametric}};

    rig_start_counts(rig, &counts);
    rig_set_text(rig, PARAM_MIX_NAME, 0, "Wedge");
}

/* Where the parametric equaliser holds the wedge's tuning, only the graphic is a ring-out. */
static void
tuning_is_no_ring_out(void **state)
{
    struct rig *rig = *state;

    start_bands(rig, 31, 4);
    for (int band = 0; band < 4; band++) {
        rig_set(rig, PARAM_MIX_EQ_BAND_FREQ, 0, band, 1000 << band);
        rig_set(rig, PARAM_MIX_EQ_BAND_GAIN, 0, band, -6);
    }
    cut_lows(rig, 6, -2);
    assert_near(rig_figure(rig_judge_mix(rig, check, 0), "cuts_count"), 10, 0);
    rig->show->mixes[0].tuned_here = true;
    rig_remark(rig);
    assert_int_equal(rig_judge_mix(rig, check, 0)->outcome, OUTCOME_PASS);
}

static void
desk_without_equaliser_bands_is_not_known(void **state)
{
    struct rig *rig = *state;

    start_bands(rig, 0, 0);
    assert_int_equal(rig_judge_mix(rig, check, 0)->outcome, OUTCOME_NOT_KNOWN);
    assert_string_equal(rig->why, "mix 1: the profile counts no equaliser bands of the mixes");
}

/* 10 octave bands stand at known centres; 15 bands need the desk to tell theirs. */
static void
other_graphics_are_read(void **state)
{
    struct rig *rig = *state;

    start_bands(rig, 10, 0);
    for (int band = 0; band < 8; band++)
        cut_band(rig, band, -6);
    assert_near(rig_figure(rig_judge_mix(rig, check, 0), "cuts_count"), 8, 0);
    assert_contains(rig->words.cure, "500 Hz (-6 dB), 250 Hz (-6 dB), which");

    start_bands(rig, 15, 0);
    cut_band(rig, 0, -6);
    assert_int_equal(rig_judge_mix(rig, check, 0)->outcome, OUTCOME_NOT_KNOWN);
    assert_string_equal(rig->why, "the profile does not name mix.graphic.band.freq (add it, "
                                  "or a constant under \"fixed\")");

    start_bands(rig, 15, 0);
    rig_forget(rig, PARAM_MIX_GRAPHIC_BAND_FREQ, SUPPLY_HEARD);
    for (int band = 0; band < 15; band++)
        rig_set(rig, PARAM_MIX_GRAPHIC_BAND_FREQ, 0, band, 25 * pow(2, band * 2 / 3.0));
    for (int band = 0; band < 15; band++)
        cut_band(rig, band, -6);
    /* two of them lie within an octave */
    assert_near(rig_figure(rig_judge_mix(rig, check, 0), "cuts_count"), 8, 0);
    assert_contains(rig->words.says, "25 to 39.7 Hz, ");
}

/* Many cuts are all counted, and the texts end within their bounds. */
static void
hundred_cuts_are_counted(void **state)
{
    struct rig *rig = *state;

    start_bands(rig, 0, 100);
    for (int band = 0; band < 100; band++) {
        rig_set(rig, PARAM_MIX_EQ_BAND_FREQ, 0, band, 25 * pow(2, 0.09 * band));
        rig_set(rig, PARAM_MIX_EQ_BAND_Q, 0, band, 50);
        rig_set(rig, PARAM_MIX_EQ_BAND_GAIN, 0, band, -1);
    }
    assert_near(rig_figure(rig_judge_mix(rig, check, 0), "cuts_count"), 100, 0);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        RIG_TEST(flat_mix_passes),
        RIG_TEST(seven_cuts_are_a_note_and_eight_a_fix),
        RIG_TEST(cut_counts_from_one_decibel),
        RIG_TEST(boosts_are_no_cuts),
        RIG_TEST(neighbouring_bands_are_one_cut),
        RIG_TEST(bands_in_one_place_are_one_cut),
        RIG_TEST(one_frequency_on_both_equalisers_is_one_cut),
        RIG_TEST(boost_beside_a_cut_is_named),
        RIG_TEST(band_at_its_end_stop_is_a_note),
        RIG_TEST(end_stop_of_the_parametric_is_its_own),
        RIG_TEST(graphic_and_parametric_are_counted_together),
        RIG_TEST(notches_are_cuts_and_shelves_are_not),
        RIG_TEST(shelves_have_their_own_words),
        RIG_TEST(level_is_told_beside_shape),
        RIG_TEST(notch_anywhere_gives_numbers),
        RIG_TEST(notch_is_not_at_an_end_stop),
        RIG_TEST(only_loudspeaker_mixes_are_judged),
        RIG_TEST(label_tells_what_the_mix_feeds),
        RIG_TEST(tuning_is_no_ring_out),
        RIG_TEST(cure_names_the_cuts_that_matter_least),
        RIG_TEST(desk_without_equaliser_bands_is_not_known),
        RIG_TEST(other_graphics_are_read),
        RIG_TEST(hundred_cuts_are_counted),
    };

    return cmocka_run_group_tests_name("too_many_cuts", tests, NULL, NULL);
}
