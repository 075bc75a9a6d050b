/* SPDX-License-Identifier: MIT */
#include "watch/board_finding.h"

#include <stdio.h>
#include <string.h>

#include "check/check.h"
#include "report/report.h"
#include "watch/board_brief.h"
#include "watch/board_text.h"
#include "watch/handles.h"
#include "watch/kept.h"
#include "watch/words.h"

enum { TEXT_SIZE = 600, ID_SIZE = 120 };

/* ---- its name ---- */

static const char *
id_of(const struct finding *finding, char id[ID_SIZE])
{
    snprintf(id, ID_SIZE, "%s:%d:%d:%s:%.1f", finding->check->id, finding->object.input + 1,
             finding->object.mix + 1, weight_name(finding->told_weight), finding->told_severity);
    return id;
}

const struct finding *
board_finding_find(const struct watch_desk *desk, const char *id)
{
    const struct finding *const *findings;
    size_t count = engine_findings(desk->session->engine, &findings);
    char own[ID_SIZE];

    for (size_t i = 0; i < count; i++)
        if (findings[i]->accept < 0 && strcmp(id_of(findings[i], own), id) == 0)
            return findings[i];
    return NULL;
}

/* ---- what is said of it ---- */

static const char *
arrow_of(const char *figure)
{
    return *figure == '+' ? "up" : *figure == '-' ? "down" : "";
}

const char *
board_finding_arrow(const struct watch_desk *desk, const struct finding *finding)
{
    struct brief brief;

    engine_brief(desk->session->engine, finding, false, &brief);
    return arrow_of(brief.figure);
}

static void
add_brief(const struct watch_desk *desk, const struct standing *one, struct json *json)
{
    struct brief brief;

    board_brief(desk, one, &brief);
    board_add_text(json, "figure", brief.figure);
    json_add_string(json, "arrow", arrow_of(brief.figure));
    board_add_text(json, "where", brief.place);
    board_add_sentence(json, "cure", brief.cure);
}

static void
add_words(const struct watch_desk *desk, const struct finding *finding, struct json *json)
{
    const struct engine *engine = desk->session->engine;
    char object[REPORT_OBJECT_SIZE], text[TEXT_SIZE];
    struct words words;

    engine_words(engine, finding, &words);
    snprintf(text, sizeof text, "%s: %s", report_object(engine, finding->object, object),
             words.says);
    board_add_text(json, "says", text);
    board_add_sentence(json, "do", words.cure);
}

int
board_finding_mix(const struct finding *finding)
{
    return finding->object.mix >= 0 ? finding->object.mix : finding->verdict.mix;
}

struct json *
board_finding(const struct watch_desk *desk, const struct standing *one)
{
    const struct finding *finding = one->finding;
    char id[ID_SIZE], hidden[WATCH_WORDS_SIZE];
    struct json *json = json_new_object();

    json_add_string(json, "id", id_of(finding, id));
    json_add_string(json, "weight", weight_name(finding->verdict.weight));
    add_brief(desk, one, json);
    add_words(desk, finding, json);
    json_add_string(json, "check", finding->check->id);
    board_add_text(json, "player", one->player);
    json_add_number(json, "mix", board_finding_mix(finding) + 1);
    json_add_number(json, "age_s", (double)((watch_now_ms(desk) - finding->told_ms) / 1000));
    json_add_bool(json, "fresh", one->fresh);
    json_add_bool(json, "stale", standing_is_stale(desk, finding));
    json_add_bool(json, "closed", standing_is_closed(desk, finding));
    board_add_text(json, "hidden", watch_hidden(desk, finding, hidden));
    json_add(json, "seen", noticed_json(kept_noticed(desk->kept), finding));
    return json;
}
