/* SPDX-License-Identifier: MIT */
/* The same for machines, format 1. Keys are only ever added. */
#include <stdio.h>
#include <stdlib.h>

#include "base/clock.h"
#include "base/json.h"
#include "report/report.h"
#include "report/retrim.h"

enum { RETRIM_FORMAT = 1 };

static struct json *
place_json(const struct retrim_sheet *sheet, struct object object, struct json *json)
{
    const struct desk *desk = engine_desk(sheet->session->engine);

    if (object.input >= 0) {
        json_add_number(json, "input", object.input + 1);
        json_add_string(json, "input_label", desk_text(desk, PARAM_INPUT_NAME, object.input, 0));
    }
    if (object.mix >= 0) {
        json_add_number(json, "mix", object.mix + 1);
        json_add_string(json, "mix_label", desk_text(desk, PARAM_MIX_NAME, object.mix, 0));
    }
    return json;
}

void
retrim_sheet_json(const struct retrim_sheet *sheet)
{
    const struct retrim *retrim = sheet->retrim;
    struct json *root = json_new_object(), *moves = json_new_array(), *stops = json_new_array();
    char when[CLOCK_SIZE];
    char *text;

    json_add_number(root, "retrim_format", RETRIM_FORMAT);
    json_add_string(root, "desk", sheet->session->profile->desk);
    json_add_string(root, "show", engine_show(sheet->session->engine)->name);
    json_add_string(root, "at", session_at(sheet->session, when));
    json_add_number(root, "headroom_db", retrim->headroom_db);
    json_add_number(root, "worst_residue_db", retrim->worst_residue_db);
    for (int i = 0; i < retrim->move_count; i++) {
        struct json *json = json_new_object();

        json_add_string(json, "parameter", params[retrim->moves[i].param].name);
        place_json(sheet, retrim_sheet_object(&retrim->moves[i]), json);
        json_add_number(json, "from_db", retrim->moves[i].from);
        json_add_number(json, "to_db", retrim->moves[i].to);
        json_add_number(json, "residue_db", retrim->moves[i].residue_db);
        json_add(moves, NULL, json);
    }
    for (int i = 0; i < retrim->stop_count; i++) {
        struct json *json = json_new_object();

        place_json(sheet, (struct object){retrim->stops[i].input, retrim->stops[i].mix}, json);
        json_add_string(json, "why", retrim->stops[i].why);
        json_add(stops, NULL, json);
    }
    json_add(root, "moves", moves);
    json_add(root, "stops", stops);
    json_add(root, "link", report_link_json(sheet->figures));
    text = json_print(root, true);
    puts(text);
    free(text);
    json_free(root);
}
