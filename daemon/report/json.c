/* SPDX-License-Identifier: MIT */
/* The report for machines, format 1. Keys are only ever added. */
#include "report/report.h"

#include <math.h>

#include "base/clock.h"
#include "base/json.h"
#include "report/cards.h"

enum { REPORT_FORMAT = 1 };

/* 1-based, as people count; absent where the object has none. */
static struct json *
object_json(struct object object, int band)
{
    struct json *json = json_new_object();

    if (object.input >= 0)
        json_add_number(json, "input", object.input + 1);
    if (object.mix >= 0)
        json_add_number(json, "mix", object.mix + 1);
    if (band >= 0)
        json_add_number(json, "band", band + 1);
    return json;
}

static struct json *
labels_json(const struct desk *desk, struct object object)
{
    struct json *json = json_new_object();

    if (object.input >= 0)
        json_add_string(json, "input", desk_text(desk, PARAM_INPUT_NAME, object.input, 0));
    if (object.mix >= 0)
        json_add_string(json, "mix", desk_text(desk, PARAM_MIX_NAME, object.mix, 0));
    return json;
}

/* A thousandth of a dB is finer than any control; more digits are noise of the arithmetic. */
static double
rounded(double number)
{
    return isfinite(number) ? round(number * 1000) / 1000 : number;
}

struct json *
report_finding_json(const struct engine *engine, const struct finding *finding,
                    const struct plan *plan)
{
    const struct verdict *verdict = &finding->verdict;
    struct json *json = json_new_object();
    struct json *figures = json_new_object();
    char player[SHOW_NAME_SIZE], worked[TEACH_SIZE];
    bool inferred = engine_player(engine, finding, player);
    struct words words;

    if (plan) {
        engine_words(engine, finding, &words);
        cards_cure(plan, finding, &words);
    } else {
        engine_advice(engine, finding, &words);
    }
    json_add_string(json, "check", finding->check->id);
    json_add_string(json, "weight", weight_name(verdict->weight));
    json_add(json, "object", object_json(finding->object, verdict->band));
    json_add(json, "labels", labels_json(engine_desk(engine), finding->object));
    for (int i = 0; i < verdict->figure_count; i++)
        json_add_number(figures, verdict->figures[i].name, rounded(verdict->figures[i].number));
    json_add(json, "figures", figures);
    json_add_string(json, "says", words.says);
    json_add_string(json, "do", words.cure);
    if (plan)
        cards_finding_json(plan, finding, json);
    if (report_worked(finding, worked))
        json_add_string(json, "worked", worked);
    if (verdict->mix >= 0)
        json_add_number(json, "shows_in_mix", verdict->mix + 1);
    if (*player)
        json_add_string(json, "player", player);
    if (*player && inferred)
        json_add_bool(json, "player_inferred", true);
    if (verdict->inferred)
        json_add_bool(json, "inferred", true);
    return json;
}

static void
add_findings(struct json *root, struct engine *engine, const struct plan *plan)
{
    const struct finding *const *findings;
    size_t count = engine_findings(engine, &findings);
    struct json *open = json_new_array(), *accepted = json_new_array();

    for (size_t i = 0; i < count; i++) {
        struct json *json = report_finding_json(engine, findings[i], plan);
        const struct accept *accept;

        if (findings[i]->accept < 0) {
            json_add(open, NULL, json);
            continue;
        }
        accept = &engine_show(engine)->accepts[findings[i]->accept];
        json_add_string(json, "why", accept->why);
        json_add_string(json, "by", accept->by);
        json_add(accepted, NULL, json);
    }
    json_add(root, "findings", open);
    json_add(root, "accepted", accepted);
}

/* Accepts that have ended or that nothing matches, so that "why was I told?" has an answer. */
static void
add_idle_accepts(struct json *root, const struct engine *engine)
{
    const struct show *show = engine_show(engine);
    struct json *list = json_new_array();

    for (int i = 0; i < show->accept_count; i++) {
        bool expired = engine_accept_expired(engine, i);
        struct json *json;

        if (!expired && !engine_accept_idle(engine, i))
            continue;
        json = json_new_object();
        json_add_number(json, "accept", i);
        json_add_string(json, "check", check_name(show->accepts[i].check));
        json_add_string(json, "because", expired ? "ended" : "matches-nothing");
        json_add(list, NULL, json);
    }
    json_add(root, "accepts_without_effect", list);
}

static void
add_unknown(void *context, const struct check *check, struct object object, const char *why)
{
    struct json *json = json_new_object();

    json_add_string(json, "check", check->id);
    json_add(json, "object", object_json(object, -1));
    json_add_string(json, "why", why);
    json_add(context, NULL, json);
}

/* Number of objects per check that ended in the outcome. */
static struct json *
counts_json(const struct engine *engine, enum outcome outcome)
{
    struct json *json = json_new_object();

    for (int check = 0; check < CHECKS; check++)
        json_add_number(json, check_name(check), (double)engine_count(engine, check, outcome));
    return json;
}

static void
add_reject(void *context, const char *reason, uint64_t count, const char *first)
{
    (void)first;
    json_add_number(context, reason, (double)count);
}

static void
add_unread(void *context, const char *reason, uint64_t count, const char *first)
{
    (void)count;
    if (*first)
        json_add_string(context, reason, first);
}

struct json *
report_link_json(const struct link_figures *figures)
{
    struct json *json = json_new_object(), *rejected = json_new_object();
    struct json *unread = json_new_object();

    json_add_number(json, "asked", (double)figures->questions.asked);
    json_add_number(json, "heard", (double)figures->questions.heard);
    json_add_number(json, "asked_again", (double)figures->questions.asked_again);
    json_add_number(json, "asked_beside", (double)figures->questions.yardsticks);
    json_add_number(json, "never_came",
                    (double)(figures->questions.questions - figures->questions.heard));
    report_rejects(figures, add_reject, rejected);
    json_add(json, "rejected", rejected);
    report_rejects(figures, add_unread, unread);
    json_add(json, "unread", unread);
    json_add_number(json, "took_ms", (double)figures->took_ms);
    if (figures->error)
        json_add_string(json, "error", figures->error);
    if (*figures->said)
        json_add_string(json, "said", figures->said);
    return json;
}

/* The parameters that are so. */
static struct json *
params_json(const struct desk *desk, report_is_fn *is)
{
    struct json *json = json_new_array();

    for (enum param_id id = 0; id < PARAMS; id++)
        if (is(desk, id))
            json_add_string(json, NULL, params[id].name);
    return json;
}

void
report_json(const struct report *report)
{
    const struct session *session = report->session;
    struct engine *engine = session->engine;
    struct plan *plan = engine_advise(engine, report->all ? PLAN_SMALL_TOO : 0);
    struct json *root = json_new_object(), *unknown = json_new_array();
    char when[CLOCK_SIZE], desk[SESSION_SOURCE_SIZE];

    json_add_number(root, "report_format", REPORT_FORMAT);
    session_source(session, desk);
    json_add_string(root, "desk", desk);
    json_add_string(root, "show", engine_show(engine)->name);
    json_add_string(root, "at", session_at(session, when));
    add_findings(root, engine, plan);
    cards_json(engine, plan, root);
    plan_free(plan);
    engine_unknown(engine, add_unknown, unknown);
    json_add(root, "not_known", unknown);
    json_add(root, "passed", counts_json(engine, OUTCOME_PASS));
    json_add(root, "told_by_another", counts_json(engine, OUTCOME_FOLDED));
    json_add(root, "muted_or_sent_nowhere", counts_json(engine, OUTCOME_CLOSED));
    add_idle_accepts(root, engine);
    json_add(root, "taken_as_absent", params_json(engine_desk(engine), report_is_absent));
    json_add(root, "without_end_stops", params_json(engine_desk(engine), report_is_endless));
    json_add(root, "link", report_link_json(&report->figures));
    json_put(root);
    json_free(root);
}
