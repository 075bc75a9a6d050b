/* SPDX-License-Identifier: MIT */
#include "watch/control.h"

#include <assert.h>
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "base/clock.h"
#include "board/board.h"
#include "check/check.h"
#include "loop/control.h"
#include "report/report.h"
#include "tell/chat.h"
#include "watch/earlier.h"
#include "watch/follow.h"
#include "watch/handles.h"
#include "watch/kept.h"
#include "watch/margins.h"
#include "watch/press.h"
#include "watch/record.h"
#include "watch/relay.h"
#include "watch/reload.h"
#include "watch/ring_hold.h"
#include "watch/room.h"
#include "watch/saying.h"
#include "watch/who.h"
#include "watch/words.h"

enum { LINE_SIZE = 1400, LISTED = 40, LONGEST_S = EARLIER_LONGEST_S, NUMBER_MOST = 1000000 };

/* An answer being written. */
struct answer {
    struct json *json, *lines;
    char *error; /* WHO_ERROR_SIZE: room for one that names people */
};

__attribute__((format(printf, 2, 3))) static void
add_line(const struct answer *answer, const char *format, ...)
{
    char line[LINE_SIZE];
    va_list args;

    va_start(args, format);
    vsnprintf(line, sizeof line, format, args);
    va_end(args);
    json_add_string(answer->lines, NULL, line);
}

/* From 0 to `most`; what is more, less or none becomes the nearest of them. */
static double
number_of(const struct json *request, const char *key, double most)
{
    return fmax(0, fmin(json_number_at(request, key, 0), most));
}

/* ---- room ---- */

static void
add_room(const struct watch_desk *desk, const struct answer *answer)
{
    enum room room = watcher_room(desk->watcher);
    char left[WATCH_LEFT_SIZE];

    add_line(answer, "room %s: %s%s%s", room_name(room), room_rows[room].help,
             *watch_room_left(desk, left) ? "; " : "", left);
    json_add_string(answer->json, "room", room_name(room));
}

static const char *
answer_room(struct watch_desk *desk, const struct json *request, const struct answer *answer)
{
    const char *to = json_string_at(request, "to");
    enum room room = room_find(to);

    if (*to && room == ROOMS)
        return "no such word for the room; there are line-check, doors, show and changeover";
    if (*to) {
        watch_set_room(desk, room, "by command", number_of(request, "for_s", LONGEST_S));
        kept_room(desk->kept);
        watch_run(desk);
        kept_commit(desk->kept);
    }
    add_room(desk, answer);
    return NULL;
}

/* ---- quiet ---- */

/* What is wrong with the request, or NULL with the quieting. */
static const char *
read_quiet(const struct watch_desk *desk, const struct json *request, struct quiet *quiet,
           char *error)
{
    const struct desk *model = engine_desk(desk->session->engine);
    double input = number_of(request, "input", NUMBER_MOST);
    double mix = number_of(request, "mix", NUMBER_MOST);
    double for_s = number_of(request, "for_s", LONGEST_S + 1);

    *quiet = kept_quiet_of(request);
    quiet->until_ms = watch_now_ms(desk) + (int64_t)(for_s * 1000);
    if (*json_string_at(request, "check") && quiet->check < 0)
        return "no such check; `gainwarden explain` lists them";
    if (input > desk_count(model, INDEX_INPUT))
        return "the desk has no such input";
    if (mix > desk_count(model, INDEX_MIX))
        return "the desk has no such mix";
    if (quiet->check < 0 && input < 1 && mix < 1 && !*quiet->player)
        return "quieting everything is not done: name a check, an input, a mix or a player";
    if (for_s < 1 || for_s > LONGEST_S)
        return "quieting lasts from 1 s to a week";
    if (!*quiet->why)
        return "quieting needs a reason";
    return *quiet->player ? who_refuse(desk->session, quiet->player, error) : NULL;
}

/* Lists what stands and matches; how many. */
static size_t
add_matches(const struct watch_desk *desk, const struct quiet *quiet, const struct answer *answer)
{
    struct engine *engine = desk->session->engine;
    size_t count = 0;

    for (size_t slot = 0; slot < engine_slots(engine); slot++) {
        const struct finding *finding = engine_slot(engine, slot);
        char object[REPORT_OBJECT_SIZE];
        struct words words;

        if (finding->life.state == LIFE_CLEAR || finding->accept >= 0 ||
            !quiet_matches(quiet, engine_desk(engine), engine_show(engine), finding))
            continue;
        if (++count > LISTED)
            continue;
        engine_words(engine, finding, &words);
        add_line(answer, "  %s [%s] %s: %s", weight_name(finding->verdict.weight),
                 finding->check->id, report_object(engine, finding->object, object), words.says);
    }
    return count;
}

static_assert(QUIETS_KEPT == 32, "as the text says");
static const char too_many[] = "32 quietings run already; `gainwarden quiet SHOW --end N` ends one";

static const char *
answer_quiet(struct watch_desk *desk, const struct json *request, const struct answer *answer)
{
    bool now = json_bool_at(request, "now");
    struct quiet quiet;
    const char *wrong = read_quiet(desk, request, &quiet, answer->error);
    char line[LINE_SIZE], span[CLOCK_SIZE];
    size_t count;
    int number;

    if (wrong)
        return wrong;
    number = now ? quiets_add(watcher_quiets(desk->watcher), &quiet) : 0;
    if (now && number == 0)
        return too_many;
    count = add_matches(desk, &quiet, answer);
    json_add_number(answer->json, "matches", (double)count);
    clock_span(quiet.until_ms - watch_now_ms(desk), span);
    if (!now) {
        add_line(answer,
                 "it would match %zu finding%s that stand%s now, and what comes within %s%s; add "
                 "--now to do it",
                 count, count == 1 ? "" : "s", count == 1 ? "s" : "", span,
                 quiet.stop_too ? "" : "; findings of weight stop are spared");
        return NULL;
    }
    json_add_number(answer->json, "number", number);
    snprintf(line, sizeof line, "quieting %d for %s: %s", number, span, quiet.why);
    add_line(answer, "%s", line);
    saying_line(desk->saying, line);
    kept_quiets(desk->kept);
    watch_run(desk);
    kept_commit(desk->kept);
    return NULL;
}

static void
add_quiets(const struct watch_desk *desk, const struct answer *answer)
{
    const struct quiets *quiets = watcher_quiets(desk->watcher);

    for (size_t i = 0; i < quiets->count; i++) {
        char line[LINE_SIZE];

        watch_quiet_text(&quiets->list[i], watch_now_ms(desk), line, sizeof line);
        add_line(answer, "%s", line);
    }
}

static const char *
answer_quiet_list(struct watch_desk *desk, const struct json *request, const struct answer *answer)
{
    (void)request;
    watch_run(desk);
    add_quiets(desk, answer);
    if (watcher_quiets(desk->watcher)->count == 0)
        add_line(answer, "nothing is quieted, and nothing was");
    return NULL;
}

static const char *
answer_quiet_end(struct watch_desk *desk, const struct json *request, const struct answer *answer)
{
    int number = (int)number_of(request, "number", NUMBER_MOST);

    if (!quiets_end(watcher_quiets(desk->watcher), number, watch_now_ms(desk)))
        return "no quieting of that number is running; `gainwarden quiet --list SHOW`";
    kept_quiets(desk->kept);
    watch_run(desk);
    kept_commit(desk->kept);
    add_quiets(desk, answer);
    return NULL;
}

/* ---- seen ---- */

static const char *
answer_seen(struct watch_desk *desk, const struct json *request, const struct answer *answer)
{
    const char *error;
    const struct finding *finding = press_seen(desk, request, &error);
    char object[REPORT_OBJECT_SIZE];

    if (finding)
        add_line(answer, "seen: [%s] %s", finding->check->id,
                 report_object(desk->session->engine, finding->object, object));
    return error;
}

/* ---- status ---- */

/* How often the desk is asked again as things are. */
static void
add_rounds(const struct link_figures *figures, const struct answer *answer)
{
    char protects[CLOCK_SIZE], rest[CLOCK_SIZE];

    clock_span(figures->protects_every_ms, protects);
    clock_span(figures->rest_every_ms, rest);
    if (figures->protects_every_ms > 0 && figures->rest_every_ms > 0)
        add_line(answer, "asked again: what protects every %s, the rest every %s", protects, rest);
    else if (figures->protects_every_ms > 0 || figures->rest_every_ms > 0)
        add_line(answer, "asked again: every %s", figures->rest_every_ms > 0 ? rest : protects);
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

    add_line(answer, "%s, %s at %s port %d: %s, %s%s; %s", session_name(session),
             session->profile->desk, session->host, session->port, state,
             heard ? clock_span(watch_now_ms(desk) - figures.last_heard_ms, span) : "never heard",
             heard ? " since it was heard" : "", watch_count_values(session->engine, words));
    add_rounds(&figures, answer);
    add_line(answer, "configuration %08lx%s", (unsigned long)watch_configuration(session),
             engine_approved(session->engine) ? ", with an approved desk" : "");
    add_line(answer, "%s", watch_count_open(session->engine, words));
    if (*figures.said)
        add_line(answer, "it says what the profile does not know: %s", figures.said);
    if (strangers > 0)
        add_line(answer, "%zu time%s somebody else was turned away from the control socket",
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
    add_line(lines, "  %s [%s] %s%s%s%s%s%s: %s", weight_name(finding->verdict.weight),
             finding->check->id, report_object(desk->session->engine, finding->object, object),
             frozen_word(desk, finding), *hidden ? " (held back by " : "", hidden,
             *hidden ? ")" : "", noticed_text(kept_noticed(desk->kept), finding, seen), words.says);
}

static void
add_hook(const struct chat *chat, const struct answer *answer)
{
    struct chat_state state;
    struct json *hook;
    char line[LINE_SIZE];

    if (!chat)
        return;
    state = chat_state(chat);
    hook = json_new_object();
    add_line(answer, "chat: %s", watch_hook_text(chat, line, sizeof line));
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

    add_line(lines->answer, "proved: %s", line);
    json_add_string(lines->list, NULL, line);
}

static void
add_proved(struct watch_desk *desk, const struct answer *answer)
{
    struct proved_lines lines = {answer, json_new_array()};
    char held[LINE_SIZE];

    margins_lines(desk->margins, desk, add_proved_line, &lines);
    json_add(answer->json, "proved", lines.list);
    if (!*watch_held_text(desk, held, sizeof held))
        return;
    add_line(answer, "%s", held);
    json_add_string(answer->json, "held", held);
}

static const char *
answer_status(struct watch_desk *desk, const struct json *request, const struct answer *answer)
{
    struct json *list = json_new_array();
    const struct finding *const *findings;
    size_t count, shown = 0;

    (void)request;
    watch_run(desk);
    add_link(desk, answer);
    add_room(desk, answer);
    count = engine_findings(desk->session->engine, &findings);
    for (size_t i = 0; i < count; i++)
        if (findings[i]->accept < 0)
            add_finding(desk, findings[i], ++shown <= LISTED ? answer : NULL, list);
    if (shown > LISTED)
        add_line(answer, "  and %zu more; --format json lists them", shown - LISTED);
    add_proved(desk, answer);
    add_quiets(desk, answer);
    json_add(answer->json, "findings", list);
    add_hook(saying_chat(desk->saying), answer);
    return NULL;
}

/* ---- reload ---- */

static const char *
answer_reload(struct watch_desk *desk, const struct json *request, const struct answer *answer)
{
    struct problems problems = {0};
    char said[RELOAD_SAID_SIZE];
    bool good;

    (void)request;
    good = watch_reload(desk, &problems, said);
    for (size_t i = 0; i < problems.count && i < PROBLEMS_KEPT; i++)
        add_line(answer, "%s", problems.lines[i]);
    if (good)
        add_line(answer, "%s", said);
    problems_release(&problems);
    return good ? NULL : watch_not_reloaded;
}

/* ---- delivery ---- */

static const char *
answer_deliver(struct watch_desk *desk, const struct json *request, const struct answer *answer)
{
    struct chat *chat = saying_chat(desk->saying);

    (void)request;
    if (chat && chat_has_stopped(chat)) {
        add_line(answer, "the running watch delivers again: %d waiting", chat_waiting(chat));
        chat_resume(chat);
    }
    return NULL;
}

/* ---- the screen ---- */

static const char *
answer_screen(struct watch_desk *desk, const struct json *request, const struct answer *answer)
{
    (void)request;
    if (!desk->shared->follow)
        return "there is no screen to look at";
    json_add(answer->json, "screen", follow_view(desk->shared->follow, desk));
    desk->shared->changed(desk->shared->context); /* from now on he is sent what is new */
    return NULL;
}

/* ---- the board ---- */

/* The socket is its owner's alone, and so are the links. */
static const char *
answer_board(struct watch_desk *desk, const struct json *request, const struct answer *answer)
{
    const struct board *board = desk->shared->board;
    char link[BOARD_LINK_SIZE];

    (void)request;
    if (!board)
        return "this watch has no board; `gainwarden watch SHOW --board` has one";
    json_add_string(answer->json, "look", board_link(board, false, link));
    json_add_string(answer->json, "operate", board_link(board, true, link));
    return NULL;
}

/* ---- the desk itself ---- */

static const char *
answer_ring_out(struct watch_desk *desk, const struct json *request, const struct answer *answer)
{
    const char *error;
    struct json *first = relay_begin(desk->relay, request, &error);

    if (first)
        json_add(answer->json, "ring_out", first);
    return error;
}

static const char *
answer_ring_out_view(struct watch_desk *desk, const struct json *request,
                     const struct answer *answer)
{
    (void)answer;
    return relay_take_view(desk->relay, json_get(request, "view"));
}

/* ---- all of them ---- */

/* What one answers: the error of what is refused, which then is all that is said besides lines. */
typedef const char *answer_fn(struct watch_desk *desk, const struct json *request,
                              const struct answer *answer);

static const struct row {
    const char *name;
    answer_fn *answer;
    bool moves;  /* what is told afterwards, and nothing outside: recorded and done once more */
    int follows; /* follow.h; 0: that is all he gets */
} rows[] = {
    {"room", answer_room, .moves = true},
    {"quiet", answer_quiet, .moves = true},
    {"quiet-list", answer_quiet_list, .moves = false},
    {"quiet-end", answer_quiet_end, .moves = true},
    {"seen", answer_seen, .moves = true},
    {"status", answer_status, .moves = false},
    {"reload", answer_reload, .moves = false},
    {"deliver", answer_deliver, .moves = false},
    {"board", answer_board, .moves = false},
    {"screen", answer_screen, .follows = FOLLOWS_SCREEN},
    {"ring-out", answer_ring_out, .follows = FOLLOWS_RING_OUT},
    {"ring-out-view", answer_ring_out_view, .moves = false},
    {NULL, NULL, false, 0},
};

static const struct row *
row_of(const struct json *request)
{
    const struct row *row = rows;

    while (row->name && strcmp(row->name, json_string_at(request, "do")) != 0)
        row++;
    return row;
}

static struct json *
answer_with(const struct row *row, struct watch_desk *desk, const struct json *request)
{
    char said[WHO_ERROR_SIZE];
    struct answer answer = {json_new_object(), json_new_array(), said};
    const char *error;

    json_add_bool(answer.json, "ok", true);
    error = row->name ? row->answer(desk, request, &answer) : "the watch knows no such request";
    if (error) {
        json_free(answer.json);
        answer.json = control_refusal(error);
    }
    json_add(answer.json, "lines", answer.lines);
    return answer.json;
}

struct json *
watch_answer(void *context, const struct json *request)
{
    struct watch_desk *desk = context;
    const struct row *row = row_of(request);

    if (row->moves)
        record_note(desk->record, RECORDED_ASKED, json_copy(request));
    return answer_with(row, desk, request);
}

int
watch_follows(void *context, const struct json *request)
{
    (void)context;
    return row_of(request)->follows;
}

bool
watch_asked(struct watch_desk *desk, const struct json *request)
{
    const struct row *row = row_of(request);

    if (ring_hold_again(desk, request))
        return true;
    if (row->moves)
        json_free(answer_with(row, desk, request));
    return row->moves;
}
