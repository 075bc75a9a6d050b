/* SPDX-License-Identifier: MIT */
/* A sheet for machines, format 1. Keys are only ever added. */
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
    json_add_number(json, "right", (double)group->passed);
    json_add_number(json, "not_known", (double)group->unknown);
    json_add_number(json, "muted_or_sent_nowhere", (double)group->closed);
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
        char why[SETUP_WHY_SIZE];

        json_add_string(json, "group", setup->scheme->groups[line->group].name);
        json_add_number(json, "lost", line->lost_tenths / 10.0);
        json_add_number(json, "alone", line->alone_tenths / 10.0);
        if (*setup_why(setup, line, why))
            json_add_string(json, "why_so_much", why);
        json_add(list, NULL, json);
    }
    return list;
}

static struct json *
right_json(const struct setup *setup)
{
    struct json *json = json_new_object();

    for (int check = 0; check < CHECKS; check++)
        if (!engine_checks(setup->engine)->of[check]->watch_only)
            json_add_number(json, check_name(check),
                            (double)engine_count(setup->engine, check, OUTCOME_PASS));
    return json;
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
    json_add(json, "findings", lines_json(setup));
    cards_json(setup->engine, setup->plan, json);
    json_add(json, "right", right_json(setup));
    json_add_number(json, "findings_without_marks", (double)setup->score->unmarked);
    json_add(json, "by_hand", by_hand_json(setup->scheme));
    return json;
}
