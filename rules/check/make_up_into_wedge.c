/* SPDX-License-Identifier: MIT */
#include "check/check.h"

#include <stddef.h>

#include "core/sum.h"
#include "look/reach.h"

enum { NOTE_DB, FIX_DB };

static const enum param_id reads[] = {PARAM_INPUT_COMP_ON, PARAM_INPUT_COMP_MAKEUP,
                                      PARAM_INPUT_MUTE,    PARAM_INPUT_NAME,
                                      REACH_READS,         PARAMS};

static void
judge(struct look *look, int mix, double makeup_db)
{
    if (makeup_db < look->settings[NOTE_DB]) {
        look_pass(look);
        return;
    }
    look_found(look, makeup_db >= look->settings[FIX_DB] ? WEIGHT_FIX : WEIGHT_NOTE, makeup_db);
    look->verdict->mix = mix;
    look_figure(look, "makeup_db", makeup_db);
}

static void
run(struct look *look, struct object object)
{
    double makeup_db = 0;
    bool muted, on;
    enum reach reach;
    int mix;

    if (!look_switch(look, PARAM_INPUT_MUTE, object.input, 0, &muted) ||
        !look_switch(look, PARAM_INPUT_COMP_ON, object.input, 0, &on) ||
        (on && !look_number(look, PARAM_INPUT_COMP_MAKEUP, object.input, 0, &makeup_db))) {
        look_not_known(look);
        return;
    }
    if (makeup_db <= 0) {
        look_pass(look);
        return;
    }
    reach = muted ? REACH_NOWHERE : reach_of(look, object.input, true, &mix);
    if (reach == REACH_NOWHERE)
        look_closed(look);
    else if (reach == REACH_UNKNOWN)
        look_not_known(look);
    else if (reach == REACH_LOUDSPEAKER)
        judge(look, mix, makeup_db);
}

static void
say(struct wording *wording)
{
    double makeup_db = verdict_figure(wording->verdict, "makeup_db");

    text_add(&wording->says,
             "the compressor adds %f dB of make-up gain, also when nobody plays, into mix ",
             makeup_db);
    look_add_mix(wording->look, &wording->says, wording->verdict->mix);
    text_add(&wording->cure,
             "make-up %f -> 0 dB for the monitors, or send to loudspeaker mixes from before the "
             "dynamics",
             makeup_db);
}

static void
work(struct text *text, const struct verdict *verdict)
{
    double makeup_db = verdict_figure(verdict, "makeup_db");

    text_add(text,
             "While the player is loud enough for the compressor to take %f dB away, it makes ",
             makeup_db);
    SUM(text, -makeup_db, makeup_db);
    text_add(text, " dB of gain. When the player stops it takes nothing away, and makes ");
    SUM(text, 0, makeup_db);
    text_add(text, " dB: the loop gains that much in every pause. A path with 6 dB of margin while "
                   "the player is loud has ");
    SUM(text, 6, -makeup_db);
    text_add(text, " dB then; below 0 it rings.");
}

const struct check check_make_up_into_wedge = {
    .id = "make-up-into-wedge",
    .number = CHECK_MAKE_UP_INTO_WEDGE,
    .subject = SUBJECT_STRUCTURE,
    .objects = OBJECT_INPUT,
    .reads = reads,
    .settings = {{"note_db", 3, 0.5, 30, "make-up from which it is a note", -0.5, WEIGHT_NOTE,
                  CREDIT_PRACTICE},
                 {"fix_db", 6, 0.5, 30, "make-up from which it should be fixed", -0.5, WEIGHT_FIX,
                  CREDIT_PRACTICE}},
    .severity = "makeup_db",
    .worse_step = 3,
    .fails_when = "a compressor with make-up gain is in circuit on an input that is open into a "
                  "loudspeaker mix. Sends taken before the dynamics do not count.",
    .why =
        "Make-up gain is full gain in the quiet moments, when nothing is compressed; that is when "
        "feedback starts.",
    .cure = "Leave make-up at 0 dB in monitors and set levels with preamp and sends.",
    .formula = "make-up gain of a compressor that is on, dB",
    .source = "Common practice, no source.",
    .disagreement = "Whether to compress into a wedge at all. Some keep monitors without dynamics, "
                    "others compress voices and count the make-up as part of the ring-out, which "
                    "is then done with nobody singing (both common practice, no source). Agreed is "
                    "only the sum: make-up is gain in the pauses.",
    .run = run,
    .say = say,
    .work = work,
};
