/* What the kept file says, read back: others may have written to it, so that nothing in it is
 * trusted. watch_keep.c says what stands there.
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

static char *
clean_copy(const char *text, size_t size)
{
    char *copy = malloc(size);

    if (!copy)
        abort();
    escape_clean(copy, size, text);
    return copy;
}

void
watch_kept_forget(struct kept_finding *finding)
{
    free(finding->says);
    free(finding->cure);
    finding->says = finding->cure = NULL;
}

static void
read_finding(struct kept_finding *finding, enum weight weight, const struct json *json)
{
    const struct verdict *room = NULL;

    watch_kept_forget(finding);
    *finding = (struct kept_finding){.told = true,
                                     .weight = weight,
                                     .severity = number_of(json, "severity", 0),
                                     .since_s = number_of(json, "since_s", 0),
                                     .says = clean_copy(text_of(json, "says"), sizeof room->says),
                                     .cure = clean_copy(text_of(json, "do"), sizeof room->cure)};
}

static void
read_told(struct watch_desk *desk, const struct json *record)
{
    size_t slots = engine_slots(desk->session->engine);

    for (const struct json *one = first_of(record, "told"); one; one = json_next(one)) {
        size_t slot = slot_of(desk, one);
        enum weight weight = weight_find(text_of(one, "weight"));

        if (slot < slots && weight != WEIGHTS)
            read_finding(&desk->kept.findings[slot], weight, one);
    }
    for (const struct json *one = first_of(record, "untold"); one; one = json_next(one)) {
        size_t slot = slot_of(desk, one);

        if (slot < slots)
            desk->kept.findings[slot].told = false;
    }
}

static void
read_messages(struct watch_keep *kept, const struct json *record)
{
    for (const struct json *one = first_of(record, "messages"); one; one = json_next(one)) {
        enum weight weight = weight_find(text_of(one, "weight"));

        watch_kept_add(kept, text_of(one, "id"), weight == WEIGHTS ? WEIGHT_NOTE : weight,
                       text_of(one, "text"));
    }
    for (const struct json *one = first_of(record, "ended"); one; one = json_next(one))
        if (json_kind(one) == JSON_STRING)
            watch_kept_end(kept, json_string(one));
}

/* ms of this run's clock for a time of the file's. */
static int64_t
ms_of(const struct watch_desk *desk, double at_s)
{
    double ahead_s = at_s - clock_now_s();

    return loop_now_ms(desk->shared->loop) + (int64_t)(fmax(-1e9, fmin(1e9, ahead_s)) * 1000);
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
    const struct json *room = json_get(record, "room");

    desk->kept.away = true;
    desk->kept.at_s = number_of(record, "at_s", desk->kept.at_s);
    desk->kept.stopped = json_get(record, "stopped") != NULL;
    read_told(desk, record);
    read_messages(&desk->kept, record);
    read_quiets(desk, record);
    if (room && json_kind(room) == JSON_OBJECT) {
        desk->kept.room = room_find(text_of(room, "is"));
        desk->kept.room_until_s = number_of(room, "until_s", 0);
    }
}

static void
begin_empty(struct watch_desk *desk)
{
    desk->kept.room = ROOMS;
    desk->kept.findings =
        calloc(engine_slots(desk->session->engine) + 1, sizeof *desk->kept.findings);
    desk->kept.quiets = calloc(QUIETS_KEPT, sizeof *desk->kept.quiets);
    if (!desk->kept.findings || !desk->kept.quiets)
        abort();
}

void
watch_keep_open_replayed(struct watch_desk *desk, const struct json *snapshot)
{
    begin_empty(desk);
    if (snapshot)
        on_record(desk, snapshot);
}

bool
watch_keep_open(struct watch_desk *desk, struct problems *problems)
{
    const struct options *options = desk->shared->options;
    char name[80], path[PLACES_SIZE];

    begin_empty(desk);
    places_name(desk->show, options->profile, options->desk, name);
    if (!places_kept(options->keep, name, "kept", path, problems))
        return false;
    desk->kept.keep = keep_open(path, on_record, desk, problems, stderr);
    return desk->kept.keep != NULL;
}

void
watch_keep_close(struct watch_desk *desk)
{
    size_t slots = desk->kept.findings ? engine_slots(desk->session->engine) : 0;

    keep_close(desk->kept.keep);
    json_free(desk->kept.batch);
    for (size_t slot = 0; slot < slots; slot++)
        watch_kept_forget(&desk->kept.findings[slot]);
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
        struct kept_finding *kept = &desk->kept.findings[slot];
        const struct finding *finding = engine_slot(engine, slot);
        struct told told = {finding->check, finding->object, kept->weight, kept->severity, 0,
                            kept->says,     kept->cure};

        if (kept->told) {
            told.since_ms = ms_of(desk, kept->since_s);
            watcher_restore(desk->watcher, &told);
        }
        watch_kept_forget(kept);
    }
}

/* What the timetable changed while the watch was away goes before what held then. */
static bool
is_overtaken(const struct watch_desk *desk)
{
    const struct show_file *file = desk->session->file;
    enum room room;
    time_t since;

    return file && timetable_room(&file->room, clock_now(), &room, &since) &&
           (double)since > desk->kept.at_s;
}

static void
restore_room(struct watch_desk *desk)
{
    int64_t now_ms = loop_now_ms(desk->shared->loop);
    int64_t until_ms =
        desk->kept.room_until_s > 0 ? ms_of(desk, desk->kept.room_until_s) : INT64_MAX;

    if (desk->kept.room != ROOMS && !is_overtaken(desk))
        watcher_set_room(desk->watcher, desk->kept.room, "as before the restart", until_ms, now_ms);
}

void
watch_keep_restore(struct watch_desk *desk)
{
    struct quiets *quiets = watcher_quiets(desk->watcher);

    if (!desk->kept.away)
        return;
    restore_findings(desk);
    watch_anchor_restore(desk);
    for (size_t i = 0; i < desk->kept.quiet_count; i++) {
        quiets_add(quiets, &desk->kept.quiets[i]);
        quiets->list[quiets->count - 1].number = desk->kept.quiets[i].number;
        if (quiets->last < desk->kept.quiets[i].number)
            quiets->last = desk->kept.quiets[i].number;
    }
    restore_room(desk);
    watch_kept_offer(desk);
}
