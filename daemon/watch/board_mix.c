/* SPDX-License-Identifier: MIT */
#include "watch/board_mix.h"

#include <math.h>
#include <stdlib.h>

#include "check/own_send.h"
#include "desk/player.h"
#include "desk/words.h"
#include "watch/board_changed.h"
#include "watch/board_equaliser.h"
#include "watch/board_facts.h"
#include "watch/board_finding.h"
#include "watch/board_rings.h"
#include "watch/board_text.h"
#include "watch/board_tile.h"
#include "watch/changed.h"
#include "watch/handles.h"

enum { NUMBER_SIZE = 40 };

/* ---- sends ---- */

static bool
behind_db(const struct watch_desk *desk, int input, int mix, double *db)
{
    static const enum param_id reads[] = {LOOK_BEHIND_READS, PARAMS};
    const struct engine *engine = desk->session->engine;
    struct verdict verdict = {.outcome = OUTCOME_NOT_ASKED};
    struct look look = look_reader(engine_desk(engine), engine_show(engine), reads, &verdict);
    struct behind behind;
    bool known = look_behind_preamp(&look, input, mix, &behind);

    *db = behind.sum_db;
    return known && behind.sum_db > -HUGE_VAL;
}

/* Without the loudest one that stands in where nobody is named: that is nobody's own. */
static int
own_mix(const struct watch_desk *desk, int input)
{
    static const enum param_id reads[] = {OWN_SEND_READS, PARAMS};
    const struct engine *engine = desk->session->engine;
    struct verdict verdict = {.outcome = OUTCOME_NOT_ASKED};
    struct look look = look_reader(engine_desk(engine), engine_show(engine), reads, &verdict);
    struct own_send own;

    if (!own_send_of(&look, input, &own) || own.mix < 0 ||
        !player_has_mix(look.desk, look.show, input, own.mix))
        return -1;
    return own.mix;
}

static void
add_to_own(const struct watch_desk *desk, int input, int mix, struct json *json)
{
    int own = own_mix(desk, input);
    double here_db, own_db;
    char words[NUMBER_SIZE];
    struct text text;

    text_init(&text, words, sizeof words);
    if (own == mix)
        text_add(&text, "own");
    else if (own >= 0 && behind_db(desk, input, mix, &here_db) &&
             behind_db(desk, input, own, &own_db))
        text_add(&text, "%s%f dB", here_db > own_db ? "+" : "", here_db - own_db);
    json_add_string(json, "to_own", words);
}

/* Off, or behind a mute. */
static bool
is_closed(const struct desk *model, int input, int mix)
{
    return value_is(desk_value(model, PARAM_SEND_ON, input, mix), 0) ||
           value_is(desk_value(model, PARAM_SEND_LEVEL, input, mix), -HUGE_VAL) ||
           value_is(desk_value(model, PARAM_INPUT_MUTE, input, 0), 1);
}

static struct json *
send_json(const struct watch_desk *desk, int input, int mix)
{
    const struct desk *model = engine_desk(desk->session->engine);
    const struct value *level = desk_value(model, PARAM_SEND_LEVEL, input, mix);
    struct json *json = json_new_object();
    char words[NUMBER_SIZE];
    struct text text;

    text_init(&text, words, sizeof words);
    if (level->state == VALUE_KNOWN)
        words_number(&text, PARAM_SEND_LEVEL, value_number(level));
    else
        text_add(&text, "not known");
    json_add_number(json, "input", input + 1);
    board_add_text(json, "name", desk_text(model, PARAM_INPUT_NAME, input, 0));
    json_add_string(json, "level", words);
    add_to_own(desk, input, mix, json);
    json_add_bool(json, "closed", is_closed(model, input, mix));
    return json;
}

/* Those that are up, whether they are open or not; in the desk's order. */
static struct json *
sends_json(const struct watch_desk *desk, int mix)
{
    const struct desk *model = engine_desk(desk->session->engine);
    struct json *list = json_new_array();

    for (int input = 0; input < desk_count(model, INDEX_INPUT); input++)
        if (!value_is(desk_value(model, PARAM_SEND_LEVEL, input, mix), -HUGE_VAL))
            json_add(list, NULL, send_json(desk, input, mix));
    return list;
}

/* ---- findings ---- */

static struct json *
findings_json(const struct watch_desk *desk, int mix)
{
    struct json *json = json_new_array();
    size_t count;
    struct standing *list = standing_list(desk, &count);

    for (size_t i = 0; i < count; i++)
        if (board_finding_mix(list[i].finding) == mix)
            json_add(json, NULL, board_finding(desk, &list[i]));
    free(list);
    return json;
}

struct json *
board_mix(const struct watch_desk *desk, int number)
{
    const struct engine *engine = desk->session->engine;
    const char *limiter;
    struct json *json;
    char player[SHOW_NAME_SIZE], margin[BOARD_WORDS_SIZE];
    int mix = number - 1;

    if (mix < 0 || mix >= desk_count(engine_desk(engine), INDEX_MIX))
        return NULL;
    changed_look(desk->changed, desk);
    json = json_new_object();
    limiter = board_limiter(desk, mix);
    player_of_mix(engine_desk(engine), engine_show(engine), mix, player);
    json_add_number(json, "mix", number);
    board_add_text(json, "name", desk_text(engine_desk(engine), PARAM_MIX_NAME, mix, 0));
    board_add_text(json, "player", player);
    json_add_string(json, "kind", board_kind(board_feeds(desk, mix)));
    json_add(json, "limiter", *limiter ? json_new_string(limiter) : json_new_number(NAN));
    json_add_string(json, "margin", board_margin(desk, mix, margin));
    json_add(json, "equaliser", board_equaliser(engine, mix));
    json_add(json, "sends", sends_json(desk, mix));
    json_add(json, "changed", board_changed(desk, mix, BOARD_CHANGED));
    json_add(json, "rings", board_rings(engine, mix));
    json_add(json, "stage", board_stage(engine, mix));
    json_add(json, "findings", findings_json(desk, mix));
    return json;
}
