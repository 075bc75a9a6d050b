#include "check.h"

#include <math.h>
#include <stddef.h>
#include <stdlib.h>

#include "cuts.h"
#include "path.h"

enum { NOTE_CUTS, FIX_CUTS, CUT_DB, LEVEL_LOSS_DB };

static const enum param_id reads[] = {PATH_MIX_EQUALISER_READS, PARAM_MIX_NAME, PARAMS};

static int
by_depth(const void *one, const void *other)
{
    double a = ((const struct cut *)one)->gain_db;
    double b = ((const struct cut *)other)->gain_db;

    return (a < b) - (a > b);
}

/* Names the shallowest cuts, those that matter least. */
static void
add_shallowest(struct text *cure, struct cuts *cuts, int count)
{
    int listed = cuts->count < CUTS_MOST ? cuts->count : CUTS_MOST;

    qsort(cuts->list, (size_t)listed, sizeof *cuts->list, by_depth);
    for (int i = 0; i < count && i < listed; i++)
        text_add(cure, "%s%f Hz (%f dB)", i == 0 ? " " : ", ", cuts->list[i].named_hz,
                 cuts->list[i].gain_db);
}

static void
write_texts(struct look *look, struct cuts *cuts)
{
    struct text says = look_says(look);
    struct text cure = look_cure(look);
    int spare = cuts->count - (int)look->settings[NOTE_CUTS] + 1;

    text_add(&says, "%d cut%s", cuts->count, cuts->count == 1 ? "" : "s");
    if (cuts->at_stop > 0)
        text_add(&says, ", %d of them at the end stop", cuts->at_stop);
    text_add(
        &says,
        ": speech through them comes out %f dB lower, and only %f dB of spread is equalisation",
        cuts->loss_db, cuts->spread_db);
    if (spare > 0) {
        text_add(&cure, "take out the cuts that matter least:");
        add_shallowest(&cure, cuts, spare);
        text_add(&cure, "; ");
    }
    text_add(
        &cure,
        "bring the preamps into this mix down before cutting again, then ring it out anew: ears "
        "protected and in-ears out, gain up slowly with a hand on the master");
}

static void
run(struct look *look, struct object object)
{
    const double *settings = look->settings;
    enum feeds feeds = look_feeds(look, object.mix);
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
    look_figure(look, "at_end_stop_count", cuts.at_stop);
    look_figure(look, "speech_level_loss_db", cuts.loss_db);
    look_figure(look, "pink_level_loss_db", cuts.pink_loss_db);
    look_figure(look, "spread_db", cuts.spread_db);
    write_texts(look, &cuts);
}

const struct check check_too_many_cuts = {
    .id = "too-many-cuts",
    .objects = OBJECT_MIX,
    .reads = reads,
    .settings = {{"note_cuts", 7, 1, 64, "cuts from which it is a note"},
                 {"fix_cuts", 8, 1, 64, "cuts from which it should be fixed"},
                 {"cut_db", 1, 0.1, 12, "depth from which a band counts as cut"},
                 {"level_loss_db", 3, 0.5, 20,
                  "speech level lost from which the cuts count as mere level"}},
    .severity = "cuts_count",
    .worse_step = 1,
    .fails_when =
        "a wedge or fill mix has many cuts, a band at the lower end of its travel, or cuts "
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
        "speech spectrum: ANSI S3.5-1997 table 3; level moved by 1 to 2 dB is bought back with "
        "gain: \"Too much EQ\", goingto11.com. The counts at which it becomes a note or a fix: "
        "common practice, no source.",
    .run = run,
};
