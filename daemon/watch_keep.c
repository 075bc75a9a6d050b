/* What outlasts a restart: what people were told of, what was not delivered yet, the show state and
 * what is quieted. All that happened in one wake-up is one batch, so that a finding counts as told
 * if and only if its message is there to be delivered.
 *
 *   {"told": [{"check", "input", "mix", "weight", "severity", "since_s"}], "untold": [{...}],
 *    "messages": [{"id", "weight", "text"}], "ended": ["id"],
 *    "state": {"is", "until_s"}, "quiets": [...], "stopped": true}
 *
 * Times are seconds since 1970, because another run has another monotonic clock.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "check.h"
#include "clock.h"
#include "escape.h"
#include "json.h"
#include "places.h"
#include "watch_desk_parts.h"

/* ---- reading, of a file that others may have written to ---- */

static double
number_of(const struct json *json, const char *key, double otherwise)
{
    const struct json *number = json ? json_get(json, key) : NULL;

    return number && json_kind(number) == JSON_NUMBER ? json_number(number) : otherwise;
}

static const char *
text_of(const struct json *json, const char *key)
{
    const struct json *text = json ? json_get(json, key) : NULL;

    return text && json_kind(text) == JSON_STRING ? json_string(text) : "";
}

static const struct json *
first_of(const struct json *json, const char *key)
{
    const struct json *list = json_get(json, key);

    return list && json_kind(list) == JSON_ARRAY ? json_first(list) : NULL;
}

/* A position from 1 as one from 0, -1 when there is none. */
static int
index_of(const struct json *json, const char *key)
{
    double number = number_of(json, key, 0);

    return number >= 1 && number < 100000 ? (int)number - 1 : -1;
}

/* The slot an entry is about; engine_slots() when this desk has no such. */
static size_t
slot_of(const struct watch_desk *desk, const struct json *json)
{
    const struct engine *engine = desk->session->engine;
    int check = check_find(text_of(json, "check"));

    if (check < 0)
        return engine_slots(engine);
    return engine_find(engine, check,
                       (struct object){index_of(json, "input"), index_of(json, "mix")});
}

static void
read_told(struct watch_desk *desk, const struct json *record)
{
    size_t slots = engine_slots(desk->session->engine);

    for (const struct json *one = first_of(record, "told"); one; one = json_next(one)) {
        size_t slot = slot_of(desk, one);
        enum weight weight = weight_find(text_of(one, "weight"));

        if (slot < slots && weight != WEIGHTS)
            desk->kept.findings[slot] = (struct kept_finding){
                true, weight, number_of(one, "severity", 0), number_of(one, "since_s", 0)};
    }
    for (const struct json *one = first_of(record, "untold"); one; one = json_next(one)) {
        size_t slot = slot_of(desk, one);

        if (slot < slots)
            desk->kept.findings[slot].told = false;
    }
}

static void
add_message(struct watch_keep *kept, const char *id, enum weight weight, const char *text)
{
    struct kept_message *message;

    if (kept->message_count == kept->message_room) {
        kept->message_room = kept->message_room ? 2 * kept->message_room : 16;
        kept->messages = realloc(kept->messages, kept->message_room * sizeof *kept->messages);
        if (!kept->messages)
            abort();
    }
    message = &kept->messages[kept->message_count++];
    *message = (struct kept_message){.weight = weight, .text = strdup(text)};
    if (!message->text)
        abort();
    escape_clean(message->id, sizeof message->id, id);
}

static void
end_message(struct watch_keep *kept, const char *id)
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

static void
read_messages(struct watch_keep *kept, const struct json *record)
{
    for (const struct json *one = first_of(record, "messages"); one; one = json_next(one)) {
        enum weight weight = weight_find(text_of(one, "weight"));

        add_message(kept, text_of(one, "id"), weight == WEIGHTS ? WEIGHT_NOTE : weight,
                    text_of(one, "text"));
    }
    for (const struct json *one = first_of(record, "ended"); one; one = json_next(one))
        if (json_kind(one) == JSON_STRING)
            end_message(kept, json_string(one));
}

/* ms of this run's clock for a time of the file's. */
static int64_t
ms_of(const struct watch_desk *desk, double at_s)
{
    double ahead_s = at_s - clock_now_s();

    return loop_now_ms(desk->room->loop) + (int64_t)(fmax(-1e9, fmin(1e9, ahead_s)) * 1000);
}

static void
read_quiets(struct watch_desk *desk, const struct json *record)
{
    const struct json *list = json_get(record, "quiets");

    if (!list)
        return;
    desk->kept.quiet_count = 0;
    for (const struct json *one = first_of(record, "quiets");
         one && desk->kept.quiet_count < QUIETS_KEPT; one = json_next(one)) {
        struct quiet *quiet = &desk->kept.quiets[desk->kept.quiet_count++];
        const struct json *stop_too = json_get(one, "stop_too");

        *quiet = (struct quiet){.check = check_find(text_of(one, "check")),
                                .input = index_of(one, "input"),
                                .mix = index_of(one, "mix"),
                                .from_ms = ms_of(desk, number_of(one, "from_s", 0)),
                                .until_ms = ms_of(desk, number_of(one, "until_s", 0))};
        quiet->stop_too = stop_too && json_kind(stop_too) == JSON_BOOL && json_bool(stop_too);
        quiet->number = (int)fmax(1, fmin(1e6, number_of(one, "number", 1)));
        escape_clean(quiet->player, sizeof quiet->player, text_of(one, "player"));
        escape_clean(quiet->why, sizeof quiet->why, text_of(one, "why"));
        escape_clean(quiet->by, sizeof quiet->by, text_of(one, "by"));
    }
}

static void
on_record(void *context, const struct json *record)
{
    struct watch_desk *desk = context;
    const struct json *state = json_get(record, "state");

    desk->kept.away = true;
    desk->kept.stopped = json_get(record, "stopped") != NULL;
    read_told(desk, record);
    read_messages(&desk->kept, record);
    read_quiets(desk, record);
    if (state && json_kind(state) == JSON_OBJECT) {
        desk->kept.state = state_find(text_of(state, "is"));
        desk->kept.state_until_s = number_of(state, "until_s", 0);
    }
}

bool
watch_keep_open(struct watch_desk *desk, struct problems *problems)
{
    const struct options *options = desk->room->options;
    char name[80], path[PLACES_SIZE];

    desk->kept.state = STATES;
    desk->kept.findings =
        calloc(engine_slots(desk->session->engine) + 1, sizeof *desk->kept.findings);
    desk->kept.quiets = calloc(QUIETS_KEPT, sizeof *desk->kept.quiets);
    if (!desk->kept.findings || !desk->kept.quiets)
        abort();
    places_name(desk->show, options->profile, options->desk, name);
    if (!places_kept(options->keep, name, "kept", path, problems))
        return false;
    desk->kept.keep = keep_open(path, on_record, desk, problems, stderr);
    return desk->kept.keep != NULL;
}

void
watch_keep_close(struct watch_desk *desk)
{
    keep_close(desk->kept.keep);
    json_free(desk->kept.batch);
    free(desk->kept.findings);
    free(desk->kept.quiets);
    for (size_t i = 0; i < desk->kept.message_count; i++)
        free(desk->kept.messages[i].text);
    free(desk->kept.messages);
}

/* ---- giving it back ---- */

static void
restore_findings(struct watch_desk *desk)
{
    const struct engine *engine = desk->session->engine;

    for (size_t slot = 0; slot < engine_slots(engine); slot++) {
        const struct kept_finding *kept = &desk->kept.findings[slot];
        const struct finding *finding = engine_slot(engine, slot);

        if (kept->told)
            watcher_restore(desk->watcher, finding->check, finding->object, kept->weight,
                            kept->severity, ms_of(desk, kept->since_s));
    }
}

static void
restore_state(struct watch_desk *desk)
{
    int64_t now_ms = loop_now_ms(desk->room->loop);
    int64_t until_ms =
        desk->kept.state_until_s > 0 ? ms_of(desk, desk->kept.state_until_s) : INT64_MAX;

    if (desk->kept.state != STATES)
        watcher_set_state(desk->watcher, desk->kept.state, "as before the restart", until_ms,
                          now_ms);
}

void
watch_keep_restore(struct watch_desk *desk)
{
    struct quiets *quiets = watcher_quiets(desk->watcher);

    if (!desk->kept.away)
        return;
    restore_findings(desk);
    for (size_t i = 0; i < desk->kept.quiet_count; i++) {
        quiets_add(quiets, &desk->kept.quiets[i]);
        quiets->list[quiets->count - 1].number = desk->kept.quiets[i].number;
        if (quiets->last < desk->kept.quiets[i].number)
            quiets->last = desk->kept.quiets[i].number;
    }
    restore_state(desk);
    for (size_t i = 0; desk->sinks.chat && i < desk->kept.message_count; i++)
        chat_say(desk->sinks.chat, desk->kept.messages[i].weight, desk->kept.messages[i].id,
                 desk->kept.messages[i].text);
}

/* ---- writing ---- */

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
    *kept = (struct kept_finding){true, follows ? finding->verdict.weight : finding->told_weight,
                                  follows ? finding->verdict.severity : finding->told_severity,
                                  clock_now_s() - (double)edge->lasted_ms / 1000};
    json_add(list_of(desk, "told"), NULL, told_json(finding, kept));
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

/* It goes to the hook once the batch is on disk. */
void
watch_keep_message(struct watch_desk *desk, const char *id, enum weight weight, const char *text)
{
    add_message(&desk->kept, id, weight, text);
    json_add(list_of(desk, "messages"), NULL,
             message_json(&desk->kept.messages[desk->kept.message_count - 1]));
}

void
watch_keep_ended(struct watch_desk *desk, const char *id)
{
    end_message(&desk->kept, id);
    json_add_string(list_of(desk, "ended"), NULL, id);
    watch_keep_commit(desk);
}

static struct json *
state_json(const struct watch_desk *desk)
{
    struct json *json = json_new_object();
    int64_t until_ms = watcher_state_until_ms(desk->watcher);
    double ahead_s = (double)(until_ms - loop_now_ms(desk->room->loop)) / 1000;

    json_add_string(json, "is", state_name(watcher_state(desk->watcher)));
    if (until_ms != INT64_MAX)
        json_add_number(json, "until_s", clock_now_s() + ahead_s);
    return json;
}

void
watch_keep_state(struct watch_desk *desk)
{
    if (!desk->kept.batch)
        desk->kept.batch = json_new_object();
    json_remove(desk->kept.batch, "state");
    json_add(desk->kept.batch, "state", state_json(desk));
}

static struct json *
quiets_json(const struct watch_desk *desk)
{
    const struct quiets *quiets = watcher_quiets(desk->watcher);
    int64_t now_ms = loop_now_ms(desk->room->loop);
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
        json_add_number(json, "from_s", clock_now_s() + (double)(quiet->from_ms - now_ms) / 1000);
        json_add_number(json, "until_s", clock_now_s() + (double)(quiet->until_ms - now_ms) / 1000);
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
    int64_t now_ms = loop_now_ms(desk->room->loop);

    for (size_t slot = 0; slot < engine_slots(engine); slot++) {
        const struct finding *finding = engine_slot(engine, slot);
        struct edge edge = {EDGE_RAISED, finding, now_ms - finding->since_ms};

        if (watcher_is_told(desk->watcher, finding) && !desk->kept.findings[slot].told)
            watch_keep_edge(desk, &edge);
    }
    watch_keep_state(desk);
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
    json_add(record, "state", state_json(desk));
    json_add(record, "quiets", quiets_json(desk));
    return record;
}

/* A disk that was full is written to anew from the whole of what is known. */
static bool
write_batch(struct watch_desk *desk, const struct json *batch)
{
    struct json *record;
    bool good;

    if (!desk->kept.failing && !keep_is_long(desk->kept.keep))
        return keep_write(desk->kept.keep, batch);
    record = snapshot(desk);
    good = keep_compact(desk->kept.keep, record);
    json_free(record);
    return good;
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
    watch_say(desk, line);
}

void
watch_keep_commit(struct watch_desk *desk)
{
    struct json *batch = desk->kept.batch;
    const struct json *message;
    bool good;

    if (!batch)
        return;
    good = write_batch(desk, batch);
    desk->kept.batch = NULL; /* a hook that is full ends messages, which is a batch of its own */
    message = first_of(batch, "messages");
    for (; message && desk->sinks.chat; message = json_next(message))
        chat_say(desk->sinks.chat, weight_find(text_of(message, "weight")), text_of(message, "id"),
                 text_of(message, "text"));
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
