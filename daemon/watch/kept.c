/* What the kept file says, read back: others may have written to it, so that nothing in it is
 * trusted. watch/keep.c says what stands there.
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
#include "core/text.h"
#include "watch/desk_parts.h"

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

enum { GONE_MOST = 100, GONE_SIZE = 80 };

/* "[master-off-unity] mix 12" */
static void
place_text(const struct json *json, char text[GONE_SIZE])
{
    int input = index_of(json, "input"), mix = index_of(json, "mix");
    char check[50], object[24] = "desk";

    escape_clean(check, sizeof check, text_of(json, "check"));
    if (input >= 0 || mix >= 0)
        snprintf(object, sizeof object, "%s %d", input >= 0 ? "input" : "mix",
                 (input >= 0 ? input : mix) + 1);
    snprintf(text, GONE_SIZE, "[%s] %s", check, object);
}

/* A check that this version has not, or a place that this desk has not. */
static void
note_gone(struct watch_keep *kept, const struct json *json, bool told)
{
    char text[GONE_SIZE];

    if (json_kind(json) != JSON_OBJECT)
        return;
    place_text(json, text);
    json_remove(kept->gone, text);
    if (told && json_size(kept->gone) < GONE_MOST)
        json_add(kept->gone, text, json_copy(json));
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
        else if (slot == slots)
            note_gone(&desk->kept, one, true);
    }
    for (const struct json *one = first_of(record, "untold"); one; one = json_next(one)) {
        size_t slot = slot_of(desk, one);

        if (slot < slots)
            desk->kept.findings[slot].told = false;
        else
            note_gone(&desk->kept, one, false);
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

static struct kept_end
end_of(const struct json *json)
{
    return (struct kept_end){number_of(json, "until_s", 0), number_of(json, "left_s", 0)};
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
        struct kept_quiet *kept = &desk->kept.quiets[desk->kept.quiet_count++];
        struct quiet *quiet = &kept->quiet;
        const struct json *stop_too = json_get(one, "stop_too");

        *quiet = (struct quiet){.check = check_find(text_of(one, "check")),
                                .input = index_of(one, "input"),
                                .mix = index_of(one, "mix")};
        kept->end = end_of(one);
        quiet->stop_too = stop_too && json_kind(stop_too) == JSON_BOOL && json_bool(stop_too);
        quiet->number = (int)fmax(1, fmin(1e6, number_of(one, "number", 1)));
        escape_clean(quiet->player, sizeof quiet->player, text_of(one, "player"));
        escape_clean(quiet->why, sizeof quiet->why, text_of(one, "why"));
        escape_clean(quiet->by, sizeof quiet->by, text_of(one, "by"));
    }
}

static struct jump
jump_of(const struct json *json)
{
    const struct json *from = json_get(json, "from");
    double ago_s = fmax(0, fmin(1e6, number_of(json, "ago_s", 0)));

    return (struct jump){.id = param_find(text_of(json, "is")),
                         .row = index_of(json, "row"),
                         .column = index_of(json, "column"),
                         .from = from ? number_of(json, "from", NAN) : -HUGE_VAL,
                         .to = number_of(json, "to", NAN),
                         .at_ms = -(int64_t)(ago_s * 1000),
                         .gap_ms =
                             (int64_t)(fmax(0, fmin(1e6, number_of(json, "gap_s", 0))) * 1000)};
}

static void
read_jumps(struct watch_keep *kept, const struct json *record)
{
    if (!json_get(record, "jumps"))
        return;
    kept->jump_count = 0;
    kept->jumps_s = kept->at_s;
    for (const struct json *one = first_of(record, "jumps"); one && kept->jump_count < JUMPS_KEPT;
         one = json_next(one))
        kept->jumps[kept->jump_count++] = jump_of(one);
}

static void
on_record(void *context, const struct json *record)
{
    struct watch_desk *desk = context;
    const struct json *room = json_get(record, "room");

    desk->kept.away = true;
    desk->kept.at_s = number_of(record, "at_s", desk->kept.at_s);
    read_jumps(&desk->kept, record);
    desk->kept.stopped = json_get(record, "stopped") != NULL;
    read_told(desk, record);
    read_messages(&desk->kept, record);
    read_quiets(desk, record);
    if (room && json_kind(room) == JSON_OBJECT) {
        desk->kept.room = room_find(text_of(room, "is"));
        desk->kept.room_before = room_find(text_of(room, "before"));
        desk->kept.room_end = end_of(room);
    }
}

static void
begin_empty(struct watch_desk *desk)
{
    desk->kept.room = desk->kept.room_before = ROOMS;
    desk->kept.findings =
        calloc(engine_slots(desk->session->engine) + 1, sizeof *desk->kept.findings);
    desk->kept.quiets = calloc(QUIETS_KEPT, sizeof *desk->kept.quiets);
    desk->kept.gone = json_new_object();
    desk->kept.jumps = calloc(JUMPS_KEPT, sizeof *desk->kept.jumps);
    if (!desk->kept.findings || !desk->kept.quiets || !desk->kept.jumps)
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
    json_free(desk->kept.gone);
    for (size_t slot = 0; slot < slots; slot++)
        watch_kept_forget(&desk->kept.findings[slot]);
    free(desk->kept.findings);
    free(desk->kept.quiets);
    free(desk->kept.jumps);
    for (size_t i = 0; i < desk->kept.message_count; i++)
        free(desk->kept.messages[i].text);
    free(desk->kept.messages);
}

/* ---- giving it back ---- */

/* How long ago that was, ms: as far as the file was written, and then as far as the clock says. One
 * that was set back says nothing. */
static int64_t
ago_ms(const struct watch_desk *desk, double then_s)
{
    double before_s = fmax(0, desk->kept.at_s - then_s);
    double since_s = fmax(0, clock_now_s() - fmax(desk->kept.at_s, then_s));

    return (int64_t)(fmin(1e9, before_s + since_s) * 1000);
}

/* What is left of it, ms; less than 0: it is over. */
static int64_t
left_ms(const struct kept_end *end)
{
    double left_s = fmin(end->left_s, end->until_s - clock_now_s());

    return (int64_t)(fmax(-1e9, fmin(WATCH_ASKED_MOST_S, left_s)) * 1000);
}

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
            told.since_ms = loop_now_ms(desk->shared->loop) - ago_ms(desk, kept->since_s);
            watcher_restore(desk->watcher, &told);
        }
        watch_kept_forget(kept);
    }
}

/* People believe that these are open, and nothing will say that they are not. */
static void
tell_gone(struct watch_desk *desk)
{
    enum { NAMED = 3 };
    int count = json_size(desk->kept.gone), named = 0;
    char line[WATCH_LINE_SIZE];
    struct text text;

    if (count == 0)
        return;
    text_init(&text, line, sizeof line);
    text_add(&text, "told before, and not there to be judged any more:");
    for (const struct json *one = json_first(desk->kept.gone); one; one = json_next(one)) {
        if (named++ < NAMED)
            text_add(&text, "%s %s", named > 1 ? "," : "", json_key(one));
        watch_keep_gone(desk, one);
    }
    if (count > NAMED)
        text_add(&text, " and %d more", count - NAMED);
    watch_say_to_all(desk, "gone", WEIGHT_NOTE, line);
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
    bool ends = desk->kept.room_end.until_s > 0;

    if (desk->kept.room == ROOMS || is_overtaken(desk))
        return;
    watcher_set_room(desk->watcher, desk->kept.room, "as before the restart",
                     ends ? now_ms + left_ms(&desk->kept.room_end) : INT64_MAX, now_ms);
    if (desk->kept.room_before != ROOMS)
        watcher_set_room_before(desk->watcher, desk->kept.room_before);
}

static void
restore_jumps(struct watch_desk *desk)
{
    struct moves *moves = engine_moves(desk->session->engine);
    int64_t now_ms = loop_now_ms(desk->shared->loop);
    int64_t then_ms = now_ms - ago_ms(desk, desk->kept.jumps_s);

    for (size_t i = 0; i < desk->kept.jump_count; i++) {
        desk->kept.jumps[i].at_ms += then_ms;
        moves_restore_jump(moves, &desk->kept.jumps[i], now_ms);
    }
}

/* One that ended meanwhile says so: what it held back may be told now. */
static void
restore_quiet(struct watch_desk *desk, const struct kept_quiet *kept)
{
    struct quiets *quiets = watcher_quiets(desk->watcher);
    int64_t left = left_ms(&kept->end);
    struct quiet quiet = kept->quiet;
    char line[WATCH_LINE_SIZE];

    quiet.until_ms = loop_now_ms(desk->shared->loop) + left;
    quiets_add(quiets, &quiet);
    quiets->list[quiets->count - 1].number = quiet.number;
    if (quiets->last < quiet.number)
        quiets->last = quiet.number;
    if (left > 0 || kept->end.left_s <= 0)
        return;
    snprintf(line, sizeof line, "quieting %d ended while the watch was away (%s)", quiet.number,
             quiet.why);
    watch_say(desk, line);
}

void
watch_keep_restore(struct watch_desk *desk)
{
    if (!desk->kept.away)
        return;
    restore_findings(desk);
    tell_gone(desk);
    restore_jumps(desk);
    watch_anchor_restore(desk);
    for (size_t i = 0; i < desk->kept.quiet_count; i++)
        restore_quiet(desk, &desk->kept.quiets[i]);
    restore_room(desk);
    watch_kept_offer(desk);
}
