/* SPDX-License-Identifier: MIT */
#include "check/check.h"

#include <math.h>
#include <stddef.h>

#include "check/own_send.h"
#include "core/sum.h"
#include "sound/path.h"

enum { NOTE_DB, FIX_DB };

static const enum param_id reads[] = {OWN_SEND_READS, PARAMS};

/* What the preamp would stand at, where its end stop is told. */
static void
add_after(struct look *look, const struct surplus *surplus, double down_db)
{
    if (isnan(surplus->lowest_db))
        return;
    look_figure(look, "preamp_after_db", surplus->preamp_db - down_db);
    look_figure(look, "lowest_preamp_db", surplus->lowest_db);
}

/* What a slip of the loudest send costs, where its end stop is told. */
static void
add_slip(struct look *look, const struct surplus *surplus)
{
    double slip_db = desk_travel(look->desk, PARAM_SEND_LEVEL).most - surplus->send_db;

    if (isnan(slip_db))
        return;
    look_figure(look, "send_to_top_raises_db", slip_db);
    if (!isnan(surplus->lowest_db))
        look_figure(look, "send_to_top_raises_after_db", slip_db - surplus->surplus_db);
}

static void
found_surplus(struct look *look, const struct surplus *surplus)
{
    look_found(look, surplus->surplus_db >= look->settings[FIX_DB] ? WEIGHT_FIX : WEIGHT_NOTE,
               surplus->surplus_db);
    look->verdict->mix = surplus->mix;
    look_figure(look, "surplus_db", surplus->surplus_db);
    look_figure(look, "preamp_db", surplus->preamp_db);
    look_figure(look, "loudest_send_db", surplus->send_db);
    look_figure(look, "loudest_after_preamp_db", surplus->loudest_db);
    if (surplus->house_db > -HUGE_VAL)
        look_figure(look, "house_after_preamp_db", surplus->house_db);
    if (!isnan(surplus->lowest_db))
        look_figure(look, "headroom_regained_db", surplus->surplus_db);
    add_after(look, surplus, surplus->surplus_db);
    add_slip(look, surplus);
}

/* The pad is in, and the preamp so high that it only makes up for it. */
static bool
is_padded(const struct look *look, const struct surplus *surplus)
{
    double after_db = surplus->preamp_db - surplus->pad_db;

    return surplus->pad_db > 0 && after_db >= look->settings[NOTE_DB] &&
           !(after_db < surplus->lowest_db);
}

static void
found_pad(struct look *look, const struct surplus *surplus)
{
    look_found(look, WEIGHT_NOTE, surplus->pad_db);
    look_figure(look, "surplus_db", surplus->pad_db);
    look_figure(look, "preamp_db", surplus->preamp_db);
    look_figure(look, "pad_db", surplus->pad_db);
    add_after(look, surplus, surplus->pad_db);
}

/* A master, or the own send that slipped, is to blame, and told. */
static bool
is_told_elsewhere(const struct look *look, int input, const struct surplus *surplus)
{
    return (!look->show->checks[CHECK_MASTER_OFF_UNITY].off &&
            surplus_is_masters_fault(surplus, look->settings[NOTE_DB])) ||
           own_send_slipped(look, input);
}

/* An input of the preamp is open and its levels are known. */
static void
judge(struct look *look, int input, const struct surplus *surplus)
{
    bool high = surplus->surplus_db >= look->settings[NOTE_DB];

    if (!high && !is_padded(look, surplus))
        look_pass(look);
    else if (surplus->told_on != input || (high && is_told_elsewhere(look, input, surplus)))
        look_fold(look);
    else if (high)
        found_surplus(look, surplus);
    else
        found_pad(look, surplus);
}

static void
run(struct look *look, struct object object)
{
    struct surplus surplus;
    bool muted;

    if (look->show->inputs[object.input].source == SOURCE_UNUSED)
        return;
    if (!look_switch(look, PARAM_INPUT_MUTE, object.input, 0, &muted)) {
        look_not_known(look);
        return;
    }
    if (!surplus_of(look, object.input, &surplus)) {
        look_not_known(look);
        return;
    }
    if (!surplus.open || surplus.unsettled || (muted && surplus.told_on != object.input))
        look_closed(look);
    else
        judge(look, object.input, &surplus);
}

static void
add_part(struct text *text, const char *name, double db)
{
    if (fabs(db) >= 0.05)
        text_add(text, "%s %f dB, ", name, db);
}

/* What stands between preamp and output on the loudest path, as far as it is still known. */
static void
add_parts(struct wording *wording)
{
    struct text *text = &wording->says;
    struct surplus surplus;
    struct path_level level;

    text_add(text, "(");
    if (surplus_of(wording->look, wording->object.input, &surplus) && surplus.open &&
        path_level(wording->look, surplus.input, surplus.mix, &level)) {
        add_part(text, "trim", level.trim_db);
        add_part(text, "make-up", level.makeup_db);
        add_part(text, "fader", level.fader_db);
        add_part(text, "master", level.master_db);
        add_part(text, "mix trim", level.mix_trim_db);
    }
    text_add(text, "send %f dB)", verdict_figure(wording->verdict, "loudest_send_db"));
}

static void
say_slip(struct wording *wording)
{
    double slip_db = verdict_figure(wording->verdict, "send_to_top_raises_db");
    double after_db = verdict_figure(wording->verdict, "send_to_top_raises_after_db");

    if (!isnan(slip_db))
        text_add(&wording->says,
                 ". If that send slips to its top, the path gets %f dB louder today", slip_db);
    if (!isnan(after_db))
        text_add(&wording->says, ", %f dB after the re-trim", after_db);
}

static void
say_surplus(struct wording *wording)
{
    const struct verdict *verdict = wording->verdict;
    double house_db = verdict_figure(verdict, "house_after_preamp_db");

    text_add(&wording->says, "preamp at %f dB, but ", verdict_figure(verdict, "preamp_db"));
    if (!isnan(house_db))
        text_add(&wording->says, "the way into the house turns it down again to %f dB and ",
                 house_db);
    text_add(&wording->says, "its loudest send turns it down again to %f dB ",
             verdict_figure(verdict, "loudest_after_preamp_db"));
    add_parts(wording);
    text_add(&wording->says, ": %f dB of preamp gain is not used",
             verdict_figure(verdict, "surplus_db"));
    say_slip(wording);
    text_add(&wording->cure,
             "`gainwarden retrim` lists the moves that give it back and leave every path as "
             "loud as it is, or says what stops them");
}

static void
say_pad(struct wording *wording)
{
    const struct verdict *verdict = wording->verdict;
    double pad_db = verdict_figure(verdict, "pad_db");

    text_add(&wording->says,
             "the pad takes %f dB off, and the preamp behind it stands at %f dB and adds them "
             "again, with its noise",
             pad_db, verdict_figure(verdict, "preamp_db"));
    text_add(&wording->cure, "first the preamp down by %f dB, as far as it goes, then the pad out",
             pad_db);
    if (wording->look->show->inputs[wording->object.input].house_preamp)
        text_add(&wording->cure, "; the house desk owns this preamp, agree it there first");
    text_add(&wording->cure, ". Never the pad first: that is %f dB louder", pad_db);
}

static void
say(struct wording *wording)
{
    if (isnan(verdict_figure(wording->verdict, "pad_db")))
        say_surplus(wording);
    else
        say_pad(wording);
}

/* How the loudest path comes to its level behind the preamp. */
static void
work_path(struct text *text, double send_db, double loudest_db)
{
    text_add(text, "The loudest send stands at %f dB", send_db);
    if (fabs(loudest_db - send_db) >= 0.05) {
        text_add(text, "; with all else between preamp and output it is ");
        SUM(text, send_db, loudest_db - send_db);
        text_add(text, " dB behind the preamp");
    }
    text_add(text, ". ");
}

/* On a house desk; returns the loudest level behind the preamp. */
static double
work_house(struct text *text, const struct verdict *verdict, double loudest_db)
{
    double house_db = verdict_figure(verdict, "house_after_preamp_db");

    if (isnan(house_db))
        return loudest_db;
    text_add(text, "On the way into the house it is %f dB. ", house_db);
    return fmax(loudest_db, house_db);
}

/* What holds the surplus below what the loudest path takes away. */
static void
work_limit(struct text *text, const struct verdict *verdict, double taken_db)
{
    double preamp_db = verdict_figure(verdict, "preamp_db");
    double lowest_db = verdict_figure(verdict, "lowest_preamp_db");

    text_add(text, "So %f dB of the preamp's gain come off again", taken_db);
    if (verdict_figure(verdict, "surplus_db") >= taken_db)
        return;
    if (isnan(lowest_db)) {
        text_add(text, ", more than the %f dB that it adds", preamp_db);
        return;
    }
    text_add(text, ", but the preamp goes no lower than %f dB: ", lowest_db);
    sum_difference(text, preamp_db, lowest_db);
    text_add(text, " dB can be given back");
}

static void
work_retrim(struct text *text, double preamp_db, double loudest_db, double surplus_db)
{
    text_add(text, " dB. After the re-trim the preamp stands at ");
    SUM(text, preamp_db, -surplus_db);
    text_add(text, " dB and the loudest path behind it at ");
    SUM(text, loudest_db, surplus_db);
    text_add(text, " dB: ");
    SUM(text, preamp_db - surplus_db, loudest_db + surplus_db);
    text_add(text,
             " dB, the same, so the loop gain is the same. What comes back is %f dB of headroom",
             surplus_db);
}

/* What a slip of the send costs, where its end stop is told. */
static void
work_slip(struct text *text, const struct verdict *verdict, double send_db, double surplus_db)
{
    double slip_db = verdict_figure(verdict, "send_to_top_raises_db");

    if (isnan(slip_db))
        return;
    text_add(text, ". A send that slips to its top: ");
    sum_difference(text, send_db + slip_db, send_db);
    text_add(text, " dB louder today");
    if (isnan(verdict_figure(verdict, "send_to_top_raises_after_db")))
        return;
    text_add(text, ", ");
    sum_difference(text, send_db + slip_db, send_db + surplus_db);
    text_add(text, " dB then");
}

static void
work_surplus(struct text *text, const struct verdict *verdict)
{
    double surplus_db = verdict_figure(verdict, "surplus_db");
    double preamp_db = verdict_figure(verdict, "preamp_db");
    double loudest_db = verdict_figure(verdict, "loudest_after_preamp_db");
    double send_db = verdict_figure(verdict, "loudest_send_db");

    work_path(text, send_db, loudest_db);
    work_limit(text, verdict, -work_house(text, verdict, loudest_db));
    text_add(text, ". From socket to mix that is ");
    SUM(text, preamp_db, loudest_db);
    if (isnan(verdict_figure(verdict, "preamp_after_db")))
        text_add(text, " dB. How far down the preamp goes the profile does not tell");
    else
        work_retrim(text, preamp_db, loudest_db, surplus_db);
    work_slip(text, verdict, send_db, surplus_db);
    text_add(text, ".");
}

static void
work_pad(struct text *text, const struct verdict *verdict)
{
    double preamp_db = verdict_figure(verdict, "preamp_db");
    double pad_db = verdict_figure(verdict, "pad_db");

    text_add(text, "Pad and preamp make ");
    SUM(text, preamp_db, -pad_db);
    text_add(text, " dB. With the preamp %f dB lower and the pad out they make ",
             verdict_figure(verdict, "surplus_db"));
    SUM(text, preamp_db - pad_db, 0);
    text_add(text, " dB, the same, with %f dB less of the preamp's noise at the most.", pad_db);
}

static void
work(struct text *text, const struct verdict *verdict)
{
    if (isnan(verdict_figure(verdict, "pad_db")))
        work_surplus(text, verdict);
    else
        work_pad(text, verdict);
}

const struct check check_unused_preamp_gain = {
    .id = "unused-preamp-gain",
    .number = CHECK_UNUSED_PREAMP_GAIN,
    .subject = SUBJECT_STRUCTURE,
    .objects = OBJECT_INPUT,
    .spread = SPREAD_PREAMP,
    .reads = reads,
    .settings = {{"note_db", 6, 0.5, 60, "surplus from which it is a note", -1, WEIGHT_NOTE,
                  CREDIT_PRACTICE},
                 {"fix_db", 12, 0.5, 60, "surplus from which it should be fixed", -1, WEIGHT_FIX,
                  CREDIT_PRACTICE}},
    .severity = "surplus_db",
    .worse_step = 3,
    .fails_when =
        "the loudest send of an open input, counting trim, make-up, master, mix trim and (for a "
        "post-fader tap) fader and groups, is far below unity while the preamp carries gain that "
        "could be given back; on a house desk the way through the fader into the house counts, "
        "too. An own send that came down since the desk was approved or set up is told by "
        "own-send-off-unity instead. Or the pad is in and the preamp only makes up for it. No "
        "verdict while an open send "
        "goes into a mix whose master is off, or on a house desk while the fader is down.",
    .why =
        "Gain that every send takes away again was never needed. It costs headroom in the "
        "converter and the channel, leaves the sends in the coarse part of their travel, and makes "
        "the accident bigger when somebody pushes a send to where it usually stands. It does not "
        "change the loop gain of the path: 6 dB moved from the preamp to the send leaves feedback "
        "where it was, and this program does not claim otherwise.",
    .cure =
        "First lower the preamp by the surplus, then compressor and gate thresholds of the input "
        "by as much, then raise each of its sends, so that nothing is louder on the way.",
    .formula =
        "surplus = min(-(loudest of: trim + make-up + fader and groups if post-fader + send + "
        "master + mix trim), preamp gain - lowest preamp gain of the desk); where the profile "
        "tells no lowest gain, 0 dB stands in: a preamp at 0 dB adds nothing",
    .source = "Each player's own send at 0 dB and the preamp set by what that player needs: common "
              "practice, no source. Loop gain unchanged: " CREDIT_SAME_GAIN
              ". Others teach that more preamp gain widens the pick-up "
              "(\"Gain Without the Pain 2\", SoundGirls); that is so only while nothing behind it "
              "comes down.",
    .disagreement =
        "Whether a lower preamp gives more gain before feedback. It does not: loop gain is that of "
        "the whole path (" CREDIT_SAME_GAIN
        "). Others teach that more preamp gain widens the pick-up (\"Gain "
        "Without the Pain 2\", SoundGirls), which holds only while nothing behind it comes down. "
        "How a preamp is set is disputed too: by what its player needs with the own send at 0 dB, "
        "as here, or by the input meter, where -18, -15, -12 and -6 dB full scale are all taught "
        "(common practice, no source).",
    .run = run,
    .say = say,
    .work = work,
};
