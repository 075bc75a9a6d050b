/* SPDX-License-Identifier: MIT */
#include "tell/message.h"

#include <stdio.h>
#include <string.h>

#include "base/clock.h"
#include "check/check.h"
#include "desk/words.h"
#include "report/report.h"
#include "tell/edges.h"
#include "tell/recalled.h"

enum { PUT_BACK_MS = 5000 };

/* ---- what happened ---- */

/* "input 3 Snare: preamp 30 dB -> 42 dB, and 2 more values" */
static void
write_move(const struct cause *cause, const struct desk *desk, struct text *text)
{
    words_place(text, desk, cause->id, cause->row, cause->column);
    if (params[cause->id].unit != UNIT_TEXT) {
        text_add(text, " ");
        words_number(text, cause->id, cause->from);
        text_add(text, " -> ");
        words_number(text, cause->id, cause->to);
    }
    if (cause->others > 0)
        text_add(text, ", and %d more value%s", cause->others, cause->others == 1 ? "" : "s");
}

static void
write_quieted(int number, const struct quiets *quiets, struct text *text)
{
    const struct quiet *quiet = NULL;

    for (size_t i = 0; quiets && i < quiets->count; i++)
        if (quiets->list[i].number == number)
            quiet = &quiets->list[i];
    text_add(text, "quieted until now (%d: %s%s%s)", number, quiet ? quiet->why : "over",
             quiet && *quiet->by ? ", by " : "", quiet ? quiet->by : "");
}

/* The line above the findings; false when they say it all. */
static bool
write_head(const struct message *message, const struct engine *engine,
           const struct message_more *more, struct text *text)
{
    const struct cause *cause = &message->cause;
    char place[REPORT_OBJECT_SIZE];

    switch (cause->kind) {
    case CAUSE_NONE:
    case CAUSE_RECALL: /* which have words of their own */
    case CAUSE_LATER:
    case CAUSE_SETTLED:
        return false;
    case CAUSE_INPUT:
    case CAUSE_PREAMP:
    case CAUSE_MIX:
    case CAUSE_GROUP:
        write_move(cause, engine_desk(engine), text);
        return message->count > 1 && cause->id != PARAMS;
    case CAUSE_BACK:
        text_add(text, "the desk is back and was read again");
        break;
    case CAUSE_START:
        text_add(text, "while the watch was away");
        break;
    case CAUSE_ROOM:
        text_add(text, "held back during %s", room_name((enum room)cause->number));
        break;
    case CAUSE_QUIETED:
        write_quieted(cause->number, more->quiets, text);
        break;
    case CAUSE_RUNG_OUT:
        text_add(text, "held back during the ring-out");
        break;
    case CAUSE_UNMUTED:
        text_add(text, "%s is open again",
                 report_object(engine, (struct object){-1, cause->number}, place));
        break;
    }
    if (more->head) {
        text_init(text, text->at, text->size);
        text_add(text, "%s", more->head);
    }
    return true;
}

/* ---- what follows ---- */

/* Both stand before whatever a label could say: " fix [", and the first "; do: " behind it. */
void
message_strong(const char *line, int strong[2])
{
    const char *id = strstr(line, " ["), *act = id ? strstr(id, "; do: ") : NULL;

    strong[0] = strong[1] = -1;
    for (enum weight weight = 0; id && weight < WEIGHTS; weight++) {
        const char *name = weight_name(weight);
        size_t length = strlen(name);

        if ((size_t)(id - line) > length && id[-(int)length - 1] == ' ' &&
            strncmp(id - length, name, length) == 0)
            strong[0] = (int)(id - line) - (int)length;
    }
    if (strong[0] >= 0 && act)
        strong[1] = (int)(act - line) + 2;
}

/* "and 12 more: 2 stop, 7 fix, 1 note, 2 over": those that no line before this edge says. */
static void
write_rest(const struct message *message, size_t from, struct text *text)
{
    size_t counts[WEIGHTS] = {0}, ended = 0, left = 0;
    char open[WEIGHT_COUNTS_SIZE];

    for (size_t i = from; i < message->count; i++) {
        const struct edge *edge = &message->edges[i];

        if (edges_leader(message, i) < from)
            continue;
        left++;
        if (edge_opens(edge))
            counts[edge->finding->verdict.weight]++;
        else
            ended++;
    }
    text_add(text, "and %zu more: %s, %zu over", left, weight_counts(counts, open), ended);
}

static void
edge_lines(const struct message *message, const struct engine *engine, message_line_fn *each,
           void *context)
{
    char line[MESSAGE_LINE_SIZE];
    struct text text;
    size_t lines = 0, i = 0;

    for (; i < message->count && lines < MESSAGE_LINES; i++) {
        if (edges_leader(message, i) != i)
            continue;
        text_init(&text, line, sizeof line);
        edges_write(message, i, engine, &text);
        each(context, line, true);
        lines++;
    }
    while (i < message->count && edges_leader(message, i) != i)
        i++;
    if (i == message->count)
        return;
    text_init(&text, line, sizeof line);
    write_rest(message, i, &text);
    each(context, line, true);
}

/* It ended soon, or it only looked as if it ended. */
static bool
is_as_before(const struct edge *edge)
{
    return edge_opens(edge) ? edge->kind == EDGE_STAYS : edge->lasted_ms <= PUT_BACK_MS;
}

/* The edge that lasted longest of what a move ended, where all that it did was to undo what is so
 * young that a hand slipped and went back; message->count: it is not so. */
static size_t
put_back(const struct message *message)
{
    const struct edge *edges = message->edges;
    size_t longest = message->count;

    if (message->cause.id == PARAMS ||
        (message->count == 1 && edges[0].finding->check->number != CHECK_VALUE_JUMPED))
        return message->count;
    for (size_t i = 0; i < message->count; i++) {
        if (!is_as_before(&edges[i]))
            return message->count;
        if (!edge_opens(&edges[i]) &&
            (longest == message->count || edges[i].lasted_ms > edges[longest].lasted_ms))
            longest = i;
    }
    return longest;
}

/* "put back after 2.0 s, [value-jumped] is over: input 18 Ld Vox, mix 1 Ld Vox wedge: send 10 dB ->
 * -13 dB" */
static void
write_put_back(const struct message *message, size_t longest, const struct desk *desk,
               struct text *text)
{
    const struct edge *edge = &message->edges[longest];
    char span[CLOCK_SIZE];

    text_add(text, "put back after %s, [%s] is over: ", clock_span(edge->lasted_ms, span),
             edge->finding->check->id);
    write_move(&message->cause, desk, text);
}

static void
lines_of_move(const struct message *message, const struct engine *engine,
              const struct message_more *more, message_line_fn *each, void *context)
{
    size_t longest = put_back(message);
    char line[MESSAGE_LINE_SIZE];
    struct text text;

    text_init(&text, line, sizeof line);
    if (longest < message->count) {
        write_put_back(message, longest, engine_desk(engine), &text);
        each(context, line, true);
        return;
    }
    if (write_head(message, engine, more, &text))
        each(context, line, true);
    edge_lines(message, engine, each, context);
}

void
message_lines(const struct message *message, const struct engine *engine,
              const struct message_more *more, message_line_fn *each, void *context)
{
    switch (message->cause.kind) {
    case CAUSE_RECALL:
        recalled_begins(message, engine, each, context);
        break;
    case CAUSE_LATER:
        recalled_later(message, engine, each, context);
        break;
    case CAUSE_SETTLED:
        recalled_settled(message, engine, each, context);
        break;
    default:
        lines_of_move(message, engine, more, each, context);
        break;
    }
}

/* ---- in one row ---- */

static bool
opens(const struct edge *edge)
{
    return edge->kind == EDGE_RAISED || edge->kind == EDGE_WORSE;
}

static void
write_brief(const struct edge *edge, const struct engine *engine, struct text *text)
{
    struct brief brief;

    engine_brief(engine, edge->finding, true, &brief);
    if (*brief.figure)
        text_add(text, "%s %s %s  %s: %s",
                 event_name(edge->kind == EDGE_WORSE ? EVENT_WORSE : EVENT_RAISED),
                 weight_name(edge->finding->verdict.weight), brief.figure, brief.place, brief.cure);
}

/* "10 dB -> -13 dB  input 18 Ld Vox, mix 1 Ld Vox wedge: send" */
static void
write_move_brief(const struct cause *cause, const struct desk *desk, struct text *text)
{
    if (cause->id == PARAMS || params[cause->id].unit == UNIT_TEXT)
        return;
    words_number(text, cause->id, cause->from);
    text_add(text, " -> ");
    words_number(text, cause->id, cause->to);
    text_add(text, "  ");
    words_place(text, desk, cause->id, cause->row, cause->column);
}

bool
message_brief(const struct message *message, const struct engine *engine,
              char line[MESSAGE_LINE_SIZE])
{
    const struct cause *cause = &message->cause;
    bool move = cause->kind == CAUSE_INPUT || cause->kind == CAUSE_PREAMP ||
                cause->kind == CAUSE_MIX || cause->kind == CAUSE_GROUP;
    struct text text;

    text_init(&text, line, MESSAGE_LINE_SIZE);
    if (message->count > 0 && opens(&message->edges[0]) && (move || cause->kind == CAUSE_NONE))
        write_brief(&message->edges[0], engine, &text);
    else if (message->count > 1 && move)
        write_move_brief(cause, engine_desk(engine), &text);
    return text.used > 0;
}
