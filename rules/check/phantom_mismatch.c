/* SPDX-License-Identifier: MIT */
#include "check/check.h"

#include <stddef.h>

#include "core/sum.h"

enum { PHANTOM_V = 48 };

static const enum param_id reads[] = {PARAM_INPUT_PHANTOM, PARAM_INPUT_NAME, PARAMS};

/* What the show file says of the microphone goes before what its kind of source usually needs. */
static bool
need_of(struct look *look, int input, enum source_phantom *need)
{
    const struct source *source;

    switch (look->show->inputs[input].microphone) {
    case MICROPHONE_CONDENSER:
    case MICROPHONE_ACTIVE_DI:
        *need = PHANTOM_NEEDED;
        return true;
    case MICROPHONE_DYNAMIC:
    case MICROPHONE_RIBBON:
    case MICROPHONE_LINE:
        *need = PHANTOM_NOT_NEEDED;
        return true;
    case MICROPHONE_UNKNOWN:
    case MICROPHONES:
        break;
    }
    source = look_source(look, input);
    if (source)
        *need = source->phantom;
    return source != NULL;
}

static void
run(struct look *look, struct object object)
{
    enum source_phantom need;
    bool on;

    if (!need_of(look, object.input, &need)) {
        look_not_known(look);
        return;
    }
    if (need == PHANTOM_EITHER)
        return;
    if (!look_switch(look, PARAM_INPUT_PHANTOM, object.input, 0, &on)) {
        look_not_known(look);
        return;
    }
    if (on == (need == PHANTOM_NEEDED)) {
        look_pass(look);
        return;
    }
    look_found(look, on ? WEIGHT_NOTE : WEIGHT_FIX, 1);
    look_figure(look, "phantom_v", on ? PHANTOM_V : 0);
    look_figure(look, "needed_v", on ? 0 : PHANTOM_V);
}

static void
say(struct wording *wording)
{
    bool on = verdict_figure(wording->verdict, "phantom_v") > 0;

    text_add(&wording->says, on ? "48 V is on; this source does not need it"
                                : "48 V is off; the microphone or DI box is silent without it");
    text_add(&wording->cure,
             "mute input %d in every mix and in the house, switch 48 V %s, wait some seconds, "
             "open it again",
             wording->object.input + 1, on ? "off" : "on");
}

static void
work(struct text *text, const struct verdict *verdict)
{
    double on_v = verdict_figure(verdict, "phantom_v");
    double needed_v = verdict_figure(verdict, "needed_v");

    text_add(text, "The desk gives %f V, %f V are needed: ", on_v, needed_v);
    if (on_v < needed_v) {
        sum_difference(text, needed_v, on_v);
        text_add(text, " V are missing. The microphone or box has nothing to work from, and no "
                       "preamp gain makes up for that.");
        return;
    }
    sum_difference(text, on_v, needed_v);
    text_add(text, " V too many. Both signal wires of a balanced line carry them, so between the "
                   "two there are 48 - 48 = 0 V and a sound cable does no harm; with one of them "
                   "broken, or not yet in contact, it is 48 - 0 = 48 V.");
}

const struct check check_phantom_mismatch = {
    .id = "phantom-mismatch",
    .number = CHECK_PHANTOM_MISMATCH,
    .subject = SUBJECT_PROTECTION,
    .objects = OBJECT_INPUT,
    .reads = reads,
    .severity = "fault",
    .worse_step = 1e9, /* it is on or off */
    .fails_when =
        "48 V is off and the source needs it (fix), or on and the source does not need it (note). "
        "Say \"microphone\": \"dynamic\", \"ribbon\", \"condenser\", \"active-di\" or \"line\" "
        "in the show file; without that the kind of source decides where it can.",
    .why =
        "A condenser without 48 V is a dead input at the worst time. On a dynamic it does nothing; "
        "on a ribbon it can do harm through a bad cable or a hot patch, not by itself.",
    .cure = "Mute first: switching 48 V with the input open is a bang in every mix.",
    .formula = "48 V on or off against what the microphone or kind of source needs",
    .source = "Common practice, no source.",
    .disagreement = "Whether 48 V harms a ribbon. Many teach never to switch it on; others that it "
                    "harms through bad cables and hot patching, not by correct use (both common "
                    "practice, no source). So on a microphone that does not need it, it is a note "
                    "here, and a fix only where it is missing.",
    .run = run,
    .say = say,
    .work = work,
};
