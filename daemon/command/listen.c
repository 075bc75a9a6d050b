/* SPDX-License-Identifier: MIT */
/* `gainwarden listen`: what a desk says and what the profile makes of it, to write a profile by. */
#include "command/listening.h"
#include "command/table.h"

#include <math.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/clock.h"
#include "base/no_memory.h"
#include "base/output.h"
#include "core/need.h"
#include "link/own_port.h"
#include "listen/asked.h"
#include "listen/begun.h"
#include "show/agreement.h"
#include "show/saved_of.h"

enum { PRINT_MS = 1000, SILENT_MS = 10000, LINES_AT_ONCE = 40, VALUES_SHOWN = 4, ROW_REST = 9 };

/* What helps, none of which is tried. */
static const char silence[] =
    "gainwarden: nothing was heard for 10 s. Is the desk on, and OSC enabled in its menu? Desks "
    "usually want one of these, and its maker's OSC list says which: another port (--desk "
    "HOST:PORT); to be told this computer's address and a port to send to (--port=PORT here); a "
    "message again and again that keeps it sending (--ask='/ADDRESS'); or a log-in first "
    "(--ask='/ADDRESS \"word\" this_only_asks'). None of these is tried by itself.";

/* ---- what became of a message ---- */

static void
write_value(FILE *to, const struct listener *listener, const struct element *element, int row,
            int column)
{
    const struct desk *desk = engine_desk(listener->session->engine);
    const struct param *param = &params[element->param];
    const struct value *value = desk_value(desk, element->param, row, column);

    fprintf(to, "%s", param->name);
    if (param->row != INDEX_NONE)
        fprintf(to, " of %s %d", index_placeholder(param->row), row + 1);
    if (param->column != INDEX_NONE)
        fprintf(to, ", %s %d", index_placeholder(param->column), column + 1);
    if (value->state != VALUE_KNOWN)
        fprintf(to, " is not known");
    else if (param->unit == UNIT_TEXT)
        fprintf(to, " = \"%s\"", desk_text(desk, element->param, row, column));
    else if (param->unit == UNIT_SWITCH)
        fprintf(to, " = %s", value_last_heard(value) != 0 ? "on" : "off");
    else if (param->unit == UNIT_WORD)
        fprintf(to, " = %s", param_words(element->param)[(int)value_last_heard(value)]);
    else if (value_last_heard(value) == -HUGE_VAL)
        fprintf(to, " = off");
    else
        fprintf(to, " = %g%s%s", value_last_heard(value), param->unit == UNIT_INDEX ? "" : " ",
                param->unit == UNIT_INDEX ? "" : unit_name(param->unit));
}

/* The values of an answer's place; of a run the first. */
static void
write_values(FILE *to, const struct listener *listener, const struct listen_row *row)
{
    const struct profile *profile = listener->session->profile;
    const struct entry *entry = &profile->entries[row->entry];
    int indexes[ENTRY_VARIABLES] = {0}, shown = 0;

    entry_indexes(profile, entry, entry->variable_count, row->place, indexes);
    fprintf(to, "values[%zu]: ", row->entry);
    for (size_t i = 0; i < entry->answer.count; i++) {
        const struct element *element = &entry->answer.elements[i];

        if (element->kind != ELEMENT_VALUE)
            continue;
        if (++shown > VALUES_SHOWN) {
            fprintf(to, ", ...");
            return;
        }
        fputs(shown > 1 ? ", " : "", to);
        write_value(to, listener, element, element->row >= 0 ? indexes[element->row] : 0,
                    element->column >= 0 ? indexes[element->column] : 0);
        if (element->each != INDEX_NONE)
            fprintf(to, " and so on");
    }
}

static const char *const why_not[] = {
    [ROUTE_UNKNOWN_ADDRESS] = "no entry has this address",
    [ROUTE_OTHER_ARGUMENTS] = "an entry has this address, but other arguments",
    [ROUTE_NO_TYPES] = "no type tags, and no entry that says \"untyped\"",
};

static void
write_result(FILE *to, const struct listener *listener, const struct listen_row *row)
{
    if (listener->made)
        return;
    fputs("  -> ", to);
    if (row->unread)
        fprintf(to, "cannot be read: %s", osc_reject_says(row->reject));
    else if (row->result == ROUTE_TAKEN)
        write_values(to, listener, row);
    else if (row->result == ROUTE_BAD_VALUE)
        fprintf(to, "values[%zu]: turned down: %s", row->entry, row->why);
    else
        fputs(why_not[row->result], to);
}

static void
print_row(const struct listener *listener, struct listen_row *row)
{
    char when[CLOCK_SIZE], rate[24] = "";
    char *line;
    size_t size;
    FILE *to = no_memory_stream(&line, &size);

    if (row->count > row->counted + 1 && row->counted > 0)
        snprintf(rate, sizeof rate, " (%llu/s)", (unsigned long long)(row->count - row->counted));
    fprintf(to, "%s %s %s%s%s", clock_time(when), row->address, *row->types ? row->types : "-",
            row->last, rate);
    write_result(to, listener, row);
    no_memory_stream_end(to);
    output_line(stdout, ROW_REST, line, NULL);
    free(line);
}

/* Once a second: what was heard since, each address once. */
static void
on_print(void *context)
{
    struct listener *listener = context;
    size_t news = 0;

    for (size_t i = 0; i < listener->table.count; i++) {
        struct listen_row *row = &listener->table.rows[i];

        if (row->news && ++news <= LINES_AT_ONCE)
            print_row(listener, row);
        row->counted = row->count;
        row->news = false;
    }
    if (news > LINES_AT_ONCE)
        output_format(ROW_REST, ROW_REST, "and %zu more addresses in this second",
                      news - LINES_AT_ONCE);
    if (!output_finish())
        loop_stop(listener->loop);
}

/* ---- hearing ---- */

static void
note_why(struct listener *listener, const struct link_heard *heard, struct listen_row *row)
{
    const struct profile *profile = listener->session->profile;
    struct text why;

    text_init(&why, row->why, sizeof row->why);
    why_refused(profile, &profile->entries[heard->entry], heard->message, listener->unfolded, &why);
    if (why.used == 0)
        text_add(&why, "a value that its parameter does not allow");
}

static void
on_heard(void *context, const struct link_heard *heard)
{
    struct listener *listener = context;
    struct listen_row *row;

    listener->heard = true;
    if (heard->result == ROUTE_TAKEN || heard->result == ROUTE_BAD_VALUE)
        answers_note(&listener->answers, heard->entry, heard->place);
    if (listener->turn) {
        turn_heard(listener->turn, heard->message, loop_now_ms(listener->loop));
        return;
    }
    row = listen_table_note(&listener->table, heard);
    if (row && heard->result == ROUTE_BAD_VALUE)
        note_why(listener, heard, row);
}

static void
on_unread(void *context, enum osc_reject why, const uint8_t *bytes, size_t length)
{
    struct listener *listener = context;
    struct osc_outline outline = osc_outline(bytes, length);

    listener->heard = true;
    unread_note(&listener->unread, why, &outline, length);
    if (outline.address)
        listen_table_note_unread(&listener->table, why, &outline, length);
}

static void
on_silent(void *context)
{
    struct listener *listener = context;

    if (!listener->heard)
        output_paragraph(stderr, 0, 4, silence);
}

static void
on_state(void *context, enum link_state from, enum link_state to, const char *why)
{
    struct listener *listener = context;
    struct link_figures figures = link_figures(listener->link);

    (void)from;
    if (to == LINK_STEADY && !listener->read && listener->options->ask && !listener->made)
        fprintf(stderr, "gainwarden: asked everything: %zu of %zu questions answered\n",
                figures.questions.heard, figures.questions.questions);
    else if (to == LINK_LOST)
        fprintf(stderr, "gainwarden: the desk says nothing (%s); listening on\n", why);
    listener->read |= to == LINK_STEADY;
}

static void
on_end(void *context)
{
    struct listener *listener = context;

    loop_stop(listener->loop);
}

static void
on_interrupt(void *context, int number)
{
    (void)number;
    on_end(context);
}

/* ---- running ---- */

static void
run(struct listener *listener)
{
    struct loop *loop = listener->loop;
    struct loop_timer *print = loop_timer_open(loop, on_print, listener);
    struct loop_timer *end = loop_timer_open(loop, on_end, listener);
    struct loop_timer *silent = loop_timer_open(loop, on_silent, listener);
    struct loop_signal *interrupt = loop_signal_open(loop, SIGINT, on_interrupt, listener);
    struct loop_signal *terminate = loop_signal_open(loop, SIGTERM, on_interrupt, listener);
    struct typing *typing = NULL;

    loop_timer_start(print, PRINT_MS, PRINT_MS);
    loop_timer_start(silent, SILENT_MS, 0);
    if (listener->options->for_s > 0)
        loop_timer_start(end, (int64_t)(listener->options->for_s * 1000), 0);
    if (listener->turn)
        typing = typing_open(listener);
    loop_run(loop);
    if (typing)
        typing_close(typing);
    else
        on_print(listener);
    loop_timer_close(print);
    loop_timer_close(end);
    loop_timer_close(silent);
    loop_signal_close(interrupt);
    loop_signal_close(terminate);
}

static int
turn_status(struct turn *turn)
{
    bool all = turn_end(turn);

    if (!turn_is_kept(turn))
        return EXIT_USAGE;
    return all ? EXIT_CLEAN : EXIT_FINDINGS;
}

static int
listen_to(struct session *session, const struct options *options, bool made)
{
    struct listener listener = {.loop = loop_new(),
                                .session = session,
                                .options = options,
                                .unfolded = need_memory(1, sizeof *listener.unfolded),
                                .made = made};
    struct link_owner owner = {.changed = on_state,
                               .heard = on_heard,
                               .unread = on_unread,
                               .context = &listener,
                               .quiet = made || options->turn || !options->ask};
    struct link_figures figures;
    int status;

    setvbuf(stdout, NULL, _IOLBF, 0);
    listen_table_init(&listener.table);
    answers_init(&listener.answers, session->profile);
    listener.begun_ms = loop_now_ms(listener.loop);
    listener.turn = options->turn ? typing_turn(&listener) : NULL;
    listener.link = link_open(listener.loop, session->profile, session->engine, session->host,
                              session->port, owner);
    run(&listener);
    figures = link_figures(listener.link);
    link_close(listener.link);
    if (listener.turn)
        status = turn_status(listener.turn);
    else
        status = listening_end(&listener, &figures);
    turn_free(listener.turn);
    loop_free(listener.loop);
    answers_release(&listener.answers);
    listen_table_release(&listener.table);
    free(listener.unfolded);
    return status;
}

/* ---- without a profile ---- */

/* What --ask wants sent; NULL with the problems when it is no message. */
static struct json *
renewals_of(const struct options *options, struct problems *problems)
{
    struct json *list = json_new_array();

    for (int i = 0; i < options->message_count; i++) {
        struct json *renewal = asked_renewal(options->messages[i], problems);

        if (renewal)
            json_add(list, NULL, renewal);
    }
    return list;
}

static bool
load_nothing(struct session *session, const struct options *options)
{
    struct problems problems = {0};
    struct json *renew = renewals_of(options, &problems), *profile;
    int own = options->port > 0 ? options->port : own_port_choose();

    profile = begun_nothing(own, renew);
    json_free(renew);
    if (problems.count == 0)
        session_read_made(session, options, profile, &problems);
    if (problems.count == 0 && options->message_count > 0 && session->port == BEGUN_NO_PORT)
        problems_add(&problems, "--desk=%s: --ask needs the desk's port: HOST:PORT", options->desk);
    if (problems.count > 0)
        json_free(profile);
    else
        session->profile->json = profile;
    return problems_tell(&problems);
}

static const char *
what_is_sent(const struct options *options)
{
    if (options->turn && options->ask)
        return options->message_count > 0
                   ? "sent is what --ask says, and each address that is found is asked, without "
                     "arguments"
                   : "each address that is found is asked, without arguments, and nothing else is "
                     "sent";
    return options->message_count > 0 ? "only what --ask says is sent" : "nothing is sent";
}

static void
say_where(const struct session *session, const struct options *options)
{
    output_line_format(
        stderr, 4,
        "gainwarden: listening without a profile, at port %d of this computer; %s. A desk that is "
        "told to send there is heard from then on",
        session->profile->link.answer_port, what_is_sent(options));
}

static int
listen_without(const struct options *options)
{
    struct options given = *options;
    struct session session = {0};
    int status = EXIT_USAGE;

    given.profile = "--ask"; /* where the list of what is sent comes from */
    if (load_nothing(&session, options) && own_port_is_free(&session.profile->link) &&
        (options->message_count == 0 || agreement_begin(&session, &given))) {
        say_where(&session, options);
        status = listen_to(&session, options, true);
    }
    session_release(&session);
    return status;
}

/* ---- with one ---- */

/* Who only listens, to a desk that wants no renewals, sends nothing at all. */
static bool
may_send(struct session *session, const struct options *options)
{
    return (!options->ask && session->profile->renewal_count == 0) ||
           agreement_begin(session, options);
}

static int
listen_with(const struct options *options)
{
    struct session session;
    int status = EXIT_USAGE;

    if (session_load_afresh(&session, options, options->words[0], check_set_lasting()) &&
        own_port_is_free(&session.profile->link) && may_send(&session, options))
        status = listen_to(&session, options, false);
    session_release(&session);
    return status;
}

/* Options that belong to another way of listening. */
static bool
fits(const struct options *options, bool without)
{
    const char *wrong = NULL;

    if (!without && options->message_count > 0)
        wrong = "--ask=MESSAGE is for a desk without a profile; a profile has \"renew\"";
    else if (!without && options->port > 0)
        wrong = "--port is for a desk without a profile; a profile has \"link.answer_port\"";
    else if (options->save && (!without || options->turn))
        wrong = "--save is for a desk without a profile; --turn keeps its own";
    else if (options->turn && options->words[0])
        wrong = "--turn takes --desk, and no show file";
    else if (options->turn && options->profile && access(options->turn, F_OK) == 0)
        wrong = "--turn goes on with its FILE, which is there; --profile is for one that is not";
    if (wrong)
        fprintf(stderr, "gainwarden: %s\nTry `gainwarden listen --help`.\n", wrong);
    return !wrong;
}

static bool
may_write(const char *path)
{
    return !path || begun_may_write(path);
}

int
command_listen(const struct options *options)
{
    struct options given = *options;
    bool without;

    if (options->turn && !options->profile && access(options->turn, F_OK) == 0)
        given.profile = options->turn; /* it goes on with that */
    without = given.desk && !given.profile && !given.words[0];
    if (!fits(options, without) || !saved_of_may_make(options->save) || !may_write(options->turn) ||
        !may_write(options->save))
        return EXIT_USAGE;
    return without ? listen_without(&given) : listen_with(&given);
}
