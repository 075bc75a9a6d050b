/* SPDX-License-Identifier: MIT */
/* The other end of follow.c: asks a running watch for its screen and draws what comes, a view a
 * line. Nothing is sent but the question, so that whoever looks can neither move nor hold up the
 * watch; leaving is closing the connection.
 *
 * A watch that sends nothing any more is told on the screen, since what stands there is no longer
 * so. One that hung up is asked once more: it does that to whoever does not read for a minute, as a
 * program that was stopped. Where there is no terminal to draw on, the first view is printed as a page, and that is all.
 */
#include "watch/join.h"

#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/clock.h"
#include "base/output.h"
#include "base/places.h"
#include "core/need.h"
#include "loop/control.h"
#include "loop/control_call.h"
#include "loop/control_lines.h"
#include "loop/loop.h"
#include "screen/screen.h"
#include "screen/view_json.h"

enum { SILENT_MS = 5000, LASTED_MS = 1000 };

struct join {
    const struct options *options;
    struct loop *loop;
    struct control_lines *lines;
    struct loop_timer *patience; /* for the first view */
    bool seen;                   /* a view came over this connection, */
    int64_t called_ms;           /* which was made then */
    struct view *view;           /* NULL: none came yet */
    int64_t heard_ms;            /* when it came */
    struct screen *screen;
    struct problems problems; /* told once the terminal is given back */
    const char *farewell;     /* the same */
    int status;
    bool over;
};

static void
stop(struct join *join, int status)
{
    join->status = status;
    join->over = true;
    loop_stop(join->loop);
}

static void
leave(struct join *join)
{
    join->farewell = "the watch goes on";
    stop(join, EXIT_CLEAN);
}

/* ---- drawing ---- */

/* What the desk's row and its link say when the watch itself is not heard. */
static void
call_silent(struct view_desk *desk, int64_t silent_ms)
{
    char span[CLOCK_SIZE], then[CLOCK_SIZE];

    desk->lost = true;
    snprintf(desk->link, sizeof desk->link, "the WATCH says nothing for %s: all as of %s",
             clock_span(silent_ms, span), clock_time_ago(silent_ms, then));
}

static void
draw(void *context)
{
    struct join *join = context;
    int64_t silent_ms = loop_now_ms(join->loop) - join->heard_ms;
    struct view_desk desks[VIEW_DESKS];
    struct view view = *join->view;

    memcpy(desks, view.desks, view.desk_count * sizeof *desks);
    for (size_t i = 0; i < view.desk_count && silent_ms >= SILENT_MS; i++)
        call_silent(&desks[i], silent_ms);
    view.desks = desks;
    screen_draw(join->screen, &view);
}

static void
on_end(void *context)
{
    leave(context);
}

static void
print_row(void *context, const struct view_row *row)
{
    (void)context;
    puts(row->text);
}

static void
print_page(struct join *join)
{
    clock_time(join->view->clock);
    view_page(join->view, output_width(), print_row, NULL);
    stop(join, EXIT_CLEAN);
}

/* The first view: where it is shown. */
static void
begin(struct join *join)
{
    struct screen_owner owner = {draw, on_end, join, .leaves = true};

    loop_timer_stop(join->patience);
    if (!join->options->plain && isatty(STDIN_FILENO) && isatty(STDOUT_FILENO))
        join->screen = screen_open(join->loop, owner);
    if (!join->screen) {
        print_page(join);
        return;
    }
    screen_choose(join->screen, join->view->chosen);
}

/* ---- what comes ---- */

static void
take_view(struct join *join, const struct json *json)
{
    struct view *view = view_read(json, &join->problems);

    if (!view) {
        stop(join, EXIT_USAGE);
        return;
    }
    view_free(join->view);
    join->view = view;
    join->seen = true;
    join->heard_ms = loop_now_ms(join->loop);
    if (!join->screen)
        begin(join);
    if (!join->over)
        draw(join);
}

static bool
take_answer(void *context, const struct json *line)
{
    struct join *join = context;

    if (!json_bool_at(line, "ok")) {
        problems_add(&join->problems, "%s", json_string_at(line, "error"));
        stop(join, EXIT_USAGE);
    } else if (json_bool_at(line, "ended")) {
        join->farewell = "the watch has ended";
        stop(join, EXIT_CLEAN);
    } else {
        take_view(join, json_get(line, "screen"));
    }
    return !join->over;
}

/* The connection to read from; -1 with the problems. */
static int
call(const struct options *options, struct problems *problems)
{
    struct json *request = json_new_object();
    char name[80], path[PLACES_SIZE];
    int fd = -1;

    json_add_string(request, "do", "screen");
    places_name(options->words[0], options->profile, options->desk, name);
    if (places_socket(options->keep, name, path, problems))
        fd = control_call(path, request, problems);
    json_free(request);
    return fd;
}

static void on_over(void *context, bool hung_up);

static void
listen_to(struct join *join, int fd)
{
    struct control_lines_owner owner = {take_answer, on_over, join};

    join->seen = false;
    join->called_ms = loop_now_ms(join->loop);
    join->lines = control_lines_open(join->loop, fd, "the watch's screen", VIEW_BYTES, owner,
                                     &join->problems);
}

static void
on_over(void *context, bool hung_up)
{
    struct join *join = context;
    bool lasted = join->seen && loop_now_ms(join->loop) - join->called_ms >= LASTED_MS;
    struct problems aside = {0};
    int fd = hung_up && lasted ? call(join->options, &aside) : -1;

    problems_release(&aside);
    if (fd >= 0) {
        control_lines_close(join->lines);
        listen_to(join, fd);
        return;
    }
    if (hung_up)
        problems_add(&join->problems, join->view ? "the watch is gone, and did not say that it ends"
                                                 : "the watch hung up without an answer");
    stop(join, EXIT_USAGE);
}

static void
on_late(void *context)
{
    struct join *join = context;

    control_tell_late(&join->problems);
    stop(join, EXIT_USAGE);
}

static void
on_signal(void *context, int number)
{
    struct join *join = context;

    if (number != SIGHUP || !join->screen || screen_is_gone(join->screen))
        leave(join);
}

/* ---- beginning and ending ---- */

static void
run(struct join *join, int fd)
{
    static const int numbers[] = {SIGINT, SIGTERM, SIGHUP};
    struct loop_signal *signals[3];

    join->loop = loop_new();
    for (int i = 0; i < 3; i++)
        signals[i] = loop_signal_open(join->loop, numbers[i], on_signal, join);
    join->patience = loop_timer_open(join->loop, on_late, join);
    loop_timer_start(join->patience, CONTROL_PATIENCE_MS, 0);
    listen_to(join, fd);
    loop_run(join->loop);
    screen_close(join->screen);
    for (int i = 0; i < 3; i++)
        loop_signal_close(signals[i]);
    loop_timer_close(join->patience);
    control_lines_close(join->lines);
    loop_free(join->loop);
    view_free(join->view);
}

/* What is said to a watch that begins is not said to one that runs. */
static bool
check_options(const struct options *options, struct problems *problems)
{
    if (!options->words[0] && !options->profile)
        problems_add(problems, "which watch: name its show file, or --profile and --desk");
    else if (options->word_count > 1)
        problems_add(problems, "one watch is joined at a time: name one of its show files");
    else if (options->record || options->trace || options->approved)
        problems_add(problems, "%s is for a watch that begins, and --join shows one that runs",
                     options->record  ? "--record"
                     : options->trace ? "--trace"
                                      : "--approved");
    return problems->count == 0;
}

int
watch_join(const struct options *options)
{
    struct join join = {.options = options, .status = EXIT_USAGE};
    int fd = check_options(options, &join.problems) ? call(options, &join.problems) : -1;

    if (fd >= 0)
        run(&join, fd);
    problems_tell(&join.problems);
    if (join.farewell)
        fprintf(stderr, "gainwarden: %s\n", join.farewell);
    return join.status;
}
