/* SPDX-License-Identifier: MIT */
#include "tell/edges.h"

#include <string.h>

#include "base/clock.h"
#include "check/check.h"
#include "report/report.h"

bool
edge_opens(const struct edge *edge)
{
    return edge->kind != EDGE_CLEARED && edge->kind != EDGE_ENDS;
}

/* ---- what goes together ---- */

/* A message that goes over everything is of many causes. */
static bool
has_one_cause(const struct message *message)
{
    switch (message->cause.kind) {
    case CAUSE_INPUT:
    case CAUSE_PREAMP:
    case CAUSE_MIX:
    case CAUSE_GROUP:
    case CAUSE_RECALL:
    case CAUSE_LATER:
    case CAUSE_SETTLED:
        return true;
    default:
        return false;
    }
}

static bool
go_together(const struct message *message, size_t one, size_t other)
{
    const struct edge *a = &message->edges[one], *b = &message->edges[other];

    return has_one_cause(message) && a->finding->object.input == b->finding->object.input &&
           a->finding->object.mix == b->finding->object.mix &&
           (a->kind == b->kind || (edge_opens(a) && edge_opens(b)));
}

size_t
edges_leader(const struct message *message, size_t edge)
{
    size_t i = 0;

    while (i < edge && !go_together(message, i, edge))
        i++;
    return i;
}

static void
add_others(const struct message *message, size_t edge, struct text *text)
{
    const char *between = "; with it";

    for (size_t i = edge + 1; i < message->count; i++) {
        const struct edge *other = &message->edges[i];

        if (!go_together(message, edge, i))
            continue;
        text_add(text, "%s [%s]%s", between, other->finding->check->id,
                 other->kind == EDGE_FOLLOWS ? " if it stays" : "");
        between = ",";
    }
}

/* ---- words ---- */

void
edges_add_statement(struct text *text, const char *says)
{
    size_t length = strlen(says);
    char first[sizeof((struct words *)0)->says];

    for (const char *end = says; *end; end++)
        if ((*end == ':' || *end == ';') && end[1] == ' ') {
            length = (size_t)(end - says);
            break;
        }
    if (length >= sizeof first)
        length = sizeof first - 1;
    memcpy(first, says, length);
    first[length] = '\0';
    text_add(text, "%s", first);
}

static const char *
begin_of(enum edge_kind kind)
{
    switch (kind) {
    case EDGE_FOLLOWS:
        return "is raised next if it stays:";
    case EDGE_STAYS:
        return "not fixed after all:";
    case EDGE_WORSE:
        return event_name(EVENT_WORSE);
    default:
        return event_name(EVENT_RAISED);
    }
}

/* "raised fix [master-off-unity] mix 2 Gtr wedge (gtr): " */
static void
write_begin(const struct edge *edge, const struct engine *engine, struct text *text)
{
    const struct finding *finding = edge->finding;
    char object[REPORT_OBJECT_SIZE], player[SHOW_NAME_SIZE];

    engine_player(engine, finding, player);
    text_add(text, "%s %s [%s] %s%s%s%s: ", begin_of(edge->kind),
             weight_name(finding->verdict.weight), finding->check->id,
             report_object(engine, finding->object, object), *player ? " (" : "", player,
             *player ? ")" : "");
}

static void
write_end(const struct edge *edge, const struct engine *engine, struct text *text)
{
    const struct check *check = edge->finding->check;
    char object[REPORT_OBJECT_SIZE], span[CLOCK_SIZE];

    report_object(engine, edge->finding->object, object);
    if (edge->kind == EDGE_ENDS)
        text_add(text, "looks fixed, waiting to be sure: [%s] %s", check->id, object);
    else if (engine_show(engine)->checks[check->number].off)
        text_add(text, "[%s] %s is no longer checked: the show file switched it off", check->id,
                 object);
    else if (edge->lasted_ms < 0)
        text_add(text, "gone before it held: [%s] %s", check->id, object);
    else
        text_add(text, "%s [%s] %s after %s", event_name(EVENT_CLEARED), check->id, object,
                 clock_span(edge->lasted_ms, span));
}

void
edges_write(const struct message *message, size_t edge, const struct engine *engine,
            struct text *text)
{
    const struct edge *one = &message->edges[edge];
    struct words words;

    if (one->kind == EDGE_STAYS) {
        edges_write_short(message, edge, engine, text);
        return;
    }
    if (edge_opens(one)) {
        engine_advice(engine, one->finding, &words);
        write_begin(one, engine, text);
        text_add(text, "%s; do: %s", words.says, words.cure);
    } else {
        write_end(one, engine, text);
    }
    add_others(message, edge, text);
}

void
edges_write_short(const struct message *message, size_t edge, const struct engine *engine,
                  struct text *text)
{
    const struct edge *one = &message->edges[edge];
    struct words words;

    engine_words(engine, one->finding, &words);
    write_begin(one, engine, text);
    edges_add_statement(text, words.says);
    add_others(message, edge, text);
}
