/* SPDX-License-Identifier: MIT */
#include "check/check.h"

#include <stddef.h>

#include "core/sum.h"
#include "look/reach.h"

static const enum param_id reads[] = {PARAM_INPUT_MUTE, PARAM_INPUT_NAME, PARAM_INPUT_PREAMP_GAIN,
                                      REACH_READS, PARAMS};

static void
found(struct look *look, int input, int mix, double preamp_db)
{
    look_found(look, WEIGHT_FIX, preamp_db);
    look->verdict->mix = mix;
    look_figure(look, "preamp_db", preamp_db);
    look_figure(look, "send_db",
                value_number(desk_value(look->desk, PARAM_SEND_LEVEL, input, mix)));
}

static void
run(struct look *look, struct object object)
{
    const struct source *source;
    double preamp_db;
    bool muted;
    enum reach reach;
    int mix;

    if (!look_switch(look, PARAM_INPUT_MUTE, object.input, 0, &muted)) {
        look_not_known(look);
        return;
    }
    reach = muted ? REACH_NOWHERE : reach_of(look, object.input, false, &mix);
    if (reach == REACH_NOWHERE || reach == REACH_EARS) {
        look_pass(look);
        return;
    }
    source = reach == REACH_LOUDSPEAKER ? look_source(look, object.input) : NULL;
    if (!source || !look_number(look, PARAM_INPUT_PREAMP_GAIN, object.input, 0, &preamp_db)) {
        look_not_known(look);
        return;
    }
    if (source == &sources[SOURCE_UNUSED])
        found(look, object.input, mix, preamp_db);
    else
        look_pass(look);
}

static void
say(struct wording *wording)
{
    text_add(&wording->says,
             "nothing is plugged in, but it is open with %f dB of preamp gain into mix ",
             verdict_figure(wording->verdict, "preamp_db"));
    look_add_mix(wording->look, &wording->says, wording->verdict->mix);
    text_add(&wording->cure,
             "mute input %d and turn its preamp down; or name its source in the show file",
             wording->object.input + 1);
}

static void
work(struct text *text, const struct verdict *verdict)
{
    double preamp_db = verdict_figure(verdict, "preamp_db");
    double send_db = verdict_figure(verdict, "send_db");

    text_add(text, "Preamp and send make ");
    SUM(text, preamp_db, send_db);
    text_add(text,
             " dB for the noise of an open socket and for whatever is plugged in next, before "
             "trim, fader and master. Muted it is off. With the preamp down to 0 dB the same "
             "send would leave ");
    SUM(text, 0, send_db);
    text_add(text, " dB of it.");
}

const struct check check_open_unused_input = {
    .id = "open-unused-input",
    .number = CHECK_OPEN_UNUSED_INPUT,
    .subject = SUBJECT_ROUTING,
    .objects = OBJECT_INPUT,
    .reads = reads,
    .severity = "preamp_db",
    .worse_step = 6,
    .fails_when =
        "an input that the show file or its label calls unused is open into a loudspeaker "
        "mix.",
    .why = "An open input with nothing on it adds noise, picks up whatever is plugged in next, and "
           "brings a bang when it is.",
    .cure = "Mute it, take its sends out, turn its preamp down.",
    .formula = "source \"unused\", not muted, and a send open into a loudspeaker mix",
    .source = "Common practice, no source.",
    .disagreement =
        "Nobody teaches to leave a socket open. Not settled is how to close it: a mute alone, "
        "which a mute group can open again, or the sends and the preamp down as well; and some "
        "keep a spare vocal microphone open on purpose, ready to be handed over (all common "
        "practice, no source). Name its source in the show file then.",
    .run = run,
    .say = say,
    .work = work,
};
