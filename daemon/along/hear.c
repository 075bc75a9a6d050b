/* SPDX-License-Identifier: MIT */
#include "along/hear.h"

#include <stdlib.h>

#include "base/places.h"
#include "core/need.h"
#include "desk/catch_up.h"
#include "link/own_port.h"
#include "link/relayed.h"
#include "loop/control_call.h"
#include "show/agreement.h"
#include "watcher/burst.h"

enum {
    AGAIN_MS = 1000,   /* so long a watch that ended is given to begin anew */
    SETTLED_MS = 2000, /* nothing moved for so long: a recall is over */
    RECALL_VALUES = 20,
    RECALL_OBJECTS = 4 /* as a watch has it where the show file says nothing */
};

struct hear_move {
    enum param_id id;
    int row, column;
    int64_t at_ms;
    size_t order;
};

struct hear {
    struct loop *loop;
    struct session *session;
    const struct options *options;
    struct hear_owner owner;
    struct problems *problems;
    struct link *link;
    bool relayed, lost;
    int64_t over_ms; /* since when the watch is gone; INT64_MAX: it is not */
    struct desk *behind;
    struct hear_move *moves; /* of this wake-up, `count` of `size` */
    size_t count, size;
    int64_t last_ms; /* of the last move that was told */
    struct burst burst;
    int64_t recall_ms; /* the last move of a recall; INT64_MAX: none goes on */
};

static const struct desk *
desk_of(const struct hear *hear)
{
    return engine_desk(hear->session->engine);
}

/* ---- what moved ---- */

static bool
note_move(void *context, enum param_id id, int row, int column)
{
    struct hear *hear = context;
    const struct value *value = desk_value(desk_of(hear), id, row, column);
    bool known = value->state == VALUE_KNOWN;

    if (hear->count == hear->size) {
        hear->size = hear->size ? 2 * hear->size : 64;
        hear->moves = need_more(hear->moves, hear->size, sizeof *hear->moves);
    }
    hear->moves[hear->count] = (struct hear_move){
        id, row, column, known ? value->heard_ms : loop_now_ms(hear->loop), hear->count};
    hear->count++;
    return true;
}

static int
by_time(const void *one, const void *other)
{
    const struct hear_move *a = one, *b = other;

    if (a->at_ms != b->at_ms)
        return a->at_ms < b->at_ms ? -1 : 1;
    return a->order < b->order ? -1 : 1;
}

static void
tell_moves(struct hear *hear)
{
    if (hear->count == 0)
        return;
    qsort(hear->moves, hear->count, sizeof *hear->moves, by_time);
    for (size_t i = 0; i < hear->count; i++) {
        const struct hear_move *move = &hear->moves[i];

        if (move->at_ms > hear->last_ms)
            hear->last_ms = move->at_ms;
        hear->owner.moved(hear->owner.context, move->id, move->row, move->column, hear->last_ms);
    }
}

/* ---- recalls ---- */

/* Whatever moved is one kind of control, and no scene was named: a hand has all of them. */
static bool
is_one_hand(struct moves *moves)
{
    const struct move *list;
    size_t count;

    list = moves_list(moves, &count);
    for (size_t i = 1; i < count; i++)
        if (list[i].id != list[0].id)
            return false;
    return true;
}

static void
begin_recall(struct hear *hear, int64_t now_ms)
{
    moves_settle(engine_moves(hear->session->engine), desk_of(hear));
    burst_forget(&hear->burst);
    hear->recall_ms = now_ms;
    hear->owner.news(hear->owner.context, HEAR_RECALLED, "many values moved at once");
    link_read_again(hear->link);
}

static void
look_for_recall(struct hear *hear, int64_t now_ms)
{
    const struct session *session = hear->session;
    const struct watch_settings *watch = session->file ? &session->file->watch : NULL;
    const struct burst_least least = {watch ? (size_t)watch->recall_values : RECALL_VALUES,
                                      watch ? (size_t)watch->recall_objects : RECALL_OBJECTS};
    struct moves *moves = engine_moves(session->engine);
    struct moves_count count;

    if (hear->burst.phase == BURST_NOTHING)
        moves_age(moves, desk_of(hear), now_ms);
    count = moves_count(moves, burst_late_ms(now_ms));
    if (is_one_hand(moves) && !count.scene)
        count = (struct moves_count){0, 0, 0, false};
    moves_taken(moves);
    if (burst_look(&hear->burst, &count, &least, now_ms) == BURST_RECALL)
        begin_recall(hear, now_ms);
}

static void
follow_recall(struct hear *hear, int64_t now_ms)
{
    if (hear->count > 0)
        hear->recall_ms = now_ms;
    if (now_ms - hear->recall_ms < SETTLED_MS || link_is_reading(hear->link))
        return;
    hear->recall_ms = INT64_MAX;
    moves_settle(engine_moves(hear->session->engine), desk_of(hear));
    hear->owner.news(hear->owner.context, HEAR_READ, "it has settled");
}

void
hear_turn(struct hear *hear)
{
    int64_t now_ms = loop_now_ms(hear->loop);

    hear->count = 0;
    desk_catch_up(hear->behind, desk_of(hear), note_move, hear);
    tell_moves(hear);
    if (link_state(hear->link) != LINK_STEADY)
        return;
    if (hear->recall_ms != INT64_MAX)
        follow_recall(hear, now_ms);
    else
        look_for_recall(hear, now_ms);
}

/* ---- the link ---- */

static void
on_lost(struct hear *hear, const char *why)
{
    if (link_relay_is_over(hear->link))
        hear->over_ms = loop_now_ms(hear->loop);
    hear->recall_ms = INT64_MAX;
    burst_forget(&hear->burst);
    hear->lost = true;
    hear->owner.news(hear->owner.context, HEAR_LOST, why);
}

static void
on_steady(struct hear *hear, const char *why)
{
    hear_turn(hear); /* all of it is known before it is said to be */
    moves_settle(engine_moves(hear->session->engine), desk_of(hear));
    hear->lost = false;
    hear->owner.news(hear->owner.context, HEAR_READ, why);
}

static void
on_state(void *context, enum link_state from, enum link_state to, const char *why)
{
    struct hear *hear = context;

    (void)from;
    if (to == LINK_LOST) {
        on_lost(hear, why);
        return;
    }
    if (hear->lost && to != LINK_RESOLVING)
        hear->owner.news(hear->owner.context, HEAR_BACK, why);
    if (to == LINK_STEADY)
        on_steady(hear, why);
}

/* Where a watch of this show listens. False: it is not to be asked. */
static bool
watch_socket(const struct options *options, char path[PLACES_SIZE], struct problems *problems)
{
    char name[80];

    places_name(options->words[0], options->profile, options->desk, name);
    return !options->desk && places_socket(options->keep, name, path, problems);
}

/* The connection to the running watch of this show; -1: none runs, or it is not to be asked. */
static int
call_watch(const struct options *options)
{
    struct json *request = json_new_object();
    struct problems aside = {0};
    char path[PLACES_SIZE];
    int fd = -1;

    json_add_string(request, "do", "ring-out");
    if (options->mix > 0)
        json_add_number(request, "mix", options->mix);
    if (watch_socket(options, path, &aside))
        fd = control_call(path, request, &aside);
    json_free(request);
    problems_release(&aside);
    return fd;
}

/* False where our own port is taken, which was told. */
static bool
open_link(struct hear *hear)
{
    struct link_owner owner = {.changed = on_state, .context = hear};
    struct session *session = hear->session;
    int fd = call_watch(hear->options);

    hear->relayed = fd >= 0;
    hear->over_ms = INT64_MAX;
    if (!hear->relayed && !own_port_is_free(&session->profile->link))
        return false;
    hear->link = hear->relayed ? link_open_relayed(hear->loop, session->profile, session->engine,
                                                   fd, owner, hear->problems)
                               : link_open(hear->loop, session->profile, session->engine,
                                           session->host, session->port, owner);
    return true;
}

/* A watch that refused is told, one that ended is replaced. */
static void
open_again(struct hear *hear)
{
    struct link *before = hear->link;

    if (hear->problems->count == 0 && open_link(hear)) {
        link_close(before);
        return;
    }
    hear->over_ms = INT64_MAX;
    hear->owner.refused(hear->owner.context);
}

void
hear_passed(struct hear *hear)
{
    if (hear->over_ms != INT64_MAX &&
        (hear->problems->count > 0 || loop_now_ms(hear->loop) - hear->over_ms >= AGAIN_MS))
        open_again(hear);
    hear_turn(hear);
}

/* ---- opening and closing ---- */

struct hear *
hear_open(struct loop *loop, struct session *session, const struct options *options,
          struct hear_owner owner, struct problems *problems)
{
    struct hear *hear = need_memory(1, sizeof *hear);

    *hear = (struct hear){.loop = loop,
                          .session = session,
                          .options = options,
                          .owner = owner,
                          .problems = problems,
                          .last_ms = loop_now_ms(loop),
                          .recall_ms = INT64_MAX};
    engine_remember(session->engine);
    burst_init(&hear->burst);
    hear->behind = desk_behind(desk_of(hear));
    if (agreement_begin(session, options) && open_link(hear))
        return hear;
    hear_close(hear);
    return NULL;
}

void
hear_close(struct hear *hear)
{
    if (!hear)
        return;
    link_close(hear->link);
    desk_free(hear->behind);
    free(hear->moves);
    free(hear);
}

bool
hear_has_watch(const struct hear *hear)
{
    return hear->relayed && !hear->lost && hear->over_ms == INT64_MAX;
}

void
hear_tell_watch(const struct hear *hear, struct json *view)
{
    struct json *request = json_new_object();
    struct problems aside = {0};
    char path[PLACES_SIZE];

    json_add_string(request, "do", "ring-out-view");
    json_add(request, "view", view);
    if (watch_socket(hear->options, path, &aside))
        control_post(path, request);
    json_free(request);
    problems_release(&aside);
}

const char *
hear_over(const struct hear *hear)
{
    return hear->relayed ? "the running watch" : "the desk";
}

enum link_state
hear_state(const struct hear *hear)
{
    return link_state(hear->link);
}

int64_t
hear_silent_ms(const struct hear *hear)
{
    return link_silent_ms(hear->link);
}
