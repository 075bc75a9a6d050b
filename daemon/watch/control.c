/* SPDX-License-Identifier: MIT */
#include "watch/control.h"

#include <assert.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/clock.h"
#include "base/escape.h"
#include "base/json.h"
#include "check/check.h"
#include "core/text.h"
#include "loop/control.h"
#include "report/report.h"
#include "tell/chat.h"
#include "watch/earlier.h"
#include "watch/handles.h"
#include "watch/judge.h"
#include "watch/kept.h"
#include "watch/record.h"
#include "watch/reload.h"
#include "watch/room.h"
#include "watch/saying.h"
#include "watch/words.h"

enum { LINE_SIZE = 1400, LISTED = 40 };

/* An answer being written. */
struct answer {
    struct json *json, *lines;
};

static struct answer
answer_new(bool ok)
{
    struct answer answer = {json_new_object(), json_new_array()};

    json_add_bool(answer.json, "ok", ok);
    return answer;
}

static struct json *
answer_end(struct answer *answer)
{
    json_add(answer->json, "lines", answer->lines);
    return answer->json;
}

static struct json *
refuse(const char *error)
{
    struct answer answer = answer_new(false);

    json_add_string(answer.json, "error", error);
    return answer_end(&answer);
}

static void
add_line(struct answer *answer, const char *line)
{
    json_add_string(answer->lines, NULL, line);
}

static const char *
text_of(const struct json *request, const char *key)
{
    const struct json *text = json_get(request, key);

    return text && json_kind(text) == JSON_STRING ? json_string(text) : "";
}

enum { LONGEST_S = EARLIER_LONGEST_S, NUMBER_MOST = 1000000 };

/* From 0 to `most`; what is more, less or none becomes the nearest of them. */
static double
number_of(const struct json *request, const char *key, double most)
{
    const struct json *number = json_get(request, key);
    double value = number && json_kind(number) == JSON_NUMBER ? json_number(number) : 0;

    return value > 0 ? fmin(value, most) : 0;
}

static bool
flag_of(const struct json *request, const char *key)
{
    const struct json *flag = json_get(request, key);

    return flag && json_kind(flag) == JSON_BOOL && json_bool(flag);
}

static void
add_more(struct answer *answer, size_t count)
{
    char line[100];

    snprintf(line, sizeof line, "  and %zu more; --format json lists them", count);
    add_line(answer, line);
}

/* ---- room ---- */

static void
add_room(const struct watch_desk *desk, struct answer *answer)
{
    enum room room = watcher_room(desk->watcher);
    int64_t until_ms = watcher_room_until_ms(desk->watcher);
    char line[LINE_SIZE], span[CLOCK_SIZE];
    struct text text;

    text_init(&text, line, sizeof line);
    text_add(&text, "room %s: %s", room_name(room), room_rows[room].help);
    if (until_ms != INT64_MAX)
        text_add(&text, "; ends in %s",
                 clock_span(until_ms - loop_now_ms(desk->shared->loop), span));
    json_add_string(answer->json, "room", room_name(room));
    add_line(answer, line);
}

static struct json *
answer_room(struct watch_desk *desk, const struct json *request)
{
    const char *to = text_of(request, "to");
    enum room room = room_find(to);
    struct answer answer;

    if (*to && room == ROOMS)
        return refuse(
            "no such word for the room; there are line-check, doors, show and changeover");
    if (*to) {
        watcher_set_room(desk->watcher, room, "by command",
                         watch_room_until_ms(desk, room, number_of(request, "for_s", LONGEST_S)),
                         loop_now_ms(desk->shared->loop));
        kept_room(desk->kept);
        watch_run(desk);
        kept_commit(desk->kept);
    }
    answer = answer_new(true);
    add_room(desk, &answer);
    return answer_end(&answer);
}

/* ---- quiet ---- */

/* What is wrong with the request, or NULL with the quieting. */
static const char *
read_quiet(const struct watch_desk *desk, const struct json *request, struct quiet *quiet)
{
    const struct desk *model = engine_desk(desk->session->engine);
    double input = number_of(request, "input", NUMBER_MOST);
    double mix = number_of(request, "mix", NUMBER_MOST);
    double for_s = number_of(request, "for_s", LONGEST_S + 1);
    int64_t now_ms = loop_now_ms(desk->shared->loop);

    *quiet = (struct quiet){.check = -1,
                            .input = (int)input - 1,
                            .mix = (int)mix - 1,
                            .stop_too = flag_of(request, "stop_too"),
                            .until_ms = now_ms + (int64_t)(for_s * 1000)};
    escape_clean(quiet->player, sizeof quiet->player, text_of(request, "player"));
    escape_clean(quiet->why, sizeof quiet->why, text_of(request, "why"));
    escape_clean(quiet->by, sizeof quiet->by, text_of(request, "by"));
    if (*text_of(request, "check") && (quiet->check = check_find(text_of(request, "check"))) < 0)
        return "no such check; `gainwarden explain` lists them";
    if (input > desk_count(model, INDEX_INPUT))
        return "the desk has no such input";
    if (mix > desk_count(model, INDEX_MIX))
        return "the desk has no such mix";
    if (quiet->check < 0 && input < 1 && mix < 1 && !*quiet->player)
        return "quieting everything is not done: name a check, an input, a mix or a player";
    if (for_s < 1 || for_s > LONGEST_S)
        return "quieting lasts from 1 s to a week";
    return *quiet->why ? NULL : "quieting needs a reason";
}

/* Lists what stands and matches; how many. */
static size_t
add_matches(const struct watch_desk *desk, const struct quiet *quiet, struct answer *answer)
{
    struct engine *engine = desk->session->engine;
    size_t count = 0;

    for (size_t slot = 0; slot < engine_slots(engine); slot++) {
        const struct finding *finding = engine_slot(engine, slot);
        char line[LINE_SIZE], object[REPORT_OBJECT_SIZE];
        struct words words;

        if (finding->life.state == LIFE_CLEAR || finding->accept >= 0 ||
            !quiet_matches(quiet, engine_desk(engine), engine_show(engine), finding))
            continue;
        if (++count > LISTED)
            continue;
        engine_words(engine, finding, &words);
        snprintf(line, sizeof line, "  %s [%s] %s: %s", weight_name(finding->verdict.weight),
                 finding->check->id, report_object(engine, finding->object, object), words.says);
        add_line(answer, line);
    }
    return count;
}

static_assert(QUIETS_KEPT == 32, "as the text says");
static const char too_many[] = "32 quietings run already; `gainwarden quiet SHOW --end N` ends one";

static struct json *
answer_quiet(struct watch_desk *desk, const struct json *request)
{
    struct quiet quiet;
    const char *wrong = read_quiet(desk, request, &quiet);
    struct answer answer;
    char line[LINE_SIZE], span[CLOCK_SIZE];
    size_t count;
    int number;

    if (wrong)
        return refuse(wrong);
    number = flag_of(request, "now") ? quiets_add(watcher_quiets(desk->watcher), &quiet) : 0;
    if (flag_of(request, "now") && number == 0)
        return refuse(too_many);
    answer = answer_new(true);
    count = add_matches(desk, &quiet, &answer);
    json_add_number(answer.json, "matches", (double)count);
    clock_span(quiet.until_ms - loop_now_ms(desk->shared->loop), span);
    if (!flag_of(request, "now")) {
        snprintf(
            line, sizeof line,
            "it would match %zu finding%s that stand%s now, and what comes within %s%s; add --now "
            "to do it",
            count, count == 1 ? "" : "s", count == 1 ? "s" : "", span,
            quiet.stop_too ? "" : "; findings of weight stop are spared");
        add_line(&answer, line);
        return answer_end(&answer);
    }
    json_add_number(answer.json, "number", number);
    snprintf(line, sizeof line, "quieting %d for %s: %s", number, span, quiet.why);
    add_line(&answer, line);
    saying_line(desk->saying, line);
    kept_quiets(desk->kept);
    watch_run(desk);
    kept_commit(desk->kept);
    return answer_end(&answer);
}

static void
add_quiets(const struct watch_desk *desk, struct answer *answer)
{
    const struct quiets *quiets = watcher_quiets(desk->watcher);

    for (size_t i = 0; i < quiets->count; i++) {
        char line[LINE_SIZE];

        watch_quiet_text(&quiets->list[i], loop_now_ms(desk->shared->loop), line, sizeof line);
        add_line(answer, line);
    }
}

static struct json *
answer_quiet_list(struct watch_desk *desk, const struct json *request)
{
    struct answer answer = answer_new(true);

    (void)request;
    watch_run(desk);
    add_quiets(desk, &answer);
    if (watcher_quiets(desk->watcher)->count == 0)
        add_line(&answer, "nothing is quieted, and nothing was");
    return answer_end(&answer);
}

static struct json *
answer_quiet_end(struct watch_desk *desk, const struct json *request)
{
    int number = (int)number_of(request, "number", NUMBER_MOST);
    struct answer answer;

    if (!quiets_end(watcher_quiets(desk->watcher), number, loop_now_ms(desk->shared->loop)))
        return refuse("no quieting of that number is running; `gainwarden quiet --list SHOW`");
    kept_quiets(desk->kept);
    watch_run(desk);
    kept_commit(desk->kept);
    answer = answer_new(true);
    add_quiets(desk, &answer);
    return answer_end(&answer);
}

/* ---- status ---- */

static void
add_link(const struct watch_desk *desk, struct answer *answer)
{
    struct link_figures figures = link_figures(desk->link);
    const struct desk *model = engine_desk(desk->session->engine);
    size_t strangers = control_strangers(desk->control);
    char line[LINE_SIZE], span[CLOCK_SIZE], open[WATCH_WORDS_SIZE];

    snprintf(line, sizeof line, "%s, %s at %s port %d: %s, %s%s; %zu values known, %zu stale",
             session_name(desk->session), desk->session->profile->desk, desk->session->host,
             desk->session->port, link_state_name(link_state(desk->link)),
             figures.last_heard_ms < 0
                 ? "never heard"
                 : clock_span(loop_now_ms(desk->shared->loop) - figures.last_heard_ms, span),
             figures.last_heard_ms < 0 ? "" : " since it was heard",
             desk_count_state(model, VALUE_KNOWN), desk_count_state(model, VALUE_STALE));
    add_line(answer, line);
    snprintf(line, sizeof line, "configuration %08lx%s",
             (unsigned long)watch_configuration(desk->session),
             engine_approved(desk->session->engine) ? ", with an approved desk" : "");
    add_line(answer, line);
    add_line(answer, watch_count_open(desk->session->engine, open));
    if (strangers > 0) {
        snprintf(line, sizeof line,
                 "%zu time%s somebody else was turned away from the control socket", strangers,
                 strangers == 1 ? "" : "s");
        add_line(answer, line);
    }
    json_add_number(answer->json, "strangers", (double)strangers);
    json_add_string(answer->json, "link", link_state_name(link_state(desk->link)));
}

/* Why it is not judged now. */
static const char *
frozen_word(const struct watch_desk *desk, const struct finding *finding)
{
    if (!finding->life.frozen)
        return "";
    return engine_outcome(desk->session->engine, finding->slot) == OUTCOME_CLOSED
               ? " (muted or sent nowhere now)"
               : " (stale)";
}

static void
add_finding(const struct watch_desk *desk, const struct finding *finding, struct answer *lines,
            struct json *list)
{
    char line[LINE_SIZE], object[REPORT_OBJECT_SIZE], hidden[WATCH_WORDS_SIZE];
    struct words words;
    enum hidden how;
    int by;
    struct json *json = report_finding_json(desk->session->engine, finding, NULL);

    how = watcher_hidden(desk->watcher, finding, &by);
    watch_hidden_by(desk->watcher, desk->session->engine, how, by, hidden);
    if (*hidden)
        json_add_string(json, "held_back_by", hidden);
    json_add_string(json, "life", life_state_name(finding->life.state));
    json_add_string(json, "because",
                    finding->life.why ? finding->life.why : "told before a restart");
    json_add_bool(json, "frozen", finding->life.frozen);
    json_add_number(json, "open_s",
                    (double)(loop_now_ms(desk->shared->loop) - finding->since_ms) / 1000);
    json_add(list, NULL, json);
    if (!lines)
        return;
    engine_words(desk->session->engine, finding, &words);
    snprintf(line, sizeof line, "  %s [%s] %s%s%s%s%s: %s", weight_name(finding->verdict.weight),
             finding->check->id, report_object(desk->session->engine, finding->object, object),
             frozen_word(desk, finding), *hidden ? " (held back by " : "", hidden,
             *hidden ? ")" : "", words.says);
    add_line(lines, line);
}

static struct json *
answer_status(struct watch_desk *desk, const struct json *request)
{
    struct answer answer = answer_new(true);
    struct json *list = json_new_array();
    const struct finding *const *findings;
    size_t count, shown = 0;

    (void)request;
    watch_run(desk);
    add_link(desk, &answer);
    add_room(desk, &answer);
    count = engine_findings(desk->session->engine, &findings);
    for (size_t i = 0; i < count; i++)
        if (findings[i]->accept < 0)
            add_finding(desk, findings[i], ++shown <= LISTED ? &answer : NULL, list);
    if (shown > LISTED)
        add_more(&answer, shown - LISTED);
    add_quiets(desk, &answer);
    json_add(answer.json, "findings", list);
    if (saying_chat(desk->saying))
        json_add_number(answer.json, "messages_waiting", chat_waiting(saying_chat(desk->saying)));
    return answer_end(&answer);
}

/* ---- reload ---- */

static struct json *
answer_reload(struct watch_desk *desk, const struct json *request)
{
    struct problems problems = {0};
    struct answer answer;
    char said[RELOAD_SAID_SIZE];
    bool good;

    (void)request;
    good = watch_reload(desk, &problems, said);
    answer = answer_new(good);
    for (size_t i = 0; i < problems.count && i < PROBLEMS_KEPT; i++)
        add_line(&answer, problems.lines[i]);
    if (good) {
        add_line(&answer, said);
        saying_line(desk->saying, said);
    } else {
        json_add_string(answer.json, "error", "not reloaded: the watch goes on with what it has");
    }
    problems_release(&problems);
    return answer_end(&answer);
}

/* ---- delivery ---- */

static struct json *
answer_deliver(struct watch_desk *desk, const struct json *request)
{
    struct answer answer = answer_new(true);
    char line[LINE_SIZE];

    (void)request;
    if (saying_chat(desk->saying) && chat_has_stopped(saying_chat(desk->saying))) {
        snprintf(line, sizeof line, "the running watch delivers again: %d waiting",
                 chat_waiting(saying_chat(desk->saying)));
        add_line(&answer, line);
        chat_resume(saying_chat(desk->saying));
    }
    return answer_end(&answer);
}

/* ---- all of them ---- */

static const struct {
    const char *name;
    struct json *(*answer)(struct watch_desk *desk, const struct json *request);
    bool moves; /* what is told afterwards, and nothing outside: recorded and done once more */
} rows[] = {
    {"room", answer_room, true},
    {"quiet", answer_quiet, true},
    {"quiet-list", answer_quiet_list, false},
    {"quiet-end", answer_quiet_end, true},
    {"status", answer_status, false},
    {"reload", answer_reload, false},
    {"deliver", answer_deliver, false},
};

struct json *
watch_answer(void *context, const struct json *request)
{
    struct watch_desk *desk = context;
    const char *what = text_of(request, "do");

    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        if (strcmp(rows[i].name, what) == 0) {
            if (rows[i].moves)
                record_note(desk->record, RECORDED_ASKED, json_copy(request));
            return rows[i].answer(desk, request);
        }
    return refuse("the watch knows no such request");
}

bool
watch_asked(struct watch_desk *desk, const struct json *request)
{
    const char *what = text_of(request, "do");

    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        if (rows[i].moves && strcmp(rows[i].name, what) == 0) {
            json_free(rows[i].answer(desk, request));
            return true;
        }
    return false;
}
