/* SPDX-License-Identifier: MIT */
/* The commands that speak to a running watch: each builds a request, and prints the answer. */
#include "command/control_ask.h"

#include <stdio.h>
#include <unistd.h>

#include "base/escape.h"
#include "base/json.h"
#include "base/output.h"
#include "base/places.h"
#include "board/qr.h"
#include "command/table.h"

static bool
find_socket(const struct options *options, char path[PLACES_SIZE], struct problems *problems)
{
    char name[80];

    if (!options->words[0] && !options->profile) {
        problems_add(problems, "which watch: name its show file, or --profile and --desk");
        return false;
    }
    places_name(options->words[0], options->profile, options->desk, name);
    return places_socket(options->keep, name, path, problems);
}

static void
print_lines(const struct json *answer)
{
    for (const struct json *line = json_first_at(answer, "lines"); line; line = json_next(line))
        output_line(stdout, 4, json_kind(line) == JSON_STRING ? json_string(line) : "", NULL);
}

static int
print_answer(const struct options *options, const struct json *answer)
{
    const struct json *error = json_get(answer, "error");

    if (options->format == FORMAT_JSON)
        json_put(answer);
    else
        print_lines(answer);
    if (json_bool_at(answer, "ok"))
        return EXIT_CLEAN;
    fputs("gainwarden: ", stderr);
    escape_print(stderr, error && json_kind(error) == JSON_STRING ? json_string(error)
                                                                  : "the watch says no");
    fputc('\n', stderr);
    return EXIT_USAGE;
}

/* The watch's answer; NULL with the problems. Takes over the request. */
static struct json *
answer_to(const struct options *options, struct json *request, struct problems *problems)
{
    char path[PLACES_SIZE];
    struct json *answer = NULL;

    if (find_socket(options, path, problems))
        answer = control_ask(path, request, problems);
    json_free(request);
    return answer;
}

static int
ask(const struct options *options, struct json *request)
{
    struct problems problems = {0};
    struct json *answer = answer_to(options, request, &problems);
    int status = EXIT_USAGE;

    problems_tell(&problems);
    if (answer)
        status = print_answer(options, answer);
    json_free(answer);
    return status;
}

static struct json *
request_to(const char *what)
{
    struct json *request = json_new_object();

    json_add_string(request, "do", what);
    return request;
}

/* Asks a watch that may not run at all; NULL when it does not answer. */
static struct json *
ask_quietly(const struct options *options, const char *what)
{
    struct problems problems = {0};
    struct json *answer = answer_to(options, request_to(what), &problems);

    problems_release(&problems);
    return answer;
}

void
control_take_over(const struct options *options, FILE *to)
{
    struct json *answer = ask_quietly(options, "reload");

    if (answer)
        fputs(json_bool_at(answer, "ok")
                  ? "the running watch took it over\n"
                  : "the running watch could not take it over: `gainwarden reload` says why\n",
              to);
    json_free(answer);
}

void
control_deliver(const struct options *options)
{
    struct json *answer = ask_quietly(options, "deliver");

    if (answer)
        print_lines(answer);
    json_free(answer);
}

int
command_room(const struct options *options)
{
    struct json *request = request_to("room");

    if (options->word_count > 1)
        json_add_string(request, "to", options->words[1]);
    if (options->for_s > 0)
        json_add_number(request, "for_s", options->for_s);
    return ask(options, request);
}

int
command_status(const struct options *options)
{
    return ask(options, request_to("status"));
}

int
command_reload(const struct options *options)
{
    return ask(options, request_to("reload"));
}

/* The code is for a camera: on a terminal, and where there is room for it. */
static void
print_links(const struct json *answer)
{
    const char *look = json_string_at(answer, "look");
    bool shown = isatty(STDOUT_FILENO) && qr_print(stdout, look, output_width());

    printf("%slook:    %s\n", shown ? "\n" : "", look);
    printf("operate: %s\n", json_string_at(answer, "operate"));
    output_paragraph(stdout, 0, 0,
                     "Whoever has the second one can press the board's buttons. Both are secrets: "
                     "the network can be listened to, so use one that is yours.");
}

int
command_board(const struct options *options)
{
    struct problems problems = {0};
    struct json *answer = answer_to(options, request_to("board"), &problems);
    int status = EXIT_USAGE;

    problems_tell(&problems);
    if (answer && options->format == FORMAT_TEXT && json_bool_at(answer, "ok"))
        print_links(answer);
    if (answer)
        status = print_answer(options, answer);
    json_free(answer);
    return status;
}

static void
add_text(struct json *request, const char *key, const char *text)
{
    if (text)
        json_add_string(request, key, text);
}

static int
quiet(const struct options *options)
{
    struct json *request;

    if (options->for_s <= 0 || !options->why) {
        fputs("gainwarden: quieting needs an end and a reason: --for 30m --why TEXT\n"
              "Try `gainwarden quiet --help`.\n",
              stderr);
        return EXIT_USAGE;
    }
    request = request_to("quiet");
    json_add_number(request, "for_s", options->for_s);
    json_add_string(request, "why", options->why);
    add_text(request, "by", options->by);
    add_text(request, "check", options->check);
    add_text(request, "player", options->player);
    if (options->input > 0)
        json_add_number(request, "input", options->input);
    if (options->mix > 0)
        json_add_number(request, "mix", options->mix);
    json_add_bool(request, "stop_too", options->stop_too);
    json_add_bool(request, "now", options->now);
    return ask(options, request);
}

int
command_quiet(const struct options *options)
{
    struct json *request;

    if (options->list)
        return ask(options, request_to("quiet-list"));
    if (options->end == 0)
        return quiet(options);
    request = request_to("quiet-end");
    json_add_number(request, "number", options->end);
    return ask(options, request);
}
