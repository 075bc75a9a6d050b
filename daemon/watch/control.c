/* SPDX-License-Identifier: MIT */
#include "watch/control.h"

#include <string.h>

#include "board/board.h"
#include "loop/control.h"
#include "report/report.h"
#include "tell/chat.h"
#include "watch/answer.h"
#include "watch/follow.h"
#include "watch/press.h"
#include "watch/record.h"
#include "watch/relay.h"
#include "watch/reload.h"
#include "watch/ring_hold.h"
#include "watch/saying.h"
#include "watch/who.h"

/* ---- seen ---- */

static const char *
answer_seen(struct watch_desk *desk, const struct json *request, const struct answer *answer)
{
    const char *error;
    const struct finding *finding = press_seen(desk, request, &error);
    char object[REPORT_OBJECT_SIZE];

    if (finding)
        answer_line(answer, "seen: [%s] %s", finding->check->id,
                    report_object(desk->session->engine, finding->object, object));
    return error;
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
        answer_line(answer, "%s", problems.lines[i]);
    if (good)
        answer_line(answer, "%s", said);
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
        answer_line(answer, "the running watch delivers again: %d waiting", chat_waiting(chat));
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
