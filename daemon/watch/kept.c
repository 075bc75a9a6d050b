/* SPDX-License-Identifier: MIT */
#include "watch/kept.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/clock.h"
#include "base/escape.h"
#include "core/need.h"
#include "tell/chat.h"

/* Of one slot of the engine. */
struct slot {
    bool is_told;
    struct kept_told told;
};

struct unsent {
    char id[CHAT_ID_SIZE];
    enum weight weight;
    char *text;
};

struct kept {
    struct loop *loop;
    const struct session *session;
    struct watcher *watcher;
    struct kept_owner owner;
    struct keep *keep;       /* NULL: no file */
    struct json *batch;      /* what happened since the last commit; NULL: nothing */
    struct slot *slots;      /* of the engine */
    struct noticed *noticed; /* the same */
    struct lately lately;
    int64_t said_ms;         /* when the last of it was said */
    struct unsent *messages; /* not delivered yet, oldest first */
    size_t message_count, message_places;
    unsigned jumps_version; /* of those that the file has */
    bool failing;           /* told that the file cannot be written */
};

static int64_t
now_ms(const struct kept *kept)
{
    return loop_now_ms(kept->loop);
}

/* ---- opening and closing ---- */

struct kept *
kept_new(struct loop *loop, const struct session *session)
{
    struct kept *kept = need_memory(1, sizeof *kept);

    kept->loop = loop;
    kept->said_ms = loop_now_ms(loop);
    kept->session = session;
    kept->slots = need_memory(engine_slots(session->engine) + 1, sizeof *kept->slots);
    kept->noticed = noticed_new(engine_slots(session->engine));
    return kept;
}

void
kept_free(struct kept *kept)
{
    if (!kept)
        return;
    keep_close(kept->keep);
    json_free(kept->batch);
    for (size_t i = 0; i < kept->message_count; i++)
        free(kept->messages[i].text);
    free(kept->messages);
    free(kept->slots);
    noticed_free(kept->noticed);
    free(kept);
}

void
kept_set_owner(struct kept *kept, struct kept_owner owner)
{
    kept->owner = owner;
}

void
kept_set_watcher(struct kept *kept, struct watcher *watcher)
{
    kept->watcher = watcher;
}

void
kept_set_file(struct kept *kept, struct keep *keep)
{
    kept->keep = keep;
}

/* ---- what is known ---- */

void
kept_had_told(struct kept *kept, size_t slot, const struct kept_told *told)
{
    kept->slots[slot] = (struct slot){true, *told};
}

void
kept_had_untold(struct kept *kept, size_t slot)
{
    kept->slots[slot].is_told = false;
}

struct noticed *
kept_noticed(struct kept *kept)
{
    return kept->noticed;
}

struct lately *
kept_lately(struct kept *kept)
{
    return &kept->lately;
}

int64_t
kept_said_ms(const struct kept *kept)
{
    return kept->said_ms;
}

const struct kept_told *
kept_told(const struct kept *kept, size_t slot)
{
    return kept->slots[slot].is_told ? &kept->slots[slot].told : NULL;
}

void
kept_had_message(struct kept *kept, const char *id, enum weight weight, const char *text)
{
    struct unsent *message;

    if (kept->message_count == kept->message_places) {
        kept->message_places = kept->message_places ? 2 * kept->message_places : 16;
        kept->messages = need_more(kept->messages, kept->message_places, sizeof *kept->messages);
    }
    message = &kept->messages[kept->message_count++];
    *message = (struct unsent){.weight = weight, .text = need_text(text)};
    escape_clean(message->id, sizeof message->id, id);
}

void
kept_had_ended(struct kept *kept, const char *id)
{
    size_t i = 0;

    while (i < kept->message_count && strcmp(kept->messages[i].id, id) != 0)
        i++;
    if (i == kept->message_count)
        return;
    free(kept->messages[i].text);
    memmove(kept->messages + i, kept->messages + i + 1,
            (kept->message_count - i - 1) * sizeof *kept->messages);
    kept->message_count--;
}

/* A queue that is full drops one, which then is no longer in the list. */
void
kept_offer(struct kept *kept)
{
    size_t i = 0;

    while (i < kept->message_count) {
        const struct unsent *message = &kept->messages[i];
        char id[CHAT_ID_SIZE];

        memcpy(id, message->id, sizeof id);
        kept->owner.deliver(kept->owner.context, message->weight, message->id, message->text);
        if (i < kept->message_count && strcmp(kept->messages[i].id, id) == 0)
            i++;
    }
}

void
kept_carry(struct kept *kept, const struct engine *from)
{
    const struct engine *engine = kept->session->engine;
    struct slot *slots = need_memory(engine_slots(engine) + 1, sizeof *slots);

    for (size_t slot = 0; slot < engine_slots(from); slot++) {
        const struct finding *finding = engine_slot(from, slot);
        size_t here = engine_find(engine, finding->check->number, finding->object);

        if (here < engine_slots(engine))
            slots[here] = kept->slots[slot];
    }
    free(kept->slots);
    kept->slots = slots;
    noticed_carry(kept->noticed, from, engine);
}

/* ---- the batch in hand ---- */

static struct json *
batch_of(struct kept *kept)
{
    if (!kept->batch)
        kept->batch = json_new_object();
    return kept->batch;
}

/* The list of that name. */
static struct json *
list_of(struct kept *kept, const char *key)
{
    struct json *batch = batch_of(kept), *list = json_get_mutable(batch, key);

    if (list)
        return list;
    list = json_new_array();
    json_add(batch, key, list);
    return list;
}

void
kept_edge(struct kept *kept, const struct edge *edge)
{
    const struct finding *finding = edge->finding;
    struct slot *slot = &kept->slots[finding->slot];
    bool follows = edge->kind == EDGE_FOLLOWS;

    if (edge->kind == EDGE_CLEARED || edge->kind == EDGE_ENDS) {
        slot->is_told = false;
        json_add(list_of(kept, "untold"), NULL, kept_place_json(finding));
        return;
    }
    *slot = (struct slot){
        .is_told = true,
        .told = {.weight = follows ? finding->verdict.weight : finding->told_weight,
                 .severity = follows ? finding->verdict.severity : finding->told_severity,
                 .since_s = clock_now_s() - (double)edge->lasted_ms / 1000}};
    json_add(list_of(kept, "told"), NULL,
             kept_told_json(kept->session->engine, finding, &slot->told));
}

void
kept_gone(struct kept *kept, const struct json *place)
{
    json_add(list_of(kept, "untold"), NULL, json_copy(place));
}

void
kept_message(struct kept *kept, const char *id, enum weight weight, const char *text)
{
    kept_had_message(kept, id, weight, text);
    json_add(list_of(kept, "messages"), NULL, kept_message_json(id, weight, text));
}

void
kept_notice(struct kept *kept, const struct finding *finding, const char *by)
{
    noticed_add(kept->noticed, finding, by);
    json_add(list_of(kept, "seen"), NULL, kept_noticed_json(kept->noticed, finding));
}

void
kept_say(struct kept *kept, const char *line)
{
    kept->said_ms = now_ms(kept);
    json_add(list_of(kept, "lately"), NULL, lately_line_json(lately_add(&kept->lately, line)));
}

void
kept_ended(struct kept *kept, const char *id)
{
    kept_had_ended(kept, id);
    json_add_string(list_of(kept, "ended"), NULL, id);
    kept_commit(kept);
}

/* In place of what the batch says so far. */
static void
set(struct kept *kept, const char *key, struct json *json)
{
    json_remove(batch_of(kept), key);
    json_add(batch_of(kept), key, json);
}

void
kept_room(struct kept *kept)
{
    set(kept, "room", kept_room_json(kept->watcher, now_ms(kept)));
}

void
kept_quiets(struct kept *kept)
{
    set(kept, "quiets", kept_quiets_json(watcher_quiets(kept->watcher), now_ms(kept)));
}

static bool
has_running_quiet(const struct kept *kept)
{
    const struct quiets *quiets = watcher_quiets(kept->watcher);
    size_t i = 0;

    while (i < quiets->count && quiets->list[i].ended)
        i++;
    return i < quiets->count;
}

void
kept_minute(struct kept *kept)
{
    if (has_running_quiet(kept))
        kept_quiets(kept);
    if (watcher_room_until_ms(kept->watcher) != INT64_MAX)
        kept_room(kept);
    kept_commit(kept);
}

void
kept_stopped(struct kept *kept)
{
    json_add_bool(batch_of(kept), "stopped", true);
}

void
kept_all(struct kept *kept)
{
    const struct engine *engine = kept->session->engine;

    for (size_t slot = 0; slot < engine_slots(engine); slot++) {
        const struct finding *finding = engine_slot(engine, slot);
        struct edge edge = {EDGE_RAISED, finding, now_ms(kept) - finding->since_ms};

        if (watcher_is_told(kept->watcher, finding) && !kept->slots[slot].is_told)
            kept_edge(kept, &edge);
    }
    kept_room(kept);
}

/* ---- writing ---- */

/* The oldest first. */
static struct json *
lately_json(const struct lately *lately)
{
    struct json *list = json_new_array();

    for (size_t back = LATELY_KEPT; back > 0; back--)
        if (lately_at(lately, back - 1))
            json_add(list, NULL, lately_line_json(lately_at(lately, back - 1)));
    return list;
}

static struct json *
seen_list_json(const struct kept *kept)
{
    struct json *list = json_new_array();

    for (size_t slot = 0; slot < engine_slots(kept->session->engine); slot++) {
        const struct finding *finding = engine_slot(kept->session->engine, slot);

        if (noticed_of(kept->noticed, finding))
            json_add(list, NULL, kept_noticed_json(kept->noticed, finding));
    }
    return list;
}

/* All of it in one record. */
static struct json *
snapshot(const struct kept *kept)
{
    struct engine *engine = kept->session->engine;
    struct json *record = json_new_object(), *told = json_new_array(), *list = json_new_array();

    for (size_t slot = 0; slot < engine_slots(engine); slot++)
        if (kept->slots[slot].is_told)
            json_add(told, NULL,
                     kept_told_json(engine, engine_slot(engine, slot), &kept->slots[slot].told));
    for (size_t i = 0; i < kept->message_count; i++) {
        const struct unsent *message = &kept->messages[i];

        json_add(list, NULL, kept_message_json(message->id, message->weight, message->text));
    }
    json_add(record, "told", told);
    json_add(record, "messages", list);
    json_add(record, "seen", seen_list_json(kept));
    json_add(record, "lately", lately_json(&kept->lately));
    json_add(record, "room", kept_room_json(kept->watcher, now_ms(kept)));
    json_add(record, "quiets", kept_quiets_json(watcher_quiets(kept->watcher), now_ms(kept)));
    json_add(record, "jumps", kept_jumps_json(engine, now_ms(kept)));
    json_add_number(record, "at_s", round(clock_now_s() * 1000) / 1000);
    return record;
}

struct json *
kept_snapshot(const struct kept *kept)
{
    struct json *record = snapshot(kept);

    json_remove(record, "messages");
    return record;
}

/* With whatever else is written: a leap by itself is no news, and a fader that is opened is one. */
static void
add_jumps(struct kept *kept)
{
    unsigned version = moves_jumps_version(engine_moves(kept->session->engine));

    if (version == kept->jumps_version)
        return;
    kept->jumps_version = version;
    json_add(kept->batch, "jumps", kept_jumps_json(kept->session->engine, now_ms(kept)));
}

static bool
write_snapshot(struct kept *kept)
{
    struct json *record = snapshot(kept);
    bool good = keep_compact(kept->keep, record);

    json_free(record);
    return good;
}

/* After a failure the file lacks batches, so that only the whole of what is known puts it right.
 * One that has grown is made anew when that works, and added to when it does not. */
static bool
write_batch(struct kept *kept, const struct json *batch)
{
    if (!kept->keep)
        return true; /* a replay */
    if (kept->failing)
        return write_snapshot(kept);
    return (keep_is_long(kept->keep) && write_snapshot(kept)) || keep_write(kept->keep, batch);
}

static void
tell_keeping(struct kept *kept, bool good)
{
    char line[300];

    if (good == !kept->failing)
        return;
    kept->failing = !good;
    if (good)
        snprintf(line, sizeof line, "what was told is kept on disk again");
    else
        snprintf(line, sizeof line,
                 "what was told cannot be kept on disk (%s): a restart would tell it again",
                 keep_error(kept->keep));
    kept->owner.trouble(kept->owner.context, line);
}

static void
deliver(const struct kept *kept, const struct json *batch)
{
    for (const struct json *one = json_first_at(batch, "messages"); one; one = json_next(one))
        kept->owner.deliver(kept->owner.context, weight_find(json_string(json_get(one, "weight"))),
                            json_string(json_get(one, "id")), json_string(json_get(one, "text")));
}

void
kept_commit(struct kept *kept)
{
    struct json *batch = kept->batch;
    bool good;

    if (!batch)
        return;
    add_jumps(kept);
    json_add_number(batch, "at_s", round(clock_now_s() * 1000) / 1000);
    good = write_batch(kept, batch);
    kept->batch = NULL; /* a hook that is full ends messages, which is a batch of its own */
    deliver(kept, batch);
    json_free(batch);
    tell_keeping(kept, good);
}
