/* SPDX-License-Identifier: MIT */
#include "check/check.h"

#include <math.h>
#include <stddef.h>

#include "core/sum.h"

static const enum param_id reads[] = {PARAM_DESK_TALKBACK, PARAM_DESK_OSCILLATOR, PARAMS};

/* Whether the switch is on; off where the desk does not publish it. */
static bool
is_on(struct look *look, enum param_id id)
{
    bool on = false;

    return desk_supplied(look->desk, id) != SUPPLY_NONE && look_switch(look, id, 0, 0, &on) && on;
}

static void
run(struct look *look, struct object object)
{
    bool talkback, oscillator;

    (void)object;
    if (!look->ground->moves || (desk_supplied(look->desk, PARAM_DESK_TALKBACK) == SUPPLY_NONE &&
                                 desk_supplied(look->desk, PARAM_DESK_OSCILLATOR) == SUPPLY_NONE))
        return;
    talkback = is_on(look, PARAM_DESK_TALKBACK);
    oscillator = is_on(look, PARAM_DESK_OSCILLATOR);
    if (!talkback && !oscillator) {
        if (look->missing > 0)
            look_not_known(look);
        else
            look_pass(look);
        return;
    }
    look_found(look, WEIGHT_FIX, talkback + 2 * oscillator);
    look_figure(look, "talkback_on_count", talkback);
    look_figure(look, "oscillator_on_count", oscillator);
    look_figure(look, "told_after_s", look->show->checks[CHECK_LEFT_ON].raise_after_s);
}

static void
say(struct wording *wording)
{
    bool talkback = verdict_figure(wording->verdict, "talkback_on_count") > 0;
    bool oscillator = verdict_figure(wording->verdict, "oscillator_on_count") > 0;

    text_add(&wording->says, "%s%s%s left on", talkback ? "the talkback" : "",
             talkback && oscillator ? " and " : "", oscillator ? "the test oscillator" : "");
    text_add(&wording->says, talkback && oscillator ? ": both are" : ": it is");
    text_add(&wording->says, " heard wherever it is sent");
    text_add(&wording->cure, "switch it off, and look whether something lies on the button");
}

static void
work(struct text *text, const struct verdict *verdict)
{
    double talkback = verdict_figure(verdict, "talkback_on_count");
    double oscillator = verdict_figure(verdict, "oscillator_on_count");

    text_add(text, "Talkback and oscillator: ");
    SUM(text, talkback, oscillator);
    text_add(text, " of 2 on, for %f s or longer. ", verdict_figure(verdict, "told_after_s"));
    if (talkback > 0)
        text_add(text,
                 "The talkback is one more open microphone: in a mix of four it makes five, "
                 "which costs 10 log10(5 / 4) = %f dB of margin, where it is as loud as they "
                 "are. ",
                 sum_tenth(10 * log10(5.0 / 4)));
    if (oscillator > 0)
        text_add(text,
                 "The oscillator is a steady tone: one at -20 dB full scale in a mix whose "
                 "limiter begins at -6 dB stays -6 + 20 = 14 dB below it, so nothing stops it.");
}

const struct check check_left_on = {
    .id = "left-on",
    .number = CHECK_LEFT_ON,
    .subject = SUBJECT_PROTECTION,
    .objects = OBJECT_DESK,
    .watch_only = true,
    .reads = reads,
    .settings = {{NULL, 0, 0, 0, NULL, 0, WEIGHT_NOTE, NULL}},
    .severity = "1 talkback, 2 oscillator, 3 both",
    .worse_step = 1,
    .raise_after_s = 60,
    .clear_after_s = 2,
    .fails_when =
        "the talkback or the test oscillator is on for longer than raise_after_s. Watches "
        "only: an audit sees one moment.",
    .why = "An open talkback microphone is one more open microphone into every mix it reaches, and "
           "it stands beside the loudest place on stage. An oscillator goes into ears at full "
           "level.",
    .cure = "Switch it off.",
    .formula = "the switch is on for raise_after_s",
    .source = "An object lying on the talkback button: common practice, no source.",
    .disagreement =
        "Nobody teaches to leave them on. Not settled is for how long an open talkback is work: in "
        "a line check it may stand open for minutes, in a song it may not (common practice, no "
        "source). Hence the hold, a minute unless the show file says otherwise.",
    .run = run,
    .say = say,
    .work = work,
};
