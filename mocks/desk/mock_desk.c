/* SPDX-License-Identifier: MIT */
/* mock-desk: a made-up desk for tests and the demo. One thread, one link and, with a stage, its truth;
 * one poll loop. */
#include <poll.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/prctl.h>
#include <sys/signalfd.h>
#include <unistd.h>

#include "acoustics.h"
#include "desk.h"
#include "link.h"
#include "options.h"
#include "outbox.h"
#include "state_file.h"
#include "traffic_log.h"
#include "truth.h"

struct rig {
    struct options options;
    struct desk desk;
    struct outbox outbox;
    struct link *link;
    struct acoustics acoustics;
    struct truth truth;
    FILE *log;     /* NULL: none */
    int signal_fd; /* readable once the desk is told to stop */
    struct received received[LINK_SLOTS];
};

static int64_t
busy_us(const struct rig *rig, int64_t now)
{
    double rate = rig->options.faults.values[FAULT_ANSWERS_PER_SECOND];

    return pace_busy_us(&rig->desk.pace, rate, now);
}

/* One at a time while the pace is limited: what is not read yet must stay in the socket. */
static void
receive(struct rig *rig, int64_t now)
{
    bool paced = faults_is_on(&rig->options.faults, FAULT_ANSWERS_PER_SECOND);
    size_t limit = paced ? 1 : LINK_SLOTS;
    size_t count;

    do {
        count = link_receive(rig->link, limit, rig->received);
        if (count == 0)
            pace_rest(&rig->desk.pace);
        for (size_t i = 0; i < count; i++) {
            if (rig->log)
                traffic_log_add(rig->log, &rig->received[i]);
            desk_hear(&rig->desk, &rig->received[i], now);
        }
    } while (paced && count > 0 && busy_us(rig, now) == 0);
}

/* How long nothing needs doing but what a packet or a signal brings; INT64_MAX for good. */
static int64_t
time_to_wait(const struct rig *rig, int64_t now)
{
    int64_t busy = busy_us(rig, now);
    int64_t held = outbox_next_us(&rig->outbox);
    int64_t told = desk_next_us(&rig->desk);
    int64_t sounds = acoustics_next_us(&rig->acoustics);
    int64_t due = held < told ? held : told;

    if (sounds < due)
        due = sounds;

    if (busy == 0 && rig->link->more)
        due = now;
    else if (busy > 0 && now + busy < due)
        due = now + busy;
    if (due == INT64_MAX)
        return due;
    return due > now ? due - now : 0;
}

/*
 * Until a packet comes, the desk is free to read again, something is due, or it is told to stop.
 * True for the last.
 */
static bool
wait_for_work(struct rig *rig, int64_t now)
{
    int64_t wait = time_to_wait(rig, now);
    struct timespec limit = {.tv_sec = wait / 1000000, .tv_nsec = wait % 1000000 * 1000};
    struct pollfd watched[] = {
        {.fd = rig->signal_fd, .events = POLLIN},
        {.fd = rig->link->watched_fd, .events = busy_us(rig, now) > 0 ? 0 : POLLIN},
        /* a negative one is passed over */
        {.fd = rig->truth.link ? rig->truth.link->watched_fd : -1, .events = POLLIN},
        {.fd = rig->truth.search.fd, .events = POLLIN},
    };

    ppoll(watched, sizeof watched / sizeof watched[0], wait == INT64_MAX ? NULL : &limit, NULL);
    return watched[0].revents != 0;
}

static void
run(struct rig *rig)
{
    const double *receive_buffer = &rig->options.faults.values[FAULT_RECEIVE_BUFFER];
    int64_t now;

    do {
        now = link_now_us();
        link_want_receive_buffer(rig->link, (int)*receive_buffer);
        rig->outbox.now_us = now;
        if (busy_us(rig, now) == 0)
            receive(rig, now);
        desk_sweep(&rig->desk, now);
        acoustics_go_on(&rig->acoustics, now);
        truth_work(&rig->truth, now);
        outbox_flush(&rig->outbox, now);
        truth_flush(&rig->truth);
    } while (!wait_for_work(rig, now));
}

/* Read as a file: a signal handler would starve behind a socket that is never empty. */
static int
catch_signals(void)
{
    sigset_t signals;

    sigemptyset(&signals);
    sigaddset(&signals, SIGINT);
    sigaddset(&signals, SIGTERM);
    sigprocmask(SIG_BLOCK, &signals, NULL);
    return signalfd(-1, &signals, SFD_CLOEXEC);
}

static bool
open_rig(struct rig *rig)
{
    const struct options *options = &rig->options;

    rig->signal_fd = -1;
    prctl(PR_SET_TIMERSLACK, 1UL, 0UL, 0UL, 0UL); /* ns: 20,000 answers a second are 50 us apart */
    if (!state_file_load(&rig->desk.state, options->state_file))
        return false;
    if (!desk_init(&rig->desk, options->dialect)) {
        fputs("mock-desk: start: memory: out of memory\n", stderr);
        return false;
    }
    rig->signal_fd = catch_signals();
    if (rig->signal_fd < 0) {
        perror("mock-desk: start: signals");
        return false;
    }
    if (options->log_file && (rig->log = traffic_log_open(options->log_file)) == NULL)
        return false;
    rig->link = link_open(&options->link);
    if (!rig->link)
        return false;
    rig->desk.bare = options->bare;
    rig->desk.untagged = options->untagged;
    rig->desk.arrays = options->arrays;
    rig->desk.faults = &rig->options.faults;
    rig->desk.outbox = &rig->outbox;
    outbox_init(&rig->outbox, rig->link, &rig->options.faults);
    return acoustics_open(&rig->acoustics, options, &rig->desk, link_now_us()) &&
           truth_open(&rig->truth, options, &rig->acoustics);
}

static void
close_rig(struct rig *rig)
{
    truth_close(&rig->truth);
    acoustics_close(&rig->acoustics);
    outbox_release(&rig->outbox);
    link_free(rig->link);
    if (rig->log)
        fclose(rig->log);
    if (rig->signal_fd >= 0)
        close(rig->signal_fd);
    desk_release(&rig->desk);
}

static void
announce(const struct link *link, const struct link *truth)
{
    struct peer where = link_where(link->bound_fd);
    char text[PEER_TEXT_SIZE];

    if (truth) {
        struct peer other = link_where(truth->bound_fd);

        printf("mock-desk: truth on %s\n", peer_text(&other, text));
    }
    if (link->answer_fd >= 0) {
        struct peer other = link_where(link->answer_fd);

        printf("mock-desk: answering from %s\n", peer_text(&other, text));
    }
    printf("mock-desk: listening on %s\n", peer_text(&where, text));
    fflush(stdout);
}

static int
serve(struct rig *rig)
{
    bool opened = open_rig(rig);

    if (opened) {
        announce(rig->link, rig->truth.link);
        run(rig);
    }
    close_rig(rig);
    return opened ? 0 : 2;
}

int
main(int argc, char **argv)
{
    struct rig *rig = calloc(1, sizeof *rig);
    enum options_result read;
    int status;

    if (!rig)
        return 2;
    read = options_read(&rig->options, argc, argv);
    if (read == OPTIONS_RUN)
        status = serve(rig);
    else
        status = read == OPTIONS_HELPED ? 0 : 2;
    free(rig);
    return status;
}
