/* SPDX-License-Identifier: MIT */
#include "watch/press.h"

#include <stdio.h>
#include <string.h>

#include "base/clock.h"
#include "base/escape.h"
#include "check/check.h"
#include "watch/board_finding.h"
#include "watch/control.h"
#include "watch/handles.h"
#include "watch/kept.h"
#include "watch/saying.h"

enum { EVENING_S = 12 * 3600 /* a show is over then */ };

static const char is_over[] = "that is over, or has grown worse meanwhile: look again",
                  is_quiet[] =
                      "it is quieted already: `gainwarden quiet --list SHOW` says until when",
                  needs_name[] = "a name is needed, so that the others know who it was";

/* ---- seen ---- */

const struct finding *
press_seen(struct watch_desk *desk, const struct json *request, const char **error)
{
    const struct finding *finding = board_finding_find(desk, json_string_at(request, "finding"));
    char by[SHOW_NAME_SIZE];
    bool named = noticed_name(json_string_at(request, "by"), by);
    const struct noticed_by *was;

    *error = !named ? needs_name : !finding || !finding->told ? is_over : NULL;
    if (*error)
        return NULL;
    was = noticed_of(kept_noticed(desk->kept), finding);
    if (was && strcmp(was->by, by) == 0) /* he has, and it is told once */
        return finding;
    kept_notice(desk->kept, finding, by);
    saying_seen(desk->saying, finding, by);
    kept_commit(desk->kept);
    return finding;
}

/* ---- a button ---- */

static struct json *
seen_request(const struct board_press *press)
{
    struct json *request = json_new_object();

    json_add_string(request, "do", "seen");
    json_add_string(request, "finding", press->finding);
    json_add_string(request, "by", press->who);
    return request;
}

/* Where an input's finding shows in one mix, there alone. */
static void
add_place(const struct finding *finding, struct json *request)
{
    int mix = board_finding_mix(finding);

    if (finding->object.input >= 0)
        json_add_number(request, "input", finding->object.input + 1);
    if (mix >= 0)
        json_add_number(request, "mix", mix + 1);
}

static struct json *
meant_request(const struct finding *finding, const char *by)
{
    struct json *request = json_new_object();
    char at[CLOCK_SIZE], why[SHOW_WHY_SIZE];

    snprintf(why, sizeof why, "was meant at %.5s", clock_time(at));
    json_add_string(request, "do", "quiet");
    json_add_string(request, "check", finding->check->id);
    add_place(finding, request);
    json_add_number(request, "for_s", EVENING_S);
    json_add_string(request, "why", why);
    json_add_string(request, "by", by);
    json_add_bool(request, "stop_too", finding->verdict.weight == WEIGHT_STOP);
    json_add_number(request, "meant", finding->verdict.severity);
    json_add_bool(request, "now", true);
    return request;
}

/* As over the control socket: recorded, told and kept like that. Takes over the request. */
static const char *
ask(struct watch_desk *desk, struct json *request, char *error)
{
    struct json *answer = watch_answer(desk, request);
    bool good = json_bool_at(answer, "ok");

    if (!good)
        escape_clean(error, BOARD_ERROR_SIZE, json_string_at(answer, "error"));
    json_free(request);
    json_free(answer);
    return good ? NULL : error;
}

/* Two who press at once make one quieting, so that ending it ends it. */
static bool
is_quieted(const struct watch_desk *desk, const struct finding *finding)
{
    const struct engine *engine = desk->session->engine;

    return quiets_find(watcher_quiets(desk->watcher), engine_desk(engine), engine_show(engine),
                       finding) != NULL;
}

const char *
press_button(struct watch_desk *desk, const struct board_press *press, char *error)
{
    const struct finding *finding = board_finding_find(desk, press->finding);
    char by[SHOW_NAME_SIZE];

    if (press->button == BOARD_SEEN)
        return ask(desk, seen_request(press), error);
    if (!noticed_name(press->who, by))
        return needs_name;
    if (!finding)
        return is_over;
    if (is_quieted(desk, finding))
        return is_quiet;
    if (finding->verdict.weight == WEIGHT_STOP && !press->again)
        return BOARD_AGAIN;
    return ask(desk, meant_request(finding, by), error);
}
