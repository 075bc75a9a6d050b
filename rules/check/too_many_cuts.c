/* SPDX-License-Identifier: MIT */
#include "check/too_many_cuts.h"

#include <math.h>
#include <stddef.h>

#include "check/check.h"
#include "core/sum.h"
#include "sound/cuts.h"
#include "sound/path.h"

enum { NOTE_CUTS, FIX_CUTS, CUT_DB, LEVEL_LOSS_DB };
enum { WIDE_NAMED = 4, SPARE_NAMED = 12 };

static const enum param_id reads[] = {PATH_MIX_EQUALISER_READS, PARAM_MIX_NAME, PARAMS};

static void
run(struct look *look, struct object object)
{
    const double *settings = look->settings;
    enum feeds feeds = look_feeds(look, object.mix);
    int allowed = (int)settings[NOTE_CUTS] - 1;
    struct cuts cuts;
    bool level;

    if (feeds != FEEDS_UNKNOWN && !feeds_loudspeaker(feeds))
        return;
    if (feeds == FEEDS_UNKNOWN || !cuts_of(look, object.mix, settings[CUT_DB], &cuts)) {
        look_not_known(look);
        return;
    }
    level = cuts.loss_db >= settings[LEVEL_LOSS_DB] && cuts.loss_db > cuts.spread_db;
    if (cuts.count < settings[NOTE_CUTS] && cuts.at_stop == 0 && !level) {
        look_pass(look);
        return;
    }
    look_found(look, cuts.count >= settings[FIX_CUTS] ? WEIGHT_FIX : WEIGHT_NOTE, cuts.count);
    look_figure(look, "cuts_count", cuts.count);
    look_figure(look, "bands_cut_count", cuts.bands);
    look_figure(look, "at_end_stop_count", cuts.at_stop);
    look_figure(look, "boosts_beside_count", cuts.boosts_beside);
    look_figure(look, "speech_level_loss_db", cuts.loss_db);
    look_figure(look, "pink_level_loss_db", cuts.pink_loss_db);
    look_figure(look, "spread_db", cuts.spread_db);
    look_figure(look, "cuts_allowed_count", allowed);
    if (cuts.count > allowed) {
        cuts_rank(&cuts);
        look_figure(look, "given_back_db", cuts_regained_db(&cuts, cuts.count - allowed));
    }
}

/* "630 to 800 Hz" */
static void
add_hz(struct text *text, const struct cut *cut)
{
    text_add(text, "%f", cut->low_hz);
    if (cut->bands > 1)
        text_add(text, " to %f", cut->top_hz);
    text_add(text, " Hz");
}

/* Names the cuts that are several bands of the graphic. */
static void
add_wide(struct text *says, const struct cuts *cuts)
{
    int wide = 0;

    for (int i = 0; i < cuts->count; i++) {
        if (cuts->list[i].bands == 1 || wide++ >= WIDE_NAMED)
            continue;
        text_add(says, wide == 1 ? " (" : ", ");
        add_hz(says, &cuts->list[i]);
    }
    if (wide > WIDE_NAMED)
        text_add(says, " and %d more", wide - WIDE_NAMED);
    if (wide > 0)
        text_add(says, ": neighbouring bands count as one)");
}

/* What the cuts did: their number, the level they took, and what is left as equalisation. */
static void
say_cuts(struct wording *wording, const struct cuts *cuts)
{
    struct text *says = &wording->says;
    bool level = cuts->loss_db > cuts->spread_db;

    text_add(says, "%d cut%s", cuts->count, cuts->count == 1 ? "" : "s");
    add_wide(says, cuts);
    if (cuts->at_stop > 0)
        text_add(says, ", %d band%s at the end stop,", cuts->at_stop,
                 cuts->at_stop == 1 ? "" : "s");
    text_add(says,
             " turned the mix %s by %f dB for speech, %f dB for pink noise; they shape its sound "
             "by %s%f dB",
             cuts->loss_db < 0 ? "up" : "down", fabs(cuts->loss_db),
             cuts->loss_db < 0 ? -cuts->pink_loss_db : cuts->pink_loss_db, level ? "only " : "",
             cuts->spread_db);
    if (cuts->boosts_beside > 0)
        text_add(says, "; %d band%s boosted beside a cut, most at %f Hz (+%f dB)",
                 cuts->boosts_beside, cuts->boosts_beside == 1 ? "" : "s",
                 cuts_printed_hz(wording->look, &cuts->boost), cuts->boost.gain_db);
}

/* Names the first `count` cuts of the list, and what taking them out gives back. */
static void
add_spare(struct text *cure, const struct cuts *cuts, int count, double given_back_db)
{
    text_add(cure, "take out the cuts that matter least: ");
    for (int i = 0; i < count; i++) {
        text_add(cure, i == 0 ? "" : ", ");
        if (i == SPARE_NAMED) {
            text_add(cure, "%d more", count - i);
            break;
        }
        add_hz(cure, &cuts->list[i]);
        if (cuts->list[i].gain_db > -HUGE_VAL)
            text_add(cure, " (%f dB)", cuts->list[i].gain_db);
        else
            text_add(cure, " (notch)");
    }
    text_add(cure, ", which gives speech %f dB back; ", given_back_db);
}

static void
say_cure(struct wording *wording, struct cuts *cuts)
{
    const struct verdict *verdict = wording->verdict;
    int spare = cuts->count - (int)verdict_figure(verdict, "cuts_allowed_count");

    if (spare > 0) {
        cuts_rank(cuts);
        add_spare(&wording->cure, cuts, spare, verdict_figure(verdict, "given_back_db"));
    }
    text_add(
        &wording->cure,
        "bring the preamps into this mix down before cutting again, then ring it out again: ears "
        "protected and in-ears out, gain up slowly with a hand on the master");
}

static void
say(struct wording *wording)
{
    struct cuts cuts;

    cuts_of(wording->look, wording->object.mix, wording->look->settings[CUT_DB], &cuts);
    say_cuts(wording, &cuts);
    say_cure(wording, &cuts);
}

/* From bands to cuts to the cuts that are to spare, and what those give back. */
static void
work_count(struct text *text, const struct verdict *verdict)
{
    double cuts = verdict_figure(verdict, "cuts_count");
    double bands = verdict_figure(verdict, "bands_cut_count");
    double at_stop = verdict_figure(verdict, "at_end_stop_count");
    double allowed = verdict_figure(verdict, "cuts_allowed_count");
    double given_back_db = verdict_figure(verdict, "given_back_db");

    text_add(text, "%f band%s cut; neighbours count as one, which makes %f cut%s. ", bands,
             bands == 1 ? " is" : "s are", cuts, cuts == 1 ? "" : "s");
    if (cuts > allowed) {
        text_add(text, "Up to %f pass: ", allowed);
        SUM(text, cuts, -allowed);
        text_add(text, " to spare. ");
    }
    if (!isnan(given_back_db))
        text_add(text, "Without the shallowest of them speech gets %f dB back. ", given_back_db);
    if (at_stop > 0)
        text_add(text,
                 "%f of the bands stand%s at the end stop, where more depth is not to be had. ",
                 at_stop, at_stop == 1 ? "s" : "");
}

static void
work(struct text *text, const struct verdict *verdict)
{
    double loss_db = sum_tenth(verdict_figure(verdict, "speech_level_loss_db"));
    double spread_db = sum_tenth(verdict_figure(verdict, "spread_db"));

    work_count(text, verdict);
    text_add(text, "Speech is turned %s by %f dB", loss_db < 0 ? "up" : "down", fabs(loss_db));
    if (loss_db >= 0)
        text_add(text, ": of 100 parts of its power 100 x 10^(%f / 10) = %f come through", -loss_db,
                 100 * pow(10, -loss_db / 10));
    text_add(text, ". The response strays from that by %f dB on average. ", spread_db);
    if (loss_db > spread_db) {
        sum_difference(text, loss_db, spread_db);
        text_add(text, " dB more level than equalisation, and level is what a master is for.");
    } else {
        sum_difference(text, spread_db, loss_db);
        text_add(text, " dB more equalisation than level: the cuts do shape the sound.");
    }
}

double
too_many_cuts_from_db(const struct show *show)
{
    return show->checks[CHECK_TOO_MANY_CUTS].settings[CUT_DB];
}

const struct check check_too_many_cuts = {
    .id = "too-many-cuts",
    .number = CHECK_TOO_MANY_CUTS,
    .subject = SUBJECT_EQUALISERS,
    .objects = OBJECT_MIX,
    .reads = reads,
    .settings = {{"note_cuts", 7, 1, 64, "cuts from which it is a note", 0, WEIGHT_NOTE,
                  CREDIT_PRACTICE},
                 {"fix_cuts", 8, 1, 64, "cuts from which it should be fixed", 0, WEIGHT_NOTE,
                  CREDIT_PRACTICE},
                 {"cut_db", 1, 0.1, 12, "depth from which a band counts as cut", -0.3, WEIGHT_NOTE,
                  CREDIT_PRACTICE},
                 {"level_loss_db", 3, 0.5, 20,
                  "speech level lost from which the cuts count as mere level", -0.5, WEIGHT_NOTE,
                  CREDIT_PRACTICE}},
    .severity = "cuts_count",
    .worse_step = 1,
    .fails_when =
        "a wedge or fill mix has many cuts (neighbouring graphic bands pulled down together, less "
        "than an octave apart, are one), a band at the lower end of its travel, or cuts "
        "whose level loss is larger than the spread they leave: turning the mix down would "
        "have done the same.",
    .why =
        "The first five or six cuts of a ring-out win margin. After that every cut takes programme "
        "away with the ring, the mix is turned up to make up for it, and it sounds worse at the "
        "same margin. A slider at its stop says that the place is wrong, not the equaliser.",
    .cure = "Take the shallowest cuts out, lower the preamps instead, look at where microphone and "
            "wedge stand, and ring out again. Loud stages damage hearing: protect the ears, take "
            "in-ears out, bring gain up slowly with a hand on the master, keep to the local noise "
            "rules and to what the venue's responsible person says.",
    .formula =
        "level loss = -10 log10(sum of share x 10^(response / 10)) over third-octave bands with "
        "the shares of the standard speech spectrum; spread = share-weighted deviation of the "
        "response from that loss",
    .source =
        "Five to seven cuts: \"What is the best way to EQ stage monitors\", sweetwater.com; stop "
        "when a slider is at full cut: \"Ringing Out Monitors\", indepth.professional-sound.com; "
        "speech spectrum: ANSI S3.5-1997 table 3, read in copies; level moved by 1 to 2 dB is "
        "bought back with "
        "gain: \"Too much EQ\", goingto11.com. The counts at which it becomes a note or a fix, and "
        "how "
        "wide neighbouring bands still count as one: common practice, no source.",
    .disagreement =
        "How many cuts are enough: five to seven, or until more than three frequencies ring "
        "together (\"What is the best way to EQ stage monitors\", sweetwater.com); until several "
        "ring at once or a slider is at full cut (\"Ringing Out Monitors\", "
        "indepth.professional-sound.com). What is raised meanwhile: the send with the master at 0 "
        "dB, the preamp, or the whole mix; all are taught (common practice, no source). What it "
        "wins: 3 to 9 dB (" CREDIT_RING_OUT_GAIN "), or 5 to 8 dB with third-octave bands (van "
        "Waterschoot and Moonen 2011, section III). How far to back off: at least 6 dB (Davis and "
        "Jones, Sound Reinforcement Handbook, 5.3.1, read as a fragment); 3 dB "
        "(" CREDIT_RING_OUT_GAIN ") and up to 10 dB "
        "(multimed.org) are taught too.",
    .run = run,
    .say = say,
    .work = work,
};
