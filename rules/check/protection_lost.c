/* SPDX-License-Identifier: MIT */
#include "check/check.h"

#include <math.h>
#include <stddef.h>

#include "check/protection.h"
#include "core/sure.h"
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

/* What protected one object and does so no longer. */
struct losses {
    bool ears;                      /* an in-ear mix */
    bool limiter, high_pass;        /* were switched off */
    struct lost threshold, phantom; /* dB, V */
    struct lost cut;                /* the deepest of the ring cuts that are gone, dB */
    int cuts;                       /* how many they are */
};

/* The value as it was when the desk was taken for set up; false when it was not known then. */
static bool
was(const struct look *look, enum param_id id, int row, int column, double *number)
{
    const struct value *value = desk_value(look->ground->anchor, id, row, column);

    *number = value_number(value);
    return value->state == VALUE_KNOWN;
}

/* A switch that was on and is off. */
static enum sure
switched_off(struct look *look, enum param_id id, int row)
{
    double before;
    bool on;

    if (!was(look, id, row, 0, &before) || before == 0)
        return SURE_NO;
    return look_switch(look, id, row, 0, &on) ? sure(!on) : UNSURE;
}

/* An in-ear mix without a limiter is told by ears-unprotected. Where a limiter that may be off begins
 * is no matter. */
static void
look_for_limiter(struct look *look, int mix, struct losses *losses)
{
    enum sure off = switched_off(look, PARAM_MIX_LIMITER_ON, mix);
    double before_db, now_db;

    losses->limiter =
        off == SURE_YES && (!losses->ears || look->show->checks[CHECK_EARS_UNPROTECTED].off);
    if (off != SURE_NO || !was(look, PARAM_MIX_LIMITER_THRESHOLD, mix, 0, &before_db) ||
        !look_number(look, PARAM_MIX_LIMITER_THRESHOLD, mix, 0, &now_db))
        return;
    before_db = fmax(before_db, PARAM_OFF_BELOW_DB);
    if (now_db - before_db >= look->settings[THRESHOLD_DB])
        losses->threshold = (struct lost){before_db, now_db};
}

static void
look_at_mix(struct look *look, int mix, struct losses *losses)
{
    int stale = look->stale;
    enum feeds feeds = look_feeds(look, mix);

    losses->ears = feeds == FEEDS_IN_EAR;
    if (look->stale == stale) /* or ears-unprotected may have told it, while it knew the label */
        look_for_limiter(look, mix, losses);
    losses->high_pass = switched_off(look, PARAM_MIX_HIGH_PASS_ON, mix) == SURE_YES;
    if (feeds_loudspeaker(feeds))
        losses->cuts = protection_cuts_lost(look, mix, look->settings[CUT_DB], &losses->cut);
}

static void
look_at_input(struct look *look, int input, struct losses *losses)
{
    double before;
    bool on;
    int mix;

    if (was(look, PARAM_INPUT_PHANTOM, input, 0, &before) &&
        look_switch(look, PARAM_INPUT_PHANTOM, input, 0, &on) && on != (before != 0))
        losses->phantom = (struct lost){before != 0 ? PHANTOM_V : 0, on ? PHANTOM_V : 0};
    losses->high_pass = switched_off(look, PARAM_INPUT_HIGH_PASS_ON, input) == SURE_YES &&
                        reach_of(look, input, true, &mix) == REACH_LOUDSPEAKER;
}

static struct losses
look_at(struct look *look, struct object object)
{
    struct losses losses = {.threshold = {NAN, NAN}, .phantom = {NAN, NAN}, .cut = {NAN, NAN}};

    if (object.mix >= 0)
        look_at_mix(look, object.mix, &losses);
    else
        look_at_input(look, object.input, &losses);
    return losses;
}

static int
count_losses(const struct losses *losses)
{
    return losses->limiter + !isnan(losses->threshold.was) + losses->high_pass +
           (losses->cuts > 0) + !isnan(losses->phantom.was);
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
judge(struct look *look, struct object object)
{
    struct losses losses = look_at(look, object);
    int count = count_losses(&losses);

    if (count == 0) {
        if (look->missing > 0)
            look_not_known(look);
        else
            look_pass(look);
        return;
    }
    look_found(look, losses.ears ? WEIGHT_STOP : WEIGHT_FIX, count);
    look_figure(look, "lost_count", count);
    add_figures(look, &losses);
}

static void
run(struct look *look, struct object object)
{
    bool muted = false;

    if (!look->ground->anchor)
        return;
    if (object.input >= 0 && !look_switch(look, PARAM_INPUT_MUTE, object.input, 0, &muted))
        look_not_known(look);
    else if (muted)
        look_closed(look);
    else
        judge(look, object);
}

static void
say_one(struct text *says, const char *what)
{
    text_add(says, "%s%s", says->used > 0 ? "; " : "", what);
}

static void
say_mix(struct text *says, const struct losses *losses)
{
    if (losses->limiter)
        say_one(says, "the limiter was switched off");
    if (!isnan(losses->threshold.was))
        text_add(says, "%sthe limiter starts %f dB higher, at %f dB", says->used > 0 ? "; " : "",
                 losses->threshold.now - losses->threshold.was, losses->threshold.now);
    if (losses->high_pass)
        say_one(says, "the high-pass of the mix was switched off");
    if (losses->cuts > 0)
        text_add(says, "%s%d cut%s of the ring-out %s gone", says->used > 0 ? "; " : "",
                 losses->cuts, losses->cuts == 1 ? "" : "s", losses->cuts == 1 ? "is" : "are");
}

static void
say_input(struct text *says, const struct losses *losses)
{
    if (!isnan(losses->phantom.was))
        say_one(says, losses->phantom.now > 0 ? "48 V was switched on while the input is open"
                                              : "48 V was switched off while the input is open");
    if (losses->high_pass)
        say_one(says, "the high-pass was switched off");
}

static void
say(struct wording *wording)
{
    struct losses losses = look_at(wording->look, wording->object);

    if (wording->object.mix >= 0)
        say_mix(&wording->says, &losses);
    else
        say_input(&wording->says, &losses);
    text_add(&wording->cure,
             "put it back as it was, mix muted where 48 V moves, or approve the desk as it is "
             "now if it was meant");
}

const struct check check_protection_lost = {
    .id = "protection-lost",
    .number = CHECK_PROTECTION_LOST,
    .subject = SUBJECT_PROTECTION,
    .objects = OBJECT_INPUT | OBJECT_MIX,
    .watch_only = true,
    .urgency = URGENT_NOTE,
    .protects = true,
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
    .say = say,
    .work = protection_lost_work,
};
