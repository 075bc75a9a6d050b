/* SPDX-License-Identifier: MIT */
#include "watch/earlier.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "base/clock.h"
#include "base/escape.h"
#include "check/check.h"
#include "core/need.h"
#include "core/text.h"
#include "watch/handles.h"
#include "watch/saying.h"

/* A time that something ends, as the file has it. */
struct end {
    double until_s; /* since 1970; 0: it stays */
    double left_s;  /* of it, when this was written */
};

struct earlier_quiet {
    struct quiet quiet; /* without its end, */
    struct end end;
};

/* What was said of a finding; owned until it is given back. */
struct said {
    char *says, *cure;
};

struct earlier {
    struct engine *engine;
    struct kept *kept;
    struct said *said; /* by slot of the engine, */
    size_t slots;      /* that many */
    struct json *gone; /* told of what is not there now: places by a text of each */
    struct earlier_quiet *quiets;
    size_t quiet_count;
    struct jump *jumps; /* `at_ms`: how long before jumps_s */
    size_t jump_count;
    double jumps_s;
    enum room room, room_before; /* ROOMS: the file names none */
    struct end room_end;
    double at_s; /* when it was last written to */
    bool there, stopped;
};

/* ---- reading ---- */

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
slot_of(const struct engine *engine, const struct json *json)
{
    int check = check_find(text_of(json, "check"));

    if (check < 0)
        return engine_slots(engine);
    return engine_find(engine, check,
                       (struct object){index_of(json, "input"), index_of(json, "mix")});
}

static char *
clean_copy(const char *text, size_t size)
{
    char *copy = need_memory(size, 1);

    escape_clean(copy, size, text);
    return copy;
}

static void
forget(struct said *said)
{
    free(said->says);
    free(said->cure);
    *said = (struct said){NULL, NULL};
}

static void
read_finding(struct earlier *earlier, size_t slot, enum weight weight, const struct json *json)
{
    const struct words *room = NULL;
    struct said *said = &earlier->said[slot];
    struct kept_told told = {weight, number_of(json, "severity", 0), number_of(json, "since_s", 0)};

    forget(said);
    *said = (struct said){clean_copy(text_of(json, "says"), sizeof room->says),
                          clean_copy(text_of(json, "do"), sizeof room->cure)};
    kept_had_told(earlier->kept, slot, &told);
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
note_gone(struct json *gone, const struct json *json, bool told)
{
    char text[GONE_SIZE];

    if (json_kind(json) != JSON_OBJECT)
        return;
    place_text(json, text);
    json_remove(gone, text);
    if (told && json_size(gone) < GONE_MOST)
        json_add(gone, text, json_copy(json));
}

static void
read_told(struct earlier *earlier, const struct json *record)
{
    size_t slots = engine_slots(earlier->engine);

    for (const struct json *one = first_of(record, "told"); one; one = json_next(one)) {
        size_t slot = slot_of(earlier->engine, one);
        enum weight weight = weight_find(text_of(one, "weight"));

        if (slot < slots && weight != WEIGHTS)
            read_finding(earlier, slot, weight, one);
        else if (slot == slots)
            note_gone(earlier->gone, one, true);
    }
    for (const struct json *one = first_of(record, "untold"); one; one = json_next(one)) {
        size_t slot = slot_of(earlier->engine, one);

        if (slot < slots)
            kept_had_untold(earlier->kept, slot);
        else
            note_gone(earlier->gone, one, false);
    }
}

static void
read_messages(struct kept *kept, const struct json *record)
{
    for (const struct json *one = first_of(record, "messages"); one; one = json_next(one)) {
        enum weight weight = weight_find(text_of(one, "weight"));

        kept_had_message(kept, text_of(one, "id"), weight == WEIGHTS ? WEIGHT_NOTE : weight,
                         text_of(one, "text"));
    }
    for (const struct json *one = first_of(record, "ended"); one; one = json_next(one))
        if (json_kind(one) == JSON_STRING)
            kept_had_ended(kept, json_string(one));
}

static struct end
end_of(const struct json *json)
{
    return (struct end){number_of(json, "until_s", 0), number_of(json, "left_s", 0)};
}

static void
read_quiets(struct earlier *earlier, const struct json *record)
{
    const struct json *list = json_get(record, "quiets");

    if (!list)
        return;
    earlier->quiet_count = 0;
    for (const struct json *one = first_of(record, "quiets");
         one && earlier->quiet_count < QUIETS_KEPT; one = json_next(one)) {
        struct earlier_quiet *read = &earlier->quiets[earlier->quiet_count++];
        struct quiet *quiet = &read->quiet;
        const struct json *stop_too = json_get(one, "stop_too");

        *quiet = (struct quiet){.check = check_find(text_of(one, "check")),
                                .input = index_of(one, "input"),
                                .mix = index_of(one, "mix")};
        read->end = end_of(one);
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
read_jumps(struct earlier *earlier, const struct json *record)
{
    if (!json_get(record, "jumps"))
        return;
    earlier->jump_count = 0;
    earlier->jumps_s = earlier->at_s;
    for (const struct json *one = first_of(record, "jumps");
         one && earlier->jump_count < JUMPS_KEPT; one = json_next(one))
        earlier->jumps[earlier->jump_count++] = jump_of(one);
}

static void
on_record(void *context, const struct json *record)
{
    struct earlier *earlier = context;
    const struct json *room = json_get(record, "room");

    earlier->there = true;
    earlier->at_s = number_of(record, "at_s", earlier->at_s);
    read_jumps(earlier, record);
    earlier->stopped = json_get(record, "stopped") != NULL;
    read_told(earlier, record);
    read_messages(earlier->kept, record);
    read_quiets(earlier, record);
    if (room && json_kind(room) == JSON_OBJECT) {
        earlier->room = room_find(text_of(room, "is"));
        earlier->room_before = room_find(text_of(room, "before"));
        earlier->room_end = end_of(room);
    }
}

/* ---- opening and closing ---- */

struct earlier *
earlier_new(struct engine *engine, struct kept *kept)
{
    struct earlier *earlier = need_memory(1, sizeof *earlier);

    *earlier =
        (struct earlier){.engine = engine,
                         .kept = kept,
                         .said = need_memory(engine_slots(engine) + 1, sizeof *earlier->said),
                         .slots = engine_slots(engine),
                         .gone = json_new_object(),
                         .quiets = need_memory(QUIETS_KEPT, sizeof *earlier->quiets),
                         .jumps = need_memory(JUMPS_KEPT, sizeof *earlier->jumps),
                         .room = ROOMS,
                         .room_before = ROOMS};
    return earlier;
}

void
earlier_free(struct earlier *earlier)
{
    if (!earlier)
        return;
    for (size_t slot = 0; slot < earlier->slots; slot++)
        forget(&earlier->said[slot]);
    free(earlier->said);
    free(earlier->quiets);
    free(earlier->jumps);
    json_free(earlier->gone);
    free(earlier);
}

void
earlier_take(struct earlier *earlier, const struct json *snapshot)
{
    on_record(earlier, snapshot);
}

bool
earlier_open(struct earlier *earlier, const char *path, struct problems *problems)
{
    struct keep *keep = keep_open(path, on_record, earlier, problems, stderr);

    kept_set_file(earlier->kept, keep);
    return keep != NULL;
}

bool
earlier_was_there(const struct earlier *earlier)
{
    return earlier->there;
}

bool
earlier_said_good_bye(const struct earlier *earlier)
{
    return earlier->stopped;
}

/* ---- giving it back ---- */

/* How long ago that was, ms: as far as the file was written, and then as far as the clock says. One
 * that was set back says nothing. */
static int64_t
ago_ms(const struct earlier *earlier, double then_s)
{
    double before_s = fmax(0, earlier->at_s - then_s);
    double since_s = fmax(0, clock_now_s() - fmax(earlier->at_s, then_s));

    return (int64_t)(fmin(1e9, before_s + since_s) * 1000);
}

/* What is left of it, ms; less than 0: it is over. */
static int64_t
left_ms(const struct end *end)
{
    double left_s = fmin(end->left_s, end->until_s - clock_now_s());

    return (int64_t)(fmax(-1e9, fmin(EARLIER_LONGEST_S, left_s)) * 1000);
}

static void
restore_findings(struct earlier *earlier, struct watcher *watcher, int64_t now_ms)
{
    for (size_t slot = 0; slot < earlier->slots; slot++) {
        const struct kept_told *kept = kept_told(earlier->kept, slot);
        const struct finding *finding = engine_slot(earlier->engine, slot);
        struct said *said = &earlier->said[slot];

        if (kept) {
            struct told told = {finding->check->number,
                                finding->object,
                                kept->weight,
                                kept->severity,
                                now_ms - ago_ms(earlier, kept->since_s),
                                said->says,
                                said->cure};

            watcher_restore(watcher, &told);
        }
        forget(said);
    }
}

/* People believe that these are open, and nothing will say that they are not. */
static void
tell_gone(const struct earlier *earlier, struct watch_desk *desk)
{
    enum { NAMED = 3 };
    int count = json_size(earlier->gone), named = 0;
    char line[SAYING_LINE_SIZE];
    struct text text;

    if (count == 0)
        return;
    text_init(&text, line, sizeof line);
    text_add(&text, "told before, and not there to be judged any more:");
    for (const struct json *one = json_first(earlier->gone); one; one = json_next(one)) {
        if (named++ < NAMED)
            text_add(&text, "%s %s", named > 1 ? "," : "", json_key(one));
        kept_gone(earlier->kept, one);
    }
    if (count > NAMED)
        text_add(&text, " and %d more", count - NAMED);
    saying_to_all(desk->saying, "gone", WEIGHT_NOTE, line);
}

/* What the timetable changed while the watch was away goes before what held then. */
static bool
is_overtaken(const struct earlier *earlier, const struct show_file *file)
{
    enum room room;
    time_t since;

    return file && timetable_room(&file->room, clock_now(), &room, &since) &&
           (double)since > earlier->at_s;
}

static void
restore_room(const struct earlier *earlier, struct watch_desk *desk)
{
    int64_t now_ms = loop_now_ms(desk->shared->loop);
    bool ends = earlier->room_end.until_s > 0;

    if (earlier->room == ROOMS || is_overtaken(earlier, desk->session->file))
        return;
    watcher_set_room(desk->watcher, earlier->room, "as before the restart",
                     ends ? now_ms + left_ms(&earlier->room_end) : INT64_MAX, now_ms);
    if (earlier->room_before != ROOMS)
        watcher_set_room_before(desk->watcher, earlier->room_before);
}

static void
restore_jumps(const struct earlier *earlier, int64_t now_ms)
{
    struct moves *moves = engine_moves(earlier->engine);
    int64_t then_ms = now_ms - ago_ms(earlier, earlier->jumps_s);

    for (size_t i = 0; i < earlier->jump_count; i++) {
        struct jump jump = earlier->jumps[i];

        jump.at_ms += then_ms;
        moves_restore_jump(moves, &jump, now_ms);
    }
}

/* One that ended meanwhile says so: what it held back may be told now. */
static void
restore_quiet(const struct earlier_quiet *earlier, struct watch_desk *desk)
{
    struct quiets *quiets = watcher_quiets(desk->watcher);
    int64_t left = left_ms(&earlier->end);
    struct quiet quiet = earlier->quiet;
    char line[SAYING_LINE_SIZE];

    quiet.until_ms = loop_now_ms(desk->shared->loop) + left;
    quiets_add(quiets, &quiet);
    quiets->list[quiets->count - 1].number = quiet.number;
    if (quiets->last < quiet.number)
        quiets->last = quiet.number;
    if (left > 0 || earlier->end.left_s <= 0)
        return;
    snprintf(line, sizeof line, "quieting %d ended while the watch was away (%s)", quiet.number,
             quiet.why);
    saying_line(desk->saying, line);
}

void
earlier_restore(struct earlier *earlier, struct watch_desk *desk)
{
    int64_t now_ms = loop_now_ms(desk->shared->loop);

    if (!earlier->there)
        return;
    restore_findings(earlier, desk->watcher, now_ms);
    tell_gone(earlier, desk);
    restore_jumps(earlier, now_ms);
    desk->shared->way->restore_anchor(desk);
    for (size_t i = 0; i < earlier->quiet_count; i++)
        restore_quiet(&earlier->quiets[i], desk);
    restore_room(earlier, desk);
    kept_offer(earlier->kept);
}
