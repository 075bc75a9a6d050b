/* SPDX-License-Identifier: MIT */
#include "check/check.h"

#include <math.h>
#include <stddef.h>

#include "core/sum.h"

enum { FADER_DB };
enum { LISTED = 12 };

static const enum param_id reads[] = {LOOK_SEND_READS, PARAM_INPUT_NAME, PARAM_MIX_NAME, PARAMS};

/* Sends that are taken behind the fader. */
struct followers {
    int count;  /* that are to be told */
    int closed; /* whose fader or group is down: they follow nothing that is heard */
};

/* For the worked example: one such send with its fader, where neither is off. */
static void
show_one(struct look *look, const struct send_level *send)
{
    if (!isnan(verdict_figure(look->verdict, "one_send_db")))
        return;
    look_figure(look, "one_send_db", send->db);
    look_figure(look, "its_fader_db", send->fader_db);
}

/* On a monitor desk a post-fader send is a technique while its fader is parked at 0 dB. */
static bool
is_fault(const struct look *look, const struct send_level *send)
{
    return look->show->role != ROLE_MONITOR || fabs(send->fader_db) > look->settings[FADER_DB];
}

/* Whether the send is on and taken behind the fader. */
static bool
follows(const struct send_level *send)
{
    return send->db > -HUGE_VAL && send->tap == TAP_POST_FADER;
}

/* Whether the send is one to tell; false also when that is not known. */
static bool
is_faulty(struct look *look, int input, int mix, struct send_level *send)
{
    return look_send_db(look, input, mix, send) && follows(send) && send->fader_db > -HUGE_VAL &&
           is_fault(look, send);
}

static void
add_mix(struct look *look, int mix, struct followers *followers)
{
    for (int input = 0; input < desk_count(look->desk, INDEX_INPUT); input++) {
        struct send_level send;

        if (is_faulty(look, input, mix, &send)) {
            followers->count++;
            show_one(look, &send);
        } else if (follows(&send) && send.fader_db == -HUGE_VAL) {
            followers->closed++;
        }
    }
}

/* Ends the check unless there is something to tell. */
static bool
is_found(struct look *look, const struct followers *followers)
{
    if (look->missing > 0)
        look_not_known(look);
    else if (followers->count == 0 && followers->closed > 0)
        look_closed(look);
    else if (followers->count == 0)
        look_pass(look);
    return look->missing == 0 && followers->count > 0;
}

static void
run_mix(struct look *look, int mix)
{
    struct followers followers = {0, 0};

    add_mix(look, mix, &followers);
    if (!is_found(look, &followers))
        return;
    look_found(look, look->show->role == ROLE_HOUSE ? WEIGHT_FIX : WEIGHT_NOTE, followers.count);
    look_figure(look, "sends_count", followers.count);
}

/* The desk's role is not said: whether post-fader sends are meant is told once, not for each send.
 */
static void
run_desk(struct look *look)
{
    struct followers followers = {0, 0};
    int mixes = 0;

    for (int mix = 0; mix < desk_count(look->desk, INDEX_MIX); mix++) {
        int before = followers.count;

        if (look->show->mixes[mix].feeds == FEEDS_UNUSED)
            continue;
        add_mix(look, mix, &followers);
        mixes += followers.count > before;
    }
    if (!is_found(look, &followers))
        return;
    look_found(look, WEIGHT_NOTE, followers.count);
    look_figure(look, "sends_count", followers.count);
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
        struct send_level send;

        if (!is_faulty(look, input, mix, &send) || ++count > LISTED)
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
             house
                 ? "switch these sends to pre-fader, each at its present level plus its fader; set "
                   "that level first where it is lower, after the switch where it is higher"
                 : "park the faders at 0 dB and move the sends the other way by as much, what "
                   "goes down first; or switch the sends to pre-fader at their present level "
                   "plus the fader");
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
        "on a house desk: open sends are post-fader. On a monitor desk: open sends are post-fader "
        "and their fader, with its groups, is not at 0 dB. A send whose fader or group is down or "
        "muted is closed. Where the show file does not say which desk it is: told once for the "
        "whole desk, as a note.",
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
