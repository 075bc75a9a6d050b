/* SPDX-License-Identifier: MIT */
/*
 * How requests are met: kept on record, then answered by the switches. Shared by all of the
 * server's threads.
 */
#ifndef MOCK_CHAT_ANSWER_H
#define MOCK_CHAT_ANSWER_H

#include <pthread.h>

#include "options.h"
#include "record.h"

struct chat {
    const struct options *options; /* the caller's */
    FILE *record;                  /* NULL: none; the caller's */
    pthread_mutex_t lock;
    pthread_cond_t stopped;
    bool stopping;
    unsigned met; /* requests so far */
};

struct answer {
    unsigned status;
    const char *retry_after; /* NULL: no such header */
    bool close;              /* no answer at all */
};

void chat_init(struct chat *chat, const struct options *options, FILE *record);
void chat_release(struct chat *chat);

/* Records the request, hangs if told to, and says what to answer. */
struct answer chat_meet(struct chat *chat, const struct request *request);

/* Ends every hang, now and to come. */
void chat_stop(struct chat *chat);

#endif
