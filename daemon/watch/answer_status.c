/* SPDX-License-Identifier: MIT */
/* What the watch knows: link, room, findings, what is proved, quieted and not delivered. */
#include "watch/answer.h"

#include "base/clock.h"
#include "loop/control.h"
#include "report/report.h"
#include "tell/chat.h"
#include "watch/kept.h"
#include "watch/margins.h"
#include "watch/reload.h"
#include "watch/saying.h"
#include "watch/words.h"

/* How often the desk is asked again as things are. */
static void
add_rounds(const struct link_figures *figures, const struct answer *answer)
{
    char protects[CLOCK_SIZE], rest[CLOCK_SIZE];

    clock_span(figures->protects_every_ms, protects);
    clock_span(figures->rest_every_ms, rest);
    if (figures->protects_every_ms > 0 && figures->rest_every_ms > 0)
        answer_line(answer, "asked again: what protects every %s, the rest every %s", protects,
                    rest);
    else if (figures->protects_every_ms > 0 || figures->rest_every_ms > 0)
        answer_line(answer, "asked again: every %s", figures->rest_every_ms > 0 ? rest : protects);
    json_add_number(answer->json, "protects_every_s", (double)figures->protects_every_ms / 1000);
    json_add_number(answer->json, "rest_every_s", (double)figures->rest_every_ms / 1000);
}

static void
add_link(const struct watch_desk *desk, const struct answer *answer)
{
    struct link_figures figures = link_figures(desk->link);
    const struct session *session = desk->session;
    const char *state = link_state_name(link_state(desk->link));
    size_t strangers = control_strangers(desk->control);
    bool heard = figures.last_heard_ms >= 0;
    char span[CLOCK_SIZE], words[WATCH_WORDS_SIZE];

    answer_line(answer, "%s, %s at %s port %d: %s, %s%s; %s", session_name(session),
                session->profile->desk, session->host, session->port, state,
                heard ? clock_span(watch_now_ms(desk) - figures.last_heard_ms, span)
                      : "never heard",
                heard ? " since it was heard" : "", watch_count_values(session->engine, words));
    add_rounds(&figures, answer);
    answer_line(answer, "configuration %08lx%s", (unsigned long)watch_configuration(session),
                engine_approved(session->engine) ? ", with an approved desk" : "");
    answer_line(answer, "%s", watch_count_open(session->engine, words));
    if (*figures.said)
        answer_line(answer, "it says what the profile does not know: %s", figures.said);
    if (strangers > 0)
        answer_line(answer, "%zu time%s somebody else was turned away from the control socket",
                    strangers, strangers == 1 ? "" : "s");
    json_add_number(answer->json, "strangers", (double)strangers);
    json_add_string(answer->json, "link", state);
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
add_finding(const struct watch_desk *desk, const struct finding *finding,
            const struct answer *lines, struct json *list)
{
    char object[REPORT_OBJECT_SIZE], hidden[WATCH_WORDS_SIZE], seen[NOTICED_TEXT_SIZE];
    struct words words;
    struct json *json = report_finding_json(desk->session->engine, finding, NULL);

    if (*watch_hidden(desk, finding, hidden))
        json_add_string(json, "held_back_by", hidden);
    json_add_string(json, "life", life_state_name(finding->life.state));
    json_add_string(json, "because",
                    finding->life.why ? finding->life.why : "told before a restart");
    json_add_bool(json, "frozen", finding->life.frozen);
    json_add(json, "seen", noticed_json(kept_noticed(desk->kept), finding));
    json_add_number(json, "open_s", (double)(watch_now_ms(desk) - finding->since_ms) / 1000);
    json_add(list, NULL, json);
    if (!lines)
        return;
    engine_words(desk->session->engine, finding, &words);
    answer_line(lines, "  %s [%s] %s%s%s%s%s%s: %s", weight_name(finding->verdict.weight),
                finding->check->id, report_object(desk->session->engine, finding->object, object),
                frozen_word(desk, finding), *hidden ? " (held back by " : "", hidden,
                *hidden ? ")" : "", noticed_text(kept_noticed(desk->kept), finding, seen),
                words.says);
}

static void
add_hook(const struct chat *chat, const struct answer *answer)
{
    struct chat_state state;
    struct json *hook;
    char line[ANSWER_LINE_SIZE];

    if (!chat)
        return;
    state = chat_state(chat);
    hook = json_new_object();
    answer_line(answer, "chat: %s", watch_hook_text(chat, line, sizeof line));
    json_add_number(answer->json, "messages_waiting", state.waiting);
    json_add_number(hook, "waiting", state.waiting);
    json_add_number(hook, "waited_s", (double)state.waited_ms / 1000);
    json_add_string(hook, "why", chat_why(chat));
    json_add_bool(hook, "stopped", chat_has_stopped(chat));
    if (state.next_try_ms >= 0)
        json_add_number(hook, "next_try_s", (double)state.next_try_ms / 1000);
    json_add(answer->json, "hook", hook);
}

struct proved_lines {
    const struct answer *answer;
    struct json *list;
};

static void
add_proved_line(void *context, const char *line)
{
    const struct proved_lines *lines = context;

    answer_line(lines->answer, "proved: %s", line);
    json_add_string(lines->list, NULL, line);
}

static void
add_proved(struct watch_desk *desk, const struct answer *answer)
{
    struct proved_lines lines = {answer, json_new_array()};
    char held[ANSWER_LINE_SIZE];

    margins_lines(desk->margins, desk, add_proved_line, &lines);
    json_add(answer->json, "proved", lines.list);
    if (!*watch_held_text(desk, held, sizeof held))
        return;
    answer_line(answer, "%s", held);
    json_add_string(answer->json, "held", held);
}

const char *
answer_status(struct watch_desk *desk, const struct json *request, const struct answer *answer)
{
    struct json *list = json_new_array();
    const struct finding *const *findings;
    size_t count, shown = 0;

    (void)request;
    watch_run(desk);
    add_link(desk, answer);
    answer_add_room(desk, answer);
    count = engine_findings(desk->session->engine, &findings);
    for (size_t i = 0; i < count; i++)
        if (findings[i]->accept < 0)
            add_finding(desk, findings[i], ++shown <= ANSWER_LISTED ? answer : NULL, list);
    if (shown > ANSWER_LISTED)
        answer_line(answer, "  and %zu more; --format json lists them", shown - ANSWER_LISTED);
    add_proved(desk, answer);
    answer_add_quiets(desk, answer);
    json_add(answer->json, "findings", list);
    add_hook(saying_chat(desk->saying), answer);
    return NULL;
}
