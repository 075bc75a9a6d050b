/* SPDX-License-Identifier: MIT */
#include "watch/board_tile.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "check/ears.h"
#include "check/too_many_cuts.h"
#include "core/need.h"
#include "desk/player.h"
#include "proof/proof.h"
#include "sound/cuts.h"
#include "watch/board_finding.h"
#include "watch/board_text.h"
#include "watch/changed.h"
#include "watch/handles.h"
#include "watcher/watcher.h"

/* ---- what stands against it ---- */

static void
add_finding(const struct watch_desk *desk, const struct standing *one, struct board_tile *tile)
{
    const struct finding *finding = one->finding;
    enum weight weight = finding->verdict.weight;

    if (one->quieted) {
        tile->quieted++;
        return;
    }
    tile->of[weight]++;
    if (!tile->worst || weight > tile->worst->verdict.weight)
        tile->worst = finding;
    if (finding->check->number == CHECK_VALUE_JUMPED && !finding->life.frozen &&
        watch_now_ms(desk) - finding->told_ms < STANDING_FRESH_MS)
        tile->leap = finding;
}

struct board_tile *
board_tiles_of(const struct watch_desk *desk, const struct standing *list, size_t count)
{
    int mixes = desk_count(engine_desk(desk->session->engine), INDEX_MIX);
    struct board_tile *tiles = need_memory((size_t)mixes + 1, sizeof *tiles);

    for (size_t i = 0; i < count; i++) {
        int mix = board_finding_mix(list[i].finding);

        if (mix >= 0 && mix < mixes)
            add_finding(desk, &list[i], &tiles[mix]);
    }
    return tiles;
}

/* ---- what it is ---- */

static struct look
reader_of(const struct watch_desk *desk, const enum param_id *reads, struct verdict *verdict)
{
    const struct engine *engine = desk->session->engine;

    *verdict = (struct verdict){.outcome = OUTCOME_NOT_ASKED};
    return look_reader(engine_desk(engine), engine_show(engine), reads, verdict);
}

enum feeds
board_feeds(const struct watch_desk *desk, int mix)
{
    const struct engine *engine = desk->session->engine;
    const struct value *label = desk_value(engine_desk(engine), PARAM_MIX_NAME, mix, 0);
    enum feeds feeds = engine_show(engine)->mixes[mix].feeds;

    if (feeds != FEEDS_UNKNOWN || label->state == VALUE_UNKNOWN)
        return feeds;
    return (enum feeds)(int)value_last_heard(label);
}

const char *
board_kind(enum feeds feeds)
{
    switch (feeds) {
    case FEEDS_WEDGE:
        return "wedge";
    case FEEDS_SIDE_FILL:
    case FEEDS_DRUM_FILL:
        return "fill";
    case FEEDS_IN_EAR:
        return "ears";
    case FEEDS_UNUSED:
        return "unused";
    case FEEDS_UNKNOWN:
    case FEEDS_COUNT:
        break;
    }
    return "not given";
}

static bool
is_open(const struct value *on, const struct value *level)
{
    return (on->state == VALUE_UNKNOWN || value_last_heard(on) != 0) &&
           level->state != VALUE_UNKNOWN && value_last_heard(level) > -HUGE_VAL;
}

/* What was last heard counts: no tile goes away because a desk is silent. */
static bool
has_open_send(const struct watch_desk *desk, int mix)
{
    const struct desk *model = engine_desk(desk->session->engine);
    int inputs = desk_count(model, INDEX_INPUT), input = 0;

    while (input < inputs && !is_open(desk_value(model, PARAM_SEND_ON, input, mix),
                                      desk_value(model, PARAM_SEND_LEVEL, input, mix)))
        input++;
    return input < inputs;
}

/* ---- how it stands ---- */

static size_t
count_unknown(const struct engine *engine, int mix)
{
    size_t count = 0;

    for (int check = 0; check < CHECKS; check++) {
        size_t slot = engine_find(engine, check, (struct object){-1, mix});

        count += slot < engine_slots(engine) && engine_outcome(engine, slot) == OUTCOME_NOT_KNOWN;
    }
    return count;
}

static void
add_state(const struct watch_desk *desk, const struct board_tile *tile, int mix, struct json *json)
{
    bool unknown = !desk->judge.begun || count_unknown(desk->session->engine, mix) > 0;
    enum weight weight = tile->worst ? tile->worst->verdict.weight : WEIGHT_NOTE;
    char word[BOARD_WORDS_SIZE];

    if (tile->leap)
        snprintf(word, sizeof word, "JUMP");
    else if (tile->of[WEIGHT_STOP] > 0)
        snprintf(word, sizeof word, "STOP");
    else if (tile->worst)
        snprintf(word, sizeof word, "%s %zu", weight_name(weight), tile->of[weight]);
    else if (unknown)
        snprintf(word, sizeof word, "not known");
    else if (tile->quieted > 0)
        snprintf(word, sizeof word, "quieted %zu", tile->quieted);
    else
        snprintf(word, sizeof word, "right");
    json_add_string(json, "weight", tile->worst ? weight_name(weight) : "none");
    json_add_string(json, "word", word);
    json_add_string(json, "arrow",
                    tile->leap    ? "up"
                    : tile->worst ? board_finding_arrow(desk, tile->worst)
                                  : "");
}

/* ---- its limiter ---- */

static bool
is_on(const struct watch_desk *desk, int mix)
{
    return value_number(
               desk_value(engine_desk(desk->session->engine), PARAM_MIX_LIMITER_ON, mix, 0)) != 0;
}

/* What the check of in-ear mixes found; where it says nothing, what the switch says. */
const char *
board_limiter(const struct watch_desk *desk, int mix)
{
    const struct engine *engine = desk->session->engine;
    size_t slot = engine_find(engine, CHECK_EARS_UNPROTECTED, (struct object){-1, mix});
    enum outcome outcome =
        slot < engine_slots(engine) ? engine_outcome(engine, slot) : OUTCOME_NOT_ASKED;
    const struct value *on = desk_value(engine_desk(engine), PARAM_MIX_LIMITER_ON, mix, 0);

    if (board_feeds(desk, mix) != FEEDS_IN_EAR)
        return "";
    if (outcome == OUTCOME_FINDING && engine_slot(engine, slot)->verdict.severity >= GRADE_NOTHING)
        return "NO LIMITER";
    if (engine_show(engine)->mixes[mix].limited_elsewhere)
        return "limiter elsewhere";
    if (outcome == OUTCOME_NOT_KNOWN || on->state != VALUE_KNOWN)
        return "limiter not known";
    return is_on(desk, mix) ? "limiter on" : "NO LIMITER";
}

/* ---- its margin ---- */

static void
say_left(const struct proof_figure *margin, struct text *text)
{
    if (margin->db + margin->allowance_db < 0)
        text_add(text, "%f dB past what was proved", -margin->db);
    else
        text_add(text, "%f dB left, proved", fmax(0, margin->db));
}

const char *
board_margin(const struct watch_desk *desk, int mix, char words[BOARD_WORDS_SIZE])
{
    struct proof *proof = engine_proof(desk->session->engine);
    const struct proof_mix *of = proof ? proof_of_mix(proof, mix) : NULL;
    struct text text;

    text_init(&text, words, BOARD_WORDS_SIZE);
    if (!of)
        return words;
    if (of->state == PROOF_LEFT)
        say_left(&of->margin, &text);
    else if (of->state == PROOF_NOT_KNOWN)
        text_add(&text, "margin not known");
    else if (of->state == PROOF_NONE && of->alone.ceiling >= 0)
        text_add(&text, "alone %f dB, no proof", of->alone.db);
    else if (of->state == PROOF_NONE)
        text_add(&text, "no proof");
    return words;
}

/* ---- what stands below ---- */

/* "master 6 dB since 21:36 (was 0 dB)"; one that stands where it was meant is told where that is not
 * 0. */
static void
add_master(const struct watch_desk *desk, int mix, struct json *lines)
{
    const struct value *value =
        desk_value(engine_desk(desk->session->engine), PARAM_MIX_FADER, mix, 0);
    const struct shift *change = changed_of(desk->changed, PARAM_MIX_FADER, mix, 0);
    char line[BOARD_WORDS_SIZE], at[CLOCK_SIZE];
    struct text text;

    if (value->state != VALUE_KNOWN || (!change && value_number(value) == 0))
        return;
    text_init(&text, line, sizeof line);
    text_add(&text, "master %s%f", value_number(value) > 0 ? "+" : "", value_number(value));
    if (change && change->at_ms != INT64_MIN)
        text_add(&text, " since %s", board_minute(desk, change->at_ms, at));
    if (change)
        text_add(&text, " (was %f)", change->from);
    json_add_string(lines, NULL, line);
}

static void
add_cuts(const struct watch_desk *desk, int mix, struct json *lines)
{
    static const enum param_id reads[] = {PATH_MIX_EQUALISER_READS, PARAMS};
    struct verdict verdict;
    struct look look = reader_of(desk, reads, &verdict);
    struct cuts cuts;
    char line[BOARD_WORDS_SIZE];

    if (!cuts_list(&look, mix, too_many_cuts_from_db(look.show), &cuts) || cuts.count == 0)
        return;
    snprintf(line, sizeof line, "%d cut%s", cuts.count, cuts.count == 1 ? "" : "s");
    json_add_string(lines, NULL, line);
}

/* ---- the tile ---- */

static struct json *
tile_json(const struct watch_desk *desk, const struct board_tile *tile, int mix, const char *player)
{
    struct json *json = json_new_object(), *lines = json_new_array();
    const char *limiter = board_limiter(desk, mix);
    char words[BOARD_WORDS_SIZE];

    json_add_number(json, "mix", mix + 1);
    board_add_text(json, "name",
                   desk_text(engine_desk(desk->session->engine), PARAM_MIX_NAME, mix, 0));
    json_add_string(json, "kind", board_kind(board_feeds(desk, mix)));
    board_add_text(json, "player", player);
    add_state(desk, tile, mix, json);
    json_add(json, "limiter", *limiter ? json_new_string(limiter) : json_new_number(NAN));
    json_add_string(json, "margin", board_margin(desk, mix, words));
    add_master(desk, mix, lines);
    add_cuts(desk, mix, lines);
    json_add(json, "lines", lines);
    return json;
}

struct json *
board_tiles(const struct watch_desk *desk, const struct board_tile *tiles)
{
    const struct engine *engine = desk->session->engine;
    int mixes = desk_count(engine_desk(engine), INDEX_MIX);
    struct json *list = json_new_array();

    for (int mix = 0; mix < mixes; mix++) {
        char player[SHOW_NAME_SIZE];

        player_of_mix(engine_desk(engine), engine_show(engine), mix, player);
        if (*player || has_open_send(desk, mix))
            json_add(list, NULL, tile_json(desk, &tiles[mix], mix, player));
    }
    return list;
}
