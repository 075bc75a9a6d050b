/* SPDX-License-Identifier: MIT */
/* `gainwarden listen`: what a desk says and what the profile makes of it, to write a profile by. */
#include "command/table.h"

#include <math.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>

#include "base/clock.h"
#include "base/no_memory.h"
#include "base/output.h"
#include "command/listen_table.h"
#include "core/need.h"
#include "link/link.h"
#include "link/own_port.h"
#include "loop/loop.h"
#include "report/report.h"
#include "show/agreement.h"
#include "show/session.h"

enum {
    PRINT_MS = 1000,
    LINES_AT_ONCE = 40,
    MISSING_SHOWN = 5,
    VALUES_SHOWN = 4,
    ROW_REST = 9,
    MISSING_REST = 8
};

struct answers {
    bool *came; /* each place of the entry: it was heard */
    size_t count, missing;
};

struct listener {
    struct loop *loop;
    struct session *session;
    const struct options *options;
    struct link *link;
    struct listen_table table;
    struct answers *answers; /* of each entry */
    bool read;               /* that all was asked has been told */
};

/* ---- lines that are wrapped on a terminal ---- */

struct line {
    FILE *to;
    char *text;
    size_t size;
};

static void
line_begin(struct line *line)
{
    line->to = no_memory_stream(&line->text, &line->size);
}

static void
line_end(struct line *line, int rest)
{
    no_memory_stream_end(line->to);
    output_line(stdout, rest, line->text, NULL);
    free(line->text);
}

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
    [ROUTE_BAD_VALUE] = "a value that its law, range or parameter does not allow",
    [ROUTE_UNKNOWN_ADDRESS] = "no entry has this address",
    [ROUTE_OTHER_ARGUMENTS] = "an entry has this address, but other arguments",
    [ROUTE_NO_TYPES] = "no type tags, and no entry that says \"untyped\"",
};

static void
write_why_not(FILE *to, const struct listen_row *row)
{
    if (row->unread)
        fprintf(to, "cannot be read: %s", osc_reject_says(row->why));
    else
        fputs(why_not[row->result], to);
}

static void
print_row(const struct listener *listener, struct listen_row *row)
{
    char when[CLOCK_SIZE], rate[24] = "";
    struct line line;

    line_begin(&line);
    if (row->count > row->counted + 1 && row->counted > 0)
        snprintf(rate, sizeof rate, " (%llu/s)", (unsigned long long)(row->count - row->counted));
    fprintf(line.to, "%s %s %s%s%s  -> ", clock_time(when), row->address,
            *row->types ? row->types : "-", row->last, rate);
    if (!row->unread && row->result == ROUTE_TAKEN)
        write_values(line.to, listener, row);
    else
        write_why_not(line.to, row);
    line_end(&line, ROW_REST);
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
on_heard(void *context, const struct link_heard *heard)
{
    struct listener *listener = context;

    if (heard->result == ROUTE_TAKEN || heard->result == ROUTE_BAD_VALUE) {
        struct answers *answers = &listener->answers[heard->entry];

        answers->missing -= !answers->came[heard->place];
        answers->came[heard->place] = true;
    }
    listen_table_note(&listener->table, heard);
}

static void
on_unread(void *context, enum osc_reject why, const uint8_t *bytes, size_t length)
{
    struct listener *listener = context;
    struct osc_outline outline = osc_outline(bytes, length);

    if (outline.address)
        listen_table_note_unread(&listener->table, why, &outline, length);
}

static void
on_state(void *context, enum link_state from, enum link_state to, const char *why)
{
    struct listener *listener = context;
    struct link_figures figures = link_figures(listener->link);

    (void)from;
    if (to == LINK_STEADY && !listener->read && listener->options->ask)
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

/* ---- the end ---- */

/* "values[4] /in/{input}/x <input.trim>: 3 of 24 never came: /in/07/x, ..." */
static void
write_missing(FILE *to, const struct listener *listener, size_t number)
{
    const struct profile *profile = listener->session->profile;
    const struct answers *answers = &listener->answers[number];
    const struct entry *entry = &profile->entries[number];
    int shown = 0;

    fprintf(to, "    values[%zu] ", number);
    pattern_print(&entry->answer, entry, to);
    if (answers->missing == answers->count) {
        fprintf(to, ": none of %zu", answers->count);
        return;
    }
    fprintf(to, ": %zu of %zu:", answers->missing, answers->count);
    for (size_t place = 0; place < answers->count && shown < MISSING_SHOWN; place++) {
        int indexes[ENTRY_VARIABLES] = {0};
        char address[LISTEN_ADDRESS_SIZE];

        if (answers->came[place])
            continue;
        entry_indexes(profile, entry, entry->variable_count, place, indexes);
        pattern_address(&entry->answer, entry, indexes, address, sizeof address);
        fprintf(to, "%s %s", shown++ > 0 ? "," : "", address);
    }
    fputs(answers->missing > MISSING_SHOWN ? ", ..." : "", to);
}

static size_t
print_never_came(const struct listener *listener)
{
    struct line line;
    size_t entries = 0;

    for (size_t i = 0; i < listener->session->profile->entry_count; i++) {
        if (listener->answers[i].missing == 0)
            continue;
        if (entries++ == 0)
            puts("\nEntries that did not get all their answers:");
        line_begin(&line);
        write_missing(line.to, listener, i);
        line_end(&line, MISSING_REST);
    }
    return entries;
}

static int
print_summary(const struct listener *listener, const struct link_figures *figures)
{
    uint64_t messages = 0;
    size_t entries, groups;

    for (size_t i = 0; i < listener->table.count; i++)
        messages += listener->table.rows[i].count;
    printf("\n%llu messages from %zu addresses\n",
           (unsigned long long)(messages + listener->table.untabled), listener->table.count);
    if (listener->table.untabled > 0)
        output_format(0, 2, "%llu more messages had addresses beyond the %d that are kept",
                      (unsigned long long)listener->table.untabled, LISTEN_ADDRESSES);
    report_print_rejects(figures);
    if (listener->options->ask)
        report_never_heard(figures);
    entries = print_never_came(listener);
    if (entries > 0 && !listener->options->ask)
        output_wrapped(4, 4, "(nothing was asked: --ask sends the profile's questions)");
    groups = listen_suggest(&listener->table);
    if (entries == 0 && groups == 0)
        output_wrapped(0, 0, "Every entry got its answers, and every address has an entry.");
    output_finish();
    return entries == 0 && groups == 0 ? EXIT_CLEAN : EXIT_FINDINGS;
}

/* ---- running ---- */

static void
run(struct listener *listener)
{
    struct loop *loop = listener->loop;
    struct loop_timer *print = loop_timer_open(loop, on_print, listener);
    struct loop_timer *end = loop_timer_open(loop, on_end, listener);
    struct loop_signal *interrupt = loop_signal_open(loop, SIGINT, on_interrupt, listener);
    struct loop_signal *terminate = loop_signal_open(loop, SIGTERM, on_interrupt, listener);

    loop_timer_start(print, PRINT_MS, PRINT_MS);
    if (listener->options->for_s > 0)
        loop_timer_start(end, (int64_t)(listener->options->for_s * 1000), 0);
    loop_run(loop);
    on_print(listener);
    loop_timer_close(print);
    loop_timer_close(end);
    loop_signal_close(interrupt);
    loop_signal_close(terminate);
}

/* For free(), and each `came` before. */
static struct answers *
no_answers(const struct profile *profile)
{
    struct answers *list = need_memory(profile->entry_count, sizeof *list);

    for (size_t i = 0; i < profile->entry_count; i++) {
        const struct entry *entry = &profile->entries[i];
        size_t places = entry_places(profile, entry, entry->variable_count);

        list[i] = (struct answers){need_memory(places, sizeof(bool)), places, places};
    }
    return list;
}

static int
listen_to(struct session *session, const struct options *options)
{
    struct listener listener = {.loop = loop_new(),
                                .session = session,
                                .options = options,
                                .answers = no_answers(session->profile)};
    struct link_owner owner = {.changed = on_state,
                               .heard = on_heard,
                               .unread = on_unread,
                               .context = &listener,
                               .quiet = !options->ask};
    struct link_figures figures;
    int status;

    setvbuf(stdout, NULL, _IOLBF, 0);
    listen_table_init(&listener.table);
    listener.link = link_open(listener.loop, session->profile, session->engine, session->host,
                              session->port, owner);
    run(&listener);
    figures = link_figures(listener.link);
    link_close(listener.link);
    loop_free(listener.loop);
    status = print_summary(&listener, &figures);
    for (size_t i = 0; i < session->profile->entry_count; i++)
        free(listener.answers[i].came);
    free(listener.answers);
    listen_table_release(&listener.table);
    return status;
}

/* Who only listens, to a desk that wants no renewals, sends nothing at all. */
static bool
may_send(struct session *session, const struct options *options)
{
    return (!options->ask && session->profile->renewal_count == 0) ||
           agreement_begin(session, options);
}

int
command_listen(const struct options *options)
{
    struct session session;
    int status = EXIT_USAGE;

    if (session_load_afresh(&session, options, options->words[0], check_set_lasting()) &&
        own_port_is_free(&session.profile->link) && may_send(&session, options))
        status = listen_to(&session, options);
    session_release(&session);
    return status;
}
