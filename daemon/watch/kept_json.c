/* SPDX-License-Identifier: MIT */
#include "watch/kept_json.h"

#include <math.h>

#include "base/clock.h"
#include "base/escape.h"
#include "check/check.h"

struct json *
kept_place_json(const struct finding *finding)
{
    struct json *json = json_new_object();

    json_add_string(json, "check", finding->check->id);
    if (finding->object.input >= 0)
        json_add_number(json, "input", finding->object.input + 1);
    if (finding->object.mix >= 0)
        json_add_number(json, "mix", finding->object.mix + 1);
    return json;
}

struct json *
kept_told_json(const struct engine *engine, const struct finding *finding,
               const struct kept_told *told)
{
    struct json *json = kept_place_json(finding);
    struct words words;

    engine_advice(engine, finding, &words);
    json_add_string(json, "weight", weight_name(told->weight));
    json_add_number(json, "severity", told->severity);
    json_add_number(json, "since_s", round(told->since_s * 1000) / 1000);
    json_add_string(json, "says", words.says);
    json_add_string(json, "do", words.cure);
    return json;
}

struct json *
kept_noticed_json(const struct noticed *noticed, const struct finding *finding)
{
    struct json *json = kept_place_json(finding);

    noticed_keep(noticed_of(noticed, finding), json);
    return json;
}

struct json *
kept_message_json(const char *id, enum weight weight, const char *text)
{
    struct json *json = json_new_object();

    json_add_string(json, "id", id);
    json_add_string(json, "weight", weight_name(weight));
    json_add_string(json, "text", text);
    return json;
}

static void
add_end(struct json *json, int64_t until_ms, int64_t now_ms)
{
    double left_s = (double)(until_ms - now_ms) / 1000;

    json_add_number(json, "until_s", round((clock_now_s() + left_s) * 1000) / 1000);
    json_add_number(json, "left_s", left_s);
}

struct json *
kept_room_json(const struct watcher *watcher, int64_t now_ms)
{
    struct json *json = json_new_object();
    int64_t until_ms = watcher_room_until_ms(watcher);

    json_add_string(json, "is", room_name(watcher_room(watcher)));
    json_add_string(json, "before", room_name(watcher_room_before(watcher)));
    if (until_ms != INT64_MAX)
        add_end(json, until_ms, now_ms);
    return json;
}

static struct json *
quiet_json(const struct quiet *quiet, int64_t now_ms)
{
    struct json *json = json_new_object();

    json_add_number(json, "number", quiet->number);
    if (quiet->check >= 0)
        json_add_string(json, "check", check_name(quiet->check));
    if (quiet->input >= 0)
        json_add_number(json, "input", quiet->input + 1);
    if (quiet->mix >= 0)
        json_add_number(json, "mix", quiet->mix + 1);
    json_add_string(json, "player", quiet->player);
    json_add_bool(json, "stop_too", quiet->stop_too);
    if (quiet->meant)
        json_add_number(json, "meant", quiet->up_to);
    json_add_string(json, "why", quiet->why);
    json_add_string(json, "by", quiet->by);
    add_end(json, quiet->until_ms, now_ms);
    return json;
}

struct json *
kept_quiets_json(const struct quiets *quiets, int64_t now_ms)
{
    struct json *list = json_new_array();

    for (size_t i = 0; i < quiets->count; i++)
        json_add(list, NULL, quiet_json(&quiets->list[i], now_ms));
    return list;
}

static struct json *
jump_json(const struct jump *jump, int64_t now_ms)
{
    struct json *json = json_new_object();

    json_add_string(json, "is", params[jump->id].name);
    json_add_number(json, "row", jump->row + 1);
    json_add_number(json, "column", jump->column + 1);
    if (isfinite(jump->from)) /* without it: from off */
        json_add_number(json, "from", jump->from);
    json_add_number(json, "to", jump->to);
    json_add_number(json, "gap_s", (double)jump->gap_ms / 1000);
    json_add_number(json, "ago_s", (double)(now_ms - jump->at_ms) / 1000);
    return json;
}

struct json *
kept_jumps_json(struct engine *engine, int64_t now_ms)
{
    struct json *list = json_new_array();
    size_t count;
    const struct jump *jumps = moves_jumps(engine_moves(engine), &count);

    for (size_t i = 0; i < count; i++)
        json_add(list, NULL, jump_json(&jumps[i], now_ms));
    return list;
}

int
kept_index_at(const struct json *json, const char *key)
{
    double number = json_number_at(json, key, 0);

    return number >= 1 && number < 100000 ? (int)number - 1 : -1;
}

struct quiet
kept_quiet_of(const struct json *json)
{
    struct quiet quiet = {.check = check_find(json_string_at(json, "check")),
                          .input = kept_index_at(json, "input"),
                          .mix = kept_index_at(json, "mix"),
                          .stop_too = json_bool_at(json, "stop_too"),
                          .meant = json_get(json, "meant") != NULL,
                          .up_to = json_number_at(json, "meant", 0)};

    escape_clean(quiet.player, sizeof quiet.player, json_string_at(json, "player"));
    escape_clean(quiet.why, sizeof quiet.why, json_string_at(json, "why"));
    escape_clean(quiet.by, sizeof quiet.by, json_string_at(json, "by"));
    return quiet;
}
