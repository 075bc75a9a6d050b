/* SPDX-License-Identifier: MIT */
#include "check/check.h"

#include <stddef.h>

#include "core/sum.h"

enum { NOTE_DB, FIX_DB };
enum { LEFT_DB = 12 }; /* above the usual peaks */

static const enum param_id reads[] = {PARAM_INPUT_LEVEL, PARAM_INPUT_PREAMP_GAIN, PARAMS};

static void
run(struct look *look, struct object object)
{
    double level_db, preamp_db;

    if (!look_number(look, PARAM_INPUT_LEVEL, object.input, 0, &level_db) ||
        !look_number(look, PARAM_INPUT_PREAMP_GAIN, object.input, 0, &preamp_db)) {
        look_not_known(look);
        return;
    }
    if (level_db < look->settings[NOTE_DB]) {
        look_pass(look);
        return;
    }
    look_found(look, level_db >= look->settings[FIX_DB] ? WEIGHT_FIX : WEIGHT_NOTE, level_db);
    look_figure(look, "level_dbfs", level_db);
    look_figure(look, "preamp_db", preamp_db);
}

static void
say(struct wording *wording)
{
    double level_db = verdict_figure(wording->verdict, "level_dbfs");

    text_add(&wording->says, "the input meter stands at %f dB below full scale", -level_db);
    text_add(
        &wording->cure,
        "preamp down by %f dB and every send of the input up by as much; with the pad where the "
        "preamp has no way left",
        level_db + LEFT_DB);
}

static void
work(struct text *text, const struct verdict *verdict)
{
    double level_db = verdict_figure(verdict, "level_dbfs");
    double preamp_db = verdict_figure(verdict, "preamp_db");
    double down_db = level_db + LEFT_DB;

    text_add(text, "Full scale is 0 dB: ");
    sum_difference(text, 0, level_db);
    text_add(text, " dB are left. To leave %d dB the preamp comes down by ", LEFT_DB);
    SUM(text, LEFT_DB, level_db);
    text_add(text, " dB: ");
    sum_difference(text, preamp_db, down_db);
    text_add(text, " dB, with which the meter reads ");
    sum_difference(text, level_db, down_db);
    text_add(text, " dB. Each send goes up by as much, so every mix stays as it is: ");
    SUM(text, -down_db, down_db);
    text_add(text, " dB.");
}

const struct check check_input_hot = {
    .id = "input-hot",
    .number = CHECK_INPUT_HOT,
    .subject = SUBJECT_STRUCTURE,
    .objects = OBJECT_INPUT,
    .momentary = true,
    .reads = reads,
    .settings = {{"note_db", -6, -40, 0, "input level, dB full scale, from which it is a note", 0,
                  WEIGHT_NOTE, CREDIT_PRACTICE},
                 {"fix_db", -3, -40, 0, "level from which it should be fixed", 0, WEIGHT_NOTE,
                  CREDIT_PRACTICE}},
    .severity = "level_dbfs",
    .worse_step = 3,
    .fails_when =
        "the published level of an input is near full scale. It is one look at a meter: audits "
        "only, and worth something only while the source plays.",
    .why = "An input that clips is distortion in every mix, and no send can take it out again.",
    .cure = "Lower the preamp to leave some 12 dB above the usual peaks.",
    .formula = "input meter in dB full scale",
    .source = "Levels of -18 dB full scale, peaks of -15, -12 and -6 are all taught; EBU R68-2000 "
              "(the -18 read in a secondary text) puts alignment at -18 dB full scale with 9 dB to "
              "the permitted maximum. The values here: "
              "common practice, no source.",
    .disagreement =
        "The level to aim at: -18 dB full scale, peaks of -15, of -12 and of -6 are all taught "
        "(common practice, no source); EBU R68-2000 puts alignment at -18 dB full scale with 9 dB "
        "to the permitted maximum. Some set it for the loudest note of the evening, others for a "
        "usual one. This check knows a range, not a target.",
    .run = run,
    .say = say,
    .work = work,
};
