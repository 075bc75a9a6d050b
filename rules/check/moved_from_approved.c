/* SPDX-License-Identifier: MIT */
#include "check/check.h"

#include <math.h>
#include <stddef.h>

#include "change/difference.h"
#include "change/offset.h"
#include "core/sum.h"
#include "sound/path.h"

enum { NOTE_DB, FIX_DB };
enum { SHOWN = 4 };

/* What is drift, as difference_is_drift() says: a test holds the two together. */
#define MIX_READS                                                                                  \
    PARAM_MIX_TRIM, PARAM_MIX_DELAY, PARAM_MIX_LIMITER_ON, PARAM_MIX_LIMITER_THRESHOLD,            \
        PARAM_MIX_LIMITER_RATIO, PARAM_MIX_LIMITER_ATTACK, PARAM_MIX_LIMITER_RELEASE,              \
        PARAM_MIX_GRAPHIC_ON, PARAM_MIX_GRAPHIC_BAND_GAIN, PARAM_MIX_GRAPHIC_BAND_FREQ,            \
        PARAM_MIX_EQ_ON, PARAM_MIX_EQ_BAND_ON, PARAM_MIX_EQ_BAND_SHAPE, PARAM_MIX_EQ_BAND_FREQ,    \
        PARAM_MIX_EQ_BAND_GAIN, PARAM_MIX_EQ_BAND_Q, PARAM_MIX_HIGH_PASS_ON,                       \
        PARAM_MIX_HIGH_PASS_FREQ, PARAM_MIX_HIGH_PASS_SLOPE

static const enum param_id reads[] = {PARAM_INPUT_PREAMP_GAIN,
                                      PARAM_INPUT_PAD,
                                      PARAM_INPUT_TRIM,
                                      PARAM_INPUT_COMP_ON, /* whether the make-up counts */
                                      PARAM_INPUT_COMP_MAKEUP,
                                      PARAM_INPUT_PREAMP,
                                      PARAM_INPUT_PHANTOM,
                                      PARAM_INPUT_POLARITY,
                                      PARAM_INPUT_DELAY,
                                      PARAM_INPUT_HIGH_PASS_ON,
                                      PARAM_INPUT_HIGH_PASS_FREQ,
                                      PARAM_INPUT_HIGH_PASS_SLOPE,
                                      PARAM_INPUT_GROUP,
                                      PARAM_SEND_TAP,
                                      PARAM_MIX_NAME, /* to say where a tap leads */
                                      MIX_READS,
                                      PATH_LEVEL_READS, /* whether it is another offset */
                                      PARAMS};
static const enum param_id mix_reads[] = {MIX_READS, PARAM_MIX_NAME, PARAMS};

/* One walk over the object: what moved, what matters most first. */
typedef void moved_fn(void *context, enum param_id id, int row, int column);
struct walk {
    struct look *look;
    const struct desk *approved;
    moved_fn *moved;
    void *context;
};

static double
approved_number(const struct look *look, enum param_id id, int row, int column)
{
    return value_number(desk_value(look->ground->approved, id, row, column));
}

static double
now_number(const struct look *look, enum param_id id, int row, int column)
{
    return value_number(desk_value(look->desk, id, row, column));
}

/* By how much, for what is in dB. */
static double
moved_db(const struct look *look, enum param_id id, int row, int column)
{
    if (params[id].unit != UNIT_DB)
        return 0;
    return fabs(now_number(look, id, row, column) - approved_number(look, id, row, column));
}

/* ---- another offset ---- */

/* As loud as it was. What a grid leaves over, twice at most, is nobody's choice where it is on the
 * softer side. */
static bool
agree(const struct desk *desk, double was_db, double is_db)
{
    double step_db = desk_step(desk, PARAM_SEND_LEVEL);

    return was_db == is_db || (is_db - was_db < OFFSET_TOLERANCE_DB &&
                               was_db - is_db < fmax(OFFSET_TOLERANCE_DB, 2 * step_db));
}

/* Adds the paths of an input that are open; no when one has another gain than it had, or it was not
 * known what that was. */
static enum sure
add_paths(const struct walk *walk, int input, int *open)
{
    struct look *look = walk->look;
    enum sure same = SURE_YES;

    for (int mix = 0; mix < desk_count(look->desk, INDEX_MIX); mix++) {
        struct path_level was, is;

        bool known = path_level(look, input, mix, &is);

        if (known && is.sum_db == -HUGE_VAL)
            continue;
        if (!path_level_on(walk->approved, input, mix, &was) ||
            (known && !agree(look->desk, was.sum_db, is.sum_db)))
            return SURE_NO;
        same = known ? same : UNSURE;
        ++*open;
    }
    return same;
}

/* Which preamp it is: unsure where that was known when the desk was approved; no where nobody knew
 * then either. */
static enum sure
knows_preamp(const struct walk *walk, int input, int *preamp)
{
    const struct value *then = desk_value(walk->approved, PARAM_INPUT_PREAMP, input, 0);

    if (look_preamp(walk->look, input, preamp))
        return SURE_YES;
    return then->state == VALUE_KNOWN ? UNSURE : SURE_NO;
}

/* Whether preamp, pad or trim moved and yet every open path of the preamp has the gain it had: what
 * the one gained the others gave back, which is a re-trim and no slip. A trim is its input's own. */
static enum sure
is_offset(const struct walk *walk, enum param_id id, int input)
{
    int preamp, open = 0, own = 0;
    enum sure knows = knows_preamp(walk, input, &preamp);
    enum sure same = sure_and(knows, add_paths(walk, input, &own));

    if (knows != SURE_YES)
        return same;
    for (int i = 0; i < desk_count(walk->look->desk, INDEX_INPUT); i++) {
        int other;

        knows = knows_preamp(walk, i, &other);
        if (knows != SURE_YES)
            same = sure_and(same, knows);
        else if (other == preamp)
            same = sure_and(same, add_paths(walk, i, &open));
    }
    return same == SURE_YES ? sure((id == PARAM_INPUT_TRIM ? own : open) > 0) : same;
}

static bool
is_head(enum param_id id)
{
    return id == PARAM_INPUT_PREAMP_GAIN || id == PARAM_INPUT_PAD || id == PARAM_INPUT_TRIM;
}

/* ---- what moved ---- */

/* What moved by less than a note is worth did not. */
static void
moved(const struct walk *walk, enum param_id id, int row, int column)
{
    if (params[id].unit != UNIT_DB ||
        !(moved_db(walk->look, id, row, column) < walk->look->settings[NOTE_DB]))
        walk->moved(walk->context, id, row, column);
}

/* Remembers what is missing: today's value, or the approved one. */
static void
miss(const struct walk *walk, enum param_id id, int row, int column)
{
    double number;

    if (look_number(walk->look, id, row, column, &number))
        look_miss_setting(walk->look, params[id].row, id, row,
                          desk_supplied(walk->look->desk, id) == SUPPLY_ABSENT
                              ? ": the profile names it no longer"
                              : " was not known when the desk was approved");
}

/* What stands behind a switch that was off and is off moves nothing. Of a switch that was not known
 * then it is not said that it was off. */
static enum sure
is_asleep(const struct walk *walk, enum param_id id, int row, int column)
{
    return difference_dormant(walk->approved, id, row, column) == SURE_YES
               ? difference_dormant(walk->look->desk, id, row, column)
               : SURE_NO;
}

static void
look_at_other(const struct walk *walk, enum sure asleep, enum param_id id, int row, int column)
{
    enum sure nothing = sure_or(asleep, is_head(id) ? is_offset(walk, id, row) : SURE_NO);

    if (nothing == SURE_NO)
        moved(walk, id, row, column);
    else if (nothing == UNSURE)
        look_miss_setting(walk->look, params[id].row, id, row,
                          ": what goes with it is not known, so nobody knows what its move does");
}

/* Values that neither desk publishes are not missing. */
static void
look_at(const struct walk *walk, enum param_id id, int row, int column)
{
    const struct desk *desk = walk->look->desk;
    enum sure asleep = is_asleep(walk, id, row, column);

    if (asleep == SURE_YES)
        return;
    switch (difference_of(walk->approved, desk, id, row, column)) {
    case SAME:
        break;
    case OTHER:
        look_at_other(walk, asleep, id, row, column);
        break;
    case SAME_NOT_KNOWN:
        miss(walk, id, row, column);
        break;
    }
}

static void
look_at_class(const struct walk *walk, enum difference_class kind, enum index_kind index, int row)
{
    const struct desk *desk = walk->look->desk;

    for (int id = 0; id < PARAMS; id++) {
        enum param_id param = (enum param_id)id;

        if (params[id].row != index || params[id].class != kind ||
            (desk_supplied(desk, param) == SUPPLY_NONE &&
             desk_supplied(walk->approved, param) == SUPPLY_NONE))
            continue;
        for (int column = 0; column < desk_columns(desk, param); column++)
            look_at(walk, param, row, column);
    }
}

static void
walk_object(struct look *look, struct object object, moved_fn *each, void *context)
{
    const struct walk walk = {look, look->ground->approved, each, context};
    bool input = object.input >= 0;

    for (int kind = 0; kind < DIFFERENCE_CLASSES; kind++)
        if (difference_is_drift((enum difference_class)kind))
            look_at_class(&walk, (enum difference_class)kind, input ? INDEX_INPUT : INDEX_MIX,
                          input ? object.input : object.mix);
}

/* What the check gathers of one object. */
struct drift {
    const struct look *look;
    int count;
    double most_db;             /* the largest move of a gain or of a band, */
    double approved_db, now_db; /* from where to where; NAN when there is none */
    bool protection;            /* a limiter or 48 V is another */
};

static bool
is_limiter_or_phantom(enum param_id id)
{
    return id == PARAM_INPUT_PHANTOM || id == PARAM_MIX_LIMITER_ON ||
           id == PARAM_MIX_LIMITER_THRESHOLD || id == PARAM_MIX_LIMITER_RATIO ||
           id == PARAM_MIX_LIMITER_ATTACK || id == PARAM_MIX_LIMITER_RELEASE;
}

static void
gather(void *context, enum param_id id, int row, int column)
{
    struct drift *drift = context;
    double db = moved_db(drift->look, id, row, column);

    drift->count++;
    drift->protection |= is_limiter_or_phantom(id);
    if (db > drift->most_db) {
        drift->most_db = db;
        drift->approved_db = approved_number(drift->look, id, row, column);
        drift->now_db = now_number(drift->look, id, row, column);
    }
}

static void
run(struct look *look, struct object object)
{
    struct drift drift = {.look = look, .approved_db = NAN, .now_db = NAN};

    if (!look->ground->approved)
        return;
    walk_object(look, object, gather, &drift);
    if (drift.count == 0) {
        if (look->missing > 0)
            look_not_known(look);
        else
            look_pass(look);
        return;
    }
    look_found(look,
               drift.protection || drift.most_db >= look->settings[FIX_DB] ? WEIGHT_FIX
                                                                           : WEIGHT_NOTE,
               drift.count);
    look_figure(look, "moved_count", drift.count);
    look_figure(look, "moved_db", drift.most_db);
    if (!isnan(drift.now_db)) {
        look_figure(look, "approved_db", drift.approved_db);
        look_figure(look, "now_db", drift.now_db);
    }
}

struct listing {
    struct wording *wording;
    int count;
};

static void
add_moved(void *context, enum param_id id, int row, int column)
{
    struct listing *listing = context;
    const struct look *look = listing->wording->look;
    struct text *says = &listing->wording->says;

    if (listing->count++ >= SHOWN)
        return;
    text_add(says, listing->count > 1 ? "; " : "");
    difference_says(says, look->ground->approved, look->desk, id, row, column);
}

static void
say(struct wording *wording)
{
    struct listing listing = {.wording = wording};

    text_add(&wording->says, "moved since it was approved: ");
    walk_object(wording->look, wording->object, add_moved, &listing);
    if (listing.count > SHOWN)
        text_add(&wording->says, "; and %d more", listing.count - SHOWN);
    text_add(&wording->cure,
             "find out who moved it; put it back, gains slowly with a hand on the master and 48 V "
             "only while muted, or approve the desk as it is now");
}

static void
work(struct text *text, const struct verdict *verdict)
{
    double count = verdict_figure(verdict, "moved_count");
    double approved_db = verdict_figure(verdict, "approved_db");
    double now_db = verdict_figure(verdict, "now_db");

    text_add(text, "%f setting%s another value than when the desk was approved. ", count,
             count == 1 ? " has" : "s have");
    if (isnan(now_db)) {
        text_add(text, "None of them is in dB: another value is another value, by more than one "
                       "step of its control.");
        return;
    }
    text_add(text, "The one in dB that moved farthest stood at %f dB and stands at %f dB",
             approved_db, now_db);
    if (isfinite(approved_db) && isfinite(now_db)) {
        text_add(text, ": ");
        sum_difference(text, now_db, approved_db);
        text_add(text, " dB. Put back, it moves by ");
        sum_difference(text, approved_db, now_db);
        text_add(text, " dB");
    }
    text_add(text, ".");
}

const struct check check_moved_from_approved = {
    .id = "moved-from-approved",
    .number = CHECK_MOVED_FROM_APPROVED,
    .subject = SUBJECT_STRUCTURE,
    .objects = OBJECT_INPUT | OBJECT_MIX,
    .watch_only = true,
    .reads = reads,
    .mix_reads = mix_reads,
    .settings = {{"note_db", 1, 0.1, 20, "a gain, threshold or band moved by this much is a note",
                  -0.25, WEIGHT_NOTE, CREDIT_PRACTICE},
                 {"fix_db", 6, 1, 40, "moved by this much it is to fix before doors", -1,
                  WEIGHT_FIX, CREDIT_PRACTICE}},
    .severity = "moved_count",
    .worse_step = 1,
    .raise_after_s = 5,
    .fails_when =
        "a setting that hands do not ride differs from the approved desk: gains (preamp, pad, "
        "trim, make-up), taps, what feeds the input and its groups, polarity, delays, 48 V, "
        "high-passes, "
        "limiters and the equalisers of mixes. Faders, sends, masters and mutes are ridden and "
        "never count; nor does what stands behind a switch that was off and still is. A limiter "
        "or 48 V that differs is to fix. Not asked without an approved desk.",
    .why = "Settings drift over an evening or between two shows: a support act's file comes back "
           "with its own gains, a recall had the wrong scope, somebody tried something. Each was "
           "set for a reason that was true when the desk was approved.",
    .cure = "Put it back, or approve the desk as it is now.",
    .formula =
        "|now - approved| >= note_db for dB; other settings: another value, by more than the "
        "control's step",
    .source = "Faders ridden by hand are not drift, gains, filters and protection are: common "
              "practice, no source.",
    .disagreement =
        "What is drift and what is work. Faders ridden by hand are not drift, gains, taps, 48 V, "
        "limiters and output equalisers are (common practice, no source). Not settled are make-up "
        "and an input's own equaliser, which some ride too; the equaliser is left out here, "
        "make-up counts because it is gain. Nor is it settled who may move a preamp that two desks "
        "share: usually one owner, and the other uses trim (common practice, no source).",
    .run = run,
    .say = say,
    .work = work,
};
