/* SPDX-License-Identifier: MIT */
#define _GNU_SOURCE /* struct ucred */
#include "loop/control.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <unistd.h>

#include "core/need.h"
#include "loop/control_address.h"

struct connection {
    struct control *control;
    int fd;
    struct loop_poll *poll;
    struct loop_timer *patience;
    char *line; /* CONTROL_LINE_SIZE of them: the request */
    size_t length;
    char *answer; /* being sent; NULL: the request is not whole yet, or all was taken */
    size_t sent;
    int follows; /* what; 0: nothing */
    char *next;  /* what goes behind it to whoever follows, the newest alone */
};

struct control {
    struct loop *loop;
    char *path;
    int fd;
    struct loop_poll *poll;
    struct control_owner owner;
    struct connection *connections[CONTROL_CONNECTIONS];
    size_t strangers; /* of another user, sent away */
};

/* ---- one connection ---- */

static void
hang_up(void *context)
{
    struct connection *connection = context;
    struct control *control = connection->control;

    for (int i = 0; i < CONTROL_CONNECTIONS; i++)
        if (control->connections[i] == connection)
            control->connections[i] = NULL;
    loop_poll_close(connection->poll);
    loop_timer_close(connection->patience);
    close(connection->fd);
    free(connection->line);
    free(connection->answer);
    free(connection->next);
    free(connection);
}

/* The line is out: the next one, if there is one. */
static void
take_next(struct connection *connection)
{
    free(connection->answer);
    connection->answer = connection->next;
    connection->next = NULL;
    connection->sent = 0;
    if (connection->answer)
        return;
    loop_timer_stop(connection->patience);
    loop_poll_want(connection->poll, true, false);
}

/* Sends what the system takes; hangs up when all is sent, except on whoever follows. */
static void
send_answer(struct connection *connection)
{
    while (connection->answer) {
        size_t left = strlen(connection->answer) - connection->sent;
        ssize_t sent =
            send(connection->fd, connection->answer + connection->sent, left, MSG_NOSIGNAL);

        if (sent < 0 && (errno == EAGAIN || errno == EINTR))
            return;
        if (sent > 0)
            connection->sent += (size_t)sent;
        if (sent > 0 && connection->follows)
            loop_timer_start(connection->patience, CONTROL_STUCK_MS, 0);
        if (sent < 0 || (connection->answer[connection->sent] == '\0' && !connection->follows)) {
            hang_up(connection);
            return;
        }
        if (connection->answer[connection->sent] == '\0')
            take_next(connection);
    }
}

struct json *
control_refusal(const char *error)
{
    struct json *answer = json_new_object();

    json_add_bool(answer, "ok", false);
    json_add_string(answer, "error", error);
    return answer;
}

/* Of whatever they follow. */
static int
count_followers(const struct control *control)
{
    int count = 0;

    for (int i = 0; i < CONTROL_CONNECTIONS; i++)
        count += control->connections[i] && control->connections[i]->follows;
    return count;
}

/* The answer of the owner, and whether the connection stays behind it. */
static struct json *
answer_of_owner(struct connection *connection, const struct json *request)
{
    const struct control *control = connection->control;
    int follows = control->owner.follows(control->owner.context, request);
    struct json *answer;

    if (follows && count_followers(control) >= CONTROL_FOLLOWERS)
        return control_refusal("so many look at it already as can at once");
    answer = control->owner.answer(control->owner.context, request);
    connection->follows = json_bool_at(answer, "ok") ? follows : 0;
    return answer;
}

static struct json *
answer_to(struct connection *connection)
{
    struct problems problems = {0};
    struct json *request, *answer;

    request = json_parse(connection->line, connection->length, "request", &problems);
    if (request && json_kind(request) == JSON_OBJECT)
        answer = answer_of_owner(connection, request);
    else
        answer =
            control_refusal(problems.count > 0 ? problems.lines[0] : "request: must be an object");
    json_free(request);
    problems_release(&problems);
    return answer;
}

/* The text with its line feed, for free(). */
static char *
line_of(const struct json *json)
{
    char *line = json_print(json, false);
    size_t length = strlen(line);

    line = need_more(line, length + 2, 1);
    memcpy(line + length, "\n", 2);
    return line;
}

static void
begin_answer(struct connection *connection, struct json *answer)
{
    connection->answer = line_of(answer);
    json_free(answer);
    loop_poll_want(connection->poll, connection->follows != 0, true);
    send_answer(connection);
}

static void
take_request(struct connection *connection)
{
    ssize_t got = recv(connection->fd, connection->line + connection->length,
                       CONTROL_LINE_SIZE - connection->length, 0);
    char *end;

    if (got < 0 && (errno == EAGAIN || errno == EINTR))
        return;
    if (got <= 0) {
        hang_up(connection);
        return;
    }
    end = memchr(connection->line + connection->length, '\n', (size_t)got);
    connection->length += (size_t)got;
    if (end) {
        connection->length = (size_t)(end - connection->line);
        *end = '\0';
        begin_answer(connection, answer_to(connection));
    } else if (connection->length == CONTROL_LINE_SIZE) {
        begin_answer(connection, control_refusal("request: the line is too long"));
    }
}

/* Whoever follows has said all he may: something to read is his end. */
static void
on_connection(void *context, bool readable, bool writable)
{
    struct connection *connection = context;

    if (connection->follows && readable)
        hang_up(connection);
    else if (connection->answer && writable)
        send_answer(connection);
    else if (!connection->answer && readable)
        take_request(connection);
}

/* ---- the socket ---- */

static bool
may_speak(int fd)
{
    struct ucred peer;
    socklen_t size = sizeof peer;

    return getsockopt(fd, SOL_SOCKET, SO_PEERCRED, &peer, &size) == 0 &&
           (peer.uid == geteuid() || peer.uid == 0);
}

static struct connection **
make_room(struct control *control)
{
    for (int i = 0; i < CONTROL_CONNECTIONS; i++)
        if (!control->connections[i])
            return &control->connections[i];
    return NULL;
}

/* Without a place to keep the connection; what it does not take at once is lost. */
static void
send_away(int fd)
{
    static const char words[] = "{\"ok\":false,\"error\":\"the watch is asked by too many at once; "
                                "try again\",\"lines\":[]}\n";

    if (send(fd, words, sizeof words - 1, MSG_NOSIGNAL) < 0)
        return; /* it left first */
}

/* Keeps the connection in the place, and waits for its request. */
static void
let_in(struct control *control, struct connection **place, int fd)
{
    struct connection *connection = need_memory(1, sizeof *connection);

    connection->line = need_memory(CONTROL_LINE_SIZE, 1);
    connection->control = control;
    connection->fd = fd;
    connection->poll = loop_poll_open(control->loop, fd, on_connection, connection);
    connection->patience = loop_timer_open(control->loop, hang_up, connection);
    if (!connection->poll)
        abort();
    loop_timer_start(connection->patience, CONTROL_PATIENCE_MS, 0);
    loop_poll_want(connection->poll, true, false);
    *place = connection;
}

static void
on_knock(void *context, bool readable, bool writable)
{
    struct control *control = context;
    struct connection **place = make_room(control);
    int fd = accept4(control->fd, NULL, NULL, SOCK_CLOEXEC | SOCK_NONBLOCK);

    (void)readable;
    (void)writable;
    if (fd < 0)
        return;
    if (!may_speak(fd)) {
        control->strangers++;
    } else if (place) {
        let_in(control, place, fd);
        return;
    } else {
        send_away(fd);
    }
    close(fd);
}

/* Of a socket that is connected: who listens there; 0: the system does not tell. */
static long
process_behind(int fd)
{
    struct ucred peer;
    socklen_t size = sizeof peer;

    return getsockopt(fd, SOL_SOCKET, SO_PEERCRED, &peer, &size) == 0 ? peer.pid : 0;
}

static void
tell_running(const char *path, long holder, struct problems *problems)
{
    char process[40] = "";

    if (holder > 0)
        snprintf(process, sizeof process, " (process %ld)", holder);
    problems_add(problems,
                 "%s: a watch of this show is running%s: `gainwarden watch --join SHOW` shows its "
                 "screen, `gainwarden status SHOW` asks it; or name another folder with --keep",
                 path, process);
}

/* False, with the reason in the problems, unless nobody listens there. A socket that nobody listens
 * at is removed: only a refusal proves that, and whatever else goes wrong may hide a living watch.
 */
static bool
make_free(const struct control_address *address, const char *path, struct problems *problems)
{
    int fd = socket(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC | SOCK_NONBLOCK, 0);
    const struct sockaddr *name = (const struct sockaddr *)&address->name;
    int error = fd >= 0 && connect(fd, name, sizeof address->name) == 0 ? 0 : errno;
    long holder = error == 0 ? process_behind(fd) : 0;
    struct stat file;

    if (fd >= 0)
        close(fd);
    if (error == ECONNREFUSED && lstat(path, &file) == 0 && S_ISSOCK(file.st_mode))
        unlink(path);
    if (error == ECONNREFUSED || error == ENOENT)
        return true;
    if (error == 0 || error == EAGAIN) /* EAGAIN: so many wait for it that none is let in */
        tell_running(path, holder, problems);
    else
        problems_add(problems, "%s: cannot tell whether a watch listens there: %s", path,
                     strerror(error));
    return false;
}

/* The mask closes it to others from its first moment on. */
static bool
bind_and_listen(int fd, const struct control_address *address)
{
    mode_t before = umask(0177);
    bool good = bind(fd, (const struct sockaddr *)&address->name, sizeof address->name) == 0;

    umask(before);
    return good && listen(fd, CONTROL_CONNECTIONS) == 0;
}

/* The listening socket; -1, with the reason in the problems. */
static int
listen_at(const char *path, struct problems *problems)
{
    struct control_address address;
    int fd = -1;

    if (!control_address_init(&address, path, problems))
        return -1;
    if (make_free(&address, path, problems)) {
        fd = socket(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC | SOCK_NONBLOCK, 0);
        if (fd < 0 || !bind_and_listen(fd, &address)) {
            problems_add(problems, "%s: cannot listen: %s", path, strerror(errno));
            if (fd >= 0)
                close(fd);
            fd = -1;
        }
    }
    control_address_release(&address);
    return fd;
}

struct control *
control_open(struct loop *loop, const char *path, struct control_owner owner,
             struct problems *problems)
{
    int fd = listen_at(path, problems);
    struct control *control;

    if (fd < 0)
        return NULL;
    control = need_memory(1, sizeof *control);
    control->path = need_text(path);
    control->loop = loop;
    control->owner = owner;
    control->fd = fd;
    control->poll = loop_poll_open(loop, fd, on_knock, control);
    if (!control->poll)
        abort();
    loop_poll_want(control->poll, true, false);
    return control;
}

size_t
control_strangers(const struct control *control)
{
    return control ? control->strangers : 0;
}

int
control_followers(const struct control *control, int what)
{
    int count = 0;

    for (int i = 0; control && i < CONTROL_CONNECTIONS; i++)
        count += control->connections[i] && control->connections[i]->follows == what;
    return count;
}

bool
control_is_behind(const struct control *control, int what)
{
    bool behind = false;

    for (int i = 0; i < CONTROL_CONNECTIONS; i++)
        behind |= control->connections[i] && control->connections[i]->follows == what &&
                  control->connections[i]->answer;
    return behind;
}

static void
hand_to(struct connection *connection, const char *line)
{
    bool idle = !connection->answer;

    free(connection->next);
    connection->next = need_text(line);
    if (!idle)
        return;
    take_next(connection);
    loop_timer_start(connection->patience, CONTROL_STUCK_MS, 0);
    loop_poll_want(connection->poll, true, true);
    send_answer(connection);
}

void
control_publish(struct control *control, int what, const struct json *line)
{
    char *text = line_of(line);

    for (int i = 0; i < CONTROL_CONNECTIONS; i++)
        if (control->connections[i] && control->connections[i]->follows == what)
            hand_to(control->connections[i], text);
    free(text);
}

void
control_close(struct control *control)
{
    if (!control)
        return;
    for (int i = 0; i < CONTROL_CONNECTIONS; i++)
        if (control->connections[i])
            hang_up(control->connections[i]);
    loop_poll_close(control->poll);
    close(control->fd);
    unlink(control->path);
    free(control->path);
    free(control);
}
