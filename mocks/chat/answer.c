#include "answer.h"

#include <time.h>

void
Chat_init(struct Chat *chat, const struct Options *options, FILE *record)
{
    pthread_condattr_t monotonic;

    *chat = (struct Chat){.options = options, .record = record};
    pthread_mutex_init(&chat->lock, NULL);
    pthread_condattr_init(&monotonic);
    pthread_condattr_setclock(&monotonic, CLOCK_MONOTONIC);
    pthread_cond_init(&chat->stopped, &monotonic);
    pthread_condattr_destroy(&monotonic);
}

void
Chat_release(struct Chat *chat)
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
hang(struct Chat *chat)
{
    struct timespec end = after(chat->options->hang_s);
    int over = 0;

    while (!chat->stopping && over == 0)
        over = pthread_cond_timedwait(&chat->stopped, &chat->lock, &end);
}

static struct Answer
trouble(const struct Options *options)
{
    bool wants_wait = options->answer == 429 || options->answer == 503;

    return (struct Answer){
        .status = options->answer,
        .retry_after = wants_wait ? options->retry_after : NULL,
        .close = options->close,
    };
}

struct Answer
Chat_meet(struct Chat *chat, const struct Request *request)
{
    struct Answer answer = {.status = 200};

    pthread_mutex_lock(&chat->lock);
    if (chat->record != NULL)
        Record_add(chat->record, request);
    if (chat->met < chat->options->times) {
        chat->met++;
        answer = trouble(chat->options);
        hang(chat);
    }
    pthread_mutex_unlock(&chat->lock);
    return answer;
}

void
Chat_stop(struct Chat *chat)
{
    pthread_mutex_lock(&chat->lock);
    chat->stopping = true;
    pthread_cond_broadcast(&chat->stopped);
    pthread_mutex_unlock(&chat->lock);
}
