/* SPDX-License-Identifier: MIT */
#include "watch_rig.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "check/check.h"
#include "unit.h"

enum { LONGEST_SLEEP_MS = 1000 };

const char *
watch_rig_cause(enum cause_kind kind)
{
    static const char *const names[] = {"none",   "input", "preamp",  "mix",     "group",
                                        "recall", "later", "settled", "back",    "start",
                                        "room",   "quiet", "unmuted", "rung-out"};

    return names[kind];
}

static void
write_object(char *text, size_t size, struct object object)
{
    if (object.input >= 0)
        snprintf(text, size, " input %d", object.input + 1);
    else if (object.mix >= 0)
        snprintf(text, size, " mix %d", object.mix + 1);
    else
        snprintf(text, size, " desk");
}

static void
on_message(void *context, const struct message *message)
{
    static const char *const kinds[] = {"raised", "worse", "cleared", "follows", "ends", "stays"};
    struct watch_rig *rig = context;
    size_t used = strlen(rig->text);

    if (rig->messages < WATCH_RIG_MESSAGES) {
        rig->causes[rig->messages] = message->cause;
        rig->weights[rig->messages] = message->weight;
    }
    rig->messages++;
    used += (size_t)snprintf(rig->text + used, sizeof rig->text - used,
                             "%s %d:", watch_rig_cause(message->cause.kind), message->cause.number);
    for (size_t i = 0; i < message->count && used + 100 < sizeof rig->text; i++) {
        char object[40];

        write_object(object, sizeof object, message->edges[i].finding->object);
        used += (size_t)snprintf(rig->text + used, sizeof rig->text - used, " %s %s%s;",
                                 kinds[message->edges[i].kind],
                                 message->edges[i].finding->check->id, object);
    }
    snprintf(rig->text + used, sizeof rig->text - used, "\n");
    if (rig->also)
        rig->also(rig->also_context, message);
}

static void
on_edge(void *context, const struct event *event, enum hidden hidden, int by)
{
    struct watch_rig *rig = context;

    (void)by;
    rig->hidden = hidden;
    rig->edges++;
    if (rig->also_edge)
        rig->also_edge(rig->also_context, event);
}

static void
on_room(void *context, enum room from, enum room to, const char *why)
{
    struct watch_rig *rig = context;
    size_t used = strlen(rig->rooms);

    snprintf(rig->rooms + used, sizeof rig->rooms - used, "%s -> %s (%s)\n", room_name(from),
             room_name(to), why);
}

int
watch_rig_make(void **state)
{
    *state = calloc(1, sizeof(struct watch_rig));
    return *state ? 0 : -1;
}

int
watch_rig_drop(void **state)
{
    struct watch_rig *rig = *state;

    watcher_free(rig->watcher);
    engine_free(rig->rig.engine);
    free(rig);
    return 0;
}

void
watch_rig_start(struct watch_rig *rig, int inputs, int mixes, enum room room)
{
    struct watcher_owner owner = {
        .message = on_message, .edge = on_edge, .room = on_room, .context = rig};

    watcher_free(rig->watcher);
    rig->away = false;
    rig_start_set(&rig->rig, inputs, mixes, check_set_lasting());
    /* the scenes name no players: without them each loudest send would be taken for an own one */
    rig->rig.show->checks[CHECK_OWN_SEND_OFF_UNITY].off = true;
    rig->rig.show->role = ROLE_MONITOR;
    for (int mix = 0; mix < mixes; mix++) /* nothing is said of a master that nothing reaches */
        rig_set(&rig->rig, PARAM_SEND_LEVEL, inputs - 1, mix, 0);
    rig->watcher = watcher_new(rig->rig.engine, (struct watcher_settings){20, 4}, room, owner);
    assert_non_null(rig->watcher);
    watch_rig_forget(rig);
}

void
watch_rig_vocal(struct watch_rig *rig, enum room room)
{
    watch_rig_start(rig, 8, 4, room);
    rig->rig.show->mixes[0].feeds = FEEDS_WEDGE;
    rig->rig.show->mixes[1].feeds = FEEDS_IN_EAR;
    rig->rig.show->mixes[2].feeds = FEEDS_WEDGE;
    rig->rig.show->mixes[3].feeds = FEEDS_WEDGE;
    strcpy(rig->rig.show->inputs[0].player, "Ada");
    strcpy(rig->rig.show->mixes[0].player, "Ada");
    rig_set(&rig->rig, PARAM_SEND_LEVEL, 0, 0, 0);
}

struct watch_rig *
watch_rig_begun(void **state, enum room room)
{
    struct watch_rig *rig = *state;

    watch_rig_vocal(rig, room);
    watch_rig_begin(rig);
    return rig;
}

void
watch_rig_begin(struct watch_rig *rig)
{
    watcher_begin(rig->watcher, rig->away, rig->rig.now_ms);
    watch_rig_pass(rig, 1);
}

void
watch_rig_pass(struct watch_rig *rig, int64_t ms)
{
    int64_t end_ms = rig->rig.now_ms + ms;

    while (rig->rig.now_ms < end_ms) {
        int64_t next_ms = watcher_next_ms(rig->watcher);
        int64_t most_ms = rig->rig.now_ms + LONGEST_SLEEP_MS;

        if (next_ms <= rig->rig.now_ms)
            next_ms = rig->rig.now_ms + 1;
        next_ms = next_ms < most_ms ? next_ms : most_ms;
        rig->rig.now_ms = next_ms < end_ms ? next_ms : end_ms;
        watcher_run(rig->watcher, rig->rig.now_ms);
    }
}

void
watch_rig_move(struct watch_rig *rig, enum param_id id, int row, int column, double number)
{
    rig_set(&rig->rig, id, row, column, number);
    watch_rig_pass(rig, 50);
}

void
watch_rig_forget(struct watch_rig *rig)
{
    rig->messages = rig->edges = 0;
    rig->text[0] = rig->rooms[0] = '\0';
}

void
watch_rig_lose(struct watch_rig *rig, int64_t ms)
{
    engine_expire(rig->rig.engine, INT64_MAX);
    watcher_lost(rig->watcher);
    watch_rig_pass(rig, ms);
}

static void
hear_again(struct watch_rig *rig, enum param_id id, int row, int column)
{
    const struct value *value = desk_value(rig->rig.desk, id, row, column);

    if (value->state != VALUE_STALE)
        return;
    if (params[id].unit == UNIT_TEXT)
        engine_hear_text(rig->rig.engine, id, row, column,
                         desk_text(rig->rig.desk, id, row, column), rig->rig.now_ms);
    else
        engine_hear(rig->rig.engine, id, row, column, value_last_heard(value), rig->rig.now_ms);
}

void
watch_rig_find_again(struct watch_rig *rig)
{
    for (int id = 0; id < PARAMS; id++)
        for (int row = 0; row < desk_rows(rig->rig.desk, (enum param_id)id); row++)
            for (int column = 0; column < desk_columns(rig->rig.desk, (enum param_id)id); column++)
                hear_again(rig, (enum param_id)id, row, column);
    watcher_back(rig->watcher, true, rig->rig.now_ms);
    watch_rig_pass(rig, 50);
}
