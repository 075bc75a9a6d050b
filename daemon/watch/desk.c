/* SPDX-License-Identifier: MIT */
#include "watch/desk.h"

#include <stdio.h>
#include <stdlib.h>

#include "base/clock.h"
#include "core/need.h"
#include "loop/control.h"
#include "tell/chat.h"
#include "watch/board_brief.h"
#include "watch/changed.h"
#include "watch/earlier.h"
#include "watch/flapping.h"
#include "watch/handles.h"
#include "watch/kept.h"
#include "watch/margins.h"
#include "watch/news.h"
#include "watch/record.h"
#include "watch/relay.h"
#include "watch/reload.h"
#include "watch/room.h"
#include "watch/saying.h"
#include "watch/words.h"

/* ---- before the loop sleeps ---- */

/* The watch goes on without a recording that cannot be written. */
static void
tell_ended(struct watch_desk *desk, const char *line)
{
    if (line)
        saying_line(desk->saying, line);
}

void
watch_desk_before_sleep(struct watch_desk *desk)
{
    bool calm;

    tell_ended(desk, record_end(desk->record));
    relay_turn(desk->relay);
    if (watch_has_more(desk))
        watch_run(desk);
    calm = watch_may_judge(desk) && link_state(desk->link) == LINK_STEADY &&
           watcher_is_calm(desk->watcher);
    tell_ended(desk, record_turn(desk->record, calm));
}

/* ---- at intervals ---- */

void
watch_desk_still(struct watch_desk *desk)
{
    struct link_figures figures = link_figures(desk->link);
    struct engine *engine = desk->session->engine;
    char open[WATCH_WORDS_SIZE], values[WATCH_WORDS_SIZE], span[CLOCK_SIZE], line[500];

    record_note(desk->record, RECORDED_STILL, NULL);
    watch_run(desk);
    if (figures.last_heard_ms < 0)
        snprintf(line, sizeof line, "still watching: the desk was never heard");
    else
        snprintf(line, sizeof line, "still watching: %s, %s; %s; desk heard %s ago",
                 room_name(watcher_room(desk->watcher)), watch_count_open(engine, open),
                 watch_count_values(engine, values),
                 clock_span(loop_woke_ms(desk->shared->loop) - figures.last_heard_ms, span));
    saying_still(desk->saying, line);
}

void
watch_desk_minute(struct watch_desk *desk)
{
    int day = clock_day();

    record_day(desk->record, day);
    engine_set_day(desk->session->engine, day);
    kept_minute(desk->kept);
}

/* ---- opening and closing ---- */

/* False, told on standard error, when it cannot be begun. */
static bool
begin_recording(struct watch_desk *desk)
{
    struct problems problems = {0};
    bool good;

    good = record_open(desk->record, desk->shared->options, &problems);
    problems_tell(&problems);
    return good;
}

/* The parts, which know of nothing yet. */
static struct watch_desk *
make(const struct watch_shared *shared, struct session *session, const char *show)
{
    struct watch_desk *desk = need_memory(1, sizeof *desk);

    desk->shared = shared;
    desk->session = session;
    desk->show = show;
    desk->room_ms = INT64_MAX;
    desk->kept = kept_new(shared->loop, session);
    desk->earlier = earlier_new(session->engine, desk->kept);
    desk->record = record_new(shared->loop, record_head, desk);
    desk->saying = saying_new(shared, session, desk->kept, desk->record);
    desk->margins = margins_new();
    desk->changed = shared->options->board ? changed_new() : NULL;
    desk->briefs = shared->options->board ? board_briefs_new() : NULL;
    desk->link_news.flapping = flapping_new(shared->loop, watch_flap_over, desk);
    desk->judge = (struct judge){loop_timer_open(shared->loop, judge_due, desk), .told_room = -1};
    desk->table.timer = loop_timer_open(shared->loop, table_due, desk);
    desk->beat.timer = loop_timer_open(shared->loop, beat_due, desk);
    desk->relay = relay_new(desk);
    return desk;
}

/* Once; what no ring-out is known to have proved is no reason not to watch. */
static void
tell_wrong_proofs(struct watch_desk *desk)
{
    char line[SAYING_LINE_SIZE];

    if (!desk->session->proved_wrong)
        return;
    snprintf(line, sizeof line, "what was proved is not known: %s; then `gainwarden reload`",
             desk->session->proved_wrong);
    saying_outside(desk->saying, line);
}

struct watch_desk *
watch_desk_open(const struct watch_shared *shared, struct session *session, const char *show)
{
    struct watch_desk *desk = make(shared, session, show);

    if (!shared->way->open(desk)) {
        watch_desk_close(desk);
        return NULL;
    }
    desk->watcher = watch_new_watcher(desk, session, watch_first_room(session));
    kept_set_watcher(desk->kept, desk->watcher);
    earlier_restore(desk->earlier, desk);
    if (!begin_recording(desk)) {
        watch_desk_close(desk);
        return NULL;
    }
    tell_wrong_proofs(desk);
    watch_open_link(desk);
    beat_start(desk);
    table_start(desk);
    return desk;
}

void
watch_desk_close(struct watch_desk *desk)
{
    if (!desk)
        return;
    control_close(desk->control);
    relay_free(desk->relay);
    link_close(desk->link);
    saying_free(desk->saying);
    record_free(desk->record);
    margins_free(desk->margins);
    changed_free(desk->changed);
    board_briefs_free(desk->briefs);
    earlier_free(desk->earlier);
    kept_free(desk->kept);
    watcher_free(desk->watcher);
    flapping_free(desk->link_news.flapping);
    loop_timer_close(desk->judge.wake);
    loop_timer_close(desk->table.timer);
    loop_timer_close(desk->beat.timer);
    free(desk);
}

void
watch_desk_stop(struct watch_desk *desk, int64_t lasted_ms)
{
    char span[CLOCK_SIZE], line[200];

    record_note(desk->record, RECORDED_STOPPED, json_new_number((double)lasted_ms));
    tell_ended(desk, record_end(desk->record));
    record_close(desk->record); /* nothing is told any more */
    watch_run(desk);
    snprintf(line, sizeof line, "stopped watching after %s", clock_span(lasted_ms, span));
    saying_to_all(desk->saying, "stopped", WEIGHT_NOTE, line);
    kept_stopped(desk->kept);
    kept_commit(desk->kept);
    saying_stop(desk->saying);
}

void
watch_desk_status(const struct watch_desk *desk, char line[400])
{
    char open[WATCH_WORDS_SIZE];

    snprintf(line, 400, "%s: %s, desk %s, %s", session_name(desk->session),
             room_name(watcher_room(desk->watcher)), link_state_name(link_state(desk->link)),
             watch_count_open(desk->session->engine, open));
}

bool
watch_desk_idle(const struct watch_desk *desk)
{
    const struct chat *chat = saying_chat(desk->saying);

    return !chat || chat_waiting(chat) == 0 || chat_has_stopped(chat);
}

void
watch_desk_hang_up(struct watch_desk *desk)
{
    saying_reopen(desk->saying);
    watch_reload_or_say(desk);
}
