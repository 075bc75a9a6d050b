/* SPDX-License-Identifier: MIT */
/* The person at the keyboard of `gainwarden listen --turn`: lines of standard input, a terminal's or
 * a script's, and the time between them. */
#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "command/listening.h"
#include "core/need.h"
#include "listen/begun.h"

enum { LINE_SIZE = 200, TICK_MS = 100 };

struct typing {
    struct listener *listener;
    struct loop_poll *poll; /* NULL: a file, read at each tick */
    struct loop_timer *tick;
    char line[LINE_SIZE]; /* what was typed of it; the rest of a longer one is left out */
    size_t used;
    bool ended; /* no more comes */
};

static void
look_whether_over(struct typing *typing)
{
    if (typing->ended || turn_is_over(typing->listener->turn))
        loop_stop(typing->listener->loop);
}

static void
take_byte(struct typing *typing, char byte)
{
    if (byte != '\n') {
        if (typing->used + 1 < LINE_SIZE && byte != '\r')
            typing->line[typing->used++] = byte;
        return;
    }
    while (typing->used > 0 && typing->line[typing->used - 1] == ' ')
        typing->used--; /* nobody sees that it was typed */
    typing->line[typing->used] = '\0';
    typing->used = 0;
    if (!turn_is_over(typing->listener->turn))
        turn_line(typing->listener->turn, typing->line, loop_now_ms(typing->listener->loop));
}

static void
on_input(void *context, bool readable, bool writable)
{
    struct typing *typing = context;
    char bytes[LINE_SIZE];
    ssize_t length;

    (void)readable;
    (void)writable;
    if (typing->ended)
        return;
    length = read(STDIN_FILENO, bytes, sizeof bytes);
    for (ssize_t i = 0; i < length; i++)
        take_byte(typing, bytes[i]);
    typing->ended = length == 0 || (length < 0 && errno != EAGAIN && errno != EINTR);
    look_whether_over(typing);
}

static void
on_tick(void *context)
{
    struct typing *typing = context;

    turn_tick(typing->listener->turn, loop_now_ms(typing->listener->loop));
    if (!typing->poll)
        on_input(typing, true, false);
    look_whether_over(typing);
}

struct typing *
typing_open(struct listener *listener)
{
    struct typing *typing = need_memory(1, sizeof *typing);

    typing->listener = listener;
    typing->poll = loop_poll_open(listener->loop, STDIN_FILENO, on_input, typing);
    if (typing->poll)
        loop_poll_want(typing->poll, true, false);
    typing->tick = loop_timer_open(listener->loop, on_tick, typing);
    loop_timer_start(typing->tick, TICK_MS, TICK_MS);
    return typing;
}

void
typing_close(struct typing *typing)
{
    if (typing->poll)
        loop_poll_close(typing->poll);
    loop_timer_close(typing->tick);
    free(typing);
}

static void
ask(void *context, const char *address)
{
    struct listener *listener = context;

    link_ask_at(listener->link, address);
}

struct turn *
typing_turn(struct listener *listener)
{
    const struct session *session = listener->session;
    const struct options *options = listener->options;
    const struct json *given = session->profile->json;
    struct turn_setting setting = {.profile = listener->made ? begun_new("My desk", session->port,
                                                                         options->port,
                                                                         json_get(given, "renew"))
                                                             : json_copy(given),
                                   .path = options->turn,
                                   .ask = options->ask ? ask : NULL,
                                   .context = listener};

    return turn_new(&setting, loop_now_ms(listener->loop));
}
