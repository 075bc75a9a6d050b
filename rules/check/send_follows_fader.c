/* SPDX-License-Identifier: MIT */
#include "check/check.h"

#include <math.h>
#include <stddef.h>

#include "core/sum.h"

enum { FADER_DB };
enum { LISTED = 12 };

static const enum param_id reads[] = {
    PARAM_SEND_ON,    PARAM_SEND_LEVEL, PARAM_SEND_TAP, PARAM_INPUT_FADER,
    PARAM_INPUT_NAME, PARAM_MIX_NAME,   PARAMS};

/* Whether the send is open and taken behind the fader. False when not known. */
static bool
is_post_fader(struct look *look, int input, int mix, bool *post)
{
    double level_db, tap;
    bool on;

    *post = false;
    if (!look_switch(look, PARAM_SEND_ON, input, mix, &on))
        return false;
    if (!on)
        return true;
    if (!look_number(look, PARAM_SEND_LEVEL, input, mix, &level_db))
        return false;
    if (level_db == -HUGE_VAL)
        return true;
    if (!look_number(look, PARAM_SEND_TAP, input, mix, &tap))
        return false;
    *post = tap == TAP_POST_FADER;
    return true;
}

/* For the worked example: one such send with its fader, where both are known and not off. */
static void
show_one(struct look *look, int input, int mix)
{
    const struct value *send = desk_value(look->desk, PARAM_SEND_LEVEL, input, mix);
    const struct value *fader = desk_value(look->desk, PARAM_INPUT_FADER, input, 0);

    if (!isnan(verdict_figure(look->verdict, "one_send_db")) || send->state != VALUE_KNOWN ||
        fader->state != VALUE_KNOWN || !isfinite(send->number) || !isfinite(fader->number))
        return;
    look_figure(look, "one_send_db", send->number);
    look_figure(look, "its_fader_db", fader->number);
}

/* On a monitor desk a post-fader send is a technique while its fader is parked at 0 dB. */
static bool
is_fault(struct look *look, int input, bool *fault)
{
    double fader_db;

    *fault = true;
    if (look->show->role != ROLE_MONITOR)
        return true;
    if (!look_number(look, PARAM_INPUT_FADER, input, 0, &fader_db))
        return false;
    *fault = fabs(fader_db) > look->settings[FADER_DB];
    return true;
}

/* Whether the send is one to tell; false also when that is not known. */
static bool
is_faulty(struct look *look, int input, int mix)
{
    bool post, fault;

    return is_post_fader(look, input, mix, &post) && post && is_fault(look, input, &fault) && fault;
}

static void
run_mix(struct look *look, int mix)
{
    int count = 0;

    for (int input = 0; input < desk_count(look->desk, INDEX_INPUT); input++) {
        if (!is_faulty(look, input, mix))
            continue;
        count++;
        show_one(look, input, mix);
    }
    if (look->missing > 0) {
        look_not_known(look);
        return;
    }
    if (count == 0) {
        look_pass(look);
        return;
    }
    look_found(look, look->show->role == ROLE_HOUSE ? WEIGHT_FIX : WEIGHT_NOTE, count);
    look_figure(look, "sends_count", count);
}

/* The desk's role is not said: whether post-fader sends are meant is told once, not for each send.
 */
static void
run_desk(struct look *look)
{
    int count = 0, mixes = 0;

    for (int mix = 0; mix < desk_count(look->desk, INDEX_MIX); mix++) {
        int before = count;

        if (look->show->mixes[mix].feeds == FEEDS_UNUSED)
            continue;
        for (int input = 0; input < desk_count(look->desk, INDEX_INPUT); input++) {
            bool post;

            if (!is_post_fader(look, input, mix, &post) || !post)
                continue;
            count++;
            show_one(look, input, mix);
        }
        mixes += count > before;
    }
    if (look->missing > 0) {
        look_not_known(look);
        return;
    }
    if (count == 0) {
        look_pass(look);
        return;
    }
    look_found(look, WEIGHT_NOTE, count);
    look_figure(look, "sends_count", count);
    look_figure(look, "mixes_count", mixes);
}

static void
run(struct look *look, struct object object)
{
    bool desk = object.mix < 0;

    if (desk != (look->show->role == ROLE_UNKNOWN))
        return;
    if (desk)
        run_desk(look);
    else if (look->show->mixes[object.mix].feeds != FEEDS_UNUSED)
        run_mix(look, object.mix);
}

/* The inputs of the faulty sends of a mix. */
static void
add_inputs(struct look *look, int mix, struct text *list)
{
    int count = 0;

    for (int input = 0; input < desk_count(look->desk, INDEX_INPUT); input++) {
        if (!is_faulty(look, input, mix) || ++count > LISTED)
            continue;
        text_add(list, count == 1 ? "" : ", ");
        look_add_input(look, list, input);
    }
    if (count > LISTED)
        text_add(list, " and %d more", count - LISTED);
}

static void
say_mix(struct wording *wording)
{
    bool house = wording->look->show->role == ROLE_HOUSE;
    int count = (int)verdict_figure(wording->verdict, "sends_count");
    char buffer[200];
    struct text list;

    text_init(&list, buffer, sizeof buffer);
    add_inputs(wording->look, wording->object.mix, &list);
    text_add(&wording->says, "%d send%s into the mix follow%s %s: input %s", count,
             count == 1 ? "" : "s", count == 1 ? "s" : "",
             house ? "the house fader, so that every move in the house moves the monitor"
                   : "a fader that is not at 0 dB",
             buffer);
    text_add(&wording->cure,
             house ? "switch these sends to pre-fader, with the mix muted, and set each to its "
                     "present level plus its fader"
                   : "park the faders at 0 dB and move the sends the other way by as much, or "
                     "switch the sends to pre-fader");
}

static void
say_desk(struct wording *wording)
{
    int count = (int)verdict_figure(wording->verdict, "sends_count");
    int mixes = (int)verdict_figure(wording->verdict, "mixes_count");

    text_add(&wording->says,
             "%d open send%s in %d mix%s %s post-fader; on a house desk that is a fault, on a "
             "monitor desk with its faders parked at 0 dB it is normal",
             count, count == 1 ? "" : "s", mixes, mixes == 1 ? "" : "es",
             count == 1 ? "is" : "are");
    text_add(&wording->cure,
             "say which desk this is in the show file: \"desk\": { \"role\": \"monitor\" } or "
             "\"house\"");
}

static void
say(struct wording *wording)
{
    if (wording->object.mix < 0)
        say_desk(wording);
    else
        say_mix(wording);
}

static void
work(struct text *text, const struct verdict *verdict)
{
    double sends = verdict_figure(verdict, "sends_count");
    double mixes = verdict_figure(verdict, "mixes_count");
    double send_db = verdict_figure(verdict, "one_send_db");
    double fader_db = verdict_figure(verdict, "its_fader_db");

    if (!isnan(mixes))
        text_add(text, "%f open post-fader send%s in %f mix%s: %f / %f = %g for each. ", sends,
                 sends == 1 ? "" : "s", mixes, mixes == 1 ? "" : "es", sends, mixes, sends / mixes);
    else
        text_add(text, "%f open send%s into the mix %s post-fader. ", sends, sends == 1 ? "" : "s",
                 sends == 1 ? "is" : "are");
    if (isnan(send_db)) {
        text_add(text, "A fader pushed by 6 dB pushes each of its sends by 6 dB.");
        return;
    }
    text_add(text, "One of them: send and fader make ");
    SUM(text, send_db, fader_db);
    text_add(text, " dB, which is what the send needs pre-fader for the same level. A fader pushed "
                   "by 6 dB for a solo makes ");
    SUM(text, send_db, fader_db, 6);
    text_add(text, " dB of it, with no hand on the mix.");
}

const struct check check_send_follows_fader = {
    .id = "send-follows-fader",
    .number = CHECK_SEND_FOLLOWS_FADER,
    .subject = SUBJECT_ROUTING,
    .objects = OBJECT_MIX | OBJECT_DESK,
    .reads = reads,
    .settings = {{"fader_db", 0.5, 0.1, 60,
                  "on a monitor desk: distance of the fader from 0 dB above which it is a note",
                  -0.2, WEIGHT_NOTE, CREDIT_PRACTICE}},
    .severity = "sends_count",
    .worse_step = 1,
    .fails_when =
        "on a house desk: open sends are post-fader. On a monitor desk: open sends are "
        "post-fader and their fader is not at 0 dB. Where the show file does not say which "
        "desk it is: told once for the whole desk, as a note.",
    .why = "A send behind the house fader makes every mix move of the show a move in the player's "
           "wedge, "
           "and a fader pushed for a solo is loop gain nobody asked for.",
    .cure = "Take monitor sends before the fader, or park the faders.",
    .formula = "number of open sends whose tap is post-fader",
    .source =
        "Common practice, no source. Monitor engineers who ride faders send post-fader on purpose; "
        "hence the role.",
    .disagreement = "Pre-fader or post-fader. Monitors before the fader is what is taught most, "
                    "but monitor engineers who ride faders send post-fader on purpose and park "
                    "them at 0 dB (both common practice, no source). Hence the desk's role: on a "
                    "house desk it is a fault, on a monitor desk only while a fader stands "
                    "elsewhere, and where the role is not said it is a question.",
    .run = run,
    .say = say,
    .work = work,
};
