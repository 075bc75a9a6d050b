/* SPDX-License-Identifier: MIT */
#include "board/answers.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/clock.h"
#include "base/embedded.h"
#include "board/gate.h"
#include "core/need.h"

enum {
    WRONG_TOKEN_MS = 1000, /* so much later he learns it */
    HEARD_LASTS_MS = 500,
    WEEK_S = 7 * 24 * 3600,
    WHO_MOST = 60, /* bytes of a name */
    FINDING_MOST = 200,
    COOKIE_SIZE = 40
};

struct answers {
    struct loop *loop;
    const struct board_source *source;
    const struct board_links *links;
    const struct listen_at *at;
    struct answers_owner owner;
    struct json *heard; /* answers_beat() of then, so that nobody can have it made too often; */
    int64_t heard_ms;   /* NULL: never */
};

/* ---- texts ---- */

static void
give_json(struct server_answer *answer, int status, struct json *json)
{
    answer->status = status;
    answer->type = "application/json";
    answer->text = json_print(json, false);
    json_free(json);
}

static void
refuse(struct server_answer *answer, int status, const char *error)
{
    struct json *json = json_new_object();

    json_add_string(json, "error", error);
    give_json(answer, status, json);
}

/* ---- what a body holds ---- */

/* For json_free(); NULL: it is no object. */
static struct json *
body_of(const struct server_request *request)
{
    struct problems problems = {0};
    struct json *json = json_parse(request->body, request->length, "body", &problems);

    problems_release(&problems);
    if (!json || json_kind(json) == JSON_OBJECT)
        return json;
    json_free(json);
    return NULL;
}

/* A text of 1 to `most` bytes, none of them a control character. */
static bool
is_plain(const char *text, size_t most)
{
    size_t length = strlen(text);

    for (size_t i = 0; i < length; i++)
        if ((unsigned char)text[i] < ' ' || text[i] == 0x7f)
            return false;
    return length > 0 && length <= most;
}

/* Digits alone, few of them; -1: it is no such number. */
static int
number_of(const char *text)
{
    size_t length = text ? strspn(text, "0123456789") : 0;

    return length > 0 && length <= 6 && !text[length] ? atoi(text) : -1;
}

/* ---- each of them ---- */

struct asked {
    struct answers *answers;
    const struct server_request *request;
    enum board_right right;
    const struct row *row;
};

typedef void answer_fn(const struct asked *asked, struct server_answer *answer);

static void
give_right(struct server_answer *answer, enum board_right right)
{
    struct json *json = json_new_object();

    json_add_string(json, "may", board_right_name(right));
    give_json(answer, 200, json);
}

static void
answer_me(const struct asked *asked, struct server_answer *answer)
{
    give_right(answer, asked->right);
}

/* By the port that the browser knows, which is another one behind a tunnel: it keeps the cookies of
 * all ports of a host together, and several boards can be there. */
static const char *
cookie_name(const struct server_request *request, char name[COOKIE_SIZE])
{
    snprintf(name, COOKIE_SIZE, "gainwarden-%d", gate_port(server_header(request, "Host")));
    return name;
}

static void
answer_enter(const struct asked *asked, struct server_answer *answer)
{
    const struct answers *answers = asked->answers;
    struct json *body = body_of(asked->request);
    enum board_right right = board_links_token(answers->links, json_string_at(body, "token"));
    char name[COOKIE_SIZE];

    json_free(body);
    if (right == RIGHT_NONE) {
        refuse(answer, 403, "this is no link of this board; `gainwarden board SHOW` prints them");
        answer->after_ms = WRONG_TOKEN_MS;
        return;
    }
    give_right(answer, right);
    snprintf(answer->cookie, sizeof answer->cookie,
             "%s=%s; Path=/; Max-Age=%d; HttpOnly; SameSite=Strict",
             cookie_name(asked->request, name), answers->links->cookie[right], WEEK_S);
}

static void
answer_events(const struct asked *asked, struct server_answer *answer)
{
    const struct answers_owner *owner = &asked->answers->owner;

    *answer = (struct server_answer){
        .status = 200, .type = "text/event-stream", .reader = owner->begin(owner->context)};
}

static void
answer_mix(const struct asked *asked, struct server_answer *answer)
{
    const struct board_source *source = asked->answers->source;
    int desk = number_of(server_argument(asked->request, "desk"));
    int mix = number_of(server_argument(asked->request, "mix"));
    struct json *json = desk < 0 || mix < 1 ? NULL : source->mix(source->context, desk, mix);

    if (json)
        give_json(answer, 200, json);
    else
        refuse(answer, 404, "there is no such mix");
}

static void
press(const struct asked *asked, struct board_press *press, struct server_answer *answer)
{
    const struct board_source *source = asked->answers->source;
    char room[BOARD_ERROR_SIZE];
    const char *error = source->press(source->context, press, room);
    struct json *json = json_new_object();

    if (error)
        json_add_string(json, "error", error);
    if (error == BOARD_AGAIN)
        json_add_bool(json, "again", true);
    give_json(answer, error == BOARD_AGAIN ? 409 : error ? 422 : 200, json);
}

static void
answer_button(const struct asked *asked, enum board_button button, struct server_answer *answer)
{
    struct json *body = body_of(asked->request);
    double desk = json_number_at(body, "desk", -1);
    struct board_press pressed = {button, desk >= 0 && desk < 1000000 ? (int)desk : -1,
                                  json_string_at(body, "finding"), json_string_at(body, "who"),
                                  json_bool_at(body, "again")};

    if (pressed.desk < 0 || !is_plain(pressed.finding, FINDING_MOST))
        refuse(answer, 400, "it is not said which finding");
    else if (!is_plain(pressed.who, WHO_MOST))
        refuse(answer, 400, "a name is wanted, of at most 60 bytes");
    else
        press(asked, &pressed, answer);
    json_free(body);
}

static void
answer_seen(const struct asked *asked, struct server_answer *answer)
{
    answer_button(asked, BOARD_SEEN, answer);
}

static void
answer_meant(const struct asked *asked, struct server_answer *answer)
{
    answer_button(asked, BOARD_MEANT, answer);
}

/* ---- how old the desks' data is ---- */

/* Never heard is null. */
static struct json *
heard_of(const struct json *facts)
{
    struct json *list = json_new_array();

    for (const struct json *desk = json_first_at(facts, "desks"); desk; desk = json_next(desk)) {
        const struct json *link = json_get(desk, "link");
        struct json *heard = json_new_object();

        json_add_number(heard, "heard_ms", json_number_at(link, "heard_ms", (double)NAN));
        json_add_bool(heard, "lost", json_bool_at(link, "lost"));
        json_add(list, NULL, heard);
    }
    return list;
}

struct json *
answers_beat(struct answers *answers, const struct json *facts)
{
    json_free(answers->heard);
    answers->heard = json_new_object();
    answers->heard_ms = loop_now_ms(answers->loop);
    json_add_number(answers->heard, "at_ms", json_number_at(facts, "at_ms", 0));
    json_add(answers->heard, "heard", heard_of(facts));
    return json_copy(answers->heard);
}

/* Nobody can have facts made by asking often. */
static struct json *
recent_beat(struct answers *answers)
{
    struct json *facts, *beat;

    if (answers->heard && loop_now_ms(answers->loop) - answers->heard_ms < HEARD_LASTS_MS)
        return json_copy(answers->heard);
    facts = answers->source->facts(answers->source->context);
    beat = answers_beat(answers, facts);
    json_free(facts);
    return beat;
}

static void
answer_health(const struct asked *asked, struct server_answer *answer)
{
    struct json *json = json_new_object(), *list = json_new_array();
    struct json *beat = recent_beat(asked->answers);

    for (const struct json *heard = json_first_at(beat, "heard"); heard; heard = json_next(heard)) {
        struct json *desk = json_new_object();

        json_add_number(desk, "heard_s", json_number_at(heard, "heard_ms", (double)NAN) / 1000);
        json_add(list, NULL, desk);
    }
    json_add_bool(json, "alive", true);
    json_add(json, "desks", list);
    json_free(beat);
    give_json(answer, 200, json);
}

/* ---- all of them ---- */

struct row {
    const char *path;
    bool posts; /* POST; else GET */
    enum board_right needs;
    answer_fn *answer;
    const char *type, *text; /* of a file of the page */
};

static void
answer_file(const struct asked *asked, struct server_answer *answer)
{
    *answer =
        (struct server_answer){.status = 200, .type = asked->row->type, .fixed = asked->row->text};
}

#define FILE_ROW(path, type, text)                                                                 \
    {                                                                                              \
        path, false, RIGHT_NONE, answer_file, type "; charset=utf-8", text                         \
    }

static const struct row rows[] = {
    FILE_ROW("/", "text/html", embedded_board_html),
    FILE_ROW("/board.css", "text/css", embedded_board_css),
    FILE_ROW("/board.js", "text/javascript", embedded_board_js),
    {"/health", false, RIGHT_NONE, answer_health, NULL, NULL},
    {"/enter", true, RIGHT_NONE, answer_enter, NULL, NULL},
    {"/me", false, RIGHT_LOOK, answer_me, NULL, NULL},
    {"/events", false, RIGHT_LOOK, answer_events, NULL, NULL},
    {"/mix", false, RIGHT_LOOK, answer_mix, NULL, NULL},
    {"/seen", true, RIGHT_OPERATE, answer_seen, NULL, NULL},
    {"/meant", true, RIGHT_OPERATE, answer_meant, NULL, NULL},
};

enum { ROWS = (int)(sizeof rows / sizeof *rows) };

static const struct row *
row_of(const char *path)
{
    for (int i = 0; i < ROWS; i++)
        if (strcmp(rows[i].path, path) == 0)
            return &rows[i];
    return NULL;
}

/* What is posted comes from our own page: no other may say that it is JSON without asking first, and
 * none is given leave. */
static bool
is_from_our_page(const struct server_request *request)
{
    const char *type = server_header(request, "Content-Type");

    return type && strcmp(type, "application/json") == 0 &&
           gate_origin(server_header(request, "Origin"), server_header(request, "Host"));
}

static enum board_right
right_of(const struct answers *answers, const struct server_request *request)
{
    char name[COOKIE_SIZE];
    const char *cookie = server_cookie(request, cookie_name(request, name));

    return cookie ? board_links_cookie(answers->links, cookie) : RIGHT_NONE;
}

/* Whether it is refused, by the head alone. */
static bool
is_refused(const struct answers *answers, const struct server_request *request,
           const struct row *row, enum board_right right, struct server_answer *answer)
{
    const char *name = answers->at->is_name ? answers->at->host : NULL;

    if (!gate_host(server_header(request, "Host"), request->own, name)) {
        refuse(answer, 421, "the board has another address; `gainwarden board SHOW` prints it");
    } else if (!row) {
        refuse(answer, 404, "there is no such page");
    } else if (strcmp(request->method, row->posts ? "POST" : "GET") != 0) {
        refuse(answer, 405, "this is asked in another way");
        answer->allow = row->posts ? "POST" : "GET";
    } else if (row->posts && !is_from_our_page(request)) {
        refuse(answer, 403, "only the board's own page may ask this");
    } else if (right < row->needs) {
        refuse(answer, 403,
               right == RIGHT_NONE ? "open a link of `gainwarden board SHOW` first"
                                   : "this link only looks; the buttons want the other one");
    } else {
        return false;
    }
    return true;
}

static bool
answer_request(void *context, const struct server_request *request, struct server_answer *answer)
{
    struct answers *answers = context;
    const struct row *row = row_of(request->path);
    struct asked asked = {answers, request, right_of(answers, request), row};

    if (is_refused(answers, request, row, asked.right, answer))
        return true;
    if (request->body)
        row->answer(&asked, answer);
    return request->body != NULL;
}

static void
answer_no_room(void *context, struct server_answer *answer)
{
    (void)context;
    refuse(answer, 503,
           "so many look at the board already as can at once; close one and try again");
}

struct server_owner
answers_server(struct answers *answers)
{
    return (struct server_owner){answer_request, answer_no_room, answers};
}

struct answers *
answers_new(struct loop *loop, const struct board_source *source, const struct board_links *links,
            const struct listen_at *at, struct answers_owner owner)
{
    struct answers *answers = need_memory(1, sizeof *answers);

    *answers = (struct answers){loop, source, links, at, owner, .heard = NULL};
    return answers;
}

void
answers_free(struct answers *answers)
{
    json_free(answers->heard);
    free(answers);
}
