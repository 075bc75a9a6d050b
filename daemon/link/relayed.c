/* SPDX-License-Identifier: MIT */
#include "link/relayed.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "change/suspects.h"
#include "core/need.h"
#include "link/way.h"
#include "loop/control_lines.h"

static const char relayed_line[] = "the watch's desk";

struct relayed {
    struct link link; /* by which it is known */
    struct control_lines *lines;
    struct loop_timer *silent;
    struct problems *problems;
    bool over;
};

/* ---- one value ---- */

/* The next of the list as a whole number from 1 to `most`, from 0; -1. */
static int
take_index(const struct json **at, int most)
{
    const struct json *json = *at;
    double number = json && json_kind(json) == JSON_NUMBER ? json_number(json) : 0;

    *at = json ? json_next(json) : NULL;
    return number >= 1 && number <= most && number == floor(number) ? (int)number - 1 : -1;
}

struct place {
    enum param_id id;
    int row, column;
};

/* Parameter, row and column; `*rest` is what stands behind them. False: there is no such. */
static bool
take_place(const struct json *json, const struct desk *desk, struct place *place,
           const struct json **rest)
{
    const struct json *name = json_kind(json) == JSON_ARRAY ? json_first(json) : NULL;

    if (!name || json_kind(name) != JSON_STRING)
        return false;
    place->id = param_find(json_string(name));
    if (place->id == PARAMS || desk_supplied(desk, place->id) != SUPPLY_HEARD)
        return false;
    *rest = json_next(name);
    place->row = take_index(rest, desk_rows(desk, place->id));
    place->column = take_index(rest, desk_columns(desk, place->id));
    return place->row >= 0 && place->column >= 0;
}

/* NAN: it is none. */
static double
number_of(const struct json *json)
{
    if (json_kind(json) == JSON_NUMBER)
        return json_number(json);
    return json_kind(json) == JSON_STRING && strcmp(json_string(json), "-inf") == 0 ? -HUGE_VAL
                                                                                    : (double)NAN;
}

static int64_t
ago(int64_t now_ms, double ms)
{
    return now_ms - (int64_t)fmin(ms, 1e12);
}

static bool
hear(struct link *link, const struct place *place, const struct json *value, int64_t heard_ms)
{
    bool text = params[place->id].unit == UNIT_TEXT;

    if (text && json_kind(value) != JSON_STRING)
        return false;
    return (text ? engine_hear_text(link->engine, place->id, place->row, place->column,
                                    json_string(value), heard_ms)
                 : engine_hear(link->engine, place->id, place->row, place->column, number_of(value),
                               heard_ms)) != CHANGE_REFUSED;
}

static bool
take_value(struct link *link, const struct json *json, int64_t now_ms)
{
    const struct json *value = NULL, *age;
    struct place place;

    if (!take_place(json, engine_desk(link->engine), &place, &value))
        return false;
    age = value ? json_next(value) : NULL;
    return age && json_kind(age) == JSON_NUMBER && json_number(age) >= 0 &&
           hear(link, &place, value, ago(now_ms, json_number(age)));
}

static bool
take_stale(struct link *link, const struct json *json)
{
    const struct json *rest;
    struct place place;

    if (!take_place(json, engine_desk(link->engine), &place, &rest))
        return false;
    engine_set_stale(link->engine, place.id, place.row, place.column);
    return true;
}

/* Mix, third, Hz, dB full scale, how many ms ago it stood and how many it rose. */
static bool
take_ring(struct link *link, const struct json *json, int64_t now_ms)
{
    const struct json *at = json_kind(json) == JSON_ARRAY ? json_first(json) : NULL;
    int mix = take_index(&at, desk_count(engine_desk(link->engine), INDEX_MIX));
    int third = take_index(&at, SPECTRUM_THIRDS);
    double numbers[4]; /* the rest */
    struct heard_thirds *heard;

    for (int i = 0; i < 4; i++) {
        numbers[i] = at && json_kind(at) == JSON_NUMBER ? json_number(at) : (double)NAN;
        at = at ? json_next(at) : NULL;
    }
    if (mix < 0 || third < 0 || !(numbers[0] > 0) || isnan(numbers[1]) || !(numbers[2] >= 0) ||
        !(numbers[3] >= 0))
        return false;
    heard = suspects_heard(engine_suspects(link->engine), mix);
    if (heard)
        heard->of[third] = (struct heard){numbers[0], numbers[1], ago(now_ms, numbers[2]),
                                          ago(now_ms, numbers[3])};
    return true;
}

/* ---- a line ---- */

/* No more comes. */
static void
end(struct relayed *relayed, const char *why)
{
    relayed->over = true;
    loop_timer_stop(relayed->silent);
    link_set_state(&relayed->link, LINK_LOST, why);
}

static int64_t
silent_ms_of(const struct json *told)
{
    double silent_ms = json_number_at(told, "silent_ms", 0);

    return silent_ms > 0 ? (int64_t)fmin(silent_ms, LINK_LOST_MS) : 0;
}

static bool
take_values(struct relayed *relayed, const struct json *told)
{
    int64_t now_ms = loop_woke_ms(relayed->link.loop);
    bool good = true;

    for (const struct json *one = json_first_at(told, "values"); one && good; one = json_next(one))
        good = take_value(&relayed->link, one, now_ms);
    for (const struct json *one = json_first_at(told, "stale"); one && good; one = json_next(one))
        good = take_stale(&relayed->link, one);
    for (const struct json *one = json_first_at(told, "rings"); one && good; one = json_next(one))
        good = take_ring(&relayed->link, one, now_ms);
    if (good)
        relayed->link.figures.last_heard_ms = now_ms - silent_ms_of(told);
    return good;
}

/* Whether the watch's desk is as this one, and the line says what it may. */
static bool
take_desk(struct relayed *relayed, const struct json *told)
{
    const char *name = json_string_at(told, "link");
    enum link_state state;

    if (!told || !take_values(relayed, told))
        return false;
    if (!*name) /* there is more to come */
        return true;
    if (!link_state_find(name, &state))
        return false;
    link_set_state(&relayed->link, state, "the watch says so");
    return true;
}

static bool
on_line(void *context, const struct json *line)
{
    struct relayed *relayed = context;
    bool ok = json_bool_at(line, "ok"), ended = json_bool_at(line, "ended");

    loop_timer_start(relayed->silent, LINK_LOST_MS, 0);
    if (ok && !ended && take_desk(relayed, json_get(line, "ring_out")))
        return true;
    if (!ok)
        problems_add(relayed->problems, "%s", json_string_at(line, "error"));
    else if (!ended)
        problems_add(relayed->problems, "the running watch has other files than this command: "
                                        "`gainwarden reload` lets it read them anew");
    end(relayed, ended ? "the watch has ended" : "the watch cannot be followed");
    return false;
}

static void
on_over(void *context, bool hung_up)
{
    end(context, hung_up ? "the watch hung up" : "the watch cannot be understood");
}

static void
on_silent(void *context)
{
    struct relayed *relayed = context;

    control_lines_close(relayed->lines); /* it takes one at a time, and shall know that we left */
    relayed->lines = NULL;
    end(relayed, "the watch says nothing");
}

/* ---- opening and closing ---- */

/* Whatever a state asks for, the watch does. */
static void
leave_to_watch(struct link *link)
{
    (void)link;
}

static void
add_figures(const struct link *link, struct link_figures *figures)
{
    (void)link;
    figures->resolved = true;
}

static void
on_answer(void *context, size_t entry, size_t place)
{
    struct link *link = context;

    link->entry = entry;
    link->place = place;
}

static void
close_relayed(struct link *link)
{
    struct relayed *relayed = (struct relayed *)link;

    control_lines_close(relayed->lines);
    loop_timer_close(relayed->silent);
    link_free(link);
}

static const struct link_way way = {leave_to_watch, leave_to_watch, leave_to_watch,
                                    leave_to_watch, add_figures,    close_relayed};

struct link *
link_open_relayed(struct loop *loop, const struct profile *profile, struct engine *engine, int fd,
                  struct link_owner owner, struct problems *problems)
{
    struct control_lines_owner lines = {on_line, on_over, NULL};
    struct relayed *relayed = need_memory(1, sizeof *relayed);

    *relayed =
        (struct relayed){{&way, loop, profile, engine, owner, .fast = false}, .problems = problems};
    link_init(&relayed->link, on_answer);
    lines.context = relayed;
    relayed->silent = loop_timer_open(loop, on_silent, relayed);
    loop_timer_start(relayed->silent, LINK_LOST_MS, 0);
    relayed->lines = control_lines_open(loop, fd, relayed_line, RELAYED_LINE_MOST, lines, problems);
    return &relayed->link;
}

bool
link_relay_is_over(const struct link *link)
{
    return link->way == &way && ((const struct relayed *)link)->over;
}
