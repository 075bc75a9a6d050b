/* The watch over one desk: when it is judged, what goes by the clock, and what it is made of. */
#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/atomic_file.h"
#include "base/clock.h"
#include "base/places.h"
#include "check/check.h"
#include "core/need.h"
#include "report/report.h"
#include "show/timetable.h"
#include "tell/cue_check.h"
#include "watch/desk_parts.h"
#include "watch/record_head.h"

enum { SLEEP_MOST_MS = 60 * 60 * 1000, READING_MS = 100, MINUTE_MS = 60 * 1000 };

/* ---- judging ---- */

bool
watch_may_judge(const struct watch_desk *desk)
{
    return desk->read_once && link_state(desk->link) != LINK_READING && !desk->stopping;
}

void
watch_sleep(struct watch_desk *desk)
{
    int64_t wait_ms = watcher_next_ms(desk->watcher);

    if (watcher_settling(desk->watcher) && link_is_reading(desk->link)) {
        loop_timer_start(desk->wake, READING_MS, 0); /* nobody calls when it has been read */
        return;
    }
    if (wait_ms == INT64_MAX) {
        loop_timer_stop(desk->wake);
        return;
    }
    wait_ms -= loop_now_ms(desk->shared->loop);
    wait_ms = wait_ms < 1 ? 1 : wait_ms > SLEEP_MOST_MS ? SLEEP_MOST_MS : wait_ms;
    loop_timer_start(desk->wake, wait_ms, 0);
}

/* What the desk, or a cue that comes with it, says that the room is doing, when that is news. */
static const struct value *
named_room(const struct watch_desk *desk)
{
    const struct value *value =
        desk_value(engine_desk(desk->session->engine), PARAM_DESK_ROOM, 0, 0);

    return value->state == VALUE_KNOWN && value->number != desk->told_room ? value : NULL;
}

static void
follow_room(struct watch_desk *desk)
{
    const struct value *value = named_room(desk);
    enum room room;

    if (!value)
        return;
    room = (enum room)(int)value->number;
    desk->told_room = value->number;
    watcher_set_room(desk->watcher, room, "the desk says so", watch_room_until_ms(desk, room, 0),
                     loop_now_ms(desk->shared->loop));
}

void
watch_run(struct watch_desk *desk)
{
    if (!watch_may_judge(desk))
        return;
    follow_room(desk);
    watcher_set_reading(desk->watcher, link_is_reading(desk->link));
    watcher_run(desk->watcher, loop_now_ms(desk->shared->loop));
    if (watcher_settling(desk->watcher) && !link_is_reading(desk->link)) {
        link_read_again(desk->link); /* what is not pushed has to be asked for */
        watcher_set_reading(desk->watcher, link_is_reading(desk->link));
    }
    kept_commit(desk->kept);
    watch_sleep(desk);
}

static void
on_wake(void *context)
{
    struct watch_desk *desk = context;

    record_note(desk->record, RECORDED_WAKE, NULL);
    watch_run(desk);
}

/* Not in the middle of a recall or a reading. */
static bool
is_calm(const struct watch_desk *desk)
{
    return watch_may_judge(desk) && link_state(desk->link) == LINK_STEADY &&
           !watcher_settling(desk->watcher);
}

/* The watch goes on without a recording that cannot be written. */
static void
end_recorded(struct watch_desk *desk)
{
    char line[RECORD_LINE_SIZE];

    if (!record_end(desk->record, line))
        watch_say(desk, line);
}

void
watch_desk_before_sleep(struct watch_desk *desk)
{
    char line[RECORD_LINE_SIZE];

    end_recorded(desk);
    if (engine_marked(desk->session->engine) > 0 || named_room(desk))
        watch_run(desk);
    if (!record_turn(desk->record, is_calm(desk), line))
        watch_say(desk, line);
}

/* ---- at intervals ---- */

void
watch_desk_still(struct watch_desk *desk)
{
    struct link_figures figures = link_figures(desk->link);
    const struct desk *model = engine_desk(desk->session->engine);
    char open[200], span[CLOCK_SIZE], line[500];

    record_note(desk->record, RECORDED_STILL, NULL);
    watch_run(desk);
    if (figures.last_heard_ms < 0)
        snprintf(line, sizeof line, "still watching: the desk was never heard");
    else
        snprintf(line, sizeof line,
                 "still watching: %s, %s; %zu values known, %zu stale; desk heard %s ago",
                 room_name(watcher_room(desk->watcher)), watch_count_open(desk, open),
                 desk_count_state(model, VALUE_KNOWN), desk_count_state(model, VALUE_STALE),
                 clock_span(loop_woke_ms(desk->shared->loop) - figures.last_heard_ms, span));
    watch_say_still(desk, line);
}

void
watch_desk_new_day(struct watch_desk *desk)
{
    int day = clock_day();

    record_day(desk->record, day);
    engine_set_day(desk->session->engine, day);
}

/* Once when it cannot be written, and once when it can be again; errno is the write's. */
static void
tell_beat(struct watch_desk *desk, bool good)
{
    char line[400];

    if (good == !desk->beat_failing)
        return;
    desk->beat_failing = !good;
    snprintf(line, sizeof line, "the heartbeat file %s %s%s", desk->session->file->tell.heartbeat,
             good ? "is written again" : "cannot be written: ", good ? "" : strerror(errno));
    watch_say_outside(desk, line);
}

/* The heartbeat file: its age tells whether the watch lives. */
static void
on_beat(void *context)
{
    struct watch_desk *desk = context;
    const struct show_file *file = desk->session->file;
    struct link_figures figures = link_figures(desk->link);
    const struct desk *model = engine_desk(desk->session->engine);
    struct json *json = json_new_object();
    char at[CLOCK_SIZE], open[200];
    char *text;

    json_add_string(json, "at", clock_rfc3339(at));
    json_add_string(json, "show", session_name(desk->session));
    json_add_string(json, "room", room_name(watcher_room(desk->watcher)));
    json_add_string(json, "link", link_state_name(link_state(desk->link)));
    if (figures.last_heard_ms >= 0)
        json_add_number(json, "heard_s_ago",
                        (double)(loop_now_ms(desk->shared->loop) - figures.last_heard_ms) / 1000);
    json_add_number(json, "known", (double)desk_count_state(model, VALUE_KNOWN));
    json_add_number(json, "stale", (double)desk_count_state(model, VALUE_STALE));
    json_add_string(json, "open", watch_count_open(desk, open));
    text = json_print(json, false);
    tell_beat(desk, atomic_file_write(file->tell.heartbeat, text, strlen(text), 0644));
    free(text);
    json_free(json);
}

int64_t
watch_room_until_ms(const struct watch_desk *desk, enum room room, double for_s)
{
    const struct show_file *file = desk->session->file;

    if (for_s <= 0 && room == ROOM_CHANGEOVER)
        for_s = file ? file->room.changeover_s : CHANGEOVER_PRESET_S;
    return for_s > 0 ? loop_now_ms(desk->shared->loop) + (int64_t)(for_s * 1000) : INT64_MAX;
}

/* The show file's timetable has an entry, or the clock was set: looked at once a minute. */
static void
on_table(void *context)
{
    struct watch_desk *desk = context;
    const struct timetable *table = &desk->session->file->room;
    time_t now = clock_now(), at;
    enum room room;

    record_note(desk->record, RECORDED_WAKE, NULL);
    if (desk->table_at > 0 && now >= desk->table_at &&
        watcher_room(desk->watcher) != desk->table_room)
        watcher_set_room(desk->watcher, desk->table_room, "by the timetable",
                         watch_room_until_ms(desk, desk->table_room, 0),
                         loop_now_ms(desk->shared->loop));
    desk->table_at = timetable_next(table, now, &at, &room) ? at : 0;
    desk->table_room = room;
    watch_run(desk);
    if (desk->table_at > 0)
        loop_timer_start(desk->table,
                         desk->table_at - now < 60 ? (desk->table_at - now) * 1000 + 1 : 60000, 0);
}

static enum room
first_room(const struct session *session)
{
    enum room room = session->file ? session->file->room.begin : ROOM_DOORS;
    time_t since;

    if (session->file)
        timetable_room(&session->file->room, clock_now(), &room, &since);
    return room;
}

static void
on_minute(void *context)
{
    struct watch_desk *desk = context;

    kept_minute(desk->kept);
}

/* ---- opening and closing ---- */

static void
on_trouble(void *context, const char *line)
{
    watch_say_outside(context, line);
}

static void
on_message_ended(void *context, const char *id, enum chat_end end)
{
    const struct watch_desk *desk = context;

    (void)end;
    kept_ended(desk->kept, id);
}

void
watch_check_cues(const struct watch_shared *shared, const struct session *instead_of,
                 const struct session *with, struct problems *problems)
{
    size_t count = (size_t)shared->session_count;
    struct cue_desk *desks = need_memory(count, sizeof *desks);

    for (size_t i = 0; i < count; i++) {
        const struct session *one =
            &shared->sessions[i] == instead_of ? with : &shared->sessions[i];

        desks[i] = (struct cue_desk){one->host, one->profile};
    }
    for (size_t i = 0; i < count; i++)
        cue_check(&shared->sessions[i] == instead_of ? with->file : shared->sessions[i].file, desks,
                  count, problems);
    free(desks);
}

bool
watch_open_sinks(struct watch_desk *desk, const struct session *session, struct watch_sinks *sinks,
                 struct problems *problems)
{
    const struct show_file *file = session->file;
    struct chat_owner owner = {on_trouble, on_message_ended, desk};
    size_t before = problems->count;

    if (file && show_file_has_chat(file))
        sinks->chat = chat_open(desk->shared->loop, &file->tell.chat, chat_waits, owner, problems);
    if (file && file->tell.lines)
        sinks->lines = lines_open(file->tell.lines, on_trouble, desk, problems);
    if (file && file->tell.cue.host)
        sinks->cue =
            cue_open(desk->shared->loop, &file->tell.cue, desk->shared->hosts, on_trouble, desk);
    return problems->count == before;
}

void
watch_close_sinks(struct watch_sinks sinks)
{
    chat_close(sinks.chat);
    lines_close(sinks.lines);
    cue_close(sinks.cue);
}

struct watcher *
watch_new_watcher(struct watch_desk *desk, struct session *session, enum room room)
{
    struct watcher_owner owner = {watch_on_message, watch_on_edge,  watch_on_room,
                                  watch_on_anchor,  watch_on_trace, desk};
    struct watcher_settings settings = {20, 4};

    if (session->file)
        settings = (struct watcher_settings){(size_t)session->file->watch.recall_values,
                                             (size_t)session->file->watch.recall_objects};
    return watcher_new(session->engine, settings, room, owner);
}

/* The hook may have it. */
static void
on_kept_message(void *context, enum weight weight, const char *id, const char *text)
{
    const struct watch_desk *desk = context;

    if (desk->sinks.chat)
        chat_say(desk->sinks.chat, weight, id, text);
}

static bool
open_kept(struct watch_desk *desk, struct problems *problems)
{
    const struct options *options = desk->shared->options;
    char name[80], path[PLACES_SIZE];

    places_name(desk->show, options->profile, options->desk, name);
    return places_kept(options->keep, name, "kept", path, problems) &&
           earlier_open(desk->earlier, path, problems);
}

static bool
open_control(struct watch_desk *desk, struct problems *problems)
{
    const struct options *options = desk->shared->options;
    char name[80], path[PLACES_SIZE];

    places_name(desk->show, options->profile, options->desk, name);
    if (places_socket(options->keep, name, path, problems))
        desk->control = control_open(desk->shared->loop, path, watch_answer, desk, problems);
    return desk->control != NULL;
}

/* False, told on standard error, when something cannot be used as it stands. */
static bool
open_parts(struct watch_desk *desk)
{
    struct problems problems;
    bool good;

    if (desk->shared->past) {
        if (desk->shared->past->kept)
            earlier_take(desk->earlier, desk->shared->past->kept);
        return true;
    }
    problems_init(&problems);
    good = watch_open_sinks(desk, desk->session, &desk->sinks, &problems) &&
           open_kept(desk, &problems) && open_control(desk, &problems);
    problems_print(&problems, stderr);
    problems_release(&problems);
    return good;
}

/* The first line of a recording, which may begin while the desk is watched. */
static struct json *
recorded_head(void *context, int64_t now_ms, double now_s)
{
    const struct watch_desk *desk = context;
    struct json *head = record_head(desk->session, now_s);

    if (earlier_was_there(desk->earlier) || desk->read_once)
        json_add(head, "kept", kept_snapshot(desk->kept));
    record_head_anchor(head, desk->session, now_ms);
    if (desk->read_once)
        record_head_desk(head, desk->session, desk->link, loop_now_ms(desk->shared->loop));
    return head;
}

/* False, told on standard error, when it cannot be begun. */
static bool
begin_recording(struct watch_desk *desk)
{
    struct problems problems;
    bool good;

    problems_init(&problems);
    good = record_open(desk->record, desk->shared->options, &problems);
    problems_print(&problems, stderr);
    problems_release(&problems);
    return good;
}

static void
start_timers(struct watch_desk *desk)
{
    const struct show_file *file = desk->session->file;

    if (file && file->tell.heartbeat)
        loop_timer_start(desk->beat, 0, (int64_t)(file->tell.heartbeat_every_s * 1000));
    if (file && file->room.count > 0)
        loop_timer_start(desk->table, 0, 0);
    if (!desk->shared->past)
        loop_timer_start(desk->minute, MINUTE_MS, MINUTE_MS);
}

struct watch_desk *
watch_desk_open(const struct watch_shared *shared, struct session *session, const char *show)
{
    struct watch_desk *desk = need_memory(1, sizeof *desk);

    desk->shared = shared;
    desk->session = session;
    desk->show = show;
    desk->told_room = -1;
    desk->clear_ms = loop_now_ms(shared->loop);
    desk->wake = loop_timer_open(shared->loop, on_wake, desk);
    desk->kept = kept_new(shared->loop, session);
    kept_set_owner(desk->kept, (struct kept_owner){on_kept_message, on_trouble, desk});
    desk->earlier = earlier_new(session->engine, desk->kept);
    desk->record = record_new(shared->loop, recorded_head, desk);
    desk->flapping = flapping_new(shared->loop, watch_on_flap_over, desk);
    desk->table = loop_timer_open(shared->loop, on_table, desk);
    desk->beat = loop_timer_open(shared->loop, on_beat, desk);
    desk->minute = loop_timer_open(shared->loop, on_minute, desk);
    if (!open_parts(desk)) {
        watch_desk_close(desk);
        return NULL;
    }
    desk->watcher = watch_new_watcher(desk, session, first_room(session));
    kept_set_watcher(desk->kept, desk->watcher);
    earlier_restore(desk->earlier, desk);
    if (!begin_recording(desk)) {
        watch_desk_close(desk);
        return NULL;
    }
    watch_open_link(desk);
    start_timers(desk);
    return desk;
}

void
watch_desk_close(struct watch_desk *desk)
{
    if (!desk)
        return;
    control_close(desk->control);
    if (desk->link)
        link_close(desk->link);
    watch_close_sinks(desk->sinks);
    record_free(desk->record);
    earlier_free(desk->earlier);
    kept_free(desk->kept);
    watcher_free(desk->watcher);
    loop_timer_close(desk->wake);
    flapping_free(desk->flapping);
    loop_timer_close(desk->table);
    loop_timer_close(desk->beat);
    loop_timer_close(desk->minute);
    free(desk->later);
    free(desk);
}

void
watch_desk_stop(struct watch_desk *desk, int64_t lasted_ms)
{
    char span[CLOCK_SIZE], line[200];

    record_note(desk->record, RECORDED_STOPPED, json_new_number((double)lasted_ms));
    end_recorded(desk);
    record_close(desk->record); /* nothing is told any more */
    watch_run(desk);
    snprintf(line, sizeof line, "stopped watching after %s", clock_span(lasted_ms, span));
    watch_say_to_all(desk, "stopped", WEIGHT_NOTE, line);
    kept_stopped(desk->kept);
    kept_commit(desk->kept);
    desk->stopping = true;
}

void
watch_desk_status(const struct watch_desk *desk, char line[400])
{
    char open[200];

    snprintf(line, 400, "%s: %s, desk %s, %s", session_name(desk->session),
             room_name(watcher_room(desk->watcher)), link_state_name(link_state(desk->link)),
             watch_count_open(desk, open));
}

bool
watch_desk_idle(const struct watch_desk *desk)
{
    return !desk->sinks.chat || chat_waiting(desk->sinks.chat) == 0 ||
           chat_has_stopped(desk->sinks.chat);
}

void
watch_desk_hang_up(struct watch_desk *desk)
{
    struct problems problems;
    char said[600];

    if (desk->sinks.lines)
        lines_reopen(desk->sinks.lines);
    problems_init(&problems);
    if (watch_reload(desk, &problems, said)) {
        watch_say(desk, said);
    } else {
        for (size_t i = 0; i < problems.count && i < PROBLEMS_KEPT; i++)
            watch_say_outside(desk, problems.lines[i]);
        watch_say_outside(desk, "not reloaded: the watch goes on with what it has");
    }
    problems_release(&problems);
}
