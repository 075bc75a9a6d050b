/* SPDX-License-Identifier: MIT */
#include "check/check.h"

#include <math.h>
#include <stddef.h>

#include "core/sum.h"
#include "look/reach.h"

enum { NOTE_DB, SILENT_DB };

static const enum param_id reads[] = {PARAM_INPUT_LEVEL, PARAM_INPUT_MUTE, PARAM_INPUT_NAME,
                                      REACH_READS, PARAMS};

static void
run(struct look *look, struct object object)
{
    double level_db;
    bool muted;
    enum reach reach;
    int mix;

    if (!look_switch(look, PARAM_INPUT_MUTE, object.input, 0, &muted) ||
        !look_number(look, PARAM_INPUT_LEVEL, object.input, 0, &level_db)) {
        look_not_known(look);
        return;
    }
    reach = muted ? REACH_NOWHERE : reach_of(look, object.input, false, &mix);
    if (reach == REACH_NOWHERE || level_db <= look->settings[SILENT_DB]) {
        look_closed(look); /* nobody plays */
        return;
    }
    if (reach == REACH_UNKNOWN) {
        look_not_known(look);
        return;
    }
    if (level_db > look->settings[NOTE_DB]) {
        look_pass(look);
        return;
    }
    look_found(look, WEIGHT_NOTE, -level_db);
    look_figure(look, "below_full_scale_db", -level_db);
}

static void
say(struct wording *wording)
{
    text_add(&wording->says,
             "the input meter stands at %f dB below full scale: turned up, it brings noise with it",
             verdict_figure(wording->verdict, "below_full_scale_db"));
    text_add(&wording->cure,
             "if the source is playing at its usual level: microphone closer, pad out, then preamp "
             "up and its sends down by as much");
}

/* EBU R68-2000 puts alignment at this level. */
enum { ALIGNMENT_DB = -18 };

static void
work(struct text *text, const struct verdict *verdict)
{
    double level_db = -verdict_figure(verdict, "below_full_scale_db");

    text_add(text, "The meter reads %f dB: ", level_db);
    sum_difference(text, 0, level_db);
    text_add(text,
             " dB below full scale. To reach %d dB, one of the levels that are taught, takes ",
             ALIGNMENT_DB);
    sum_difference(text, ALIGNMENT_DB, level_db);
    text_add(text,
             " dB of gain, and the noise that comes in comes up by as much. A microphone at half "
             "the distance gets 20 log10(2) = %f dB more of the source without that: ",
             sum_tenth(20 * log10(2)));
    SUM(text, level_db, sum_tenth(20 * log10(2)));
    text_add(text, " dB.");
}

const struct check check_input_faint = {
    .id = "input-faint",
    .number = CHECK_INPUT_FAINT,
    .subject = SUBJECT_STRUCTURE,
    .objects = OBJECT_INPUT,
    .momentary = true,
    .reads = reads,
    .settings = {{"note_db", -45, -90, 0, "input level, dB full scale, up to which it is a note", 0,
                  WEIGHT_NOTE, CREDIT_PRACTICE},
                 {"silent_db", -70, -200, 0, "up to this level nobody plays, and nothing is said",
                  0, WEIGHT_NOTE, CREDIT_PRACTICE}},
    .severity = "below_full_scale_db",
    .worse_step = 6,
    .fails_when =
        "the published level of an open input is very low, yet not silent. It is one look at a "
        "meter: audits only, and worth something only while the source plays.",
    .why = "A faint input brings its noise and the stage with it when it is turned up.",
    .cure = "Closer microphone first, then gain.",
    .formula = "input meter in dB full scale",
    .source = "Common practice, no source; no single level is taught everywhere.",
    .disagreement =
        "The level to aim at: -18 dB full scale, peaks of -15, of -12 and of -6 are all taught "
        "(common practice, no source); EBU R68-2000 puts alignment at -18 dB full scale. With "
        "today's converters some call a low level no fault at all (common practice, no source); "
        "the noise of stage and cable is the same either way. Hence a note, and only far down.",
    .run = run,
    .say = say,
    .work = work,
};
