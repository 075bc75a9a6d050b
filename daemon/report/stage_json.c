/* SPDX-License-Identifier: MIT */
/* The same for machines, format 1. Keys are only ever added. */
#include "report/stage.h"

#include <math.h>

#include "base/clock.h"
#include "base/json.h"
#include "core/text.h"
#include "report/report.h"

enum { STAGE_REPORT_FORMAT = 1 };

/* Nothing stands for what no number is: no loop, or not told. */
static void
add_db(struct json *json, const char *key, double db)
{
    if (isfinite(db))
        json_add_number(json, key, round(db * 1000) / 1000);
}

static struct json *
path_json(const struct stage_report *report, const struct loop_path *path)
{
    const struct stage_microphone *microphone = &report->stage->microphones[path->microphone];
    const struct loops_measured *measured = stage_report_measured(report, path);
    struct margin margin = stage_report_margin(report, path);
    struct json *json = json_new_object();

    json_add_number(json, "input", microphone->inputs.of[0] + 1);
    json_add_number(json, "mix", report->loops->mixes[path->mix] + 1);
    json_add_number(json, "hz", stage_report_hz(path->band));
    json_add_string(json, "pattern", pattern_rows[microphone->pattern].name);
    json_add_number(json, "hears_least_at",
                    pattern_null_degrees(pattern_rows[microphone->pattern].a));
    add_db(json, "below_first_db", report->paths[0].gain_db - path->gain_db);
    if (margin.absolute) {
        add_db(json, "margin_db", margin.db);
        add_db(json, "give_or_take_db", margin.give_or_take_db);
    }
    add_db(json, "allowance_db", stage_report_allowance_db(report, path));
    if (measured) {
        add_db(json, "measured_db", measured->db);
        json_add_number(json, "measured_at_hz", measured->hz);
    }
    return json;
}

static struct json *
margin_json(const struct margin *margin)
{
    struct json *json = json_new_object();

    if (margin->db == HUGE_VAL)
        return json;
    json_add_number(json, "hz", stage_report_hz(margin->band));
    add_db(json, "gap_db", margin->gap_db);
    if (margin->absolute) {
        add_db(json, "margin_db", margin->db);
        add_db(json, "give_or_take_db", margin->give_or_take_db);
    }
    return json;
}

static struct json *
bands_json(const struct stage_report *report)
{
    struct json *list = json_new_array();

    for (int band = 0; band < BANDS; band++) {
        struct json *json = json_new_object();

        json_add_number(json, "hz", stage_report_hz(band));
        add_db(json, "worst_phases_db", loops_band_db(report->loops, PHASES_WORST, band).most);
        add_db(json, "random_phases_db", loops_band_db(report->loops, PHASES_RANDOM, band).most);
        json_add(list, NULL, json);
    }
    return list;
}

static struct json *
ears_json(const struct stage_report *report)
{
    struct json *list = json_new_array();

    for (int i = 0; i < report->stage->ears_count; i++) {
        char why[STAGE_HELP_SIZE];
        struct json *json = json_new_object();
        struct ears_level level;

        json_add_string(json, "player", report->stage->ears[i].player);
        json_add(list, NULL, json);
        if (stage_report_deaf(report, i, &level, why)) {
            json_add_number(json, "mix", report->stage->ears[i].mix + 1);
            json_add_string(json, "why_not", why);
            continue;
        }
        json_add_number(json, "mix", report->loops->mixes[level.mix] + 1);
        json_add_number(json, "input",
                        report->stage->microphones[level.microphone].inputs.of[0] + 1);
        add_db(json, "voice_db", level.voice_db);
        add_db(json, "level_db", level.level_db);
        add_db(json, "give_or_take_db", level.give_or_take_db);
        add_db(json, "needed_db", level.needed_db);
        add_db(json, "spare_db", level.spare_db);
    }
    return list;
}

static struct json *
house_json(const struct stage_report *report)
{
    struct json *json = json_new_object();
    struct house house;
    const char *why = stage_report_house(report, &house);

    if (why && *why)
        json_add_string(json, "why_not", why);
    if (why)
        return json;
    json_add_number(json, "open_microphones", house.open_microphones);
    add_db(json, "needed_db", house_needed_db(&house));
    add_db(json, "potential_db", house_potential_db(&house, HOUSE_MARGIN_DB));
    return json;
}

static struct json *
help_json(const struct stage_report *report, const struct help *help)
{
    static const char *const kinds[HELP_KINDS] = {
        [HELP_TURN] = "turn",       [HELP_NULL] = "wedge-to-null",  [HELP_NEARER] = "wedge-nearer",
        [HELP_MOUTH] = "mouth",     [HELP_IN_EARS] = "in-ears",     [HELP_CLOSE] = "close",
        [HELP_PATTERN] = "pattern", [HELP_HIGH_PASS] = "high-pass",
    };
    struct json *json = json_new_object();
    char says[STAGE_HELP_SIZE];

    stage_report_help(report, help, says);
    json_add_string(json, "kind", kinds[help->kind]);
    json_add_number(json, "input",
                    report->stage->microphones[help->path.microphone].inputs.of[0] + 1);
    json_add_number(json, "mix", report->loops->mixes[help->path.mix] + 1);
    json_add_string(json, "says", says);
    add_db(json, "path_db", help->path_db);
    add_db(json, "stage_db", help->stage_db);
    return json;
}

static struct json *
hands_json(const struct stage_report *report)
{
    struct json *list = json_new_array();

    for (int i = 0; i < report->stage->microphone_count; i++) {
        struct json *json;

        if (!report->stage->microphones[i].in_hand)
            continue;
        json = json_new_object();
        json_add_number(json, "input", report->stage->microphones[i].inputs.of[0] + 1);
        add_db(json, "loss_db", hand_loss_db(report->loops, i));
        json_add(list, NULL, json);
    }
    return list;
}

static struct json *
unknown_json(const struct stage_report *report)
{
    struct json *json = json_new_object();
    char why[MISSES_SIZE];
    struct text text;

    text_init(&text, why, sizeof why);
    if (report->loops->unknown > 0)
        misses_add(&text, &report->misses);
    json_add_number(json, "paths", report->loops->unknown);
    json_add_string(json, "why", why);
    return json;
}

void
stage_report_json(const struct stage_report *report)
{
    struct json *root = json_new_object(), *paths = json_new_array(), *helps = json_new_array();
    char when[CLOCK_SIZE];

    json_add_number(root, "stage_report_format", STAGE_REPORT_FORMAT);
    json_add_string(root, "desk", report->session->profile->desk);
    json_add_string(root, "show", engine_show(report->session->engine)->name);
    json_add_string(root, "at", session_at(report->session, when));
    json_add_bool(root, "absolute", report->random.absolute);
    json_add(root, "random_phases", margin_json(&report->random));
    json_add(root, "worst_phases", margin_json(&report->worst));
    for (int i = 0; i < report->path_count; i++)
        json_add(paths, NULL, path_json(report, &report->paths[i]));
    json_add(root, "paths", paths);
    json_add(root, "loop_gain", bands_json(report));
    json_add(root, "ears", ears_json(report));
    json_add(root, "house", house_json(report));
    for (int i = 0; i < report->help_count; i++)
        json_add(helps, NULL, help_json(report, &report->helps[i]));
    json_add(root, "helps", helps);
    json_add(root, "hands", hands_json(report));
    json_add(root, "not_known", unknown_json(report));
    json_add_number(root, "not_placed", report->loops->unplaced);
    json_add_number(root, "not_in_plan", report->strangers);
    json_add(root, "link", report_link_json(report->figures));
    json_put(root);
    json_free(root);
}
