/* SPDX-License-Identifier: MIT */
#include "command/listening.h"

#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

#include "base/no_memory.h"
#include "base/output.h"
#include "listen/begun.h"
#include "listen/start.h"
#include "listen/suggest.h"
#include "report/report.h"

enum { REST = 8 };

static void
print_missing(const struct answers *answers, size_t entry)
{
    char *line;
    size_t size;
    FILE *to = no_memory_stream(&line, &size);

    answers_write_missing(answers, entry, to);
    no_memory_stream_end(to);
    output_line(stdout, REST, line, NULL);
    free(line);
}

static size_t
print_never_came(const struct listener *listener)
{
    size_t entries = 0;

    for (size_t i = 0; i < listener->session->profile->entry_count; i++) {
        if (listener->answers.entries[i].missing == 0)
            continue;
        if (entries++ == 0)
            puts("\nEntries that did not get all their answers:");
        print_missing(&listener->answers, i);
    }
    return entries;
}

static void
print_unread(const struct unread *unread)
{
    if (unread->count > 0)
        puts("\nCould not be read:");
    for (size_t i = 0; i < unread->count; i++)
        output_format(4, REST, "%s: %s, %llu time%s", unread->rows[i].text,
                      osc_reject_says(unread->rows[i].why),
                      (unsigned long long)unread->rows[i].count,
                      unread->rows[i].count == 1 ? "" : "s");
    if (unread->more > 0)
        output_format(4, REST, "and %llu more of other kinds", (unsigned long long)unread->more);
}

static void
print_messages(const struct listener *listener)
{
    const struct listen_table *table = &listener->table;
    uint64_t messages = table->untabled;

    for (size_t i = 0; i < table->count; i++)
        messages += table->rows[i].count;
    printf("\n%llu messages from %zu addresses\n", (unsigned long long)messages, table->count);
    if (table->forgotten > 0)
        output_format(0, 2,
                      "%llu addresses that were heard once are not among them: more came than the "
                      "%d that are kept",
                      (unsigned long long)table->forgotten, LISTEN_ADDRESSES);
    else if (table->untabled > 0)
        output_format(0, 2, "%llu more messages had addresses beyond the %d that are kept",
                      (unsigned long long)table->untabled, LISTEN_ADDRESSES);
}

/* What the profile makes of it. */
static int
print_of_profile(const struct listener *listener, const struct link_figures *figures)
{
    size_t entries, groups;

    report_print_rejects(figures);
    if (listener->options->ask)
        report_never_heard(figures);
    entries = print_never_came(listener);
    if (entries > 0 && !listener->options->ask)
        output_wrapped(4, 4, "(nothing was asked: --ask sends the profile's questions)");
    suggest_refused(&listener->table, listener->session->profile->entry_count);
    groups = suggest_entries(&listener->table);
    if (entries == 0 && groups == 0)
        output_wrapped(0, 0, "Every entry got its answers, and every address has an entry.");
    return entries == 0 && groups == 0 ? EXIT_CLEAN : EXIT_FINDINGS;
}

static bool
write_new(const struct json *profile, const char *path)
{
    if (access(path, F_OK) != 0)
        return begun_write(profile, path);
    fprintf(stderr, "gainwarden: %s: is there already, and is not replaced\n", path);
    return false;
}

/* A profile to start from, where there was none. */
static int
print_start(const struct listener *listener)
{
    const struct session *session = listener->session;
    const struct options *options = listener->options;
    int port = session->port, status = EXIT_FINDINGS;
    struct json *profile =
        begun_new("My desk", port, options->port, json_get(session->profile->json, "renew"));

    suggest_patterns(&listener->table,
                     (double)(loop_now_ms(listener->loop) - listener->begun_ms) / 1000);
    if (start_profile(&listener->table, profile) == 0) {
        output_format(0, 0,
                      "\nNothing came whose meaning its address tells, so there is no profile to "
                      "start from.");
    } else {
        output_format(0, 0,
                      "\nA profile to start from. \"is\" is guessed from the words of the "
                      "address, and counts are what was heard: look at each. It asks nothing: "
                      "where the desk answers at the address that is asked, write \"at\". Where "
                      "a law is to be found, the value stays not known until you write what its "
                      "numbers stand for:");
        json_put(profile);
        if (port == BEGUN_NO_PORT)
            output_wrapped(0, 0, "Nobody said at which port the desk listens: 9 stands there.");
        if (options->save && !write_new(profile, options->save))
            status = EXIT_USAGE;
    }
    json_free(profile);
    return status;
}

int
listening_end(const struct listener *listener, const struct link_figures *figures)
{
    int status;

    print_messages(listener);
    if (listener->made) /* else it is among what was refused */
        print_unread(&listener->unread);
    status = listener->made ? print_start(listener) : print_of_profile(listener, figures);
    output_finish();
    return status;
}
