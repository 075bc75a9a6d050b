/* What outlasts a restart: what people were told of, what was not delivered yet, the room and
 * what is quieted. All that happened in one wake-up is one batch, so that a finding counts as told
 * if and only if its message is there to be delivered.
 *
 *   {"told": [{"check", "input", "mix", "weight", "severity", "since_s", "says", "do"}],
 *    "untold": [{"check", "input", "mix"}],
 *    "messages": [{"id", "weight", "text"}], "ended": ["id"],
 *    "jumps": [{"is", "row", "column", "from", "to", "gap_s", "ago_s"}],
 *    "room": {"is", "before", "until_s", "left_s"},
 *    "quiets": [{"number", "check", "input", "mix", "player", "stop_too", "why", "by", "until_s",
 *                "left_s"}],
 *    "stopped": true, "at_s": ...}
 *
 * Times are seconds since 1970, because another run has another monotonic clock. What ends by
 * itself says besides how much of it is left (struct kept_end), anew every minute.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/clock.h"
#include "base/escape.h"
#include "base/json.h"
#include "base/places.h"
#include "check/check.h"
#include "watch/desk_parts.h"

void
watch_kept_add(struct watch_keep *kept, const char *id, enum weight weight, const char *text)
{
    struct kept_message *message;

    if (kept->message_count == kept->message_places) {
        kept->message_places = kept->message_places ? 2 * kept->message_places : 16;
        kept->messages = realloc(kept->messages, kept->message_places * sizeof *kept->messages);
        if (!kept->messages)
            abort();
    }
    message = &kept->messages[kept->message_count++];
    *message = (struct kept_message){.weight = weight, .text = strdup(text)};
    if (!message->text)
        abort();
    escape_clean(message->id, sizeof message->id, id);
}

void
watch_kept_end(struct watch_keep *kept, const char *id)
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

/* The list of that name in the batch in hand. */
static struct json *
list_of(struct watch_desk *desk, const char *key)
{
    struct json *list;

    if (!desk->kept.batch)
        desk->kept.batch = json_new_object();
    list = json_get_mutable(desk->kept.batch, key);
    if (list)
        return list;
    list = json_new_array();
    json_add(desk->kept.batch, key, list);
    return list;
}

static struct json *
place_json(const struct finding *finding)
{
    struct json *json = json_new_object();

    json_add_string(json, "check", checks[finding->check]->id);
    if (finding->object.input >= 0)
        json_add_number(json, "input", finding->object.input + 1);
    if (finding->object.mix >= 0)
        json_add_number(json, "mix", finding->object.mix + 1);
    return json;
}

static struct json *
told_json(const struct finding *finding, const struct kept_finding *kept)
{
    struct json *json = place_json(finding);

    json_add_string(json, "weight", weight_name(kept->weight));
    json_add_number(json, "severity", kept->severity);
    json_add_number(json, "since_s", round(kept->since_s * 1000) / 1000);
    json_add_string(json, "says", finding->verdict.says);
    json_add_string(json, "do", finding->verdict.cure);
    return json;
}

void
watch_keep_edge(struct watch_desk *desk, const struct edge *edge)
{
    const struct finding *finding = edge->finding;
    struct kept_finding *kept = &desk->kept.findings[finding->slot];
    bool follows = edge->kind == EDGE_FOLLOWS;

    if (edge->kind == EDGE_CLEARED || edge->kind == EDGE_ENDS) {
        kept->told = false;
        json_add(list_of(desk, "untold"), NULL, place_json(finding));
        return;
    }
    *kept = (struct kept_finding){
        .told = true,
        .weight = follows ? finding->verdict.weight : finding->told_weight,
        .severity = follows ? finding->verdict.severity : finding->told_severity,
        .since_s = clock_now_s() - (double)edge->lasted_ms / 1000};
    json_add(list_of(desk, "told"), NULL, told_json(finding, kept));
}

void
watch_keep_gone(struct watch_desk *desk, const struct json *place)
{
    json_add(list_of(desk, "untold"), NULL, json_copy(place));
}

static struct json *
message_json(const struct kept_message *message)
{
    struct json *json = json_new_object();

    json_add_string(json, "id", message->id);
    json_add_string(json, "weight", weight_name(message->weight));
    json_add_string(json, "text", message->text);
    return json;
}

/* A queue that is full drops one, which then is no longer in the list. */
void
watch_kept_offer(struct watch_desk *desk)
{
    size_t i = 0;

    while (desk->sinks.chat && i < desk->kept.message_count) {
        const struct kept_message *message = &desk->kept.messages[i];
        char id[CHAT_ID_SIZE];

        memcpy(id, message->id, sizeof id);
        chat_say(desk->sinks.chat, message->weight, message->id, message->text);
        if (i < desk->kept.message_count && strcmp(desk->kept.messages[i].id, id) == 0)
            i++;
    }
}

/* It goes to the hook once the batch is on disk. */
void
watch_keep_message(struct watch_desk *desk, const char *id, enum weight weight, const char *text)
{
    watch_kept_add(&desk->kept, id, weight, text);
    json_add(list_of(desk, "messages"), NULL,
             message_json(&desk->kept.messages[desk->kept.message_count - 1]));
}

void
watch_keep_ended(struct watch_desk *desk, const char *id)
{
    watch_kept_end(&desk->kept, id);
    json_add_string(list_of(desk, "ended"), NULL, id);
    watch_keep_commit(desk);
}

static void
add_end(const struct watch_desk *desk, struct json *json, int64_t until_ms)
{
    double left_s = (double)(until_ms - loop_now_ms(desk->shared->loop)) / 1000;

    json_add_number(json, "until_s", round((clock_now_s() + left_s) * 1000) / 1000);
    json_add_number(json, "left_s", left_s);
}

static struct json *
room_json(const struct watch_desk *desk)
{
    struct json *json = json_new_object();
    int64_t until_ms = watcher_room_until_ms(desk->watcher);

    json_add_string(json, "is", room_name(watcher_room(desk->watcher)));
    json_add_string(json, "before", room_name(watcher_room_before(desk->watcher)));
    if (until_ms != INT64_MAX)
        add_end(desk, json, until_ms);
    return json;
}

void
watch_keep_room(struct watch_desk *desk)
{
    if (!desk->kept.batch)
        desk->kept.batch = json_new_object();
    json_remove(desk->kept.batch, "room");
    json_add(desk->kept.batch, "room", room_json(desk));
}

static struct json *
quiets_json(const struct watch_desk *desk)
{
    const struct quiets *quiets = watcher_quiets(desk->watcher);
    struct json *list = json_new_array();

    for (size_t i = 0; i < quiets->count; i++) {
        const struct quiet *quiet = &quiets->list[i];
        struct json *json = json_new_object();

        json_add_number(json, "number", quiet->number);
        if (quiet->check >= 0)
            json_add_string(json, "check", checks[quiet->check]->id);
        if (quiet->input >= 0)
            json_add_number(json, "input", quiet->input + 1);
        if (quiet->mix >= 0)
            json_add_number(json, "mix", quiet->mix + 1);
        json_add_string(json, "player", quiet->player);
        json_add_bool(json, "stop_too", quiet->stop_too);
        json_add_string(json, "why", quiet->why);
        json_add_string(json, "by", quiet->by);
        add_end(desk, json, quiet->until_ms);
        json_add(list, NULL, json);
    }
    return list;
}

void
watch_keep_quiets(struct watch_desk *desk)
{
    if (!desk->kept.batch)
        desk->kept.batch = json_new_object();
    json_remove(desk->kept.batch, "quiets");
    json_add(desk->kept.batch, "quiets", quiets_json(desk));
}

static bool
has_running_quiet(const struct watch_desk *desk)
{
    const struct quiets *quiets = watcher_quiets(desk->watcher);
    size_t i = 0;

    while (i < quiets->count && quiets->list[i].ended)
        i++;
    return i < quiets->count;
}

void
watch_keep_minute(void *context)
{
    struct watch_desk *desk = context;

    if (has_running_quiet(desk))
        watch_keep_quiets(desk);
    if (watcher_room_until_ms(desk->watcher) != INT64_MAX)
        watch_keep_room(desk);
    watch_keep_commit(desk);
}

/* ---- leaps ---- */

static struct json *
jump_json(const struct watch_desk *desk, const struct jump *jump)
{
    struct json *json = json_new_object();
    int64_t ago_ms = loop_now_ms(desk->shared->loop) - jump->at_ms;

    json_add_string(json, "is", params[jump->id].name);
    json_add_number(json, "row", jump->row + 1);
    json_add_number(json, "column", jump->column + 1);
    if (isfinite(jump->from)) /* without it: from off */
        json_add_number(json, "from", jump->from);
    json_add_number(json, "to", jump->to);
    json_add_number(json, "gap_s", (double)jump->gap_ms / 1000);
    json_add_number(json, "ago_s", (double)ago_ms / 1000);
    return json;
}

static struct json *
jumps_json(const struct watch_desk *desk)
{
    struct json *list = json_new_array();
    size_t count;
    const struct jump *jumps = moves_jumps(engine_moves(desk->session->engine), &count);

    for (size_t i = 0; i < count; i++)
        json_add(list, NULL, jump_json(desk, &jumps[i]));
    return list;
}

/* With whatever else is written: a leap by itself is no news, and a fader that is opened is one. */
static void
keep_jumps(struct watch_desk *desk)
{
    unsigned version = moves_jumps_version(engine_moves(desk->session->engine));

    if (version == desk->kept.jumps_version)
        return;
    desk->kept.jumps_version = version;
    json_add(desk->kept.batch, "jumps", jumps_json(desk));
}

void
watch_keep_carry(struct watch_desk *desk, const struct engine *from)
{
    const struct engine *engine = desk->session->engine;
    struct kept_finding *findings = calloc(engine_slots(engine) + 1, sizeof *findings);

    if (!findings)
        abort();
    for (size_t slot = 0; slot < engine_slots(from); slot++) {
        const struct finding *finding = engine_slot(from, slot);
        size_t here = engine_find(engine, finding->check, finding->object);

        if (here < engine_slots(engine))
            findings[here] = desk->kept.findings[slot];
    }
    free(desk->kept.findings);
    desk->kept.findings = findings;
}

void
watch_keep_all(struct watch_desk *desk)
{
    const struct engine *engine = desk->session->engine;
    int64_t now_ms = loop_now_ms(desk->shared->loop);

    for (size_t slot = 0; slot < engine_slots(engine); slot++) {
        const struct finding *finding = engine_slot(engine, slot);
        struct edge edge = {EDGE_RAISED, finding, now_ms - finding->since_ms};

        if (watcher_is_told(desk->watcher, finding) && !desk->kept.findings[slot].told)
            watch_keep_edge(desk, &edge);
    }
    watch_keep_room(desk);
}

/* All of it in one record. */
static struct json *
snapshot(const struct watch_desk *desk)
{
    const struct engine *engine = desk->session->engine;
    struct json *record = json_new_object(), *told = json_new_array(), *list = json_new_array();

    for (size_t slot = 0; slot < engine_slots(engine); slot++)
        if (desk->kept.findings[slot].told)
            json_add(told, NULL, told_json(engine_slot(engine, slot), &desk->kept.findings[slot]));
    for (size_t i = 0; i < desk->kept.message_count; i++)
        json_add(list, NULL, message_json(&desk->kept.messages[i]));
    json_add(record, "told", told);
    json_add(record, "messages", list);
    json_add(record, "room", room_json(desk));
    json_add(record, "quiets", quiets_json(desk));
    json_add(record, "jumps", jumps_json(desk));
    json_add_number(record, "at_s", round(clock_now_s() * 1000) / 1000);
    return record;
}

struct json *
watch_keep_snapshot(const struct watch_desk *desk)
{
    struct json *record = snapshot(desk);

    json_remove(record, "messages");
    return record;
}

static bool
write_snapshot(struct watch_desk *desk)
{
    struct json *record = snapshot(desk);
    bool good = keep_compact(desk->kept.keep, record);

    json_free(record);
    return good;
}

/* After a failure the file lacks batches, so that only the whole of what is known puts it right.
 * One that has grown is made anew when that works, and added to when it does not. */
static bool
write_batch(struct watch_desk *desk, const struct json *batch)
{
    if (!desk->kept.keep)
        return true; /* a replay */
    if (desk->kept.failing)
        return write_snapshot(desk);
    return (keep_is_long(desk->kept.keep) && write_snapshot(desk)) ||
           keep_write(desk->kept.keep, batch);
}

static void
tell_keeping(struct watch_desk *desk, bool good)
{
    char line[300];

    if (good == !desk->kept.failing)
        return;
    desk->kept.failing = !good;
    if (good)
        snprintf(line, sizeof line, "what was told is kept on disk again");
    else
        snprintf(line, sizeof line,
                 "what was told cannot be kept on disk (%s): a restart would tell it again",
                 keep_error(desk->kept.keep));
    watch_say_outside(desk, line);
}

void
watch_keep_commit(struct watch_desk *desk)
{
    struct json *batch = desk->kept.batch;
    const struct json *message;
    bool good;

    if (!batch)
        return;
    keep_jumps(desk);
    json_add_number(batch, "at_s", round(clock_now_s() * 1000) / 1000);
    good = write_batch(desk, batch);
    desk->kept.batch = NULL; /* a hook that is full ends messages, which is a batch of its own */
    message = json_get(batch, "messages");
    for (message = message ? json_first(message) : NULL; message && desk->sinks.chat;
         message = json_next(message))
        chat_say(desk->sinks.chat, weight_find(json_string(json_get(message, "weight"))),
                 json_string(json_get(message, "id")), json_string(json_get(message, "text")));
    json_free(batch);
    tell_keeping(desk, good);
}

void
watch_keep_stopped(struct watch_desk *desk)
{
    if (!desk->kept.batch)
        desk->kept.batch = json_new_object();
    json_add_bool(desk->kept.batch, "stopped", true);
}
