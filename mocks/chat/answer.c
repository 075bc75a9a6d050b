/* SPDX-License-Identifier: MIT */
#include "answer.h"

#include <time.h>

void
chat_init(struct chat *chat, const struct options *options, FILE *record)
{
    pthread_condattr_t monotonic;

    *chat = (struct chat){.options = options, .record = record};
    pthread_mutex_init(&chat->lock, NULL);
    pthread_condattr_init(&monotonic);
    pthread_condattr_setclock(&monotonic, CLOCK_MONOTONIC);
    pthread_cond_init(&chat->stopped, &monotonic);
    pthread_condattr_destroy(&monotonic);
}

void
chat_release(struct chat *chat)
{
    pthread_cond_destroy(&chat->stopped);
    pthread_mutex_destroy(&chat->lock);
}

static struct timespec
after(double seconds)
{
    struct timespec time;

    clock_gettime(CLOCK_MONOTONIC, &time);
    time.tv_sec += (time_t)seconds;
    time.tv_nsec += (long)((seconds - (double)(time_t)seconds) * 1e9);
    if (time.tv_nsec >= 1000000000) {
        time.tv_sec++;
        time.tv_nsec -= 1000000000;
    }
    return time;
}

/* Waits with the lock given up, so that other requests are met meanwhile. */
static void
hang(struct chat *chat)
{
    struct timespec end = after(chat->options->hang_s);
    int over = 0;

    while (!chat->stopping && over == 0)
        over = pthread_cond_timedwait(&chat->stopped, &chat->lock, &end);
}

static struct answer
trouble(const struct options *options)
{
    bool wants_wait = options->answer == 429 || options->answer == 503;

    return (struct answer){
        .status = options->answer,
        .retry_after = wants_wait ? options->retry_after : NULL,
        .close = options->close,
    };
}

struct answer
chat_meet(struct chat *chat, const struct request *request)
{
    struct answer answer = {.status = 200};

    pthread_mutex_lock(&chat->lock);
    if (chat->record)
        record_add(chat->record, request);
    if (chat->met < chat->options->times) {
        chat->met++;
        answer = trouble(chat->options);
        hang(chat);
    }
    pthread_mutex_unlock(&chat->lock);
    return answer;
}

void
chat_stop(struct chat *chat)
{
    pthread_mutex_lock(&chat->lock);
    chat->stopping = true;
    pthread_cond_broadcast(&chat->stopped);
    pthread_mutex_unlock(&chat->lock);
}
