/* SPDX-License-Identifier: MIT */
/* Messages to a hook that lives in the same loop: order, identity, waits, what is dropped and what
 * stops delivery. Waits are thousandths of the real ones, so that an hour of trouble takes seconds.
 */
#include "unit.h"

#include <arpa/inet.h>
#include <ctype.h>
#include <netinet/in.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <unistd.h>

#include "base/json.h"
#include "tell/chat.h"

enum {
    POSTS_MOST = 4096,
    ENDS_MOST = 1024,
    LINES_MOST = 64,
    REQUEST_SIZE = 16384,
    WITHIN_MS = 20000
};

#define VARIABLE "GAINWARDEN_TEST_HOOK"
#define SECRET "s3cr3t-Zq"

static const struct chat_waits scaled = {1, 60, 300};

/* What the hook got. */
struct post {
    char id[80], *body;
    int64_t at_ms;
};

struct rig {
    struct loop *loop;
    struct loop_timer *deadline;
    struct chat_settings settings;
    struct chat *chat;

    int listening;
    struct loop_poll *door;
    int port;
    int answer;      /* status; 0: closes without one */
    int trouble;     /* so many posts get `answer`, the others 204 */
    char header[80]; /* sent with the answer */
    struct post posts[POSTS_MOST];
    int post_count, posts_wanted;

    char ends[ENDS_MOST][CHAT_ID_SIZE + 2]; /* "+id" delivered, "-id" dropped */
    int end_count, ends_wanted;
    char lines[LINES_MOST][300];
    int line_count;
    bool late;
};

/* ---- the hook ---- */

struct visitor {
    struct rig *rig;
    struct loop_poll *poll;
    int socket;
    char bytes[REQUEST_SIZE];
    size_t length;
};

/* Copies the header's value; "" when there is none. */
static void
find_header(const char *request, const char *name, char *value, size_t size)
{
    const char *at = strstr(request, name);

    snprintf(value, size, "%.*s", at ? (int)strcspn(at + strlen(name), "\r\n") : 0,
             at ? at + strlen(name) : "");
}

static void
leave(struct visitor *visitor)
{
    loop_poll_close(visitor->poll);
    close(visitor->socket);
    free(visitor);
}

static void
answer(struct visitor *visitor, const char *body)
{
    struct rig *rig = visitor->rig;
    bool well = rig->post_count >= rig->trouble;
    struct post *post = &rig->posts[rig->post_count++];
    char text[300];

    assert_true(rig->post_count < POSTS_MOST);
    find_header(visitor->bytes, "\r\nIdempotency-Key: ", post->id, sizeof post->id);
    post->body = strdup(body);
    post->at_ms = loop_now_ms(rig->loop);
    snprintf(text, sizeof text, "HTTP/1.1 %d x\r\n%sContent-Length: 0\r\nConnection: close\r\n\r\n",
             well ? 204 : rig->answer, well ? "" : rig->header);
    if (well || rig->answer > 0)
        assert_int_equal(send(visitor->socket, text, strlen(text), MSG_NOSIGNAL), strlen(text));
    leave(visitor);
    if (rig->post_count == rig->posts_wanted)
        loop_stop(rig->loop);
}

static void
on_visitor(void *context, bool readable, bool writable)
{
    struct visitor *visitor = context;
    ssize_t got = recv(visitor->socket, visitor->bytes + visitor->length,
                       sizeof visitor->bytes - 1 - visitor->length, 0);
    char length[20], *body;

    (void)readable;
    (void)writable;
    if (got <= 0) {
        leave(visitor);
        return;
    }
    visitor->length += (size_t)got;
    assert_true(visitor->length < sizeof visitor->bytes - 1);
    visitor->bytes[visitor->length] = '\0';
    body = strstr(visitor->bytes, "\r\n\r\n");
    find_header(visitor->bytes, "\r\nContent-Length: ", length, sizeof length);
    if (body && strlen(body + 4) >= strtoul(length, NULL, 10))
        answer(visitor, body + 4);
}

static void
on_door(void *context, bool readable, bool writable)
{
    struct rig *rig = context;
    struct visitor *visitor = calloc(1, sizeof *visitor);

    (void)readable;
    (void)writable;
    assert_non_null(visitor);
    visitor->rig = rig;
    visitor->socket = accept(rig->listening, NULL, NULL);
    assert_true(visitor->socket >= 0);
    visitor->poll = loop_poll_open(rig->loop, visitor->socket, on_visitor, visitor);
    assert_non_null(visitor->poll);
    loop_poll_want(visitor->poll, true, false);
}

/* Opens the door at the rig's port; 0: at one that is free. */
static void
open_door(struct rig *rig)
{
    struct sockaddr_in at = {.sin_family = AF_INET,
                             .sin_port = htons((uint16_t)rig->port),
                             .sin_addr.s_addr = htonl(INADDR_LOOPBACK)};
    socklen_t size = sizeof at;
    int yes = 1;

    rig->listening = socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
    setsockopt(rig->listening, SOL_SOCKET, SO_REUSEADDR, &yes, sizeof yes);
    assert_int_equal(bind(rig->listening, (struct sockaddr *)&at, size), 0);
    assert_int_equal(listen(rig->listening, 8), 0);
    assert_int_equal(getsockname(rig->listening, (struct sockaddr *)&at, &size), 0);
    rig->port = ntohs(at.sin_port);
    rig->door = loop_poll_open(rig->loop, rig->listening, on_door, rig);
    loop_poll_want(rig->door, true, false);
}

static void
shut_door(struct rig *rig)
{
    if (rig->door) {
        loop_poll_close(rig->door);
        close(rig->listening);
    }
    rig->door = NULL;
}

/* ---- the owner ---- */

static void
on_line(void *context, const char *line)
{
    struct rig *rig = context;

    assert_true(rig->line_count < LINES_MOST);
    assert_null(strstr(line, SECRET));
    snprintf(rig->lines[rig->line_count++], sizeof rig->lines[0], "%s", line);
}

static void
on_ended(void *context, const char *id, enum chat_end how)
{
    struct rig *rig = context;

    assert_true(rig->end_count < ENDS_MOST);
    snprintf(rig->ends[rig->end_count++], sizeof rig->ends[0], "%c%s",
             how == CHAT_DELIVERED ? '+' : '-', id);
    if (rig->end_count == rig->ends_wanted)
        loop_stop(rig->loop);
}

static void
on_deadline(void *context)
{
    struct rig *rig = context;

    rig->late = true;
    loop_stop(rig->loop);
}

static int
make(void **state)
{
    struct rig *rig = calloc(1, sizeof *rig);
    char url[100];

    assert_non_null(rig);
    rig->loop = loop_new();
    rig->deadline = loop_timer_open(rig->loop, on_deadline, rig);
    open_door(rig);
    snprintf(url, sizeof url, "http://127.0.0.1:%d/%s?token=%s", rig->port, SECRET, SECRET);
    setenv(VARIABLE, url, 1);
    rig->settings.url_env = strdup(VARIABLE);
    *state = rig;
    return 0;
}

static void
start(struct rig *rig, struct chat_waits waits)
{
    struct chat_owner owner = {on_line, on_ended, rig};
    struct problems problems = {0};

    rig->chat = chat_open(rig->loop, &rig->settings, waits, owner, &problems);
    assert_non_null(rig->chat);
    assert_int_equal(problems.count, 0);
}

static int
drop(void **state)
{
    struct rig *rig = *state;

    chat_close(rig->chat);
    shut_door(rig);
    loop_timer_close(rig->deadline);
    loop_free(rig->loop);
    for (int i = 0; i < rig->post_count; i++)
        free(rig->posts[i].body);
    free(rig->settings.url_env);
    json_free(rig->settings.body);
    free(rig);
    return 0;
}

/* Runs for so long. */
static void
run_for(struct rig *rig, int64_t ms)
{
    rig->late = false;
    loop_timer_start(rig->deadline, ms, 0);
    while (!rig->late)
        loop_run(rig->loop);
}

/* Runs until so many messages have ended. */
static void
run_until_ended(struct rig *rig, int count)
{
    rig->ends_wanted = count;
    rig->late = false;
    loop_timer_start(rig->deadline, WITHIN_MS, 0);
    while (rig->end_count < count && !rig->late)
        loop_run(rig->loop);
    rig->ends_wanted = 0;
    assert_false(rig->late);
}

static void
run_until_posted(struct rig *rig, int count)
{
    rig->posts_wanted = count;
    rig->late = false;
    loop_timer_start(rig->deadline, WITHIN_MS, 0);
    while (rig->post_count < count && !rig->late)
        loop_run(rig->loop);
    rig->posts_wanted = 0;
    assert_false(rig->late);
}

/* Message number i has an identity by which the test knows it. */
static const char *
id_of(int number, char id[CHAT_ID_SIZE])
{
    snprintf(id, CHAT_ID_SIZE, "%032x", (unsigned)number);
    return id;
}

static void
say(struct rig *rig, enum weight weight, int number)
{
    char id[CHAT_ID_SIZE], text[40];

    snprintf(text, sizeof text, "message %d", number);
    chat_say(rig->chat, weight, id_of(number, id), text);
}

static void
assert_end(const struct rig *rig, int at, char how, int number)
{
    char id[CHAT_ID_SIZE], expected[CHAT_ID_SIZE + 2];

    assert_true(at < rig->end_count);
    snprintf(expected, sizeof expected, "%c%s", how, id_of(number, id));
    assert_string_equal(rig->ends[at], expected);
}

/* Post number `at` carries this message's identity and the text. */
static void
assert_post(const struct rig *rig, int at, int number, const char *text)
{
    char id[CHAT_ID_SIZE], quoted[CHAT_ID_SIZE + 4];

    assert_true(at < rig->post_count);
    snprintf(quoted, sizeof quoted, "\"%s\"", id_of(number, id));
    assert_string_equal(rig->posts[at].id, quoted);
    assert_contains(rig->posts[at].body, text);
}

/* ---- tests ---- */

static void
test_identities(void **state)
{
    char ids[1000][CHAT_ID_SIZE];

    (void)state;
    for (int i = 0; i < 1000; i++) {
        assert_string_equal(chat_new_id(ids[i]), ids[i]);
        assert_int_equal(strspn(ids[i], "0123456789abcdef"), 32);
        assert_int_equal(strlen(ids[i]), 32);
        for (int other = 0; other < i; other++)
            assert_string_not_equal(ids[i], ids[other]);
    }
}

static void
test_in_order(void **state)
{
    struct rig *rig = *state;

    start(rig, scaled);
    for (int i = 0; i < 100; i++)
        say(rig, i % 3 == 0 ? WEIGHT_NOTE : WEIGHT_STOP, i);
    assert_int_equal(chat_waiting(rig->chat), 100);
    run_until_ended(rig, 100);
    assert_int_equal(rig->post_count, 100);
    for (int i = 0; i < 100; i++) {
        char body[60];

        snprintf(body, sizeof body, "{\"text\":\"message %d\"}", i);
        assert_end(rig, i, '+', i);
        assert_post(rig, i, i, body);
        assert_string_equal(rig->posts[i].body, body);
    }
    assert_int_equal(rig->line_count, 0);
    assert_int_equal(chat_last_status(rig->chat), 204);
    assert_string_equal(chat_why(rig->chat), "");
}

static void
test_template(void **state)
{
    static const char template[] = "{\"key ${id}\":[\"${id}${text}${id}\",\"$ {id} ${ids} ${\"]}";
    struct rig *rig = *state;
    struct problems problems = {0};
    char id[CHAT_ID_SIZE], expected[400];

    rig->settings.body = json_parse(template, sizeof template - 1, "", &problems);
    start(rig, scaled);
    chat_say(rig->chat, WEIGHT_FIX, id_of(7, id), "${id} and ${text}");
    run_until_ended(rig, 1);
    snprintf(expected, sizeof expected,
             "{\"key ${id}\":[\"%s${id} and ${text}%s\",\"$ {id} ${ids} ${\"]}", id, id);
    assert_string_equal(rig->posts[0].body, expected);
}

/* An hour of a hook that is away, by waits of a thousandth: 1, 2, 4 ... 60 and then once a minute.
 */
static void
test_an_hour_of_trouble(void **state)
{
    static const int answers[] = {503, 0, 500, 408, 429};
    struct rig *rig = *state;

    start(rig, scaled);
    rig->trouble = 65;
    for (int i = 0; i < 30; i++)
        say(rig, WEIGHT_NOTE, i);
    for (int i = 1; i <= 65; i++) {
        rig->answer = answers[i % 5];
        run_until_posted(rig, i);
    }
    run_until_ended(rig, 30);
    assert_int_equal(rig->post_count, 65 + 30);
    for (int i = 0; i < 66; i++)
        assert_post(rig, i, 0, "message 0");
    for (int i = 0; i < 30; i++)
        assert_end(rig, i, '+', i);
    for (int i = 0; i < 64; i++) { /* never sooner than the wait; later where the machine is busy */
        int64_t wait = i < 6 ? 1 << i : 60;

        assert_true(rig->posts[i + 1].at_ms - rig->posts[i].at_ms >= wait - 1);
    }
    assert_true(rig->posts[65].at_ms - rig->posts[0].at_ms < 3 * 3600);
    assert_int_equal(rig->line_count, 2);
    assert_contains(rig->lines[0], "chat: a message was not delivered, it is tried again (");
    assert_string_equal(rig->lines[1], "chat: messages are delivered again");
}

static void
test_nobody_there(void **state)
{
    struct rig *rig = *state;

    shut_door(rig);
    start(rig, scaled);
    for (int i = 0; i < 10; i++)
        say(rig, WEIGHT_FIX, i);
    run_for(rig, 300);
    assert_int_equal(rig->end_count, 0);
    assert_int_equal(chat_waiting(rig->chat), 10);
    assert_int_equal(chat_state(rig->chat).waiting, 10);
    assert_true(chat_state(rig->chat).waited_ms >= 300);
    assert_true(chat_state(rig->chat).next_try_ms <= 75); /* the longest wait, and a quarter */
    open_door(rig);
    run_until_ended(rig, 10);
    assert_int_equal(chat_state(rig->chat).waiting, 0);
    assert_int_equal(chat_state(rig->chat).waited_ms, 0);
    assert_int_equal(chat_state(rig->chat).next_try_ms, -1);
    assert_int_equal(rig->post_count, 10);
    for (int i = 0; i < 10; i++)
        assert_end(rig, i, '+', i);
    assert_int_equal(rig->line_count, 2);
}

/* Seconds, as asked for, also on a 503; more than is sensible is cut short. */
static void
test_a_wait_that_was_asked_for(void **state)
{
    struct rig *rig = *state;
    const struct chat_waits waits = {20, 60000, 1100};

    start(rig, waits);
    rig->answer = 503;
    rig->trouble = 2;
    strcpy(rig->header, "Retry-After: 1\r\n");
    say(rig, WEIGHT_FIX, 1);
    run_until_posted(rig, 1);
    run_until_posted(rig, 2);
    strcpy(rig->header, "Retry-After: 99999999999\r\n");
    rig->trouble = 3;
    run_until_ended(rig, 1);
    assert_int_equal(rig->post_count, 4);
    for (int i = 0; i < 3; i++) {
        int64_t gap = rig->posts[i + 1].at_ms - rig->posts[i].at_ms;

        assert_true(gap >= (i < 2 ? 999 : 1) && gap < 5000);
    }
}

/* Headers that ask for nothing sensible leave the growing waits. */
static void
test_a_wait_that_makes_no_sense(void **state)
{
    static const char *const headers[] = {"Retry-After: -5\r\n", "Retry-After: soon\r\n",
                                          "Retry-After: 0\r\n", "Retry-After:\r\n",
                                          "Retry-After: Sun, 06 Nov 1994 08:49:37 GMT\r\n"};
    struct rig *rig = *state;

    start(rig, scaled);
    rig->answer = 429;
    rig->trouble = 5;
    say(rig, WEIGHT_FIX, 1);
    for (int i = 0; i < 5; i++) {
        strcpy(rig->header, headers[i]);
        run_until_posted(rig, i + 1);
    }
    run_until_ended(rig, 1);
    assert_int_equal(rig->post_count, 6);
    assert_true(rig->posts[5].at_ms - rig->posts[0].at_ms < 900);
}

/* What no repetition mends: nothing more is sent, all is kept, and it is told once, with the cure.
 */
static void
test_stops_and_begins_again(void **state)
{
    static const int answers[] = {404, 400, 401, 403, 410, 413, 422, 300, 301, 302, 307, 308, 304};
    struct rig *rig = *state;
    int count = (int)(sizeof answers / sizeof *answers);
    char line[300];

    start(rig, scaled);
    rig->trouble = count;
    say(rig, WEIGHT_NOTE, 0);
    for (int i = 0; i < count; i++) {
        rig->answer = answers[i];
        assert_false(chat_has_stopped(rig->chat));
        run_until_posted(rig, i + 1);
        run_for(rig, 20);
        assert_true(chat_has_stopped(rig->chat));
        assert_int_equal(chat_last_status(rig->chat), answers[i]);
        assert_int_equal(rig->line_count, i + 1);
        snprintf(line, sizeof line,
                 "chat: the hook answered %d and delivery stopped; %d message%s kept. Mend the "
                 "hook, then `gainwarden reload` or start again",
                 answers[i], i + 1, i == 0 ? " is" : "s are");
        assert_string_equal(rig->lines[i], line);
        say(rig, WEIGHT_NOTE, i + 1); /* is kept, and not sent */
        run_for(rig, 20);
        assert_int_equal(rig->post_count, i + 1);
        chat_resume(rig->chat);
    }
    run_until_ended(rig, count + 1);
    assert_int_equal(rig->post_count, 2 * count + 1);
    for (int i = 0; i <= count; i++)
        assert_end(rig, i, '+', i);
    assert_int_equal(rig->line_count, count + 1);
    assert_string_equal(rig->lines[count], "chat: messages are delivered again");
}

/* After chat_resume() also trouble of the other kind is told. */
static void
test_trouble_after_a_stop(void **state)
{
    struct rig *rig = *state;

    start(rig, scaled);
    rig->trouble = 2;
    rig->answer = 404;
    say(rig, WEIGHT_NOTE, 0);
    run_until_posted(rig, 1);
    run_for(rig, 20);
    rig->answer = 503;
    chat_resume(rig->chat);
    run_until_ended(rig, 1);
    assert_int_equal(rig->line_count, 3);
    assert_string_equal(rig->lines[1], "chat: a message was not delivered, it is tried again (the "
                                       "hook answered 503)");
    assert_string_equal(rig->lines[2], "chat: messages are delivered again");
}

/* 512 wait, the first of them under way, a note that nothing moves; the rest go by weight, then
 * age.
 */
static void
test_what_is_dropped(void **state)
{
    static const enum weight weights[] = {WEIGHT_STOP, WEIGHT_NOTE, WEIGHT_FIX};
    struct rig *rig = *state;
    int more = 0;

    start(rig, scaled);
    rig->answer = 503;
    rig->trouble = 1000000;
    say(rig, WEIGHT_NOTE, 0);
    for (int i = 1; i < CHAT_KEPT; i++)
        say(rig, weights[i % 3], i);
    run_until_posted(rig, 2);
    assert_int_equal(chat_waiting(rig->chat), CHAT_KEPT);
    assert_int_equal(rig->end_count, 0);

    for (int i = 1; i < CHAT_KEPT; i += 3, more++) { /* the notes, but not the one under way */
        say(rig, WEIGHT_FIX, 1000 + more);
        assert_int_equal(rig->end_count, more + 1);
        assert_end(rig, more, '-', i);
    }
    say(rig, WEIGHT_STOP, 2000); /* then the oldest fix */
    assert_end(rig, more++, '-', 2);
    say(rig, WEIGHT_NOTE, 2001); /* then the second; a new note is not its own victim */
    assert_end(rig, more++, '-', 5);
    say(rig, WEIGHT_FIX, 2002);
    assert_end(rig, more++, '-', 2001);
    assert_int_equal(chat_waiting(rig->chat), CHAT_KEPT);
    assert_string_equal(rig->lines[1],
                        "chat: too many messages wait; the oldest of the least weight are dropped");
    assert_int_equal(rig->line_count, 2);
}

/* How many were dropped is said once, in the first message that had not been tried before: under
 * one identity goes one payload. */
static void
test_dropped_ones_are_counted(void **state)
{
    struct rig *rig = *state;
    int kept = CHAT_KEPT, tries;

    start(rig, scaled);
    rig->answer = 503;
    rig->trouble = 1000000;
    for (int i = 0; i < kept + 3; i++) /* drops 1, 2 and 3, while 0 is under way */
        say(rig, WEIGHT_NOTE, i);
    run_until_posted(rig, 4);
    rig->trouble = rig->post_count;
    tries = rig->post_count;
    run_until_ended(rig, 3 + 1);
    rig->answer = 503; /* the next is tried, with the number in it; then five more are dropped */
    rig->trouble = rig->post_count + 2;
    for (int i = 0; i < 1 + 5; i++)
        say(rig, WEIGHT_NOTE, kept + 3 + i);
    run_until_ended(rig, 3 + 5 + kept + 1);

    for (int i = 0; i <= tries; i++)
        assert_string_equal(rig->posts[i].body, "{\"text\":\"message 0\"}");
    for (int i = tries + 1; i <= tries + 3; i++)
        assert_post(rig, i, 4, "{\"text\":\"(3 older messages were dropped) message 4\"}");
    assert_post(rig, tries + 4, 10, "{\"text\":\"(5 older messages were dropped) message 10\"}");
    assert_post(rig, tries + 5, 11, "{\"text\":\"message 11\"}");
    for (int i = tries + 5; i < rig->post_count; i++)
        assert_null(strstr(rig->posts[i].body, "dropped"));
    assert_int_equal(chat_waiting(rig->chat), 0);
}

/* Texts as long as anybody can have put into the file of a watch arrive whole. */
static void
test_a_long_text(void **state)
{
    struct rig *rig = *state;
    char *text = calloc(12001, 1), id[CHAT_ID_SIZE];

    assert_non_null(text);
    for (int i = 0; i < 4000; i++)
        memcpy(text + 3 * i, "\xe5\xa4\xaa", 3);
    start(rig, scaled);
    chat_say(rig->chat, WEIGHT_FIX, id_of(1, id), text);
    run_until_ended(rig, 1);
    assert_contains(rig->posts[0].body, text);
    free(text);
}

/* An identity that somebody wrote into the file puts no header of his own into the request. */
static void
test_an_identity_is_no_header(void **state)
{
    struct rig *rig = *state;

    start(rig, scaled);
    chat_say(rig->chat, WEIGHT_FIX, "a\"\r\nX-Other: 1\r\n\r\n", "text");
    run_until_ended(rig, 1);
    assert_string_equal(rig->posts[0].id, "\"a---X-Other--1----\"");
    assert_string_equal(rig->ends[0], "+a\"\r\nX-Other: 1\r\n\r\n");
}

/* The address is secret: what is told of hooks that cannot be used names the variable only. */
static void
test_the_address_is_secret(void **state)
{
    static const char *const urls[] = {"ftp://" SECRET, SECRET, "http://", "http://[" SECRET, ""};
    struct rig *rig = *state;
    struct chat_owner owner = {on_line, on_ended, rig};

    for (size_t i = 0; i < sizeof urls / sizeof *urls; i++) {
        struct problems problems = {0};

        setenv(VARIABLE, urls[i], 1);
        assert_null(chat_open(rig->loop, &rig->settings, scaled, owner, &problems));
        assert_int_equal(problems.count, 1);
        assert_contains(problems.lines[0], VARIABLE);
        assert_null(strstr(problems.lines[0], SECRET));
        problems_release(&problems);
    }
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, make, drop)

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_identities),
        TEST(test_in_order),
        TEST(test_template),
        TEST(test_an_hour_of_trouble),
        TEST(test_nobody_there),
        TEST(test_a_wait_that_was_asked_for),
        TEST(test_a_wait_that_makes_no_sense),
        TEST(test_stops_and_begins_again),
        TEST(test_trouble_after_a_stop),
        TEST(test_what_is_dropped),
        TEST(test_dropped_ones_are_counted),
        TEST(test_a_long_text),
        TEST(test_an_identity_is_no_header),
        TEST(test_the_address_is_secret),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
