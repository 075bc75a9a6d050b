/* SPDX-License-Identifier: MIT */
#include "check/check.h"

#include <math.h>
#include <stddef.h>

#include "core/sum.h"
#include "look/reach.h"
#include "sound/band.h"
#include "sound/path.h"

enum { NOTE_DB, FIX_DB };
enum { PLACES = 4 }; /* looked at in each third-octave band */

static const enum param_id reads[] = {PATH_INPUT_FILTER_READS, PATH_MIX_FILTER_READS, REACH_READS,
                                      PARAM_INPUT_MUTE,        PARAM_INPUT_NAME,      PARAMS};
static const enum param_id mix_reads[] = {PATH_MIX_FILTER_READS, PARAM_MIX_NAME, PARAMS};

/* The highest point of the response, and where it is. */
static double
peak_db(const struct filters *filters, double *hz)
{
    double most_db = -HUGE_VAL;

    for (int i = 0; i < BANDS * PLACES; i++) {
        double at = band_exact_hz(0) * pow(10, (double)i / (10 * PLACES));
        double db = at < filters->rate_hz / 2 ? filters_db(filters, at) : -HUGE_VAL;

        if (db > most_db) {
            most_db = db;
            *hz = at;
        }
    }
    return most_db;
}

static void
judge(struct look *look, const struct filters *filters)
{
    double hz = 0;
    double boost_db = filters->count > 0 ? peak_db(filters, &hz) : 0;

    if (boost_db < look->settings[NOTE_DB]) {
        look_pass(look);
        return;
    }
    look_found(look, boost_db >= look->settings[FIX_DB] ? WEIGHT_FIX : WEIGHT_NOTE, boost_db);
    look_figure(look, "boost_db", boost_db);
    look_figure(look, "at_hz", hz);
}

static void
run_input(struct look *look, int input)
{
    struct filters filters;
    bool muted;
    int mix;
    enum reach reach;

    if (look->show->inputs[input].source == SOURCE_UNUSED)
        return;
    if (!look_switch(look, PARAM_INPUT_MUTE, input, 0, &muted)) {
        look_not_known(look);
        return;
    }
    reach = muted ? REACH_NOWHERE : reach_of(look, input, true, &mix);
    if (reach == REACH_NOWHERE)
        look_closed(look);
    else if (reach == REACH_UNKNOWN ||
             (reach == REACH_LOUDSPEAKER && !path_input_filters(look, input, &filters)))
        look_not_known(look);
    else if (reach == REACH_LOUDSPEAKER)
        judge(look, &filters);
}

static void
run_mix(struct look *look, int mix)
{
    enum feeds feeds = look_feeds(look, mix);
    struct filters filters;

    if (feeds != FEEDS_UNKNOWN && !feeds_loudspeaker(feeds))
        return;
    if (feeds == FEEDS_UNKNOWN || !path_mix_filters(look, mix, &filters))
        look_not_known(look);
    else
        judge(look, &filters);
}

static void
run(struct look *look, struct object object)
{
    if (object.input >= 0)
        run_input(look, object.input);
    else
        run_mix(look, object.mix);
}

static void
say(struct wording *wording)
{
    double boost_db = verdict_figure(wording->verdict, "boost_db");

    text_add(&wording->says,
             "the equaliser of the %s boosts by %f dB near %f Hz, so the mix rings there first",
             wording->object.input >= 0 ? "input" : "mix", boost_db,
             round(verdict_figure(wording->verdict, "at_hz")));
    text_add(&wording->cure,
             "take the boost out and cut beside it instead, or lower the preamp by %f dB before "
             "keeping it",
             boost_db);
}

/* Bands that add up can lift by hundreds of dB, which no factor makes clearer. */
enum { FACTOR_MOST_DB = 60 };

static void
work(struct text *text, const struct verdict *verdict)
{
    double boost_db = sum_tenth(verdict_figure(verdict, "boost_db"));

    text_add(text, "At %f Hz the filters lift by %f dB", round(verdict_figure(verdict, "at_hz")),
             boost_db);
    if (boost_db <= FACTOR_MOST_DB)
        text_add(text, ", 10^(%f / 20) = %g times the voltage", boost_db, pow(10, boost_db / 20));
    text_add(text, ". A path that could go 10 dB further there before it rings can now go ");
    SUM(text, 10, -boost_db);
    text_add(text, " dB; below 0 it rings. Paid for with the preamp it is ");
    SUM(text, boost_db, -boost_db);
    text_add(text, " dB against before at that frequency, and ");
    SUM(text, 0, -boost_db);
    text_add(text, " dB where the filters are flat.");
}

const struct check check_boost_into_wedge = {
    .id = "boost-into-wedge",
    .number = CHECK_BOOST_INTO_WEDGE,
    .subject = SUBJECT_EQUALISERS,
    .objects = OBJECT_INPUT | OBJECT_MIX,
    .reads = reads,
    .mix_reads = mix_reads,
    .settings = {{"note_db", 3, 0.5, 30, "boost from which it is a note", -0.5, WEIGHT_NOTE,
                  CREDIT_PRACTICE},
                 {"fix_db", 9, 0.5, 30, "boost from which it should be fixed", -0.5, WEIGHT_FIX,
                  CREDIT_PRACTICE}},
    .severity = "boost_db",
    .worse_step = 3,
    .fails_when = "the equaliser of an input that is open into a loudspeaker mix, or of the mix "
                  "itself, lifts some frequency. Sends taken before the equaliser do not count.",
    .why = "A boost is loop gain at one frequency: the mix will ring there first, as many decibels "
           "earlier.",
    .cure = "Cut around it instead of lifting it, or pay for it with preamp gain.",
    .formula =
        "highest point of the cascade of filters, cookbook biquads at the desk's sample rate",
    .source =
        "Loop gain and the Nyquist criterion: T. van Waterschoot and M. Moonen, Fifty Years of "
        "Acoustic Feedback Control, Proc. IEEE 99(2), 2011, eq. 11. The decibels at which it "
        "becomes a note or a fix: common practice, no source.",
    .disagreement =
        "Agreed: what an equaliser lifts it lifts in the loop (van Waterschoot and Moonen 2011, "
        "eq. 11). Not settled is how much of it is worth it. Some never boost in a wedge, others "
        "lift what makes a voice clear and pay with level (both common practice, no source). "
        "Wedges are also tuned in their amplifier or crossover (\"Working The Monitor Scene At A "
        "Large Festival\"), and then a boost here may undo a dip there, which no desk shows.",
    .run = run,
    .say = say,
    .work = work,
};
