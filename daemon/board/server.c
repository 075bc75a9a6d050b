/* SPDX-License-Identifier: MIT */
#include "board/server.h"

#include <microhttpd.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "board/door.h"
#include "core/need.h"

enum {
    SPARE_MS = 2000,
    SWEEP_MS = 250,
    STREAM_BLOCK = 16 * 1024,
    CONNECTION_MEMORY = 32 * 1024, /* of the library, for one: a head that needs more is refused */
    ROUNDS = 16                    /* of the library in one go: then others have their turn */
};

/* One connection. */
struct visit {
    struct server *server;
    struct MHD_Connection *connection;
    int fd;
    int place; /* door.h */
    bool suspended, cut;
    int64_t until_ms; /* when it is cut */
    int64_t moved_ms; /* when something of its stream was taken last */
    struct server_answer answer;
    bool has_answer; /* and waits until then */
    int64_t due_ms;
    size_t length;
    char body[SERVER_BODY_SIZE];
};

struct server {
    struct loop *loop;
    struct MHD_Daemon *http;
    struct server_owner owner;
    struct loop_poll *poll;
    struct loop_timer *again, *sweep;
    bool running; /* the library is, and calls us */
    bool sweeping;
    struct visit *visits[DOOR_ALL]; /* by their places */
    struct door door;
};

/* ---- the library's turn ---- */

/* Whether it has more to do at once. */
static bool
is_busy(const struct server *server)
{
    MHD_UNSIGNED_LONG_LONG wait_ms;

    return MHD_get_timeout(server->http, &wait_ms) == MHD_YES && wait_ms == 0;
}

static void
run(void *context)
{
    struct server *server = context;
    int rounds = 0;

    if (server->running) { /* it is what called us */
        loop_timer_start(server->again, 0, 0);
        return;
    }
    server->running = true;
    do
        MHD_run(server->http);
    while (++rounds < ROUNDS && is_busy(server));
    server->running = false;
    if (is_busy(server))
        loop_timer_start(server->again, 0, 0);
}

static void
on_poll(void *context, bool readable, bool writable)
{
    (void)readable;
    (void)writable;
    run(context);
}

static void
suspend(struct visit *visit)
{
    visit->suspended = true;
    MHD_suspend_connection(visit->connection);
}

/* The library goes on with it when it runs next. */
static void
resume(struct visit *visit)
{
    if (visit->suspended)
        MHD_resume_connection(visit->connection);
    visit->suspended = false;
}

/* The library finds the connection ended, and closes it: at once, whatever waits for him. */
static void
cut(struct visit *visit)
{
    const struct linger at_once = {.l_onoff = 1, .l_linger = 0};

    visit->cut = true;
    setsockopt(visit->fd, SOL_SOCKET, SO_LINGER, &at_once, sizeof at_once);
    shutdown(visit->fd, SHUT_RDWR);
    resume(visit);
}

/* ---- connections ---- */

static bool
is_served(const struct visit *visit)
{
    return visit->place < DOOR_PLACES;
}

/* Whoever is not let in is closed by the library, unheard. */
static enum MHD_Result
on_knock(void *context, const struct sockaddr *peer, socklen_t size)
{
    const struct server *server = context;

    (void)size;
    return door_place(&server->door, peer) >= 0 ? MHD_YES : MHD_NO;
}

static struct visit *
let_in(struct server *server, struct MHD_Connection *connection)
{
    const union MHD_ConnectionInfo *info =
        MHD_get_connection_info(connection, MHD_CONNECTION_INFO_CLIENT_ADDRESS);
    const struct sockaddr *peer = info->client_addr;
    int place = door_place(&server->door, peer);
    struct visit *visit;

    if (place < 0) /* on_knock() had it closed before */
        return NULL;
    door_enter(&server->door, peer, place);
    visit = server->visits[place] = need_memory(1, sizeof *visit);
    visit->server = server;
    visit->connection = connection;
    visit->place = place;
    info = MHD_get_connection_info(connection, MHD_CONNECTION_INFO_CONNECTION_FD);
    visit->fd = info->connect_fd;
    door_bound(visit->fd, SERVER_STUCK_MS);
    visit->until_ms = loop_now_ms(server->loop) + (is_served(visit) ? SERVER_REQUEST_MS : SPARE_MS);
    if (!server->sweeping)
        loop_timer_start(server->sweep, SWEEP_MS, SWEEP_MS);
    server->sweeping = true;
    return visit;
}

static void
drop_answer(struct visit *visit)
{
    free(visit->answer.text);
    if (visit->answer.reader)
        feed_reader_free(visit->answer.reader);
    visit->answer = (struct server_answer){0};
    visit->has_answer = false;
}

static void
on_connection(void *context, struct MHD_Connection *connection, void **own,
              enum MHD_ConnectionNotificationCode code)
{
    struct server *server = context;
    struct visit *visit = *own;

    if (code == MHD_CONNECTION_NOTIFY_STARTED) {
        *own = let_in(server, connection);
    } else if (visit) {
        server->visits[visit->place] = NULL;
        door_leave(&server->door, visit->place);
        drop_answer(visit);
        free(visit);
        *own = NULL;
    }
}

static struct visit *
visit_of(struct MHD_Connection *connection)
{
    return MHD_get_connection_info(connection, MHD_CONNECTION_INFO_SOCKET_CONTEXT)->socket_context;
}

static void
on_completed(void *context, struct MHD_Connection *connection, void **own,
             enum MHD_RequestTerminationCode code)
{
    (void)context, (void)connection, (void)code;
    if (*own)
        drop_answer(*own);
}

static bool
has_expired(const struct visit *visit, int64_t now_ms)
{
    if (visit->answer.reader && visit->due_ms == 0)
        return !visit->suspended && now_ms - visit->moved_ms > SERVER_STUCK_MS;
    return now_ms > visit->until_ms;
}

static void
on_sweep(void *context)
{
    struct server *server = context;
    int64_t now_ms = loop_now_ms(server->loop);
    bool any = false;

    for (int i = 0; i < DOOR_ALL; i++) {
        struct visit *visit = server->visits[i];

        if (!visit)
            continue;
        any = true;
        if (!visit->cut && has_expired(visit, now_ms))
            cut(visit);
        else if (visit->due_ms > 0 && now_ms >= visit->due_ms)
            resume(visit);
    }
    server->sweeping = any;
    if (!any)
        loop_timer_stop(server->sweep);
    run(server);
}

/* ---- what a request holds ---- */

struct search {
    const char *name, *value;
    int found;
};

static enum MHD_Result
see_header(void *context, enum MHD_ValueKind kind, const char *name, const char *value)
{
    struct search *search = context;

    (void)kind;
    if (strcasecmp(name, search->name) != 0)
        return MHD_YES;
    search->found++;
    search->value = value;
    return MHD_YES;
}

const char *
server_header(const struct server_request *request, const char *name)
{
    struct search search = {.name = name};

    MHD_get_connection_values(request->connection, MHD_HEADER_KIND, see_header, &search);
    return search.found == 1 ? search.value : NULL;
}

const char *
server_cookie(const struct server_request *request, const char *name)
{
    return MHD_lookup_connection_value(request->connection, MHD_COOKIE_KIND, name);
}

const char *
server_argument(const struct server_request *request, const char *name)
{
    return MHD_lookup_connection_value(request->connection, MHD_GET_ARGUMENT_KIND, name);
}

/* ---- answers ---- */

/* Nobody else may keep, show, embed or look into what is answered, and no script but the page's own
 * runs in it (Content Security Policy 3; Fetch). */
static const struct {
    const char *name, *value;
} headers[] = {
    {"Cache-Control", "no-store"},
    {"Content-Security-Policy",
     "default-src 'none'; script-src 'self'; style-src 'self'; connect-src 'self'; img-src 'self' "
     "data:; base-uri 'none'; form-action 'none'; frame-ancestors 'none'; "
     "require-trusted-types-for 'script'"},
    {"Cross-Origin-Opener-Policy", "same-origin"},
    {"Cross-Origin-Resource-Policy", "same-origin"},
    {"Referrer-Policy", "no-referrer"},
    {"X-Content-Type-Options", "nosniff"},
};

static ssize_t
read_stream(void *context, uint64_t at, char *to, size_t most)
{
    struct visit *visit = context;
    size_t taken;

    (void)at;
    if (visit->cut)
        return MHD_CONTENT_READER_END_WITH_ERROR;
    visit->moved_ms = loop_now_ms(visit->server->loop);
    taken = feed_take(visit->answer.reader, to, most);
    if (taken == 0)
        suspend(visit);
    return (ssize_t)taken;
}

static struct MHD_Response *
body_of(struct visit *visit)
{
    struct server_answer *answer = &visit->answer;
    char *text = answer->text;

    if (answer->reader)
        return MHD_create_response_from_callback(MHD_SIZE_UNKNOWN, STREAM_BLOCK, read_stream, visit,
                                                 NULL);
    answer->text = NULL;
    if (text)
        return MHD_create_response_from_buffer(strlen(text), text, MHD_RESPMEM_MUST_FREE);
    return MHD_create_response_from_buffer(strlen(answer->fixed), (void *)answer->fixed,
                                           MHD_RESPMEM_PERSISTENT);
}

static void
add_headers(struct MHD_Response *response, const struct server_answer *answer)
{
    for (size_t i = 0; i < sizeof headers / sizeof *headers; i++)
        MHD_add_response_header(response, headers[i].name, headers[i].value);
    MHD_add_response_header(response, "Content-Type", answer->type);
    if (answer->allow)
        MHD_add_response_header(response, "Allow", answer->allow);
    if (*answer->cookie)
        MHD_add_response_header(response, "Set-Cookie", answer->cookie);
    if (!answer->reader) /* an idle connection would take a place */
        MHD_add_response_header(response, "Connection", "close");
}

/* MHD_NO drops the connection. */
static enum MHD_Result
give(struct visit *visit)
{
    struct MHD_Response *response = need_made(body_of(visit));
    enum MHD_Result queued;

    add_headers(response, &visit->answer);
    visit->due_ms = 0;
    visit->moved_ms = loop_now_ms(visit->server->loop);
    queued = MHD_queue_response(visit->connection, (unsigned)visit->answer.status, response);
    MHD_destroy_response(response);
    return queued;
}

/* ---- requests ---- */

/* The body's length must be known before, and be little. */
static bool
body_is_bounded(const char *length, struct server_answer *answer)
{
    if (length && strtoul(length, NULL, 10) < SERVER_BODY_SIZE)
        return true;
    *answer = (struct server_answer){.status = length ? MHD_HTTP_CONTENT_TOO_LARGE
                                                      : MHD_HTTP_LENGTH_REQUIRED,
                                     .type = "text/plain",
                                     .fixed = "so much is not read\n"};
    return false;
}

/* What is answered here ends the connection: so a body is not read, and what has none waits. */
static enum MHD_Result
take_head(struct visit *visit, const struct server_request *request)
{
    const struct server_owner *owner = &visit->server->owner;
    const char *length = server_header(request, "Content-Length");
    bool has_body = length || server_header(request, "Transfer-Encoding");

    visit->length = 0;
    if (!is_served(visit))
        owner->refuse(owner->context, &visit->answer);
    else if (!has_body || (body_is_bounded(length, &visit->answer) &&
                           !owner->answer(owner->context, request, &visit->answer)))
        return MHD_YES;
    return give(visit);
}

static enum MHD_Result
take_whole(struct visit *visit, struct server_request *request)
{
    const struct server_owner *owner = &visit->server->owner;

    if (visit->has_answer)
        return give(visit);
    visit->has_answer = true;
    visit->body[visit->length] = '\0';
    request->body = visit->body;
    request->length = visit->length;
    owner->answer(owner->context, request, &visit->answer);
    if (visit->answer.after_ms == 0)
        return give(visit);
    visit->due_ms = loop_now_ms(visit->server->loop) + visit->answer.after_ms;
    suspend(visit);
    return MHD_YES;
}

/* Called once for the head, once for each piece of the body, and once more at its end; and again
 * where that suspended it. */
static enum MHD_Result
on_request(void *context, struct MHD_Connection *connection, const char *path, const char *method,
           const char *version, const char *piece, size_t *piece_size, void **own)
{
    struct visit *visit = visit_of(connection);
    struct sockaddr_storage here = {0};
    socklen_t size = sizeof here;
    struct server_request request = {method, path, (const struct sockaddr *)&here,
                                     NULL,   0,    connection};

    (void)context;
    (void)version;
    if (!visit || getsockname(visit->fd, (struct sockaddr *)&here, &size) != 0)
        return MHD_NO;
    if (!*own) {
        *own = visit;
        return take_head(visit, &request);
    }
    if (*piece_size == 0)
        return take_whole(visit, &request);
    if (*piece_size >= SERVER_BODY_SIZE - visit->length)
        return MHD_NO;
    memcpy(visit->body + visit->length, piece, *piece_size);
    visit->length += *piece_size;
    *piece_size = 0;
    return MHD_YES;
}

/* Paths and arguments stay as they were sent. */
static size_t
decode_nothing(void *context, struct MHD_Connection *connection, char *text)
{
    (void)context, (void)connection;
    return strlen(text);
}

/* ---- the server ---- */

static struct MHD_Daemon *
start(struct server *server, int fd)
{
    return MHD_start_daemon(
        MHD_USE_EPOLL | MHD_ALLOW_SUSPEND_RESUME, 0, on_knock, server, on_request, server,
        MHD_OPTION_LISTEN_SOCKET, fd, MHD_OPTION_CONNECTION_LIMIT, (unsigned)DOOR_ALL,
        MHD_OPTION_CONNECTION_MEMORY_LIMIT, (size_t)CONNECTION_MEMORY, MHD_OPTION_STRICT_FOR_CLIENT,
        1, MHD_OPTION_NOTIFY_CONNECTION, on_connection, server, MHD_OPTION_NOTIFY_COMPLETED,
        on_completed, server, MHD_OPTION_UNESCAPE_CALLBACK, decode_nothing, NULL, MHD_OPTION_END);
}

struct server *
server_open(struct loop *loop, int fd, struct server_owner owner)
{
    struct server *server = need_memory(1, sizeof *server);
    const union MHD_DaemonInfo *info;

    server->loop = loop;
    server->owner = owner;
    server->again = loop_timer_open(loop, run, server);
    server->sweep = loop_timer_open(loop, on_sweep, server);
    server->http = need_made(start(server, fd));
    info = MHD_get_daemon_info(server->http, MHD_DAEMON_INFO_EPOLL_FD);
    server->poll = need_made(loop_poll_open(loop, info->epoll_fd, on_poll, server));
    loop_poll_want(server->poll, true, false);
    return server;
}

void
server_wake(struct server *server)
{
    for (int i = 0; i < DOOR_ALL; i++) {
        struct visit *visit = server->visits[i];

        if (visit && visit->suspended && visit->answer.reader &&
            feed_has_more(visit->answer.reader))
            resume(visit);
    }
    run(server);
}

/* The library ends the program where one is suspended still. */
void
server_close(struct server *server)
{
    for (int i = 0; i < DOOR_ALL; i++)
        if (server->visits[i])
            cut(server->visits[i]);
    loop_poll_close(server->poll);
    MHD_stop_daemon(server->http);
    loop_timer_close(server->again);
    loop_timer_close(server->sweep);
    free(server);
}
