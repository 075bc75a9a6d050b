/* SPDX-License-Identifier: MIT */
#include "watch/board_facts.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "watch/board_changed.h"
#include "watch/board_finding.h"
#include "watch/board_held.h"
#include "watch/board_text.h"
#include "watch/board_tile.h"
#include "watch/changed.h"
#include "watch/handles.h"
#include "watch/kept.h"
#include "watch/lists.h"
#include "watch/margins.h"
#include "watch/relay.h"
#include "watch/words.h"
#include "watcher/watcher.h"

enum { A_SECOND_MS = 1000 };

/* ---- room and link ---- */

static void
add_room(const struct watch_desk *desk, struct json *json)
{
    char left[WATCH_LEFT_SIZE];

    board_add_text(json, "show", session_name(desk->session));
    json_add_string(json, "room", room_name(watcher_room(desk->watcher)));
    json_add_string(json, "room_left", watch_room_left(desk, left));
}

static void
add_age(const struct watch_desk *desk, int64_t heard_ms, bool lost, struct json *json)
{
    int64_t ago_ms = watch_now_ms(desk) - heard_ms;
    char since[CLOCK_SIZE] = "";

    json_add_number(json, "heard_ms", heard_ms < 0 ? NAN : (double)ago_ms);
    json_add_bool(json, "lost", lost);
    if (lost && heard_ms >= 0)
        board_time(desk, heard_ms, since);
    json_add_string(json, "since", since);
}

/* How old it is says the page, which counts on. */
static struct json *
link_json(const struct watch_desk *desk)
{
    struct link_figures figures = link_figures(desk->link);
    enum link_state state = link_state(desk->link);
    char values[WATCH_WORDS_SIZE], says[WATCH_WORDS_SIZE + 60];
    struct json *json = json_new_object();

    watch_count_values(desk->session->engine, values);
    if (figures.last_heard_ms < 0)
        snprintf(says, sizeof says, "%s, never heard", link_state_name(state));
    else if (state == LINK_LOST)
        snprintf(says, sizeof says, "LOST: all STALE");
    else
        snprintf(says, sizeof says, "%s; %s", link_state_name(state), values);
    json_add_string(json, "state", link_state_name(state));
    json_add_string(json, "says", says);
    add_age(desk, figures.last_heard_ms, state == LINK_LOST, json);
    return json;
}

/* ---- now ---- */

static bool
is_now(const struct watch_desk *desk, const struct standing *one)
{
    int by;
    bool hidden = watcher_hidden(desk->watcher, one->finding, &by) != HIDDEN_NOT;

    if (one->quieted || (hidden && one->finding->verdict.weight != WEIGHT_STOP))
        return false;
    return one->fresh || !noticed_of(kept_noticed(desk->kept), one->finding);
}

static void
add_now(const struct watch_desk *desk, const struct standing *list, size_t count, struct json *json)
{
    struct json *now = json_new_array();
    size_t shown = 0;

    for (size_t i = 0; i < count; i++)
        if (is_now(desk, &list[i]) && ++shown <= BOARD_NOW)
            json_add(now, NULL, board_finding(desk, &list[i]));
    json_add(json, "now", now);
    json_add_number(json, "now_more", shown > BOARD_NOW ? (double)(shown - BOARD_NOW) : 0);
}

/* For how long nothing was told, and what hands did meanwhile. */
static void
add_quiet(const struct watch_desk *desk, struct json *json)
{
    struct json *quiet = json_new_object();
    int64_t since_ms = kept_said_ms(desk->kept);

    json_add_number(quiet, "for_s", (double)((watch_now_ms(desk) - since_ms) / A_SECOND_MS));
    json_add_number(quiet, "by_hand", (double)changed_levels(desk->changed, since_ms));
    json_add(json, "quiet", quiet);
}

static void
add_open(const struct watch_desk *desk, const struct standing *list, size_t count,
         struct json *json)
{
    size_t of[WEIGHTS] = {0}, held = 0;
    struct json *open = json_new_object();
    int by;

    for (size_t i = 0; i < count; i++) {
        of[list[i].finding->verdict.weight]++;
        held += watcher_hidden(desk->watcher, list[i].finding, &by) != HIDDEN_NOT;
    }
    for (int weight = WEIGHT_STOP; weight >= WEIGHT_NOTE; weight--)
        json_add_number(open, weight_name((enum weight)weight), (double)of[weight]);
    json_add_number(open, "held_back", (double)held);
    json_add(json, "open", open);
}

/* ---- lists ---- */

static void
add_line(void *context, const char *line)
{
    board_add_text(context, NULL, line);
}

static void
add_lists(struct watch_desk *desk, struct json *json)
{
    struct json *unknown = json_new_array(), *proved = json_new_array(),
                *quieted = json_new_array();

    json_add_number(json, "not_known_count", (double)lists_unknown(desk, add_line, unknown));
    margins_lines(desk->margins, desk, add_line, proved);
    lists_quieted(desk, add_line, quieted);
    json_add(json, "not_known", unknown);
    json_add(json, "proved", proved);
    json_add(json, "quieted", quieted);
}

/* "approved 18:02 by Mo" */
static void
add_approved(const struct watch_desk *desk, struct json *json)
{
    const struct session *session = desk->session;
    bool timed = clock_has_form(session->approved_at, "dddd-dd-ddTdd:dd:ddsdd:dd");
    char text[SHOW_NAME_SIZE + 40];

    snprintf(text, sizeof text, "approved%s%.*s%s%s", timed ? " " : "", timed ? 5 : 0,
             session->approved_at + (timed ? sizeof "2026-06-13T" - 1 : 0),
             *session->approved_by ? " by " : "", session->approved_by);
    board_add_text(json, "approved", engine_approved(session->engine) ? text : "not approved");
}

static struct json *
told_json(const struct lately_line *line)
{
    struct json *json = json_new_object();
    char at[CLOCK_SIZE];

    json_add_number(json, "at_ms", floor(line->at_s * 1000));
    json_add_string(json, "at", clock_time_at(line->at_s, at));
    board_add_text(json, "says", line->says);
    return json;
}

static void
add_told(const struct watch_desk *desk, struct json *json)
{
    const struct lately *lately = kept_lately(desk->kept);
    struct json *told = json_new_array();
    const struct lately_line *line;

    for (size_t back = 0; (line = lately_at(lately, back)) != NULL; back++)
        json_add(told, NULL, told_json(line));
    json_add(json, "told", told);
}

/* ---- all of it ---- */

static struct json *
desk_json(struct watch_desk *desk)
{
    struct json *json = json_new_object();
    size_t count;
    struct standing *list = standing_list(desk, &count);
    struct board_tile *tiles = board_tiles_of(desk, list, count);

    changed_look(desk->changed, desk);
    add_room(desk, json);
    json_add(json, "link", link_json(desk));
    add_now(desk, list, count, json);
    add_quiet(desk, json);
    add_open(desk, list, count, json);
    json_add(json, "tiles", board_tiles(desk, tiles));
    json_add(json, "changed", board_changed(desk, -1, BOARD_CHANGED));
    add_approved(desk, json);
    json_add(json, "held", board_held(desk, list, count));
    add_lists(desk, json);
    add_told(desk, json);
    free(tiles);
    free(list);
    return json;
}

/* The first that somebody follows; null: nobody does. */
static struct json *
ring_out_json(struct watch_desk *const *desks, int count)
{
    struct json *json;
    int i = 0;

    while (i < count && !relay_view(desks[i]->relay))
        i++;
    if (i == count)
        return json_new_number(NAN);
    json = json_copy(relay_view(desks[i]->relay));
    json_add_number(json, "desk", i);
    return json;
}

struct json *
board_facts(struct watch_desk *const *desks, int count, const char *boot)
{
    struct json *json = json_new_object(), *list = json_new_array();
    char clock[CLOCK_SIZE];

    json_add_number(json, "version", BOARD_VERSION);
    json_add_number(json, "at_ms", floor(clock_now_s() * 1000));
    json_add_string(json, "clock", clock_time(clock));
    json_add_string(json, "boot", boot);
    for (int i = 0; i < count; i++)
        json_add(list, NULL, desk_json(desks[i]));
    json_add(json, "desks", list);
    json_add(json, "ring_out", ring_out_json(desks, count));
    return json;
}
