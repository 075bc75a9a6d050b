/* SPDX-License-Identifier: MIT */
#include "tell/recalled.h"

#include <string.h>

#include "change/difference.h"
#include "check/check.h"
#include "check/value_jumped.h"
#include "desk/words.h"
#include "report/report.h"
#include "tell/edges.h"

enum { NAMED = 4, NAMED_BYTES = 400 }; /* of lost protection, in one line */

/* ---- what changed ---- */

/* "143 values of 12 inputs and 5 mixes" */
static void
add_counts(const struct difference_counts *counts, struct text *text)
{
    const char *between = " of";

    text_add(text, "%zu value%s", counts->values, counts->values == 1 ? "" : "s");
    if (counts->inputs > 0) {
        text_add(text, "%s %zu input%s", between, counts->inputs, counts->inputs == 1 ? "" : "s");
        between = " and";
    }
    if (counts->mixes > 0)
        text_add(text, "%s %zu mix%s", between, counts->mixes, counts->mixes == 1 ? "" : "es");
}

/* "; 7 leaps upwards, 2 of them stop" */
static void
add_leaps(const struct leaps *leaps, const char *more, struct text *text)
{
    if (leaps->count == 0)
        return;
    text_add(text, "; %zu %sleap%s upwards", leaps->count, more, leaps->count == 1 ? "" : "s");
    if (leaps->stops > 0)
        text_add(text, ", %zu of them %s", leaps->stops, weight_name(WEIGHT_STOP));
}

/* "a recall changed 143 values of 12 inputs and 5 mixes so far: 3 protection, 20 gain, 120 level; 7
 * leaps upwards" */
static void
write_begin(const struct message *message, struct text *text)
{
    struct difference_counts counts = difference_all(message->before, message->after, NULL, NULL);
    bool other = difference_moved(message->before, message->after, PARAM_DESK_SCENE, 0, 0);
    const char *scene = other ? desk_text(message->after, PARAM_DESK_SCENE, 0, 0) : "";
    const char *between = ":";

    text_add(text, "a recall%s%s%s changed ", *scene ? " of scene \"" : "", scene,
             *scene ? "\"" : "");
    add_counts(&counts, text);
    text_add(text, " so far");
    for (enum difference_class kind = 0; kind < DIFFERENCE_METER; kind++) {
        if (counts.of[kind] == 0)
            continue;
        text_add(text, "%s %zu %s", between, counts.of[kind], difference_class_name(kind));
        between = ",";
    }
    add_leaps(message->leaps, "", text);
}

/* ---- what protects no longer ---- */

/* "stop [ears-unprotected] mix 8 Drums IEM, an in-ear mix without a limiter"; weight and check only
 * where they are others than those before. */
static void
add_loss(const struct finding *finding, const struct finding *last, const struct engine *engine,
         struct text *text)
{
    char object[REPORT_OBJECT_SIZE];
    struct words words;

    engine_words(engine, finding, &words);
    if (!last || last->verdict.weight != finding->verdict.weight || last->check != finding->check)
        text_add(text, "%s [%s] ", weight_name(finding->verdict.weight), finding->check->id);
    text_add(text, "%s, ", report_object(engine, finding->object, object));
    edges_add_statement(text, words.says);
}

/* The first sentence of what to do about the worst. */
static void
add_first_step(const struct finding *finding, const struct engine *engine, struct text *text)
{
    struct words words;
    char *end;

    engine_advice(engine, finding, &words);
    end = strstr(words.cure, ". ");
    if (end)
        *end = '\0';
    text_add(text, "; do: %s", words.cure);
}

/* How many lines those that begin would be, or those that end. */
static size_t
count_lines(const struct message *message, bool open)
{
    size_t count = 0;

    for (size_t i = 0; i < message->count; i++)
        count += edge_opens(&message->edges[i]) == open && edges_leader(message, i) == i;
    return count;
}

/* Those that begin stand first. */
static void
write_losses(const struct message *message, const struct engine *engine, struct text *text)
{
    size_t all = count_lines(message, true), named = 0;
    const struct finding *last = NULL;

    text_add(text, "protection lost: ");
    for (size_t i = 0; named < all && named < NAMED && text->used < NAMED_BYTES; i++) {
        if (edges_leader(message, i) != i)
            continue;
        text_add(text, "%s", named++ > 0 ? "; " : "");
        add_loss(message->edges[i].finding, last, engine, text);
        last = message->edges[i].finding;
    }
    if (all > named)
        text_add(text, "; and %zu more", all - named);
    add_first_step(message->edges[0].finding, engine, text);
}

/* "protection is back: [ears-unprotected] mix 8 Drums IEM; and 3 more" */
static void
write_back(const struct message *message, const struct engine *engine, struct text *text)
{
    size_t all = count_lines(message, false), i = 0;
    char object[REPORT_OBJECT_SIZE];
    const struct finding *finding;

    while (edge_opens(&message->edges[i]))
        i++;
    finding = message->edges[i].finding;
    text_add(text, "protection is back: [%s] %s", finding->check->id,
             report_object(engine, finding->object, object));
    if (all > 1)
        text_add(text, "; and %zu more", all - 1);
}

/* ---- what leapt ---- */

/* "up 23 dB, stop [value-jumped] input 18 Ld Vox, mix 1 Ld Vox wedge: send -20 dB -> 3 dB" */
static void
write_leap(const struct leap *leap, const struct engine *engine, struct text *text)
{
    const struct jump *jump = &leap->jump;

    text_add(text, "up %f dB, %s [%s] ", leap->db, weight_name(leap->weight),
             check_name(CHECK_VALUE_JUMPED));
    words_place(text, engine_desk(engine), jump->id, jump->row, jump->column);
    text_add(text, " ");
    words_number(text, jump->id, jump->from);
    text_add(text, " -> ");
    words_number(text, jump->id, jump->to);
}

static size_t
say_leaps(const struct message *message, const struct engine *engine, message_line_fn *each,
          void *context)
{
    size_t shown = message->leaps->count < LEAPS_SHOWN ? message->leaps->count : LEAPS_SHOWN;
    char line[MESSAGE_LINE_SIZE];
    struct text text;

    for (size_t i = 0; i < shown; i++) {
        text_init(&text, line, sizeof line);
        write_leap(&message->leaps->largest[i], engine, &text);
        each(context, line, false);
    }
    return shown;
}

/* ---- the three of them ---- */

void
recalled_begins(const struct message *message, const struct engine *engine, message_line_fn *each,
                void *context)
{
    char line[MESSAGE_LINE_SIZE];
    struct text text;

    text_init(&text, line, sizeof line);
    write_begin(message, &text);
    each(context, line, true);
    if (count_lines(message, true) > 0) {
        text_init(&text, line, sizeof line);
        write_losses(message, engine, &text);
        each(context, line, true);
    }
    say_leaps(message, engine, each, context);
}

void
recalled_later(const struct message *message, const struct engine *engine, message_line_fn *each,
               void *context)
{
    char line[MESSAGE_LINE_SIZE];
    struct text text;

    if (count_lines(message, true) > 0) {
        text_init(&text, line, sizeof line);
        if (count_lines(message, true) == 1)
            edges_write(message, 0, engine, &text);
        else
            write_losses(message, engine, &text);
        each(context, line, true);
    }
    if (count_lines(message, false) > 0) {
        text_init(&text, line, sizeof line);
        write_back(message, engine, &text);
        each(context, line, true);
    }
}

/* "; it opened 2 stop, 13 fix; 3 over" */
static void
add_edges(const struct message *message, struct text *text)
{
    size_t opened[WEIGHTS] = {0}, ended = 0;
    const char *between = "; it opened";

    for (size_t i = 0; i < message->count; i++)
        if (edge_opens(&message->edges[i]))
            opened[message->edges[i].finding->verdict.weight]++;
        else
            ended++;
    for (int weight = WEIGHT_STOP; weight >= 0; weight--) {
        if (opened[weight] == 0)
            continue;
        text_add(text, "%s %zu %s", between, opened[weight], weight_name((enum weight)weight));
        between = ",";
    }
    if (ended > 0)
        text_add(text, "; %zu over", ended);
}

/* Without what was said. */
static void
write_settled(const struct message *message, struct text *text)
{
    struct difference_counts counts = difference_all(message->before, message->after, NULL, NULL);

    if (counts.values == 0) {
        text_add(text, "the recall undid itself: every value is back where it was");
    } else {
        text_add(text, "the recall has settled");
        if (counts.values != message->recall_values) {
            text_add(text, ": ");
            add_counts(&counts, text);
            text_add(text, " changed");
        }
    }
    add_edges(message, text);
    add_leaps(message->leaps, "more ", text);
}

/* Somebody can be hurt, or can no longer be, and that was not said yet: that is for the chat, too. */
static bool
is_for_chat(const struct message *message)
{
    for (size_t i = 0; i < message->count; i++) {
        const struct edge *edge = &message->edges[i];

        if ((edge_opens(edge) ? edge->finding->verdict.weight : edge->finding->told_weight) ==
            WEIGHT_STOP)
            return true;
    }
    return message->leaps->stops > 0;
}

void
recalled_settled(const struct message *message, const struct engine *engine, message_line_fn *each,
                 void *context)
{
    bool chat = is_for_chat(message);
    char line[MESSAGE_LINE_SIZE];
    struct text text;
    size_t lines = 1;

    text_init(&text, line, sizeof line);
    write_settled(message, &text);
    each(context, line, chat);
    lines += say_leaps(message, engine, each, context);
    for (size_t i = 0; i < message->count && lines < RECALLED_LINES; i++) {
        const struct edge *edge = &message->edges[i];

        if (!edge_opens(edge) || edges_leader(message, i) != i)
            continue;
        text_init(&text, line, sizeof line);
        if (edge->finding->verdict.weight == WEIGHT_STOP)
            edges_write(message, i, engine, &text);
        else
            edges_write_short(message, i, engine, &text);
        each(context, line, edge->finding->verdict.weight == WEIGHT_STOP);
        lines++;
    }
}
