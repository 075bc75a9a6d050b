/* SPDX-License-Identifier: MIT */
/* A sheet for machines, format 1. Keys are only ever added. */
#include <math.h>

#include "report/cards.h"
#include "report/report.h"
#include "review/review.h"

static struct json *
group_json(const char *name, const struct score_group *group)
{
    struct json *json = json_new_object();

    if (name)
        json_add_string(json, "group", name);
    json_add_number(json, "marks",
                    (group->earned_tenths + group->lost_tenths + group->open_tenths) / 10.0);
    json_add_number(json, "earned", group->earned_tenths / 10.0);
    json_add_number(json, "lost", group->lost_tenths / 10.0);
    json_add_number(json, "not_assessed", group->open_tenths / 10.0);
    json_add_number(json, "right", (double)group->of[JUDGED_RIGHT]);
    json_add_number(json, "not_known", (double)group->of[JUDGED_NOT_KNOWN]);
    json_add_number(json, "muted_or_sent_nowhere", (double)group->of[JUDGED_CLOSED]);
    json_add_number(json, "untouched", (double)group->of[JUDGED_UNTOUCHED]);
    json_add_number(json, "accepted", (double)group->of[JUDGED_ACCEPTED]);
    return json;
}

static struct json *
groups_json(const struct setup *setup)
{
    struct json *list = json_new_array();

    for (int i = 0; i < setup->scheme->group_count; i++)
        json_add(list, NULL, group_json(setup->scheme->groups[i].name, &setup->score->groups[i]));
    return list;
}

static struct json *
lines_json(const struct setup *setup)
{
    struct json *list = json_new_array();

    for (size_t i = 0; i < setup->score->line_count; i++) {
        const struct score_line *line = &setup->score->lines[i];
        struct json *json = report_finding_json(setup->engine, line->finding, setup->plan);
        char why[REVIEW_WHY_SIZE];

        json_add_string(json, "group", setup->scheme->groups[line->group].name);
        json_add_number(json, "lost", line->lost_tenths / 10.0);
        json_add_number(json, "alone", line->alone_tenths / 10.0);
        if (*review_why(setup, line, why))
            json_add_string(json, "why_so_much", why);
        json_add(list, NULL, json);
    }
    return list;
}

static struct json *
accepted_json(const struct setup *setup)
{
    const struct finding *const *findings;
    size_t count = engine_findings(setup->engine, &findings);
    struct json *list = json_new_array();

    for (size_t i = 0; i < count; i++) {
        const struct accept *accept;
        struct json *json;

        if (findings[i]->accept < 0)
            continue;
        accept = &engine_show(setup->engine)->accepts[findings[i]->accept];
        json = report_finding_json(setup->engine, findings[i], setup->plan);
        json_add_string(json, "why", accept->why);
        json_add_string(json, "by", accept->by);
        json_add(list, NULL, json);
    }
    return list;
}

static struct json *
wishes_json(const struct setup *setup)
{
    struct json *list = json_new_array();

    for (size_t i = 0; i < setup->score->wish_count; i++)
        json_add(list, NULL,
                 report_finding_json(setup->engine, setup->score->wishes[i], setup->plan));
    return list;
}

static struct json *
right_json(const struct setup *setup)
{
    struct json *json = json_new_object();

    for (int number = 0; number < CHECKS; number++) {
        const struct check *check = engine_checks(setup->engine)->of[number];

        if (check && !check->watch_only)
            json_add_number(json, check->id, (double)setup->score->of[number][JUDGED_RIGHT]);
    }
    return json;
}

/* Each check on each object that counts, so that the marks can be worked out again. */
static struct json *
judged_json(const struct setup *setup)
{
    static const char *const words[JUDGED_COUNT] = {
        NULL, "right", "wrong", "told_by_another", "accepted", "closed", "untouched", "not_known"};
    struct json *list = json_new_array();

    for (size_t slot = 0; slot < engine_slots(setup->engine); slot++) {
        const struct finding *finding = engine_slot(setup->engine, slot);
        const char *word = words[setup->score->judged[slot]];
        struct json *json;

        if (!word)
            continue;
        json = json_new_object();
        json_add_string(json, "check", finding->check->id);
        json_add_number(json, "input",
                        finding->object.input >= 0 ? (double)finding->object.input + 1 : NAN);
        json_add_number(json, "mix",
                        finding->object.mix >= 0 ? (double)finding->object.mix + 1 : NAN);
        json_add_string(json, "counts_as", word);
        json_add(list, NULL, json);
    }
    return list;
}

static void
add_mark(const struct setup *setup, struct json *json)
{
    char says[REVIEW_NO_PASS_SIZE];

    json_add_number(json, "per_cent", score_percent(&setup->score->total));
    json_add_number(json, "assessed_per_cent", score_assessed_percent(&setup->score->total));
    json_add_number(json, "stops", (double)setup->score->stops);
    json_add_bool(json, "may_pass", !*review_no_pass(setup, says));
    json_add_string(json, "why_no_pass", says);
}

static struct json *
by_hand_json(const struct scheme *scheme)
{
    struct json *list = json_new_array();

    for (int i = 0; i < scheme->by_hand_count; i++) {
        struct json *json = json_new_object();

        json_add_string(json, "what", scheme->by_hand[i].what);
        json_add_number(json, "marks", scheme->by_hand[i].marks_tenths / 10.0);
        json_add(list, NULL, json);
    }
    return list;
}

struct json *
review_json(const struct setup *setup)
{
    struct json *json = json_new_object();

    json_add_string(json, "id", setup->id);
    json_add_string(json, "at", setup->saved->at);
    if (!setup->anonymous)
        json_add_string(json, "show", setup->saved->show);
    json_add(json, "groups", groups_json(setup));
    json_add(json, "all_settings", group_json(NULL, &setup->score->total));
    add_mark(setup, json);
    json_add_bool(json, "show_file", !setup->no_show);
    json_add(json, "findings", lines_json(setup));
    json_add(json, "accepted", accepted_json(setup));
    json_add(json, "wishes", wishes_json(setup));
    cards_json(setup->engine, setup->plan, json);
    json_add(json, "right", right_json(setup));
    json_add(json, "judged", judged_json(setup));
    json_add_number(json, "findings_without_marks", (double)setup->score->unmarked);
    json_add(json, "by_hand", by_hand_json(setup->scheme));
    return json;
}
