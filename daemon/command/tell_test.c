/* SPDX-License-Identifier: MIT */
/* `gainwarden tell-test`: one marked message, the way the watch sends them, but tried only once:
 * who asks wants to know what the hook says now. */
#include "command/table.h"

#include <signal.h>
#include <stdio.h>
#include <string.h>

#include "base/escape.h"
#include "base/output.h"
#include "command/control_ask.h"
#include "loop/loop.h"
#include "show/file.h"
#include "tell/chat.h"

enum { PATIENCE_MS = 15000, PROGRESS_MS = 2000 };

struct test {
    struct loop *loop;
    struct chat *chat;
    bool delivered;
    char ended_by[40]; /* what ended the waiting, when it was not the hook */
};

/* chat_why() says it without what a watch would do about it. */
static void
on_trouble(void *context, const char *line)
{
    struct test *test = context;

    (void)line;
    loop_stop(test->loop);
}

static void
on_ended(void *context, const char *id, enum chat_end end)
{
    struct test *test = context;

    (void)id;
    test->delivered = end == CHAT_DELIVERED;
    loop_stop(test->loop);
}

static void
on_progress(void *context)
{
    (void)context;
    fputs("gainwarden: waiting for the hook's answer\n", stderr);
}

static void
on_patience(void *context)
{
    struct test *test = context;

    snprintf(test->ended_by, sizeof test->ended_by, "no answer within %d s", PATIENCE_MS / 1000);
    loop_stop(test->loop);
}

static void
on_interrupt(void *context, int number)
{
    struct test *test = context;

    (void)number;
    snprintf(test->ended_by, sizeof test->ended_by, "interrupted");
    loop_stop(test->loop);
}

/* Sends it and waits. */
static void
run(struct test *test, const char *name)
{
    struct loop_timer *progress = loop_timer_open(test->loop, on_progress, test);
    struct loop_timer *patience = loop_timer_open(test->loop, on_patience, test);
    struct loop_signal *interrupt = loop_signal_open(test->loop, SIGINT, on_interrupt, test);
    char id[CHAT_ID_SIZE], text[SHOW_NAME_SIZE + 100];

    snprintf(text, sizeof text,
             "TEST from gainwarden, show %s: nothing is wrong, somebody tries whether messages "
             "arrive",
             name);
    loop_timer_start(progress, PROGRESS_MS, PROGRESS_MS);
    loop_timer_start(patience, PATIENCE_MS, 0);
    chat_say(test->chat, WEIGHT_STOP, chat_new_id(id), text);
    loop_run(test->loop);
    loop_signal_close(interrupt);
    loop_timer_close(progress);
    loop_timer_close(patience);
}

static int
report(const struct test *test, int64_t took_ms)
{
    if (test->delivered)
        printf("delivered, the hook answered %d in %lld ms\n", chat_last_status(test->chat),
               (long long)took_ms);
    else
        output_format(0, 4, "not delivered: %s",
                      *test->ended_by ? test->ended_by : chat_why(test->chat));
    return test->delivered ? EXIT_CLEAN : EXIT_FINDINGS;
}

/* The desk has no part in this: what the file calls the show, or what the file is called. */
static void
name_show(const struct show_file *file, const char *path, char name[SHOW_NAME_SIZE])
{
    const struct json *show = json_get(file->json, "show");
    const char *slash = strrchr(path, '/'), *base = slash ? slash + 1 : path;

    escape_clean(name, SHOW_NAME_SIZE,
                 show && json_kind(show) == JSON_STRING ? json_string(show) : base);
}

static int
send_test(struct test *test, const struct show_file *file, const char *name,
          struct problems *problems)
{
    struct chat_owner owner = {on_trouble, on_ended, test};
    int64_t begun_ms;
    int status = EXIT_USAGE;

    test->loop = loop_new();
    begun_ms = loop_now_ms(test->loop);
    test->chat = chat_open(test->loop, &file->tell.chat, chat_waits, owner, problems);
    if (test->chat) {
        run(test, name);
        status = report(test, loop_now_ms(test->loop) - begun_ms);
    }
    chat_close(test->chat);
    loop_free(test->loop);
    return status;
}

int
command_tell_test(const struct options *options)
{
    struct test test = {.delivered = false};
    struct problems problems = {0};
    struct show_file *file = NULL;
    char name[SHOW_NAME_SIZE];
    int status = EXIT_USAGE;

    if (options->word_count == 0)
        problems_add(&problems, "which show: name its file");
    else
        file = show_file_open(options->words[0], &problems);
    if (file && !show_file_has_chat(file))
        problems_add(&problems, "%s: names no chat hook under tell.chat", options->words[0]);
    else if (file) {
        name_show(file, options->words[0], name);
        status = send_test(&test, file, name, &problems);
    }
    problems_tell(&problems);
    show_file_free(file);
    if (status == EXIT_CLEAN)
        control_deliver(options);
    return status;
}
