/* SPDX-License-Identifier: MIT */
#define _GNU_SOURCE 1 /* memfd_create() */
#include "screen/terminal.h"

#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <sys/mman.h>
#include <termios.h>
#include <unistd.h>

#include "base/no_memory.h"
#include "core/need.h"

enum { LAST_WAITS = 10, LAST_MS = 50, LEAVE_SIZE = 160, PATH_SIZE = 64 };

struct terminal {
    struct terminal_owner owner;
    struct loop_poll *poll;
    FILE *in, *out;
    int fd, drawn; /* of `in`, of `out` */
    struct termios before;
    char *unsent; /* unsent_size bytes of which unsent_from are gone; owned */
    size_t unsent_from, unsent_size;
    bool taken; /* it is ours at the moment */
};

/* ---- a crash ---- */

static const int crashes[] = {SIGABRT, SIGSEGV, SIGBUS, SIGFPE, SIGILL, SIGQUIT};

enum { CRASHES = sizeof crashes / sizeof *crashes };

/* For a handler, which can ask nobody. */
static int crash_fd;
static struct termios crash_modes;
static char crash_leave[LEAVE_SIZE];
static struct sigaction crash_before[CRASHES];
static bool crash_armed;

static void
leave_in_a_crash(void)
{
    if (tcgetpgrp(crash_fd) != getpgrp())
        return;
    tcsetattr(crash_fd, TCSANOW, &crash_modes);
    if (write(crash_fd, crash_leave, strlen(crash_leave)) < 0)
        tcflush(crash_fd, TCOFLUSH); /* nothing can be said any more */
}

static void
on_crash(int number)
{
    leave_in_a_crash();
    for (int i = 0; i < CRASHES; i++)
        sigaction(crashes[i], &crash_before[i], NULL);
    raise(number);
}

static void
copy_without_pauses(char *to, size_t size, const char *from)
{
    size_t used = 0;

    while (*from && used + 1 < size) {
        const char *pause = strncmp(from, "$<", 2) == 0 ? strchr(from, '>') : NULL;

        if (pause)
            from = pause + 1;
        else
            to[used++] = *from++;
    }
    to[used] = '\0';
}

void
terminal_on_crash(struct terminal *terminal, const char *leave)
{
    struct sigaction action = {.sa_handler = on_crash};

    for (int i = 0; crash_armed && i < CRASHES; i++)
        sigaction(crashes[i], &crash_before[i], NULL);
    crash_armed = leave != NULL;
    no_memory_before(leave ? leave_in_a_crash : NULL);
    if (!leave)
        return;
    crash_fd = terminal->fd;
    crash_modes = terminal->before;
    copy_without_pauses(crash_leave, sizeof crash_leave, leave);
    for (int i = 0; i < CRASHES; i++)
        sigaction(crashes[i], &action, &crash_before[i]);
}

/* ---- bytes to it ---- */

bool
terminal_is_ready(const struct terminal *terminal)
{
    return terminal->unsent_from == terminal->unsent_size;
}

/* A terminal that is gone takes everything: nobody sees it. */
static void
drop_unsent(struct terminal *terminal)
{
    terminal->unsent_from = terminal->unsent_size;
}

/* Writes what it takes. */
static void
write_some(struct terminal *terminal)
{
    while (!terminal_is_ready(terminal)) {
        ssize_t count = write(terminal->fd, terminal->unsent + terminal->unsent_from,
                              terminal->unsent_size - terminal->unsent_from);

        if (count > 0)
            terminal->unsent_from += (size_t)count;
        else if (errno == EAGAIN)
            return;
        else if (errno != EINTR)
            drop_unsent(terminal);
    }
}

static void
want(struct terminal *terminal)
{
    bool ours = terminal->taken && terminal_is_in_front(terminal);

    loop_poll_want(terminal->poll, ours, ours && !terminal_is_ready(terminal));
}

void
terminal_send(struct terminal *terminal)
{
    off_t size = lseek(terminal->drawn, 0, SEEK_CUR);
    size_t kept = terminal->unsent_size - terminal->unsent_from;
    char *bytes;

    if (size <= 0)
        return;
    bytes = need_memory(kept + (size_t)size, 1);
    if (kept > 0)
        memcpy(bytes, terminal->unsent + terminal->unsent_from, kept);
    if (pread(terminal->drawn, bytes + kept, (size_t)size, 0) != size ||
        ftruncate(terminal->drawn, 0) != 0 || lseek(terminal->drawn, 0, SEEK_SET) != 0)
        abort(); /* memory of our own */
    free(terminal->unsent);
    terminal->unsent = bytes;
    terminal->unsent_from = 0;
    terminal->unsent_size = kept + (size_t)size;
    write_some(terminal);
    want(terminal);
}

/* Waits a little for a terminal that takes it slowly. */
static void
write_rest(struct terminal *terminal)
{
    struct pollfd poll_fd = {.fd = terminal->fd, .events = POLLOUT};

    write_some(terminal);
    for (int i = 0; i < LAST_WAITS && !terminal_is_ready(terminal); i++) {
        poll(&poll_fd, 1, LAST_MS);
        write_some(terminal);
    }
    drop_unsent(terminal);
}

/* ---- its modes ---- */

bool
terminal_is_in_front(const struct terminal *terminal)
{
    return tcgetpgrp(terminal->fd) == getpgrp();
}

bool
terminal_is_gone(const struct terminal *terminal)
{
    struct termios now;

    return tcgetattr(terminal->fd, &now) != 0;
}

void
terminal_size(const struct terminal *terminal, int *width, int *height)
{
    struct winsize size;

    if (ioctl(terminal->fd, TIOCGWINSZ, &size) != 0 || size.ws_row == 0 || size.ws_col == 0)
        size = (struct winsize){.ws_row = 24, .ws_col = 80};
    *width = size.ws_col;
    *height = size.ws_row;
}

void
terminal_take(struct terminal *terminal)
{
    struct termios ours = terminal->before;

    ours.c_iflag &= ~(tcflag_t)(IXON | IXOFF);
    ours.c_lflag &= ~(tcflag_t)(ICANON | ECHO);
    ours.c_cc[VMIN] = 1;
    ours.c_cc[VTIME] = 0;
    tcsetattr(terminal->fd, TCSANOW, &ours);
    terminal->taken = true;
    want(terminal);
}

void
terminal_give(struct terminal *terminal)
{
    write_rest(terminal);
    terminal->taken = false;
    want(terminal);
    if (terminal_is_in_front(terminal))
        tcsetattr(terminal->fd, TCSANOW, &terminal->before);
}

/* ---- opening and closing ---- */

FILE *
terminal_in(const struct terminal *terminal)
{
    return terminal->in;
}

FILE *
terminal_out(const struct terminal *terminal)
{
    return terminal->out;
}

static void
on_poll(void *context, bool readable, bool writable)
{
    struct terminal *terminal = context;
    bool waited = !terminal_is_ready(terminal);

    if (!terminal_is_in_front(terminal)) { /* until it is taken again */
        want(terminal);
        return;
    }
    if (writable && waited) {
        write_some(terminal);
        want(terminal);
        if (terminal_is_ready(terminal))
            terminal->owner.taken(terminal->owner.context);
    }
    if (readable)
        terminal->owner.keys(terminal->owner.context);
}

/* The descriptor of our own; -1. */
static int
open_anew(void)
{
    char path[PATH_SIZE];

    if (!isatty(STDIN_FILENO) || ttyname_r(STDOUT_FILENO, path, sizeof path) != 0)
        return -1;
    return open(path, O_RDWR | O_NOCTTY | O_NONBLOCK | O_CLOEXEC);
}

static void
free_terminal(struct terminal *terminal)
{
    if (terminal->in)
        fclose(terminal->in);
    if (terminal->out)
        fclose(terminal->out);
    free(terminal->unsent);
    free(terminal);
}

struct terminal *
terminal_open(struct loop *loop, struct terminal_owner owner)
{
    struct terminal *terminal = need_memory(1, sizeof *terminal);

    terminal->owner = owner;
    terminal->fd = open_anew();
    terminal->drawn = memfd_create("screen", MFD_CLOEXEC);
    terminal->in = terminal->fd < 0 ? NULL : fdopen(terminal->fd, "r");
    terminal->out = terminal->drawn < 0 ? NULL : fdopen(terminal->drawn, "w");
    if (terminal->in && terminal->out && terminal_is_in_front(terminal) &&
        tcgetattr(terminal->fd, &terminal->before) == 0)
        terminal->poll = loop_poll_open(loop, terminal->fd, on_poll, terminal);
    if (terminal->poll)
        return terminal;
    free_terminal(terminal);
    return NULL;
}

void
terminal_close(struct terminal *terminal)
{
    if (!terminal)
        return;
    terminal_on_crash(terminal, NULL);
    if (terminal->taken)
        terminal_give(terminal);
    loop_poll_close(terminal->poll);
    free_terminal(terminal);
}
