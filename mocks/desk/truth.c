/* SPDX-License-Identifier: MIT */
#include "truth.h"

#include <math.h>
#include <signal.h>
#include <stdio.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

enum { TRUTH_RINGS = 64 };

static const int64_t STAY_US = 15000000;
static const double RUN_MOST_S = 600, RUN_STEP_S = 0.05;

/* What a child finds. */
struct found {
    double db, hz;
};

/* One message being dealt with. */
struct asking {
    struct truth *truth;
    const struct peer *from;
};

static void
send_draft(struct truth *truth, const struct peer *to, const struct draft *draft)
{
    uint8_t bytes[WIRE_MESSAGE_SIZE];
    size_t size = draft_finish(draft, bytes, sizeof bytes);

    if (size > 0)
        link_send(truth->link, to, bytes, size);
}

/* ---- onset ---- */

static void
begin_search(struct search *search, const struct stage *stage)
{
    struct found found;
    int pipes[2];

    search->time = stage_time(stage);
    if (pipe(pipes) != 0)
        return;
    search->child = fork();
    if (search->child == 0) {
        found.db = stage_onset(stage, &found.hz);
        _exit(write(pipes[1], &found, sizeof found) == (ssize_t)sizeof found ? 0 : 1);
    }
    close(pipes[1]);
    search->fd = pipes[0];
    if (search->child > 0)
        return;
    close(pipes[0]);
    search->fd = -1;
    search->child = 0;
}

static void
ask_onset(struct asking *asking)
{
    struct search *search = &asking->truth->search;

    if (search->child == 0 && search->count < TRUTH_WAITING) {
        search->askers[search->count++] = *asking->from;
        begin_search(search, asking->truth->acoustics->stage);
    } else if (search->later < TRUTH_WAITING)
        search->next_askers[search->later++] = *asking->from;
}

static void
answer_onset(struct truth *truth, const struct found *found)
{
    struct search *search = &truth->search;
    struct draft draft;

    draft_begin(&draft, "/truth/onset");
    draft_float(&draft, (float)found->db);
    draft_float(&draft, (float)found->hz);
    draft_double(&draft, search->time);
    for (size_t i = 0; i < search->count; i++)
        send_draft(truth, &search->askers[i], &draft);
}

/* When the child is done: answers, and begins anew for who asked meanwhile. */
static void
end_search(struct truth *truth)
{
    struct search *search = &truth->search;
    struct found found;

    if (search->child == 0 || waitpid(search->child, NULL, WNOHANG) != search->child)
        return;
    if (read(search->fd, &found, sizeof found) == (ssize_t)sizeof found)
        answer_onset(truth, &found);
    close(search->fd);
    search->fd = -1;
    search->child = 0;
    search->count = search->later;
    memcpy(search->askers, search->next_askers, sizeof search->askers);
    search->later = 0;
    if (search->count > 0)
        begin_search(search, truth->acoustics->stage);
}

/* ---- the other questions ---- */

static void
draft_ring(struct draft *draft, const struct stage_ring *ring)
{
    draft_begin(draft, "/truth/ring");
    draft_int(draft, ring->mix);
    draft_float(draft, (float)ring->hz);
    draft_float(draft, (float)ring->growth);
    draft_float(draft, (float)ring->level);
    draft_double(draft, ring->began);
    draft_double(draft, ring->heard);
    draft_int(draft, ring->holds);
}

static void
answer_rings(struct asking *asking, const struct message *message)
{
    struct stage_ring rings[TRUTH_RINGS];
    int count = stage_rings(asking->truth->acoustics->stage, rings, TRUTH_RINGS);
    struct draft draft;

    (void)message;
    for (int i = 0; i < count; i++) {
        draft_ring(&draft, &rings[i]);
        send_draft(asking->truth, asking->from, &draft);
    }
    draft_begin(&draft, "/truth/rings");
    draft_int(&draft, count);
    send_draft(asking->truth, asking->from, &draft);
}

static void
answer_time(struct asking *asking, const struct message *message)
{
    struct draft draft;

    (void)message;
    draft_begin(&draft, "/truth/time");
    draft_double(&draft, stage_time(asking->truth->acoustics->stage));
    send_draft(asking->truth, asking->from, &draft);
}

static void
answer_load(struct asking *asking, const struct message *message)
{
    struct draft draft;

    (void)message;
    draft_begin(&draft, "/truth/load");
    draft_float(&draft, (float)asking->truth->acoustics->load);
    send_draft(asking->truth, asking->from, &draft);
}

static void
hear_onset(struct asking *asking, const struct message *message)
{
    (void)message;
    if (asking->truth->acoustics->desk->moved) {
        stage_desk_moved(asking->truth->acoustics->stage);
        asking->truth->acoustics->desk->moved = false;
    }
    ask_onset(asking);
}

static void
hear_stay(struct asking *asking, const struct message *message)
{
    struct truth *truth = asking->truth;

    (void)message;
    subscribers_lapse(&truth->subscribers, truth->now_us);
    subscribers_stay(&truth->subscribers, asking->from, truth->now_us, STAY_US, 0);
}

static void
hear_talk(struct asking *asking, const struct message *message)
{
    double microphone = message->arguments[0].number, spl = message->arguments[1].number;
    struct draft draft;

    if (!(microphone >= 1 && microphone < 1000) || !(spl <= 130) ||
        !stage_talk(asking->truth->acoustics->stage, (int)microphone, spl))
        return;
    draft_begin(&draft, "/truth/talk");
    draft_int(&draft, (int32_t)microphone);
    draft_float(&draft, (float)spl);
    send_draft(asking->truth, asking->from, &draft);
}

/* At most one a frame is new; were there more, the last is told. */
static void
tell_rings(struct truth *truth)
{
    struct stage_ring ring;
    unsigned long heard = stage_rings_heard(truth->acoustics->stage, &ring);
    struct draft draft;

    if (heard == truth->rings_told)
        return;
    truth->rings_told = heard;
    draft_ring(&draft, &ring);
    subscribers_lapse(&truth->subscribers, truth->now_us);
    for (size_t i = 0; i < truth->subscribers.count; i++)
        send_draft(truth, &truth->subscribers.list[i].peer, &draft);
}

/* In steps of one frame of spectra, so that each ring is told at its time. */
static void
hear_run(struct asking *asking, const struct message *message)
{
    struct acoustics *acoustics = asking->truth->acoustics;
    double seconds = message->arguments[0].number;

    if (!acoustics->asked || !(seconds > 0 && seconds <= RUN_MOST_S))
        return;
    for (; seconds > 0; seconds -= RUN_STEP_S) {
        acoustics_run(acoustics, fmin(seconds, RUN_STEP_S), asking->truth->now_us);
        tell_rings(asking->truth);
    }
    answer_time(asking, message);
}

static const struct {
    const char *address;
    unsigned arguments;
    void (*hear)(struct asking *asking, const struct message *message);
} questions[] = {
    {"/truth/time", 0, answer_time}, {"/truth/rings", 0, answer_rings},
    {"/truth/stay", 0, hear_stay},   {"/truth/onset", 0, hear_onset},
    {"/truth/load", 0, answer_load}, {"/truth/talk", 2, hear_talk},
    {"/truth/run", 1, hear_run},
};

static void
hear(void *context, const struct message *message)
{
    for (size_t i = 0; i < sizeof questions / sizeof questions[0]; i++)
        if (strcmp(message->address, questions[i].address) == 0 &&
            message->count == questions[i].arguments)
            questions[i].hear(context, message);
}

/* ---- work ---- */

bool
truth_open(struct truth *truth, const struct options *options, struct acoustics *acoustics)
{
    struct link_options where = {.host = options->link.host, .port = options->truth_port};

    truth->acoustics = acoustics;
    truth->search.fd = -1;
    if (!acoustics->stage)
        return true;
    truth->link = link_open(&where);
    return truth->link != NULL;
}

void
truth_close(struct truth *truth)
{
    if (truth->search.child > 0) {
        kill(truth->search.child, SIGKILL);
        waitpid(truth->search.child, NULL, 0);
        close(truth->search.fd);
    }
    link_free(truth->link);
}

void
truth_work(struct truth *truth, int64_t now_us)
{
    size_t count;

    if (!truth->link)
        return;
    truth->now_us = now_us;
    count = link_receive(truth->link, LINK_SLOTS, truth->received);
    for (size_t i = 0; i < count; i++) {
        struct asking asking = {truth, &truth->received[i].peer};

        (void)packet_each(truth->received[i].data, truth->received[i].size, hear, &asking);
    }
    tell_rings(truth);
    end_search(truth);
}

void
truth_flush(struct truth *truth)
{
    if (truth->link)
        link_flush(truth->link);
}
