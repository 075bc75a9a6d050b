/* SPDX-License-Identifier: MIT */
#include "check/too_many_cuts.h"

#include <math.h>
#include <stddef.h>

#include "check/check.h"
#include "core/sum.h"
#include "sound/cuts.h"
#include "sound/graphic.h"
#include "sound/path.h"

enum { NOTE_CUTS, FIX_CUTS, CUT_DB, LEVEL_LOSS_DB };
enum { JOINED_NAMED = 4, BROAD_NAMED = 2, SPARE_NAMED = 10 };

static const enum param_id reads[] = {PATH_MIX_EQUALISER_READS, PARAM_MIX_NAME, PARAMS};

static void
add_figures(struct look *look, const struct cuts *cuts)
{
    const struct filters *filters = &cuts->filters;

    look_figure(look, "cuts_count", cuts->count);
    look_figure(look, "bands_cut_count", cuts->bands);
    look_figure(look, "at_end_stop_count", cuts->at_stop);
    look_figure(look, "boosts_beside_count", cuts->boosts_beside);
    look_figure(look, "speech_level_loss_db", cuts->loss.speech_db);
    look_figure(look, "pink_level_loss_db", cuts->loss.pink_db);
    look_figure(look, "spread_db", cuts->loss.spread_db);
    if (cuts->broad > 0)
        look_figure(look, "broad_filters_count", cuts->broad);
    if (filters->graphic_most > 0) {
        look_figure(look, "graphic_octaves", filters->graphic_least);
        look_figure(look, "graphic_octaves_most", filters->graphic_most);
    }
}

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
    level =
        cuts.loss.speech_db >= settings[LEVEL_LOSS_DB] && cuts.loss.speech_db > cuts.loss.spread_db;
    if (cuts.count < settings[NOTE_CUTS] && cuts.at_stop == 0 && !level) {
        look_pass(look);
        return;
    }
    look_found(look, cuts.count >= settings[FIX_CUTS] ? WEIGHT_FIX : WEIGHT_NOTE, cuts.count);
    add_figures(look, &cuts);
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

/* Names the cuts that are several bands. */
static void
add_joined(struct text *says, const struct cuts *cuts)
{
    bool stacked = false;
    int joined = 0;

    for (int i = 0; i < cuts->count; i++) {
        if (cuts->list[i].bands == 1)
            continue;
        stacked |= cuts->list[i].stacked;
        if (joined++ >= JOINED_NAMED)
            continue;
        text_add(says, joined == 1 ? " (" : ", ");
        add_hz(says, &cuts->list[i]);
    }
    if (joined > JOINED_NAMED)
        text_add(says, " and %d more", joined - JOINED_NAMED);
    if (joined > 0)
        text_add(says, stacked ? ": bands in one place count as one)"
                               : ": neighbouring bands count as one)");
}

/* "a low shelf at 200 Hz (-6 dB) and a low-pass at 8000 Hz" */
static void
add_broad(struct text *says, const struct cuts *cuts)
{
    static const char *const names[] = {[SHAPE_LOW_SHELF] = "low shelf",
                                        [SHAPE_HIGH_SHELF] = "high shelf",
                                        [SHAPE_LOW_PASS] = "low-pass",
                                        [SHAPE_HIGH_PASS] = "high-pass"};
    int named = 0;

    for (int i = 0; i < cuts->filters.count; i++) {
        const struct control *control = &cuts->filters.controls[i];

        if (!cuts_is_broad(control) || named++ >= BROAD_NAMED)
            continue;
        text_add(says, "%sa %s at %f Hz", named == 1 ? "" : " and ", names[control->shape],
                 control->freq_hz);
        if (control->shape == SHAPE_LOW_SHELF || control->shape == SHAPE_HIGH_SHELF)
            text_add(says, " (%s%f dB)", control->gain_db > 0 ? "+" : "", control->gain_db);
    }
    if (named > BROAD_NAMED)
        text_add(says, " and %d more like that", named - BROAD_NAMED);
}

/* What did it: the cuts, and the broad filters beside them or alone. */
static void
say_who(struct text *says, const struct cuts *cuts)
{
    if (cuts->count == 0 && cuts->broad == 0)
        text_add(says, "the equaliser");
    if (cuts->count > 0) {
        text_add(says, "%d cut%s", cuts->count, cuts->count == 1 ? "" : "s");
        add_joined(says, cuts);
    }
    if (cuts->at_stop > 0)
        text_add(says, ", %d band%s at the end stop,", cuts->at_stop,
                 cuts->at_stop == 1 ? "" : "s");
    if (cuts->count > 0 && cuts->broad > 0)
        text_add(says, " and ");
    add_broad(says, cuts);
}

/* The level is what a master could have done as well; the rest is what an equaliser is for. */
static void
say_cuts(struct wording *wording, const struct cuts *cuts)
{
    struct text *says = &wording->says;
    const struct loss *loss = &cuts->loss;
    bool up = loss->speech_db < 0;

    say_who(says, cuts);
    text_add(says,
             " turned the mix %s by %f dB for speech, %f dB for pink noise: a master can do that. "
             "What stays as shape is %f dB around it",
             up ? "up" : "down", fabs(loss->speech_db), up ? -loss->pink_db : loss->pink_db,
             loss->spread_db);
    if (cuts->filters.graphic_most > 0) {
        text_add(says, " (graphic bands taken as ");
        graphic_add_octaves(says, cuts->filters.graphic_least, cuts->filters.graphic_most);
        text_add(says, " wide)");
    }
    if (cuts->boosts_beside > 0)
        text_add(says, "; %d band%s boosted beside a cut, most at %f Hz (+%f dB)",
                 cuts->boosts_beside, cuts->boosts_beside == 1 ? "" : "s",
                 cuts_printed_hz(wording->look, &cuts->boost), cuts->boost.gain_db);
}

/* Names the first `count` cuts of the list. */
static void
add_spare(struct text *cure, const struct cuts *cuts, int count)
{
    for (int i = 0; i < count; i++) {
        const struct cut *cut = &cuts->list[i];

        text_add(cure, i == 0 ? "" : ", ");
        if (i == SPARE_NAMED) {
            text_add(cure, "%d more", count - i);
            break;
        }
        add_hz(cure, cut);
        if (cut->gain_db > -HUGE_VAL)
            text_add(cure, " (%f dB)", cut->gain_db);
        else
            text_add(cure, " (notch)");
    }
}

static void
say_cure(struct wording *wording, struct cuts *cuts)
{
    static const char again[] =
        "then ring it out again: ears protected and in-ears out, gain up slowly with a hand on the "
        "master";
    const struct verdict *verdict = wording->verdict;
    struct text *cure = &wording->cure;
    int spare = cuts->count - (int)verdict_figure(verdict, "cuts_allowed_count");

    if (spare > 0) {
        cuts_rank(cuts);
        text_add(cure, "bring the preamps into this mix, or its master, down by as much as the "
                       "deepest of these; then take out the cuts that matter least: ");
        add_spare(cure, cuts, spare);
        text_add(cure, ", which gives speech %f dB back; %s",
                 verdict_figure(verdict, "given_back_db"), again);
    } else if (cuts->count > 0) {
        text_add(cure, "bring the preamps into this mix down before cutting again, %s", again);
    } else {
        text_add(cure, "where level was meant, bring the master down by as much, then set the "
                       "equaliser flat; where tone was meant, leave it and accept this");
    }
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

    text_add(text, "%f band%s cut; ", bands, bands == 1 ? " is" : "s are");
    if (bands > 0)
        text_add(text, "those in one place and neighbours count as one, which makes %f cut%s. ",
                 cuts, cuts == 1 ? "" : "s");
    else
        text_add(text, "what turns the mix down is broader. ");
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
    double octaves = verdict_figure(verdict, "graphic_octaves");

    work_count(text, verdict);
    text_add(text, "Speech is turned %s by %f dB", loss_db < 0 ? "up" : "down", fabs(loss_db));
    if (loss_db >= 0)
        text_add(text, ": of 100 parts of its power 100 x 10^(%f / 10) = %f come through", -loss_db,
                 100 * pow(10, -loss_db / 10));
    text_add(text,
             ". A master at %f dB does the same to every frequency alike. What a master cannot do "
             "is the shape: the response strays from that level by %f dB, root mean square.",
             -loss_db, verdict_figure(verdict, "spread_db"));
    if (isnan(octaves))
        return;
    text_add(text, " Each band of the graphic is taken as ");
    graphic_add_octaves(text, octaves, verdict_figure(verdict, "graphic_octaves_most"));
    text_add(text, " wide.");
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
        "than an octave apart, are one, and so are bands of either equaliser in one place), a band "
        "at the lower end of its travel, or an equaliser that turns the mix down by more than it "
        "shapes its sound: a master could have done that.",
    .why =
        "The first five or six cuts of a ring-out win margin. After that every cut takes programme "
        "away with the ring, the mix is turned up to make up for it, and it sounds worse at the "
        "same margin. A slider at its stop says that the place is wrong, not the equaliser.",
    .cure = "Lower the preamps, then take the shallowest cuts out, look at where microphone and "
            "wedge stand, and ring out again. Loud stages damage hearing: protect the ears, take "
            "in-ears out, bring gain up slowly with a hand on the master, keep to the local noise "
            "rules and to what the venue's responsible person says.",
    .formula =
        "level loss = -10 log10(sum of share x 10^(response / 10)) over all frequencies, with the "
        "shares of the standard speech spectrum spread evenly over each third-octave band; spread "
        "= root mean square of response + loss, weighed alike. A graphic band is a cookbook "
        "peaking filter with half its gain at its edges, as wide as the bands stand apart unless "
        "filters.graphic_octaves of the profile tells it",
    .source =
        "Five to seven cuts: \"What is the best way to EQ stage monitors\", sweetwater.com; stop "
        "when a slider is at full cut: \"Ringing Out Monitors\", indepth.professional-sound.com; "
        "speech spectrum: ANSI S3.5-1997 table 3, read in copies; level moved by 1 to 2 dB is "
        "bought back with "
        "gain: \"Too much EQ\", goingto11.com. The counts at which it becomes a note or a fix, how "
        "wide neighbouring bands still count as one, what is one place, and how wide a graphic "
        "band is: common practice, no source.",
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
