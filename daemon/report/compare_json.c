/* SPDX-License-Identifier: MIT */
/* The same for machines, format 1. Keys are only ever added. */
#include "report/compare.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "base/json.h"
#include "report/cards.h"
#include "report/report.h"

enum { COMPARE_FORMAT = 1 };

static struct json *
finding_json(const struct compare *compare, const struct compare_finding *row)
{
    bool open = row->change == FINDING_NEW || row->change == FINDING_WORSE;
    struct json *json = report_finding_json(compare_engine(compare, row), compare_shown(row),
                                            open ? compare->plan : NULL),
                *was;
    struct words words;

    if (row->change != FINDING_WORSE)
        return json;
    engine_words(compare->then, row->then, &words);
    was = json_new_object();
    json_add_string(was, "weight", weight_name(row->then->verdict.weight));
    json_add_string(was, "says", words.says);
    json_add(json, "was", was);
    return json;
}

static struct json *
findings_json(const struct compare *compare)
{
    static const char *const keys[FINDING_CHANGES] = {"new", "worse", "unchanged", "fixed",
                                                      "not_judged"};
    struct json *json = json_new_object();

    for (int change = 0; change < FINDING_CHANGES; change++) {
        struct json *list = json_new_array();

        for (size_t i = 0; i < compare->finding_count; i++)
            if (compare->findings[i].change == (enum finding_change)change)
                json_add(list, NULL, finding_json(compare, &compare->findings[i]));
        json_add(json, keys[change], list);
    }
    return json;
}

/* 1-based, as people count. */
static struct json *
place_json(const struct compare_value *value)
{
    const struct param *param = &params[value->id];
    struct json *json = json_new_object();

    json_add_string(json, "parameter", param->name);
    json_add_string(json, "class", difference_class_name(value->kind));
    json_add_string(json, "kind", difference_kind_name(params[value->id].kind));
    if (param->row != INDEX_NONE)
        json_add_number(json, index_placeholder(param->row), value->row + 1);
    if (param->column != INDEX_NONE)
        json_add_number(json, index_placeholder(param->column), value->column + 1);
    return json;
}

static void
add_value(struct json *json, const char *key, const struct desk *desk,
          const struct compare_value *at)
{
    double number = value_last_heard(desk_value(desk, at->id, at->row, at->column));

    switch (params[at->id].unit) {
    case UNIT_TEXT:
        json_add_string(json, key, desk_text(desk, at->id, at->row, at->column));
        break;
    case UNIT_WORD:
        json_add_string(json, key, param_words(at->id)[(int)number]);
        break;
    case UNIT_SWITCH:
        json_add_bool(json, key, number != 0);
        break;
    case UNIT_DB:
    case UNIT_HZ:
    case UNIT_MS:
    case UNIT_SLOPE:
    case UNIT_FACTOR:
    case UNIT_INDEX:
        if (number == -HUGE_VAL)
            json_add_string(json, key, "-inf");
        else
            json_add_number(json, key, number);
        break;
    }
}

static struct json *
moved_json(const struct compare *compare)
{
    struct json *list = json_new_array();

    for (size_t i = 0; i < compare->moved_count; i++) {
        const struct compare_value *value = &compare->moved[i];
        struct json *json = place_json(value);
        char says[COMPARE_SAYS_SIZE];

        add_value(json, "from", engine_desk(compare->then), value);
        add_value(json, "to", engine_desk(compare->now), value);
        json_add_string(json, "says", compare_says(compare, value, says));
        compare_value_json(compare, value, json);
        json_add(list, NULL, json);
    }
    return list;
}

static struct json *
unknown_json(const struct compare *compare)
{
    struct json *list = json_new_array();

    for (size_t i = 0; i < compare->unknown_count; i++)
        json_add(list, NULL, place_json(&compare->unknown[i]));
    return list;
}

static struct json *
counts_json(const struct compare *compare)
{
    struct json *json = json_new_object();

    for (int kind = 0; kind < DIFFERENCE_METER; kind++)
        json_add_number(json, difference_class_name((enum difference_class)kind),
                        (double)compare->counts.of[kind]);
    return json;
}

/* The other side: whose approval, or where the reference comes from. */
static struct json *
beside_json(const struct compare *compare)
{
    const struct saved *saved = compare->saved;
    struct json *json = json_new_object();

    json_add_string(json, "file", compare->path);
    if (compare->reference) {
        json_add_string(json, "desk", saved->desk_name);
        json_add_string(json, "show", saved->show);
        json_add_string(json, "saved_at", saved->at);
        json_add_bool(json, "approved", saved->approved);
        if (!saved->approved)
            return json;
    }
    json_add_string(json, compare->reference ? "approved_at" : "at", saved->approved_at);
    json_add_string(json, "by", saved->by);
    json_add_string(json, "note", saved->note);
    return json;
}

void
compare_json(const struct compare *compare)
{
    struct json *root = json_new_object();
    char when[CLOCK_SIZE];
    char *text;

    json_add_number(root, "compare_format", COMPARE_FORMAT);
    json_add_string(root, "desk", compare->session->profile->desk);
    json_add_string(root, "show", engine_show(compare->now)->name);
    json_add_string(root, "at", session_at(compare->session, when));
    json_add(root, compare->reference ? "reference" : "approved", beside_json(compare));
    json_add(root, "findings", findings_json(compare));
    json_add(root, "moved", moved_json(compare));
    json_add(root, "moved_counts", counts_json(compare));
    if (compare->reference)
        compare_reference_json(compare, root);
    compare_proved_json(compare, root);
    compare_offsets_json(compare, root);
    cards_json(compare->now, compare->plan, root);
    json_add(root, "not_known", unknown_json(compare));
    json_add(root, "link", report_link_json(&compare->figures));
    text = json_print(root, true);
    puts(text);
    free(text);
    json_free(root);
}
