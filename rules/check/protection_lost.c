#include "check/check.h"

#include <math.h>
#include <stddef.h>

#include "check/protection.h"
#include "look/reach.h"

enum { CUT_DB, THRESHOLD_DB };
enum { PHANTOM_V = 48 };

static const enum param_id reads[] = {PARAM_INPUT_HIGH_PASS_ON,
                                      PARAM_INPUT_PHANTOM,
                                      PARAM_INPUT_MUTE,
                                      PARAM_INPUT_NAME,
                                      REACH_READS,
                                      PARAM_MIX_LIMITER_ON,
                                      PARAM_MIX_LIMITER_THRESHOLD,
                                      PARAM_MIX_HIGH_PASS_ON,
                                      PARAM_MIX_GRAPHIC_ON,
                                      PARAM_MIX_GRAPHIC_BAND_GAIN,
                                      PARAM_MIX_EQ_ON,
                                      PARAM_MIX_EQ_BAND_ON,
                                      PARAM_MIX_EQ_BAND_GAIN,
                                      PARAMS};
static const enum param_id mix_reads[] = {PARAM_MIX_LIMITER_ON,
                                          PARAM_MIX_LIMITER_THRESHOLD,
                                          PARAM_MIX_HIGH_PASS_ON,
                                          PARAM_MIX_GRAPHIC_ON,
                                          PARAM_MIX_GRAPHIC_BAND_GAIN,
                                          PARAM_MIX_EQ_ON,
                                          PARAM_MIX_EQ_BAND_ON,
                                          PARAM_MIX_EQ_BAND_GAIN,
                                          PARAM_MIX_NAME,
                                          PARAMS};

/* What the check gathers of one object. */
struct losses {
    struct look *look;
    struct text says;
    int count;
    bool ears;
    struct lost cut, threshold, phantom;
};

/* The value as it was when the desk was taken for set up; false when it was not known then. */
static bool
was(const struct look *look, enum param_id id, int row, int column, double *number)
{
    const struct value *value = desk_value(look->ground->anchor, id, row, column);

    *number = value->number;
    return value->state == VALUE_KNOWN;
}

static void
lose(struct losses *losses, const char *what)
{
    text_add(&losses->says, "%s%s", losses->count > 0 ? "; " : "", what);
    losses->count++;
}

/* A switch that was on and is off. */
static bool
switched_off(struct losses *losses, enum param_id id, int row)
{
    double before;
    bool on;

    return was(losses->look, id, row, 0, &before) && before != 0 &&
           look_switch(losses->look, id, row, 0, &on) && !on;
}

static void
look_for_cuts(struct losses *losses, int mix)
{
    int lost =
        protection_cuts_lost(losses->look, mix, losses->look->settings[CUT_DB], &losses->cut);

    if (lost == 0)
        return;
    text_add(&losses->says, "%s%d cut%s of the ring-out %s gone", losses->count > 0 ? "; " : "",
             lost, lost == 1 ? "" : "s", lost == 1 ? "is" : "are");
    losses->count++;
}

/* An in-ear mix without a limiter is told by ears-unprotected. */
static void
look_for_limiter(struct losses *losses, int mix)
{
    struct look *look = losses->look;
    double before_db, now_db;

    if (switched_off(losses, PARAM_MIX_LIMITER_ON, mix)) {
        if (!losses->ears || look->show->checks[CHECK_EARS_UNPROTECTED].off)
            lose(losses, "the limiter was switched off");
        return;
    }
    if (was(look, PARAM_MIX_LIMITER_THRESHOLD, mix, 0, &before_db) &&
        look_number(look, PARAM_MIX_LIMITER_THRESHOLD, mix, 0, &now_db) &&
        now_db - fmax(before_db, PARAM_OFF_BELOW_DB) >= look->settings[THRESHOLD_DB]) {
        before_db = fmax(before_db, PARAM_OFF_BELOW_DB);
        losses->threshold.was = before_db;
        losses->threshold.now = now_db;
        text_add(&losses->says, "%sthe limiter starts %f dB higher, at %f dB",
                 losses->count > 0 ? "; " : "", now_db - before_db, now_db);
        losses->count++;
    }
}

static void
run_mix(struct losses *losses, int mix)
{
    enum feeds feeds = look_feeds(losses->look, mix);

    losses->ears = feeds == FEEDS_IN_EAR;
    look_for_limiter(losses, mix);
    if (switched_off(losses, PARAM_MIX_HIGH_PASS_ON, mix))
        lose(losses, "the high-pass of the mix was switched off");
    if (feeds_loudspeaker(feeds))
        look_for_cuts(losses, mix);
}

static void
run_input(struct losses *losses, int input)
{
    struct look *look = losses->look;
    double before;
    bool on;
    int mix;

    if (was(look, PARAM_INPUT_PHANTOM, input, 0, &before) &&
        look_switch(look, PARAM_INPUT_PHANTOM, input, 0, &on) && on != (before != 0)) {
        losses->phantom.was = before != 0 ? PHANTOM_V : 0;
        losses->phantom.now = on ? PHANTOM_V : 0;
        lose(losses, on ? "48 V was switched on while the input is open"
                        : "48 V was switched off while the input is open");
    }
    if (switched_off(losses, PARAM_INPUT_HIGH_PASS_ON, input) &&
        reach_of(look, input, true, &mix) == REACH_LOUDSPEAKER)
        lose(losses, "the high-pass was switched off");
}

static void
add_figures(struct look *look, const struct losses *losses)
{
    if (!isnan(losses->cut.was)) {
        look_figure(look, "cut_was_db", losses->cut.was);
        look_figure(look, "cut_is_db", losses->cut.now);
    }
    if (!isnan(losses->threshold.was)) {
        look_figure(look, "threshold_was_db", losses->threshold.was);
        look_figure(look, "threshold_is_db", losses->threshold.now);
    }
    if (!isnan(losses->phantom.was)) {
        look_figure(look, "phantom_was_v", losses->phantom.was);
        look_figure(look, "phantom_is_v", losses->phantom.now);
    }
}

static void
conclude(struct losses *losses)
{
    struct look *look = losses->look;
    struct text cure;

    if (losses->count == 0) {
        if (look->missing > 0)
            look_not_known(look);
        else
            look_pass(look);
        return;
    }
    look_found(look, losses->ears ? WEIGHT_STOP : WEIGHT_FIX, losses->count);
    look_figure(look, "lost_count", losses->count);
    add_figures(look, losses);
    cure = look_cure(look);
    text_add(&cure,
             "put it back as it was, mix muted where 48 V moves, or approve the desk as it is "
             "now if it was meant");
}

static void
run(struct look *look, struct object object)
{
    struct losses losses = {.look = look,
                            .says = look_says(look),
                            .cut = {NAN, NAN},
                            .threshold = {NAN, NAN},
                            .phantom = {NAN, NAN}};
    bool muted;

    if (!look->ground->anchor)
        return;
    if (object.mix >= 0) {
        run_mix(&losses, object.mix);
    } else {
        if (!look_switch(look, PARAM_INPUT_MUTE, object.input, 0, &muted)) {
            look_not_known(look);
            return;
        }
        if (muted) {
            look_closed(look);
            return;
        }
        run_input(&losses, object.input);
    }
    conclude(&losses);
}

const struct check check_protection_lost = {
    .id = "protection-lost",
    .number = CHECK_PROTECTION_LOST,
    .subject = SUBJECT_PROTECTION,
    .objects = OBJECT_INPUT | OBJECT_MIX,
    .watch_only = true,
    .reads = reads,
    .mix_reads = mix_reads,
    .settings = {{"cut_db", 3, 1, 20, "a cut of at least this depth counts, given back by as much",
                  -0.5, WEIGHT_NOTE, CREDIT_PRACTICE},
                 {"threshold_db", 6, 1, 40, "by how much a limiter's threshold may rise", -1,
                  WEIGHT_NOTE, CREDIT_PRACTICE}},
    .severity = "lost_count",
    .worse_step = 1,
    .raise_after_s = 0.5,
    .fails_when =
        "what protected when the desk was taken for set up does so no longer: a limiter, a "
        "high-pass into a loudspeaker or a ring cut is gone, a limiter starts much higher, or 48 V "
        "was moved and the input is open. Set up means: as it was when the watch began, when it "
        "was "
        "approved, or when line-check or changeover ended, whichever came last. Watches only.",
    .why = "Protection that is switched off by a wrong hand or a recalled file is missed only when "
           "it is needed. Phantom power moved on an open input is a bang in every mix.",
    .cure = "Put it back, or approve the desk as it is.",
    .formula = "on then, off now; cut then <= -cut_db, and now at least cut_db higher",
    .source = "Limiters on every in-ear mix: \"IEM Limiters and Hearing Protection\", iemrig.com. "
              "48 V while open, cuts and filters: common practice, no source.",
    .disagreement =
        "That a limiter on every in-ear mix must stay on is agreed (\"IEM Limiters and Hearing "
        "Protection\", iemrig.com). Not settled is what else is protection: some give ring cuts "
        "back once people fill the room, others leave a ring-out alone until the next one, and 48 "
        "V is switched by some at any time with the input muted (all common practice, no source). "
        "What was meant is approved, and then is no loss.",
    .run = run,
    .work = protection_lost_work,
};
