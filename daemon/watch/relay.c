/* SPDX-License-Identifier: MIT */
#include "watch/relay.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "change/suspects.h"
#include "core/need.h"
#include "desk/catch_up.h"
#include "loop/control.h"
#include "screen/ring_view_json.h"
#include "watch/follow.h"
#include "watch/handles.h"
#include "watch/reload.h"
#include "watch/ring_hold.h"

enum { BEAT_MS = 500, VIEW_LASTS_MS = 5000, RINGS_MS = 1000 / RELAY_RINGS_A_S };

struct relay {
    struct watch_desk *desk;
    struct loop_timer *beat;
    struct desk *told; /* the desk as whoever follows knows it; NULL: nobody does */
    bool due;          /* a line is to be sent though nothing moved */
    struct json *view; /* what whoever follows shows; NULL: nothing yet, or nothing lately */
    int64_t shown_ms;
    enum link_state link;
    int mix;           /* that is rung out; -1: all are */
    int64_t ringed_ms; /* until when rings were told */
};

static void
show(struct relay *relay, struct json *view)
{
    const struct watch_shared *shared = relay->desk->shared;

    json_free(relay->view);
    relay->view = view;
    relay->shown_ms = watch_now_ms(relay->desk);
    shared->changed(shared->context);
}

/* A ring-out that is stopped, or hangs, says nothing, and what it said is not true for long: nobody
 * shall raise a master by it. */
static void
on_beat(void *context)
{
    struct relay *relay = context;

    relay->due = true; /* the rest before the loop sleeps */
    if (relay->view && watch_now_ms(relay->desk) - relay->shown_ms > VIEW_LASTS_MS)
        show(relay, NULL);
}

struct relay *
relay_new(struct watch_desk *desk)
{
    struct relay *relay = need_memory(1, sizeof *relay);

    relay->desk = desk;
    relay->beat = loop_timer_open(desk->shared->loop, on_beat, relay);
    return relay;
}

void
relay_free(struct relay *relay)
{
    if (!relay)
        return;
    loop_timer_close(relay->beat);
    json_free(relay->view);
    desk_free(relay->told);
    free(relay);
}

static const struct desk *
desk_of(const struct relay *relay)
{
    return engine_desk(relay->desk->session->engine);
}

/* ---- lines ---- */

struct line {
    const struct relay *relay;
    struct json *values, *stale;
    int count;
};

static struct json *
place_json(enum param_id id, int row, int column)
{
    struct json *place = json_new_array();

    json_add_string(place, NULL, params[id].name);
    json_add_number(place, NULL, row + 1);
    json_add_number(place, NULL, column + 1);
    return place;
}

/* -inf is no JSON number. */
static struct json *
number_json(double number)
{
    return isfinite(number) ? json_new_number(number) : json_new_string("-inf");
}

static void
add_value(const struct line *line, enum param_id id, int row, int column)
{
    const struct desk *desk = desk_of(line->relay);
    const struct value *value = desk_value(desk, id, row, column);
    struct json *json = place_json(id, row, column);

    if (params[id].unit == UNIT_TEXT)
        json_add_string(json, NULL, desk_text(desk, id, row, column));
    else
        json_add(json, NULL, number_json(value_last_heard(value)));
    json_add_number(json, NULL, (double)(watch_now_ms(line->relay->desk) - value->heard_ms));
    json_add(line->values, NULL, json);
}

static bool
add_behind(void *context, enum param_id id, int row, int column)
{
    struct line *line = context;
    bool known = desk_value(desk_of(line->relay), id, row, column)->state == VALUE_KNOWN;

    if (line->count++ >= RELAY_VALUES)
        return false;
    if (known)
        add_value(line, id, row, column);
    else
        json_add(line->stale, NULL, place_json(id, row, column));
    return true;
}

/* ---- rings ---- */

static void
add_ring(struct json *rings, int mix, int third, const struct heard *heard, int64_t now_ms)
{
    struct json *json = json_new_array();

    json_add_number(json, NULL, mix + 1);
    json_add_number(json, NULL, third + 1);
    json_add_number(json, NULL, heard->hz);
    json_add_number(json, NULL, heard->level_db);
    json_add_number(json, NULL, (double)(now_ms - heard->at_ms));
    json_add_number(json, NULL, (double)(now_ms - heard->rose_ms));
    json_add(rings, NULL, json);
}

static void
add_rings(const struct relay *relay, int mix, struct json *rings)
{
    const struct heard_thirds *heard =
        suspects_heard(engine_suspects(relay->desk->session->engine), mix);

    for (int i = 0; heard && i < SPECTRUM_THIRDS; i++)
        if (heard->of[i].hz > 0 && heard->of[i].at_ms > relay->ringed_ms)
            add_ring(rings, mix, i, &heard->of[i], watch_now_ms(relay->desk));
}

/* What stood since it was told last; NULL: nothing did, or that was just now. */
static struct json *
new_rings(struct relay *relay)
{
    int64_t now_ms = watch_now_ms(relay->desk);
    struct json *rings;

    if (now_ms < relay->ringed_ms + RINGS_MS)
        return NULL;
    rings = json_new_array();
    for (int mix = 0; mix < desk_count(desk_of(relay), INDEX_MIX); mix++)
        if (relay->mix < 0 || relay->mix == mix)
            add_rings(relay, mix, rings);
    if (json_first(rings)) {
        relay->ringed_ms = now_ms;
        return rings;
    }
    json_free(rings);
    return NULL;
}

/* What whoever follows does not know yet, or the first of it; NULL: he knows all, and need not hear
 * that now. */
static struct json *
next_part(struct relay *relay)
{
    struct line line = {relay, json_new_array(), json_new_array(), 0};
    struct json *told = json_new_object(), *rings;
    enum link_state link = link_state(relay->desk->link);

    if (desk_catch_up(relay->told, desk_of(relay), add_behind, &line)) {
        relay->due |= link != relay->link;
        relay->link = link;
        json_add_string(told, "link", link_state_name(link));
    }
    json_add_number(told, "silent_ms", (double)link_silent_ms(relay->desk->link));
    json_add(told, "values", line.values);
    json_add(told, "stale", line.stale);
    rings = new_rings(relay);
    if (rings)
        json_add(told, "rings", rings);
    if (line.count > 0 || relay->due || rings) {
        relay->due = false;
        return told;
    }
    json_free(told);
    return NULL;
}

/* ---- the conversation ---- */

struct json *
relay_begin(struct relay *relay, const struct json *request, const char **error)
{
    int mixes = desk_count(desk_of(relay), INDEX_MIX);
    double mix = json_number_at(request, "mix", 0);

    *error = NULL;
    if (control_followers(relay->desk->control, FOLLOWS_RING_OUT) > 0)
        *error = "another ring-out of this desk is being followed already";
    else if (!(mix >= 0 && mix <= mixes))
        *error =
            "the watch knows no such mix: its files are others, `gainwarden reload` reads them";
    if (*error)
        return NULL;
    desk_free(relay->told);
    relay->told = desk_behind(desk_of(relay));
    relay->mix = (int)mix - 1;
    relay->ringed_ms = watch_now_ms(relay->desk);
    engine_hear_rings(relay->desk->session->engine, true);
    ring_hold_begin(relay->desk, relay->mix);
    relay->due = true;
    loop_timer_start(relay->beat, BEAT_MS, BEAT_MS);
    return next_part(relay);
}

const char *
relay_take_view(struct relay *relay, const struct json *json)
{
    struct json *view = relay->told ? ring_view_clean(json) : NULL;

    if (!view)
        return relay->told ? "that is no view of a ring-out" : "no ring-out is being followed";
    show(relay, view);
    return NULL;
}

const struct json *
relay_view(const struct relay *relay)
{
    return relay->view;
}

static void
end(struct relay *relay)
{
    show(relay, NULL);
    desk_free(relay->told);
    relay->told = NULL;
    loop_timer_stop(relay->beat);
    engine_hear_rings(relay->desk->session->engine, false);
    ring_hold_end(relay->desk);
}

/* The files were read anew, and are of another desk. */
static bool
is_other_desk(const struct relay *relay)
{
    return memcmp(&relay->told->counts, &desk_of(relay)->counts, sizeof relay->told->counts) != 0;
}

static void
publish(const struct relay *relay, const char *key, struct json *what)
{
    struct json *line;

    if (!what)
        return;
    line = json_new_object();
    json_add_bool(line, "ok", true);
    json_add(line, key, what);
    control_publish(relay->desk->control, FOLLOWS_RING_OUT, line);
    json_free(line);
}

/* A ring-out that ends well lets the watch read what it kept before it goes. One that was killed
 * cannot, and what it had kept is judged by all the same. */
static void
take_proofs(struct relay *relay)
{
    if (watch_proofs_are_new(relay->desk))
        watch_reload_or_say(relay->desk);
}

void
relay_turn(struct relay *relay)
{
    if (!relay->told)
        return;
    if (control_followers(relay->desk->control, FOLLOWS_RING_OUT) == 0) {
        take_proofs(relay);
        end(relay);
    } else if (is_other_desk(relay)) {
        publish(relay, "ended", json_new_bool(true));
        end(relay);
    } else if (!control_is_behind(relay->desk->control, FOLLOWS_RING_OUT)) {
        engine_hear_rings(relay->desk->session->engine, true); /* it may have been read anew */
        publish(relay, "ring_out", next_part(relay));
    }
}
