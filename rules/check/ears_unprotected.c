/* SPDX-License-Identifier: MIT */
#include "check/check.h"

#include <math.h>
#include <stddef.h>

#include "core/sum.h"

enum { LEAST_RATIO, MOST_THRESHOLD_DB };

static const enum param_id reads[] = {PARAM_MIX_LIMITER_ON, PARAM_MIX_LIMITER_THRESHOLD,
                                      PARAM_MIX_LIMITER_RATIO, PARAM_MIX_NAME, PARAMS};

/* Worse from useless to off. */
enum { SEVERITY_RATIO = 1, SEVERITY_THRESHOLD, SEVERITY_OFF };

static void
found(struct look *look, int severity)
{
    look_found(look, WEIGHT_STOP, severity);
    look_figure(look, "least_ratio_to_1", look->settings[LEAST_RATIO]);
}

static void
run(struct look *look, struct object object)
{
    enum feeds feeds = look_feeds(look, object.mix);
    double threshold_db, ratio;
    bool on;

    if (feeds != FEEDS_UNKNOWN && feeds != FEEDS_IN_EAR)
        return;
    if (feeds == FEEDS_UNKNOWN || look->show->mixes[object.mix].limited_elsewhere) {
        if (feeds == FEEDS_UNKNOWN)
            look_not_known(look);
        return;
    }
    if (!look_switch(look, PARAM_MIX_LIMITER_ON, object.mix, 0, &on)) {
        look_not_known(look);
        return;
    }
    if (!on) {
        found(look, SEVERITY_OFF);
        return;
    }
    if (!look_number(look, PARAM_MIX_LIMITER_THRESHOLD, object.mix, 0, &threshold_db) ||
        !look_number(look, PARAM_MIX_LIMITER_RATIO, object.mix, 0, &ratio)) {
        look_not_known(look);
        return;
    }
    if (threshold_db >= look->settings[MOST_THRESHOLD_DB]) {
        found(look, SEVERITY_THRESHOLD);
        look_figure(look, "threshold_db", threshold_db);
    } else if (ratio < look->settings[LEAST_RATIO]) {
        found(look, SEVERITY_RATIO);
        look_figure(look, "ratio_to_1", ratio);
    } else {
        look_pass(look);
    }
}

static void
say(struct wording *wording)
{
    double threshold_db = verdict_figure(wording->verdict, "threshold_db");
    double ratio = verdict_figure(wording->verdict, "ratio_to_1");

    if (!isnan(threshold_db))
        text_add(&wording->says,
                 "the limiter of this in-ear mix starts at %f dB; the level never gets that high, "
                 "so it does nothing",
                 threshold_db);
    else if (!isnan(ratio))
        text_add(&wording->says,
                 "the limiter of this in-ear mix has a ratio of %f:1, which does not stop a "
                 "peak",
                 ratio);
    else
        text_add(&wording->says, "an in-ear mix without a limiter: nothing stops a sudden loud "
                                 "sound on its way to the ears");
    text_add(
        &wording->cure,
        "limiter on, last in the chain of the mix, ratio %f:1 or more, fast attack, threshold a "
        "few dB above the player's normal peaks; turn the packs down first. The level in the ears "
        "depends on the pack, which no desk sees: let the player turn it up slowly",
        verdict_figure(wording->verdict, "least_ratio_to_1"));
}

/* What is left of a peak 20 dB above the threshold. */
enum { PEAK_DB = 20 };

static void
work_ratio(struct text *text, double ratio, double least)
{
    double shown = round(ratio * 100) / 100, left_db = sum_tenth(PEAK_DB / shown);
    double least_db = sum_tenth(PEAK_DB / least);

    text_add(
        text,
        "A ratio of %g:1 leaves %d / %g = %f dB of it above the threshold, one of %g:1 leaves %d "
        "/ %g = %f dB: ",
        shown, PEAK_DB, shown, left_db, least, PEAK_DB, least, least_db);
    sum_difference(text, left_db, least_db);
    text_add(text, " dB more at the ear drum.");
}

static void
work(struct text *text, const struct verdict *verdict)
{
    double threshold_db = verdict_figure(verdict, "threshold_db");
    double ratio = verdict_figure(verdict, "ratio_to_1");
    double least = verdict_figure(verdict, "least_ratio_to_1");

    text_add(text,
             "Take a dropped microphone: a peak %d dB above where the limiter begins, or should. ",
             PEAK_DB);
    if (isnan(threshold_db)) {
        if (isnan(ratio))
            text_add(text, "Without a limiter nothing is taken off, which is a ratio of 1:1. ");
        work_ratio(text, isnan(ratio) ? 1 : ratio, least);
    } else {
        text_add(text,
                 "A desk's output ends at 0 dB full scale. Above a threshold of %f dB there "
                 "are ",
                 threshold_db);
        sum_difference(text, 0, threshold_db);
        text_add(text, " dB left for the limiter to work in, so it takes nothing off the peak. ");
        work_ratio(text, 1, least);
    }
    text_add(text, " What level that is depends on the pack, which no desk sees.");
}

const struct check check_ears_unprotected = {
    .id = "ears-unprotected",
    .number = CHECK_EARS_UNPROTECTED,
    .subject = SUBJECT_PROTECTION,
    .objects = OBJECT_MIX,
    .reads = reads,
    .settings = {{"least_ratio", 20, 2, 1000, "a ratio below this does not count as a limiter", 0,
                  WEIGHT_NOTE, CREDIT_LIMITERS},
                 {"most_threshold_db", 0, -60, 30, "a threshold from here up never works", -0.5,
                  WEIGHT_NOTE, CREDIT_PRACTICE}},
    .severity = "grade of the fault",
    .worse_step = 1,
    .raise_after_s = 0.5,
    .fails_when =
        "the limiter of an in-ear mix is off, has a threshold it never reaches, or a ratio "
        "that is no limiter's. A limiter in the transmitter can be declared in the show "
        "file (\"limiter\": \"transmitter\"). Passing says only that a limiter is on: what "
        "arrives in the ears depends on the pack, which no desk sees.",
    .why = "In-ears sit at the ear drum. A dropped microphone, a slipped fader or feedback reaches "
           "them "
           "at full level unless something stops it.",
    .cure =
        "A limiter on every in-ear mix, last in its chain. Hearing does not come back: follow the "
        "local rules for noise at work, and ask a qualified person where you are not sure.",
    .formula = "limiter off, or threshold >= 0 dB, or ratio < 20",
    .source =
        "Ratio 20:1 or more, fast attack, not only the one in the transmitter: " CREDIT_LIMITERS
        ". Threshold 2 to 3 dB above the mix's normal peak: " CREDIT_LIMIT_AT_PEAK
        ". In place of that, an absolute ceiling of 110 to 120 dB SPL at the "
        "ear: " CREDIT_LIMIT_AT_CEILING ".",
    .disagreement = "Agreed: a limiter on every in-ear mix (" CREDIT_LIMITERS
                    "; \"Sound Advice\" guidance for UK music venues). Not settled is where: some "
                    "rely on the one in the transmitter, iemrig.com "
                    "wants one in the mix as well; the show file can declare it. Nor how high its "
                    "threshold is: 2 to 3 dB above the mix's normal peak (" CREDIT_LIMIT_AT_PEAK
                    "), or whatever keeps an absolute ceiling of 110 to 120 dB SPL at the ear "
                    "(" CREDIT_LIMIT_AT_CEILING
                    "). The two disagree: the first leaves \"normal\" to whoever sets it, the "
                    "second needs a measurement at the pack. A limiter holds peaks, not the "
                    "dose of an evening; for that the local rules and a qualified person count.",
    .run = run,
    .say = say,
    .work = work,
};
