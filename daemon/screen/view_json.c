/* SPDX-License-Identifier: MIT */
#include "screen/view_json.h"

#include <math.h>
#include <stdlib.h>

#include "base/escape.h"
#include "core/need.h"

enum { COUNT_MOST = 1000000000 };

/* ---- writing ---- */

static struct json *
finding_json(const struct view_finding *finding)
{
    struct json *json = json_new_object();

    json_add_string(json, "weight", weight_name(finding->weight));
    json_add_bool(json, "fresh", finding->fresh);
    json_add_bool(json, "stale", finding->stale);
    json_add_bool(json, "closed", finding->closed);
    json_add_string(json, "player", finding->player);
    json_add_string(json, "figure", finding->figure);
    json_add_string(json, "brief", finding->brief);
    json_add_string(json, "says", finding->text);
    json_add_string(json, "since", finding->since);
    json_add_string(json, "hidden", finding->hidden);
    return json;
}

static void
add_lines(struct json *json, const char *key, const char (*lines)[VIEW_TEXT_SIZE], size_t count)
{
    struct json *list = json_new_array();

    for (size_t i = 0; i < count && i < VIEW_LINES; i++)
        json_add_string(list, NULL, lines[i]);
    json_add(json, key, list);
}

/* Of many events the last are the ones that count. */
static void
add_last(struct json *json, const struct view_desk *desk)
{
    size_t first = desk->event_count > VIEW_LINES ? desk->event_count - VIEW_LINES : 0;

    add_lines(json, "last", desk->events + first, desk->event_count - first);
}

static void
add_findings(struct json *json, const struct view_desk *desk, size_t most)
{
    struct json *list = json_new_array(), *unlisted = json_new_object();
    struct view_counts rest = desk->unlisted;

    for (size_t i = 0; i < desk->finding_count; i++) {
        if (i < most)
            json_add(list, NULL, finding_json(&desk->findings[i]));
        else
            view_count(&rest, &desk->findings[i]);
    }
    for (enum weight weight = 0; weight < WEIGHTS; weight++)
        json_add_number(unlisted, weight_name(weight), (double)rest.open[weight]);
    json_add_number(unlisted, "held_back", (double)rest.held_back);
    json_add(json, "findings", list);
    json_add(json, "unlisted", unlisted);
}

static struct json *
desk_json(const struct view_desk *desk, size_t most)
{
    struct json *json = json_new_object();

    json_add_string(json, "show", desk->show);
    json_add_string(json, "room", desk->room);
    json_add_string(json, "link", desk->link);
    json_add_bool(json, "lost", desk->lost);
    add_findings(json, desk, most);
    add_lines(json, "unknown", desk->unknown, desk->unknown_count);
    json_add_number(json, "not_known", (double)desk->not_known);
    add_lines(json, "proved", desk->proved, desk->proved_count);
    add_lines(json, "quieted", desk->quiets, desk->quiet_count);
    add_last(json, desk);
    return json;
}

struct json *
view_json(const struct view *view)
{
    struct json *json = json_new_object(), *desks = json_new_array();
    size_t share = VIEW_LISTED / (view->desk_count > 0 ? view->desk_count : 1);

    json_add_number(json, "version", VIEW_VERSION);
    json_add_number(json, "chosen", (double)view->chosen);
    for (size_t i = 0; i < view->desk_count && i < VIEW_DESKS; i++)
        json_add(desks, NULL,
                 desk_json(&view->desks[i], share < VIEW_LISTED_LEAST ? VIEW_LISTED_LEAST : share));
    json_add(json, "desks", desks);
    return json;
}

/* ---- reading ---- */

/* The first thing that is wrong ends it: it is told once. */
struct reader {
    struct problems *problems;
    bool good;
};

static void
wrong(struct reader *reader, const char *key, const char *what)
{
    if (reader->good)
        problems_add(reader->problems, "the watch's screen: \"%s\" must be %s", key, what);
    reader->good = false;
}

static const struct json *
take(struct reader *reader, const struct json *json, const char *key, enum json_kind kind)
{
    const struct json *member = json_get(json, key);

    if (member && json_kind(member) == kind)
        return member;
    wrong(reader, key, json_kind_name(kind));
    return NULL;
}

static void
take_text(struct reader *reader, const struct json *json, const char *key, char *to, size_t size)
{
    const struct json *text = take(reader, json, key, JSON_STRING);

    escape_clean(to, size, text ? json_string(text) : "");
}

static bool
take_bool(struct reader *reader, const struct json *json, const char *key)
{
    const struct json *value = take(reader, json, key, JSON_BOOL);

    return value && json_bool(value);
}

static size_t
take_count(struct reader *reader, const struct json *json, const char *key)
{
    const struct json *number = take(reader, json, key, JSON_NUMBER);
    double count = number ? json_number(number) : 0;

    if (!(count >= 0 && count <= COUNT_MOST && count == floor(count))) {
        wrong(reader, key, "a count");
        return 0;
    }
    return (size_t)count;
}

/* An array of objects or texts with its size; NULL and 0 when it is none or too long. */
static const struct json *
take_list(struct reader *reader, const struct json *json, const char *key, size_t most,
          size_t *count)
{
    const struct json *list = take(reader, json, key, JSON_ARRAY);

    *count = list ? (size_t)json_size(list) : 0;
    if (*count <= most)
        return list;
    wrong(reader, key, "a shorter list");
    *count = 0;
    return NULL;
}

static const char (*take_lines(struct reader *reader, const struct json *json, const char *key,
                               size_t *count))[VIEW_TEXT_SIZE]
{
    const struct json *list = take_list(reader, json, key, VIEW_LINES, count);
    char(*lines)[VIEW_TEXT_SIZE] = need_memory(*count, sizeof *lines);
    size_t i = 0;

    for (const struct json *one = json_first(list); one && i < *count; one = json_next(one), i++) {
        if (json_kind(one) != JSON_STRING)
            wrong(reader, key, "a list of strings");
        else
            escape_clean(lines[i], VIEW_TEXT_SIZE, json_string(one));
    }
    return (const char(*)[VIEW_TEXT_SIZE])lines;
}

static void
take_finding(struct reader *reader, const struct json *json, struct view_finding *finding)
{
    char weight[8];

    if (json_kind(json) != JSON_OBJECT) {
        wrong(reader, "findings", "a list of objects");
        return;
    }
    take_text(reader, json, "weight", weight, sizeof weight);
    finding->weight = weight_find(weight);
    if (finding->weight == WEIGHTS) {
        wrong(reader, "weight", "one of stop, fix, note");
        finding->weight = WEIGHT_NOTE;
    }
    finding->fresh = take_bool(reader, json, "fresh");
    finding->stale = take_bool(reader, json, "stale");
    finding->closed = take_bool(reader, json, "closed");
    take_text(reader, json, "player", finding->player, sizeof finding->player);
    take_text(reader, json, "figure", finding->figure, sizeof finding->figure);
    take_text(reader, json, "brief", finding->brief, sizeof finding->brief);
    take_text(reader, json, "says", finding->text, sizeof finding->text);
    take_text(reader, json, "since", finding->since, sizeof finding->since);
    take_text(reader, json, "hidden", finding->hidden, sizeof finding->hidden);
}

static void
take_findings(struct reader *reader, const struct json *json, struct view_desk *desk)
{
    const struct json *list =
        take_list(reader, json, "findings", VIEW_LISTED, &desk->finding_count);
    const struct json *rest = take(reader, json, "unlisted", JSON_OBJECT);
    struct view_finding *findings = need_memory(desk->finding_count, sizeof *findings);
    size_t i = 0;

    desk->findings = findings;
    for (const struct json *one = json_first(list); one && i < desk->finding_count;
         one = json_next(one), i++)
        take_finding(reader, one, &findings[i]);
    for (enum weight weight = 0; rest && weight < WEIGHTS; weight++)
        desk->unlisted.open[weight] = take_count(reader, rest, weight_name(weight));
    if (rest)
        desk->unlisted.held_back = take_count(reader, rest, "held_back");
}

static void
take_desk(struct reader *reader, const struct json *json, struct view_desk *desk)
{
    if (json_kind(json) != JSON_OBJECT) {
        wrong(reader, "desks", "a list of objects");
        return;
    }
    take_text(reader, json, "show", desk->show, sizeof desk->show);
    take_text(reader, json, "room", desk->room, sizeof desk->room);
    take_text(reader, json, "link", desk->link, sizeof desk->link);
    desk->lost = take_bool(reader, json, "lost");
    take_findings(reader, json, desk);
    desk->unknown = take_lines(reader, json, "unknown", &desk->unknown_count);
    desk->not_known = take_count(reader, json, "not_known");
    desk->proved = take_lines(reader, json, "proved", &desk->proved_count);
    desk->quiets = take_lines(reader, json, "quieted", &desk->quiet_count);
    desk->events = take_lines(reader, json, "last", &desk->event_count);
}

static void
take_desks(struct reader *reader, const struct json *json, struct view *view)
{
    const struct json *list = take_list(reader, json, "desks", VIEW_DESKS, &view->desk_count);
    struct view_desk *desks = need_memory(view->desk_count, sizeof *desks);
    size_t i = 0;

    view->desks = desks;
    for (const struct json *one = json_first(list); one && i < view->desk_count;
         one = json_next(one), i++)
        take_desk(reader, one, &desks[i]);
    view->chosen = take_count(reader, json, "chosen");
    if (view->chosen >= view->desk_count)
        wrong(reader, "chosen", "one of the desks");
}

static bool
is_our_version(const struct json *json, struct problems *problems)
{
    double version = json_number_at(json, "version", 0);

    if (version == VIEW_VERSION)
        return true;
    problems_add(problems,
                 "the watch's screen is of version %g, and this program shows version %d: take the "
                 "same gainwarden for both",
                 version, VIEW_VERSION);
    return false;
}

struct view *
view_read(const struct json *json, struct problems *problems)
{
    struct reader reader = {problems, true};
    struct view *view;

    if (!json || json_kind(json) != JSON_OBJECT) {
        wrong(&reader, "screen", "an object");
        return NULL;
    }
    if (!is_our_version(json, problems))
        return NULL;
    view = need_memory(1, sizeof *view);
    view->prompt = "";
    take_desks(&reader, json, view);
    if (reader.good)
        return view;
    view_free(view);
    return NULL;
}

void
view_free(struct view *view)
{
    for (size_t i = 0; view && i < view->desk_count; i++) {
        free((void *)view->desks[i].findings);
        free((void *)view->desks[i].unknown);
        free((void *)view->desks[i].proved);
        free((void *)view->desks[i].quiets);
        free((void *)view->desks[i].events);
    }
    if (view)
        free((void *)view->desks);
    free(view);
}
