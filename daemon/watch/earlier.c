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
    struct earlier_quiet quiets[QUIETS_KEPT];
    size_t quiet_count;
    struct jump jumps[JUMPS_KEPT]; /* `at_ms`: how long before jumps_s */
    size_t jump_count;
    double jumps_s;
    enum room room, room_before; /* ROOMS: the file names none */
    struct end room_end;
    double at_s; /* when it was last written to */
    bool there, stopped;
};

/* ---- reading ---- */

/* The slot an entry is about; engine_slots() when this desk has no such. */
static size_t
slot_of(const struct engine *engine, const struct json *json)
{
    int check = check_find(json_string_at(json, "check"));

    if (check < 0)
        return engine_slots(engine);
    return engine_find(engine, check,
                       (struct object){kept_index_at(json, "input"), kept_index_at(json, "mix")});
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
    struct kept_told told = {weight, json_number_at(json, "severity", 0),
                             json_number_at(json, "since_s", 0)};

    forget(said);
    *said = (struct said){clean_copy(json_string_at(json, "says"), sizeof room->says),
                          clean_copy(json_string_at(json, "do"), sizeof room->cure)};
    kept_had_told(earlier->kept, slot, &told);
}

enum { GONE_MOST = 100, GONE_SIZE = 80 };

/* "[master-off-unity] mix 12" */
static void
place_text(const struct json *json, char text[GONE_SIZE])
{
    int input = kept_index_at(json, "input"), mix = kept_index_at(json, "mix");
    char check[50], object[24] = "desk";

    escape_clean(check, sizeof check, json_string_at(json, "check"));
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
read_seen(struct earlier *earlier, const struct json *record)
{
    for (const struct json *one = json_first_at(record, "seen"); one; one = json_next(one)) {
        size_t slot = slot_of(earlier->engine, one);

        if (slot < engine_slots(earlier->engine))
            noticed_had(kept_noticed(earlier->kept), slot, one);
    }
    for (const struct json *one = json_first_at(record, "lately"); one; one = json_next(one))
        lately_had(kept_lately(earlier->kept), one);
}

/* The places that are told of, or are no longer. */
static void
read_places(struct earlier *earlier, const struct json *record, const char *key, bool told)
{
    for (const struct json *one = json_first_at(record, key); one; one = json_next(one)) {
        size_t slot = slot_of(earlier->engine, one);
        enum weight weight = weight_find(json_string_at(one, "weight"));

        if (slot == engine_slots(earlier->engine))
            note_gone(earlier->gone, one, told);
        else if (!told)
            kept_had_untold(earlier->kept, slot);
        else if (weight != WEIGHTS)
            read_finding(earlier, slot, weight, one);
    }
}

static void
read_messages(struct kept *kept, const struct json *record)
{
    for (const struct json *one = json_first_at(record, "messages"); one; one = json_next(one)) {
        enum weight weight = weight_find(json_string_at(one, "weight"));

        kept_had_message(kept, json_string_at(one, "id"), weight == WEIGHTS ? WEIGHT_NOTE : weight,
                         json_string_at(one, "text"));
    }
    for (const struct json *one = json_first_at(record, "ended"); one; one = json_next(one))
        if (json_kind(one) == JSON_STRING)
            kept_had_ended(kept, json_string(one));
}

static struct end
end_of(const struct json *json)
{
    return (struct end){json_number_at(json, "until_s", 0), json_number_at(json, "left_s", 0)};
}

static void
read_quiets(struct earlier *earlier, const struct json *record)
{
    if (!json_get(record, "quiets"))
        return;
    earlier->quiet_count = 0;
    for (const struct json *one = json_first_at(record, "quiets");
         one && earlier->quiet_count < QUIETS_KEPT; one = json_next(one)) {
        struct earlier_quiet *read = &earlier->quiets[earlier->quiet_count++];

        *read = (struct earlier_quiet){kept_quiet_of(one), end_of(one)};
        read->quiet.number = (int)fmax(1, fmin(1e6, json_number_at(one, "number", 1)));
    }
}

static int64_t
ms_of(const struct json *json, const char *key)
{
    return (int64_t)(fmax(0, fmin(1e6, json_number_at(json, key, 0))) * 1000);
}

static struct jump
jump_of(const struct json *json)
{
    return (struct jump){.id = param_find(json_string_at(json, "is")),
                         .row = kept_index_at(json, "row"),
                         .column = kept_index_at(json, "column"),
                         .from =
                             json_get(json, "from") ? json_number_at(json, "from", NAN) : -HUGE_VAL,
                         .to = json_number_at(json, "to", NAN),
                         .at_ms = -ms_of(json, "ago_s"),
                         .gap_ms = ms_of(json, "gap_s")};
}

static void
read_jumps(struct earlier *earlier, const struct json *record)
{
    if (!json_get(record, "jumps"))
        return;
    earlier->jump_count = 0;
    earlier->jumps_s = earlier->at_s;
    for (const struct json *one = json_first_at(record, "jumps");
         one && earlier->jump_count < JUMPS_KEPT; one = json_next(one))
        earlier->jumps[earlier->jump_count++] = jump_of(one);
}

void
earlier_take(void *context, const struct json *record)
{
    struct earlier *earlier = context;
    const struct json *room = json_get(record, "room");

    earlier->there = true;
    earlier->at_s = json_number_at(record, "at_s", earlier->at_s);
    read_jumps(earlier, record);
    earlier->stopped = json_get(record, "stopped") != NULL;
    read_places(earlier, record, "told", true);
    read_places(earlier, record, "untold", false);
    read_messages(earlier->kept, record);
    read_seen(earlier, record);
    read_quiets(earlier, record);
    if (room && json_kind(room) == JSON_OBJECT) {
        earlier->room = room_find(json_string_at(room, "is"));
        earlier->room_before = room_find(json_string_at(room, "before"));
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
    json_free(earlier->gone);
    free(earlier);
}

bool
earlier_open(struct earlier *earlier, const char *path, struct problems *problems)
{
    struct keep *keep = keep_open(path, earlier_take, earlier, problems, stderr);

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
    struct noticed *noticed = kept_noticed(earlier->kept);

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
            noticed_goes_on(noticed, finding, kept->since_s);
        }
        forget(said);
    }
    noticed_end_restore(noticed);
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
    int64_t now_ms = watch_now_ms(desk);
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

    quiet.until_ms = watch_now_ms(desk) + left;
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
    int64_t now_ms = watch_now_ms(desk);

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
