/* SPDX-License-Identifier: MIT */
#include "check/check.h"

#include <stddef.h>

#include "core/sum.h"

enum { PHANTOM_V = 48 };

static const enum param_id reads[] = {PARAM_INPUT_PHANTOM, PARAM_INPUT_NAME, PARAMS};

/* What the show file says of the microphone is known; what its kind of source usually needs is a
 * guess, and something to ask. */
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

/* A dead input, or 48 V on a line output; on a microphone that does without it, it can wait. */
static enum weight
weight_of(const struct look *look, int input, bool on)
{
    enum microphone microphone = look->show->inputs[input].microphone;

    if (microphone == MICROPHONE_UNKNOWN)
        return WEIGHT_NOTE;
    return !on || microphone == MICROPHONE_LINE ? WEIGHT_FIX : WEIGHT_NOTE;
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
    look_found(look, weight_of(look, object.input, on), 1);
    look_figure(look, "phantom_v", on ? PHANTOM_V : 0);
    look_figure(look, "needed_v", on ? 0 : PHANTOM_V);
}

static void
say_known(struct text *says, enum microphone microphone, bool on)
{
    if (!on)
        text_add(says, "48 V is off; the %s is silent without it",
                 microphone == MICROPHONE_ACTIVE_DI ? "active DI box" : "condenser microphone");
    else if (microphone == MICROPHONE_LINE)
        text_add(says, "48 V is on at a line output, which it can damage");
    else
        text_add(says, "48 V is on; a %s microphone does not need it", microphone_name(microphone));
}

static void
say_guess(struct text *says, const struct source *source, bool on)
{
    if (!on)
        text_add(says,
                 "48 V is off; %s %s usually has a condenser microphone, which is silent without "
                 "it",
                 source_article(source), source->id);
    else if (source->line)
        text_add(says, "48 V is on; %s %s usually comes from a line output, which 48 V can damage",
                 source_article(source), source->id);
    else
        text_add(says, "48 V is on; %s %s usually has a microphone that does not need it",
                 source_article(source), source->id);
}

/* 48 V itself: with the input closed, and never onto a line output. */
static void
say_switch(struct text *cure, int input, bool on)
{
    text_add(cure,
             "close input %d first (muted in every mix and in the house), switch 48 V %s, wait "
             "some seconds, open it again",
             input + 1, on ? "off" : "on");
    if (!on)
        text_add(cure, "; never onto a line output");
    text_add(cure, ". Follow the device's instructions");
}

static void
say(struct wording *wording)
{
    int input = wording->object.input;
    enum microphone microphone = wording->look->show->inputs[input].microphone;
    bool on = verdict_figure(wording->verdict, "phantom_v") > 0;

    if (microphone != MICROPHONE_UNKNOWN) {
        say_known(&wording->says, microphone, on);
        say_switch(&wording->cure, input, on);
        return;
    }
    say_guess(&wording->says, look_source(wording->look, input), on);
    text_add(&wording->cure,
             on ? "ask: does what is plugged in there need it? If not: "
                : "ask: is a condenser or an active DI box plugged in there? If so: ");
    say_switch(&wording->cure, input, on);
    text_add(&wording->cure, ". Say the answer in the show file (\"microphone\")");
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
        "48 V is off where it is needed, or on where it is not. Say \"microphone\": \"dynamic\", "
        "\"ribbon\", \"condenser\", \"active-di\" or \"line\" in the show file: then a dead input "
        "and 48 V on a line output are to fix, and on a microphone that does without it is a note. "
        "Without that only the kind of source suggests what stands there: a note, with the "
        "question to ask.",
    .why = "A condenser without 48 V is a dead input at the worst time. A line output was not made "
           "to be fed 48 V and can be damaged. A moving-coil microphone on a sound balanced cable "
           "takes no harm; a ribbon can, through a bad cable or a hot patch.",
    .cure = "With the input closed: switching 48 V with it open is a bang in every mix. Never onto "
            "a line output. Follow the device's instructions.",
    .formula = "48 V on or off against what the microphone or kind of source needs",
    .source = "Common practice, no source.",
    .disagreement = "Whether 48 V harms a ribbon. Many teach never to switch it on; others that it "
                    "harms through bad cables and hot patching, not by correct use (both common "
                    "practice, no source). So on a microphone that does not need it, it is a note "
                    "here, and a fix only where it is missing, or on a line output.",
    .run = run,
    .say = say,
    .work = work,
};
