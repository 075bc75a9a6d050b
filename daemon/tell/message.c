/* SPDX-License-Identifier: MIT */
#include "tell/message.h"

#include <stdio.h>
#include <string.h>

#include "base/clock.h"
#include "change/difference.h"
#include "check/check.h"
#include "desk/words.h"
#include "report/report.h"

enum { PROTECTION_LINES = 5 };

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

/* "a recall changed 143 values of 12 inputs and 5 mixes: 3 protection, 20 gain, 120 level" */
static void
write_recall(const struct message *message, struct text *text)
{
    struct difference_counts counts = difference_all(message->before, message->after, NULL, NULL);
    bool other = difference_moved(message->before, message->after, PARAM_DESK_SCENE, 0, 0);
    const char *scene = other ? desk_text(message->after, PARAM_DESK_SCENE, 0, 0) : "";
    const char *between = ":";

    text_add(text, "a recall%s%s%s changed %zu value%s of %zu input%s and %zu mix%s",
             *scene ? " of scene \"" : "", scene, *scene ? "\"" : "", counts.values,
             counts.values == 1 ? "" : "s", counts.inputs, counts.inputs == 1 ? "" : "s",
             counts.mixes, counts.mixes == 1 ? "" : "es");
    for (enum difference_class kind = 0; kind < DIFFERENCE_METER; kind++) {
        if (counts.of[kind] == 0)
            continue;
        text_add(text, "%s %zu %s", between, counts.of[kind], difference_class_name(kind));
        between = ",";
    }
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
        return false;
    case CAUSE_INPUT:
    case CAUSE_PREAMP:
    case CAUSE_MIX:
    case CAUSE_GROUP:
        write_move(cause, engine_desk(engine), text);
        return message->count > 1 && cause->id != PARAMS;
    case CAUSE_RECALL:
        write_recall(message, text);
        return true;
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

/* What a recall did to protection, by name: it leads the difference. */
struct protections {
    const struct message *message;
    message_line_fn *each;
    void *context;
    size_t count;
};

static void
say_protection(void *context, enum difference_class kind, enum param_id id, int row, int column)
{
    struct protections *protections = context;
    const struct desk *after = protections->message->after;
    char line[MESSAGE_LINE_SIZE];
    struct text text;

    if (kind != DIFFERENCE_PROTECTION || ++protections->count > PROTECTION_LINES)
        return;
    text_init(&text, line, sizeof line);
    text_add(&text, "recalled: %s %d %s: ", index_placeholder(params[id].row), row + 1,
             params[id].row == INDEX_INPUT ? desk_text(after, PARAM_INPUT_NAME, row, 0)
                                           : desk_text(after, PARAM_MIX_NAME, row, 0));
    difference_says(&text, protections->message->before, after, id, row, column);
    protections->each(protections->context, line);
}

static void
say_protections(const struct message *message, message_line_fn *each, void *context)
{
    struct protections protections = {message, each, context, 0};
    char line[100];

    difference_all(message->before, message->after, say_protection, &protections);
    if (protections.count <= PROTECTION_LINES)
        return;
    snprintf(line, sizeof line, "recalled: and %zu more of protection",
             protections.count - PROTECTION_LINES);
    each(context, line);
}

/* ---- what follows ---- */

/* "raised fix [master-off-unity] mix 2 Gtr wedge (gtr): ...; do: ..." */
static void
write_open(const struct edge *edge, const struct engine *engine, struct text *text)
{
    const struct finding *finding = edge->finding;
    char object[REPORT_OBJECT_SIZE], player[SHOW_NAME_SIZE];
    struct words words;

    engine_player(engine, finding, player);
    engine_advice(engine, finding, &words);
    text_add(text, "%s %s [%s] %s%s%s%s: %s; do: %s",
             edge->kind == EDGE_FOLLOWS ? "is raised next if it stays:"
             : edge->kind == EDGE_WORSE ? event_name(EVENT_WORSE)
                                        : event_name(EVENT_RAISED),
             weight_name(finding->verdict.weight), finding->check->id,
             report_object(engine, finding->object, object), *player ? " (" : "", player,
             *player ? ")" : "", words.says, words.cure);
}

static void
write_edge(const struct edge *edge, const struct engine *engine, struct text *text)
{
    const char *id = edge->finding->check->id;
    char object[REPORT_OBJECT_SIZE], span[CLOCK_SIZE];

    report_object(engine, edge->finding->object, object);
    if (edge->kind == EDGE_CLEARED)
        text_add(text, "%s [%s] %s after %s", event_name(EVENT_CLEARED), id, object,
                 clock_span(edge->lasted_ms, span));
    else if (edge->kind == EDGE_ENDS)
        text_add(text, "looks fixed, waiting to be sure: [%s] %s", id, object);
    else
        write_open(edge, engine, text);
}

static void
write_brief(const struct edge *edge, const struct engine *engine, struct text *text)
{
    struct brief brief;

    engine_brief(engine, edge->finding, true, &brief);
    if ((edge->kind != EDGE_RAISED && edge->kind != EDGE_WORSE) || !*brief.figure)
        write_edge(edge, engine, text);
    else
        text_add(text, "%s %s %s  %s: %s",
                 event_name(edge->kind == EDGE_WORSE ? EVENT_WORSE : EVENT_RAISED),
                 weight_name(edge->finding->verdict.weight), brief.figure, brief.place, brief.cure);
}

void
message_brief(const struct message *message, const struct engine *engine,
              const struct message_more *more, char line[MESSAGE_LINE_SIZE])
{
    struct text text;

    text_init(&text, line, MESSAGE_LINE_SIZE);
    if (write_head(message, engine, more, &text) || message->count == 0)
        return;
    text_init(&text, line, MESSAGE_LINE_SIZE);
    write_brief(&message->edges[0], engine, &text);
}

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

/* "and 12 more: 2 stop, 7 fix, 1 note, 2 over" */
static void
write_rest(const struct message *message, struct text *text)
{
    size_t counts[WEIGHTS] = {0}, ended = 0;
    char open[WEIGHT_COUNTS_SIZE];

    for (size_t i = MESSAGE_LINES; i < message->count; i++) {
        const struct edge *edge = &message->edges[i];

        if (edge->kind == EDGE_CLEARED || edge->kind == EDGE_ENDS)
            ended++;
        else
            counts[edge->finding->verdict.weight]++;
    }
    text_add(text, "and %zu more: %s, %zu over", message->count - MESSAGE_LINES,
             weight_counts(counts, open), ended);
}

void
message_lines(const struct message *message, const struct engine *engine,
              const struct message_more *more, message_line_fn *each, void *context)
{
    char line[MESSAGE_LINE_SIZE];
    struct text text;

    text_init(&text, line, sizeof line);
    if (write_head(message, engine, more, &text))
        each(context, line);
    if (message->cause.kind == CAUSE_RECALL)
        say_protections(message, each, context);
    for (size_t i = 0; i < message->count && i < MESSAGE_LINES; i++) {
        text_init(&text, line, sizeof line);
        write_edge(&message->edges[i], engine, &text);
        each(context, line);
    }
    if (message->count > MESSAGE_LINES) {
        text_init(&text, line, sizeof line);
        write_rest(message, &text);
        each(context, line);
    }
}
