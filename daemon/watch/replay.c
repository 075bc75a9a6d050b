/* SPDX-License-Identifier: MIT */
#include "watch/replay.h"

#include <stdio.h>
#include <string.h>

#include "watch/control.h"
#include "watch/desk.h"
#include "watch/earlier.h"
#include "watch/handles.h"
#include "watch/reload.h"

static void
packets(struct watch_desk *desk, const struct recorded *recorded)
{
    static uint8_t bytes[RECORDING_PACKET_MOST];

    for (const struct json *one = json_first(recorded->what); one; one = json_next(one))
        link_replay_packet(desk->link, bytes, recording_bytes(json_string(one), bytes));
}

static bool
rejected(struct watch_desk *desk, const struct recorded *recorded, struct problems *problems)
{
    for (const struct json *one = json_first(recorded->what); one; one = json_next(one)) {
        if (link_replay_rejected(desk->link, json_key(one), (uint64_t)json_number(one)))
            continue;
        problems_add(problems, "%s:%zu: rejected.%s: is no reason to turn anything down",
                     desk->shared->past->path, recorded->number, json_key(one));
        return false;
    }
    return true;
}

static size_t
figure(const struct json *reading, const char *key)
{
    return (size_t)json_number(json_get(reading, key));
}

static void
take_reading(struct watch_desk *desk, const struct json *reading)
{
    struct question_figures figures = {.questions = figure(reading, "questions"),
                                       .asked = figure(reading, "asked"),
                                       .heard = figure(reading, "heard"),
                                       .asked_again = figure(reading, "asked_again"),
                                       .never_came = figure(reading, "never_came")};

    link_replay_reading(desk->link, &figures, (int64_t)figure(reading, "took_ms"));
}

static void
link_changed(struct watch_desk *desk, const struct recorded *recorded)
{
    const struct json *reading = json_get(recorded->line, "reading");
    enum link_state state;

    if (reading)
        take_reading(desk, reading);
    if (link_state_find(json_string(recorded->what), &state))
        link_set_state(desk->link, state, json_string(json_get(recorded->line, "why")));
}

static bool
files(struct watch_desk *desk, const struct recorded *recorded, struct problems *problems)
{
    const struct json *show = json_get(recorded->what, "show");
    const struct json *plan = json_get(recorded->what, "stage");
    const struct json *approved = json_get(recorded->what, "approved");
    const struct json *proved = json_get(recorded->what, "proved");
    struct session_parts parts = {json_get(recorded->what, "profile"),
                                  show,
                                  plan,
                                  approved ? json_string(approved) : NULL,
                                  proved ? json_string(proved) : NULL,
                                  desk->session->host,
                                  desk->session->port};
    struct session session;
    char name[1100];

    snprintf(name, sizeof name, "%s:%zu", desk->shared->past->path, recorded->number);
    if (!session_restore(&session, &parts, name, problems)) {
        session_release(&session);
        return false;
    }
    watch_take_session(desk, &session, (struct saying_sinks){NULL, NULL, NULL},
                       json_bool_at(recorded->what, "same_link"));
    saying_line(desk->saying, json_string(json_get(recorded->what, "said")));
    return true;
}

static bool
ask(struct watch_desk *desk, const struct recorded *recorded, struct problems *problems)
{
    if (watch_asked(desk, recorded->what))
        return true;
    problems_add(problems, "%s:%zu: asked: is no request that a recording holds",
                 desk->shared->past->path, recorded->number);
    return false;
}

bool
watch_desk_replay(struct watch_desk *desk, const struct recorded *recorded,
                  struct problems *problems)
{
    switch (recorded->kind) {
    case RECORDED_PACKETS:
        packets(desk, recorded);
        break;
    case RECORDED_REJECTED:
        return rejected(desk, recorded, problems);
    case RECORDED_LINK:
        link_changed(desk, recorded);
        break;
    case RECORDED_READ:
        link_replay_read(desk->link);
        break;
    case RECORDED_EXPIRED:
        link_replay_expired(desk->link, (int64_t)json_number(recorded->what));
        break;
    case RECORDED_ASKED:
        return ask(desk, recorded, problems);
    case RECORDED_FILES:
        return files(desk, recorded, problems);
    case RECORDED_SAID:
        saying_line(desk->saying, json_string(recorded->what));
        break;
    case RECORDED_STILL:
        watch_desk_still(desk);
        break;
    case RECORDED_DAY:
        engine_set_day(desk->session->engine, (int)json_number(recorded->what));
        break;
    case RECORDED_STOPPED:
        watch_desk_stop(desk, (int64_t)json_number(recorded->what));
        break;
    case RECORDED_WAKE: /* whose timers are the replay's own */
    case RECORDED_CLOCK:
    case RECORDED_NOTHING:
    case RECORDED_KINDS:
        break;
    }
    return true;
}

void
watch_desk_replay_begin(struct watch_desk *desk, const struct json *head)
{
    enum link_state state;

    link_replay_heard(desk->link, watch_now_ms(desk));
    take_reading(desk, json_get(head, "reading"));
    link_set_state(desk->link, LINK_STEADY, "it was read before the recording began");
    if (link_state_find(json_string(json_get(head, "link")), &state) && state != LINK_RESOLVING)
        link_set_state(desk->link, state, "as the recording began");
}

/* ---- in place of what a watch has outside ---- */

static bool
open_past(struct watch_desk *desk)
{
    if (desk->shared->past->kept)
        earlier_take(desk->earlier, desk->shared->past->kept);
    return true;
}

static struct link *
open_link(struct watch_desk *desk, struct link_owner owner)
{
    struct session *session = desk->session;

    owner.rejected = NULL; /* who was there was told */
    return link_open_replayed(desk->shared->loop, session->profile, session->engine, owner);
}

static void
save_no_anchor(struct watch_desk *desk)
{
    (void)desk;
}

static void
take_anchor(struct watch_desk *desk)
{
    struct watch_past *past = desk->shared->past;

    if (past->anchor)
        engine_set_anchor(desk->session->engine, past->anchor);
    past->anchor = NULL;
}

const struct watch_way watch_replayed = {open_past, open_link, save_no_anchor, take_anchor};
