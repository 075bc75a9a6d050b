/* SPDX-License-Identifier: MIT */
/* `gainwarden watch`: stays with one desk, or with several at once, and tells edges. */
#include "watch/watch.h"

#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

#include "core/need.h"
#include "core/text.h"
#include "link/desk_hosts.h"
#include "link/own_port.h"
#include "loop/loop.h"
#include "loop/service.h"
#include "screen/screen.h"
#include "show/agreement.h"
#include "show/proved.h"
#include "show/session.h"
#include "watch/board_open.h"
#include "watch/desk.h"
#include "watch/follow.h"
#include "watch/join.h"
#include "watch/reload.h"
#include "watch/saying.h"
#include "watch/view.h"

enum {
    MINUTE_MS = 60 * 1000,
    LAST_WORDS_MS = 2000 /* for the chat hooks, at the end */
};

struct watch {
    struct watch_shared shared;
    struct watch_desk **desks;
    int count;
    struct board_desks on_board;
    struct loop_timer *last_words;
    int64_t begun_ms; /* once it stops: of the last words */
    bool stopping;
    bool news;             /* something is to be drawn */
    struct screen *screen; /* NULL: lines */
};

static void
each_desk(const struct watch *watch, void (*act)(struct watch_desk *desk))
{
    for (int i = 0; i < watch->count; i++)
        act(watch->desks[i]);
}

static void
on_still(void *context)
{
    each_desk(context, watch_desk_still);
}

static void
on_minute(void *context)
{
    each_desk(context, watch_desk_minute);
}

static void
close_screen(struct watch *watch)
{
    screen_close(watch->screen);
    watch->screen = NULL;
    watch->shared.has_screen = false;
}

/* ---- the end ---- */

static void
on_output_lost(void *context)
{
    struct watch *watch = context;

    watch->stopping = true;
    follow_end(watch->shared.follow);
    loop_stop(watch->shared.loop);
}

static bool
all_idle(const struct watch *watch)
{
    for (int i = 0; i < watch->count; i++)
        if (!watch_desk_idle(watch->desks[i]))
            return false;
    return true;
}

static void
on_last_words(void *context)
{
    struct watch *watch = context;

    if (all_idle(watch) || loop_now_ms(watch->shared.loop) - watch->begun_ms >= LAST_WORDS_MS)
        loop_stop(watch->shared.loop);
}

static void
on_interrupt(void *context, int number)
{
    struct watch *watch = context;
    int64_t now_ms = loop_now_ms(watch->shared.loop);

    (void)number;
    if (watch->stopping) { /* asked twice: at once */
        loop_stop(watch->shared.loop);
        return;
    }
    close_screen(watch);
    service_stopping();
    for (int i = 0; i < watch->count; i++)
        watch_desk_stop(watch->desks[i], now_ms - watch->begun_ms);
    follow_end(watch->shared.follow);
    watch->stopping = true;
    watch->begun_ms = now_ms;
    loop_timer_start(watch->last_words, 0, 20);
}

/* ---- running ---- */

static void
on_hang_up(void *context, int number)
{
    struct watch *watch = context;

    (void)number;
    if (watch->screen && screen_is_gone(watch->screen)) { /* the line is gone: the watch goes on */
        close_screen(watch);
        watch->shared.unseen = true;
        return;
    }
    for (int i = 0; i < watch->count && !watch->stopping; i++)
        watch_desk_hang_up(watch->desks[i]);
}

static void
on_alive(void *context)
{
    (void)context;
    service_alive();
}

/* ---- the screen ---- */

static void
draw(void *context)
{
    struct watch *watch = context;
    struct view_desk *desks = need_memory((size_t)watch->count, sizeof *desks);
    struct view view = {.desks = desks, .desk_count = (size_t)watch->count};

    for (int i = 0; i < watch->count; i++)
        watch_desk_view(watch->desks[i], &desks[i]);
    screen_draw(watch->screen, &view);
    for (int i = 0; i < watch->count; i++)
        watch_desk_view_free(&desks[i]);
    free(desks);
}

/* It is drawn before the loop sleeps, however much changed. */
static void
on_changed(void *context)
{
    struct watch *watch = context;

    watch->news = true;
}

static void
on_end(void *context)
{
    on_interrupt(context, SIGINT);
}

/* How the desks stand, for whoever asks the service manager. */
static void
tell_manager(const struct watch *watch)
{
    char all[2000], line[400];
    struct text text;

    text_init(&text, all, sizeof all);
    for (int i = 0; i < watch->count && text.used + sizeof line < sizeof all; i++) {
        watch_desk_status(watch->desks[i], line);
        text_add(&text, "%s%s", i > 0 ? "; " : "", line);
    }
    service_status(all);
}

static void
on_before_sleep(void *context)
{
    struct watch *watch = context;

    each_desk(watch, watch_desk_before_sleep);
    if (!watch->news)
        return;
    watch->news = false;
    if (watch->screen)
        draw(watch);
    if (!watch->stopping)
        follow_news(watch->shared.follow);
    watch_board_news(&watch->shared);
    if (service_is_one())
        tell_manager(watch);
}

static void
open_screen(struct watch *watch)
{
    struct screen_owner owner = {draw, on_end, watch, .leaves = false};

    if (!watch->shared.has_screen)
        return;
    watch->screen = screen_open(watch->shared.loop, owner);
    watch->shared.has_screen = watch->screen != NULL;
}

static void
run(struct watch *watch)
{
    struct loop *loop = watch->shared.loop;
    struct loop_signal *interrupt = loop_signal_open(loop, SIGINT, on_interrupt, watch);
    struct loop_signal *terminate = loop_signal_open(loop, SIGTERM, on_interrupt, watch);
    struct loop_signal *hang_up = loop_signal_open(loop, SIGHUP, on_hang_up, watch);
    struct loop_timer *alive = loop_timer_open(loop, on_alive, watch);
    struct loop_timer *still = loop_timer_open(loop, on_still, watch);
    struct loop_timer *minute = loop_timer_open(loop, on_minute, watch);
    int64_t still_ms = (int64_t)(watch->shared.options->still_every_s * 1000);

    watch->last_words = loop_timer_open(loop, on_last_words, watch);
    if (still_ms > 0)
        loop_timer_start(still, still_ms, still_ms);
    loop_timer_start(minute, MINUTE_MS, MINUTE_MS);
    loop_before_sleep(loop, on_before_sleep, watch);
    if (service_alive_every_ms() > 0)
        loop_timer_start(alive, 0, service_alive_every_ms());
    service_ready();
    open_screen(watch);
    loop_run(loop);
    close_screen(watch);
    loop_before_sleep(loop, NULL, NULL);
    loop_signal_close(interrupt);
    loop_signal_close(terminate);
    loop_signal_close(hang_up);
    loop_timer_close(alive);
    loop_timer_close(still);
    loop_timer_close(minute);
    loop_timer_close(watch->last_words);
}

static bool
open_desks(struct watch *watch)
{
    for (int i = 0; i < watch->count; i++) {
        watch->desks[i] = watch_desk_open(&watch->shared, &watch->shared.sessions[i],
                                          watch->shared.options->words[i]);
        if (!watch->desks[i])
            return false;
    }
    return true;
}

static bool
wants_screen(const struct watch *watch)
{
    const struct options *options = watch->shared.options;

    for (int i = 0; i < watch->count; i++)
        if (!saying_has_stdout(&watch->shared.sessions[i]))
            return false;
    return isatty(STDIN_FILENO) && isatty(STDOUT_FILENO) && !options->plain && !options->trace;
}

static int
watch_sessions(struct watch *watch)
{
    bool good;

    watch->shared.loop = loop_new();
    watch->shared.hosts = desk_hosts_new(watch->count);
    watch->shared.follow = follow_new(watch->shared.loop, watch->desks, watch->count);
    watch->begun_ms = loop_now_ms(watch->shared.loop);
    setvbuf(stdout, NULL, _IOLBF, 0);
    watch->shared.has_screen = wants_screen(watch);
    watch->on_board = (struct board_desks){.desks = watch->desks, .count = watch->count};
    good = open_desks(watch) && watch_board_open(&watch->shared, &watch->on_board);
    if (good)
        run(watch);
    watch_board_close(&watch->shared, &watch->on_board);
    follow_free(watch->shared.follow);
    each_desk(watch, watch_desk_close);
    desk_hosts_free(watch->shared.hosts);
    loop_free(watch->shared.loop);
    return good ? EXIT_CLEAN : EXIT_USAGE;
}

/* What the options say is for one desk. */
static bool
check_options(const struct options *options)
{
    if (options->word_count <= 1 || (!options->profile && !options->desk && !options->record))
        return true;
    if (options->record) {
        fputs("gainwarden: --record is for one desk; start a watch for each that is recorded\n",
              stderr);
        return false;
    }
    fprintf(stderr, "gainwarden: %s is for one desk; several are named by their show files\n",
            options->desk ? "--desk" : "--profile");
    return false;
}

/* Each list is shown, also behind one that was refused. */
static bool
all_agreed(struct watch *watch)
{
    bool good = true;

    for (int i = 0; i < watch->count; i++)
        good &= agreement_begin(&watch->shared.sessions[i], watch->shared.options);
    return good;
}

static bool
ports_are_free(const struct watch *watch)
{
    struct own_ports ports = {0};
    struct problems problems = {0};

    for (int i = 0; i < watch->count; i++)
        own_ports_try(&ports, &watch->shared.sessions[i].profile->link, &problems);
    own_ports_release(&ports);
    return problems_tell(&problems);
}

static bool
cues_are_good(const struct watch *watch)
{
    struct problems problems = {0};
    bool good;

    watch_check_cues(&watch->shared, NULL, NULL, &problems);
    good = problems.count == 0;
    problems_tell(&problems);
    return good;
}

int
command_watch(const struct options *options)
{
    struct watch watch = {.shared = {.way = &watch_live,
                                     .options = options,
                                     .several = options->word_count > 1,
                                     .has_journal = service_has_journal(),
                                     .output_lost = on_output_lost,
                                     .changed = on_changed,
                                     .context = &watch}};
    struct problems problems = {0};
    struct session *sessions;
    int status = EXIT_USAGE;
    bool good;

    if (options->join)
        return watch_join(options);
    if (!check_options(options))
        return EXIT_USAGE;
    watch.count = watch.shared.session_count = options->word_count > 1 ? options->word_count : 1;
    sessions = watch.shared.sessions = need_memory((size_t)watch.count, sizeof *sessions);
    watch.desks = need_memory((size_t)watch.count, sizeof(*watch.desks));
    for (int i = 0; i < watch.count; i++) /* all of them: mistakes are told in one go */
        if (session_read(&sessions[i], options, options->words[i], check_set_lasting(), &problems))
            proved_give_or_say(&sessions[i], options);
    good = problems_tell(&problems);
    if (good && cues_are_good(&watch) && ports_are_free(&watch) && all_agreed(&watch))
        status = watch_sessions(&watch);
    for (int i = 0; i < watch.count; i++)
        session_release(&sessions[i]);
    free(sessions);
    free(watch.desks);
    return status;
}
