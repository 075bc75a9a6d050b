/* SPDX-License-Identifier: MIT */
#include "check/check.h"

#include <stddef.h>

#include "look/reach.h"
#include "sound/high_pass.h"

static const enum param_id reads[] = {PARAM_INPUT_NAME, PARAM_INPUT_MUTE, PARAM_INPUT_HIGH_PASS_ON,
                                      REACH_READS, PARAMS};

static void
run(struct look *look, struct object object)
{
    const struct source *source = high_pass_source(look, object.input);
    enum reach reach;
    int mix;
    bool on;

    if (!source)
        return;
    if (!look_switch(look, PARAM_INPUT_HIGH_PASS_ON, object.input, 0, &on)) {
        look_not_known(look);
        return;
    }
    if (on) {
        look_pass(look);
        return;
    }
    reach = reach_of(look, object.input, false, &mix);
    if (reach == REACH_NOWHERE) {
        look_closed(look);
        return;
    }
    if (reach == REACH_UNKNOWN) {
        look_not_known(look);
        return;
    }
    look_found(look, reach == REACH_LOUDSPEAKER ? WEIGHT_FIX : WEIGHT_NOTE, source->corner_low_hz);
    look_figure(look, "usual_corner_low_hz", source->corner_low_hz);
    look_figure(look, "usual_corner_high_hz", source->corner_high_hz);
}

static void
say(struct wording *wording)
{
    const struct source *source = look_source(wording->look, wording->object.input);
    bool loudspeaker = wording->verdict->weight == WEIGHT_FIX;

    text_add(&wording->says, "the high-pass is off; %s %s source needs nothing below %f Hz%s",
             source_article(source), source->id, source->corner_low_hz,
             loudspeaker ? ", and it is open into a loudspeaker mix" : "");
    text_add(&wording->cure,
             "high-pass on, from %f Hz up; raise it while listening, until the sound changes, then "
             "a little back "
             "(usual: %f to %f Hz)",
             source->corner_low_hz, source->corner_low_hz, source->corner_high_hz);
}

/* What the filter would do, with the slope that most desks have: order 2. */
static void
work(struct text *text, const struct verdict *verdict)
{
    double low_hz = verdict_figure(verdict, "usual_corner_low_hz");
    double high_hz = verdict_figure(verdict, "usual_corner_high_hz");

    text_add(
        text,
        "Off, it takes nothing off. On, with 12 dB per octave (order 12 / 6 = 2) and its corner "
        "at %f Hz, it takes off stage rumble at 40 Hz: ",
        low_hz);
    high_pass_add_loss(text, 2, low_hz, 40);
    text_add(text, " dB. With the corner at %f Hz, the top of what is usual: ", high_hz);
    high_pass_add_loss(text, 2, high_hz, 40);
    text_add(text, " dB.");
}

const struct check check_high_pass_missing = {
    .id = "high-pass-missing",
    .number = CHECK_HIGH_PASS_MISSING,
    .subject = SUBJECT_FILTERS,
    .objects = OBJECT_INPUT,
    .reads = reads,
    .severity = "usual_corner_low_hz",
    .worse_step = 1e9, /* it is off or on; nothing in between */
    .fails_when = "the high-pass is off on an open input whose source needs no lows. Into a "
                  "loudspeaker mix it should be fixed, into in-ears only it is a note. Kick, floor "
                  "tom, bass, keys and playback may go without.",
    .why = "Below its lowest note a microphone brings only rumble, stage thump and the bass of the "
           "wedges, which takes headroom and feeds the low end of the loop.",
    .cure = "Switch it on and raise the corner until the sound of the instrument changes, then go "
            "a little back.",
    .formula = "high-pass off and source in the table of sources that want one",
    .source = HIGH_PASS_CORNERS,
    .disagreement =
        "Agreed: a source that needs no lows gets a high-pass. Not settled is how high: "
        "voices from 100 to 120 Hz to start, up to 180 (\"Mighty High Pass Filter\", "
        "prosoundweb.com); listening for the point where the tone gets thin, and going back from "
        "there, gives no figure (common practice, no source). Nor is it settled whether kick, "
        "floor "
        "tom, bass, keys and playback want one at all: 20 to 60 Hz or off are both "
        "common practice, no source, and this check leaves them out.",
    .run = run,
    .say = say,
    .work = work,
};
