/*
 * How requests are met: kept on record, then answered by the switches. Shared by all of the
 * server's threads.
 */
#ifndef MOCK_CHAT_ANSWER_H
#define MOCK_CHAT_ANSWER_H

#include "options.h"
#include "record.h"

#include <pthread.h>

struct Chat {
    const struct Options *options; /* the caller's */
    FILE *record;                  /* NULL: none; the caller's */
    pthread_mutex_t lock;
    pthread_cond_t stopped;
    bool stopping;
    unsigned met; /* requests so far */
};

struct Answer {
    unsigned status;
    const char *retry_after; /* NULL: no such header */
    bool close;              /* no answer at all */
};

void Chat_init(struct Chat *chat, const struct Options *options, FILE *record);
void Chat_release(struct Chat *chat);

/* Records the request, hangs if told to, and says what to answer. */
struct Answer Chat_meet(struct Chat *chat, const struct Request *request);

/* Ends every hang, now and to come. */
void Chat_stop(struct Chat *chat);

#endif
