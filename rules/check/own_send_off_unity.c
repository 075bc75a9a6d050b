/* SPDX-License-Identifier: MIT */
#include "check/check.h"

#include <math.h>
#include <stddef.h>

#include "check/own_send.h"
#include "core/sum.h"

enum { NOTE_DB };
enum { OFF_SEVERITY_DB = 200 };

static const enum param_id reads[] = {OWN_SEND_READS, PARAMS};

/* Whether unused-preamp-gain tells the same cause already. False in `known` when that is not known.
 */
static bool
is_told_by_preamp(struct look *look, int input, const struct own_send *own, bool *known)
{
    const struct show_check *other = &look->show->checks[CHECK_UNUSED_PREAMP_GAIN];
    struct surplus surplus;

    *known = true;
    if (own->db > 0 || other->off || own_send_slipped(look, input))
        return false;
    *known = surplus_of(look, input, &surplus);
    return *known && surplus.open && !surplus.unsettled &&
           surplus.surplus_db >= other->settings[0] &&
           (look->show->checks[CHECK_MASTER_OFF_UNITY].off ||
            !surplus_is_masters_fault(&surplus, other->settings[0]));
}

static void
found(struct look *look, int input, const struct own_send *own)
{
    bool off = own->db == -HUGE_VAL;
    const struct value *preamp = desk_value(look->desk, PARAM_INPUT_PREAMP_GAIN, input, 0);

    look_found(look, WEIGHT_NOTE, off ? OFF_SEVERITY_DB : fabs(own->db));
    look->verdict->mix = own->mix;
    if (preamp->state == VALUE_KNOWN)
        look_figure(look, "preamp_db", value_number(preamp));
    if (!off) {
        look_figure(look, "off_unity_db", fabs(own->db));
        look_figure(look, "own_send_db", own->db);
    }
}

static void
run(struct look *look, struct object object)
{
    struct own_send own;
    bool muted, known, told;

    if (look->show->inputs[object.input].source == SOURCE_UNUSED)
        return;
    if (!look_switch(look, PARAM_INPUT_MUTE, object.input, 0, &muted)) {
        look_not_known(look);
        return;
    }
    if (muted) {
        look_closed(look);
        return;
    }
    if (!own_send_of(look, object.input, &own)) {
        look_not_known(look);
        return;
    }
    if (own.mix < 0 && own.closed)
        look_closed(look);
    if (own.mix < 0)
        return;
    if (fabs(own.db) <= look->settings[NOTE_DB]) {
        look_pass(look);
        return;
    }
    told = is_told_by_preamp(look, object.input, &own, &known);
    if (!known)
        look_not_known(look);
    else if (told)
        look_fold(look);
    else
        found(look, object.input, &own);
}

static void
say(struct wording *wording)
{
    const struct verdict *verdict = wording->verdict;
    double send_db = verdict_figure(verdict, "own_send_db");
    bool off = isnan(send_db);

    text_add(&wording->says, "the %s into mix ",
             verdict->inferred ? "send that was taken for the player's own," : "player's own send");
    look_add_mix(wording->look, &wording->says, verdict->mix);
    text_add(&wording->says, " stands at %f%s", off ? -HUGE_VAL : send_db, off ? "" : " dB");
    if (off)
        text_add(&wording->cure, "the player does not hear this input: bring the send up slowly, "
                                 "or name another player for it in the show file");
    else
        text_add(&wording->cure,
                 "if a hand slipped, put the send back and move nothing else; if not, `gainwarden "
                 "retrim` says what to move so that nothing gets louder");
}

static void
work(struct text *text, const struct verdict *verdict)
{
    double send_db = verdict_figure(verdict, "own_send_db");
    double preamp_db = verdict_figure(verdict, "preamp_db");
    bool preamp = !isnan(preamp_db);

    if (isnan(send_db)) {
        text_add(text, "The own send is off, and off with any gain before it is off: ");
        if (preamp)
            text_add(text, "of %f dB of preamp gain ", preamp_db);
        text_add(text, "nothing reaches the player whose input it is.");
        return;
    }
    text_add(text, "The own send stands |%f| = %f dB from 0 dB. ", send_db,
             verdict_figure(verdict, "off_unity_db"));
    if (preamp) {
        text_add(text, "Preamp and send make ");
        SUM(text, preamp_db, send_db);
        text_add(text, " dB. With the preamp at ");
        SUM(text, preamp_db, send_db);
        text_add(text, " dB and the own send at ");
        sum_difference(text, send_db, send_db);
        text_add(text, " dB they make ");
        SUM(text, preamp_db + send_db, 0);
        text_add(text, " dB, the same. ");
    }
    text_add(text, "A send of the same input at -10 dB goes to ");
    sum_difference(text, -10, send_db);
    text_add(text, " dB, so its player hears no difference.");
}

const struct check check_own_send_off_unity = {
    .id = "own-send-off-unity",
    .number = CHECK_OWN_SEND_OFF_UNITY,
    .subject = SUBJECT_STRUCTURE,
    .objects = OBJECT_INPUT,
    .spread = SPREAD_PREAMP,
    .reads = reads,
    .settings = {{"note_db", 3, 0.5, 60, "distance from 0 dB above which it is a note", -0.5,
                  WEIGHT_NOTE, CREDIT_PRACTICE}},
    .severity = "off_unity_db",
    .worse_step = 3,
    .fails_when =
        "the send of a player's input into that player's own mix stands away from 0 dB. Without a "
        "show file that names players the label says whose mix it is (\"Ld Vox wedge\" is that of "
        "\"Ld Vox\"); where it does not, the loudest send is taken as the own one. A send "
        "behind a fader or group that is down is closed. A send that "
        "is low because the preamp is high is told by unused-preamp-gain instead, but not one that "
        "came down since the desk was approved or set up.",
    .why = "With every own send at 0 dB the preamp is set by what its player needs, all mixes read "
           "the "
           "same way, and there is travel left in both directions.",
    .cure =
        "Move the preamp and all sends of the input by the same amount, in opposite directions, "
        "first what goes down.",
    .formula = "|own send| in dB",
    .source = "Each player's own send at 0 dB: common practice, no source.",
    .disagreement =
        "What decides the preamp. Here it is what the player needs with the own send at 0 dB "
        "(common practice, no source). Others set it by the input meter, where -18, -15, -12 and "
        "-6 dB full scale are all taught (common practice, no source), and the own sends end where "
        "they end. Where two desks share a preamp one of them sets the gain and the other uses its "
        "trim: then the own send cannot always be at 0 dB.",
    .run = run,
    .say = say,
    .work = work,
};
