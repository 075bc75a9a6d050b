/* SPDX-License-Identifier: MIT */
#include "check/check.h"

#include <math.h>
#include <stddef.h>

#include "check/value_jumped.h"
#include "core/sum.h"
#include "sound/path.h"

enum { NOTE_DB, FIX_DB };
enum { OFF_SEVERITY_DB = 200 };

static const enum param_id reads[] = {PATH_LEVEL_READS, PARAM_GROUP_MUTE, PARAM_INPUT_NAME,
                                      PARAM_MIX_NAME, PARAMS};

/* How many sends into the mix are known to be open. */
static int
count_open(struct look *look, int mix)
{
    int count = 0;

    for (int input = 0; input < desk_count(look->desk, INDEX_INPUT); input++) {
        bool open = false;

        count += look_send_open(look, input, mix, &open) && open;
    }
    return count;
}

/* A master that is fully down matters only when something is sent into its mix. */
static void
judge_closed(struct look *look, int mix)
{
    int count = count_open(look, mix);

    if (count == 0) {
        if (look->missing > 0)
            look_not_known(look);
        return;
    }
    look_found(look, WEIGHT_FIX, OFF_SEVERITY_DB);
    look_figure(look, "open_sends_count", count);
}

static enum weight
weight_of(const struct look *look, double master_db)
{
    enum weight weight = fabs(master_db) > look->settings[FIX_DB] ? WEIGHT_FIX : WEIGHT_NOTE;

    return master_db > 0 ? weight_up(weight) : weight;
}

static void
found(struct look *look, double master_db)
{
    look_found(look, weight_of(look, master_db), fabs(master_db));
    look_figure(look, "off_unity_db", fabs(master_db));
    look_figure(look, "master_db", master_db);
}

/* Whether something goes through the mix. What the desk never told may well be open. */
static enum sure
is_used(struct look *look, int mix)
{
    if (count_open(look, mix) > 0)
        return SURE_YES;
    if (look->missing == 0)
        return SURE_NO;
    return look->stale > 0 ? UNSURE : SURE_YES;
}

/* Of a leap that stands value-jumped tells. */
static void
judge_used(struct look *look, int mix, double master_db)
{
    switch (master_db > 0 ? value_jumped_stands(look, PARAM_MIX_FADER, mix) : SURE_NO) {
    case SURE_YES:
        look_fold(look);
        break;
    case UNSURE:
        look_miss_setting(look, INDEX_MIX, PARAM_MIX_FADER, mix,
                          " leapt, and it is not known what made up for it");
        look_not_known(look);
        break;
    case SURE_NO:
        found(look, master_db);
        break;
    }
}

static void
run(struct look *look, struct object object)
{
    double master_db;

    if (look->show->mixes[object.mix].feeds == FEEDS_UNUSED)
        return;
    if (!look_number(look, PARAM_MIX_FADER, object.mix, 0, &master_db)) {
        look_not_known(look);
        return;
    }
    if (master_db == -HUGE_VAL) {
        judge_closed(look, object.mix);
        return;
    }
    if (fabs(master_db) <= look->settings[NOTE_DB]) {
        look_pass(look);
        return;
    }
    switch (is_used(look, object.mix)) {
    case SURE_YES:
        judge_used(look, object.mix, master_db);
        break;
    case UNSURE:
        look_not_known(look);
        break;
    case SURE_NO:
        look_closed(look);
        break;
    }
}

static void
say_closed(struct wording *wording)
{
    text_add(&wording->says, "the master is fully down although inputs are sent into the mix");
    text_add(&wording->cure,
             "if somebody needs this mix: bring the master up slowly to 0 dB, a hand on it; "
             "if not, mark the mix \"feeds\": \"unused\" in the show file");
}

static void
say(struct wording *wording)
{
    double master_db = verdict_figure(wording->verdict, "master_db");

    if (isnan(master_db)) {
        say_closed(wording);
        return;
    }
    text_add(&wording->says, "the master stands at %f dB, so everything in the mix is %f dB %s",
             master_db, fabs(master_db), master_db < 0 ? "lower" : "higher");
    text_add(&wording->cure,
             "if a hand slipped, put the master back and move nothing else; if not, `gainwarden "
             "retrim` says what to move so that nothing gets louder");
}

static void
work(struct text *text, const struct verdict *verdict)
{
    double master_db = verdict_figure(verdict, "master_db");
    double open = verdict_figure(verdict, "open_sends_count");

    if (isnan(master_db)) {
        text_add(text,
                 "%f send%s open into the mix, and any send behind which the master is off is off. "
                 "With the master at 0 dB %s at the level of the send, at once: hence slowly.",
                 open, open == 1 ? " is" : "s are",
                 open == 1 ? "it arrives" : "each of them arrives");
        return;
    }
    text_add(text, "The master stands |%f| = %f dB from 0 dB. A send at 0 dB leaves the mix at ",
             master_db, verdict_figure(verdict, "off_unity_db"));
    SUM(text, 0, master_db);
    text_add(text, " dB. The cure moves both: send ");
    SUM(text, 0, master_db);
    text_add(text, " dB, master ");
    sum_difference(text, master_db, master_db);
    text_add(text, " dB, together ");
    SUM(text, master_db, 0);
    text_add(text, " dB, the same. With the sends left alone the master at 0 dB would make every "
                   "path through the mix ");
    sum_difference(text, 0, master_db);
    text_add(text, " dB louder.");
}

const struct check check_master_off_unity = {
    .id = "master-off-unity",
    .number = CHECK_MASTER_OFF_UNITY,
    .subject = SUBJECT_STRUCTURE,
    .objects = OBJECT_MIX,
    .reads = reads,
    .settings = {{"note_db", 0.5, 0.1, 60, "distance from 0 dB above which it is a note", -0.2,
                  WEIGHT_NOTE, CREDIT_PRACTICE},
                 {"fix_db", 6, 0.5, 60, "distance from 0 dB above which it should be fixed", -0.5,
                  WEIGHT_FIX, CREDIT_PRACTICE}},
    .severity = "off_unity_db",
    .worse_step = 3,
    .fails_when =
        "a mix master stands away from 0 dB while something is sent into its mix. Above "
        "it, every path of the mix is louder than its sends say, and that weighs one step "
        "more than the same below it, fix at most. A leap upwards is told by value-jumped "
        "while it stands.",
    .why =
        "The master is the hand on the mix when it starts to ring. At unity it has its finest "
        "travel "
        "and a known place to come back to; parked low, the sends and preamps behind it carry gain "
        "that is thrown away here, and one push brings all of it back at once.",
    .cure = "Bring the master to 0 dB and all sends into the mix the other way by the same amount: "
            "what makes it softer first. Where a hand slipped, put the master back and move "
            "nothing else.",
    .formula = "|master| in dB",
    .source = "Mix masters stand at unity: common practice, no source.",
    .disagreement =
        "That masters stand at 0 dB is common practice, no source. Not settled is what they are "
        "for: the hand on a mix that rings, as here, or the volume that the player asks for, which "
        "then stands where the player wants it. Nor is it settled what is raised in a ring-out: "
        "the send with the master at 0 dB, the preamp, or the whole mix, which leaves its master "
        "where it stopped; all are taught (all common practice, no source).",
    .run = run,
    .say = say,
    .work = work,
};
