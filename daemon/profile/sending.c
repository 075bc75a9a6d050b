/* SPDX-License-Identifier: MIT */
#include "profile/sending.h"

#include <stdlib.h>
#include <string.h>

#include "base/no_memory.h"
#include "base/output.h"
#include "core/need.h"

const char *const sending_promise[] = {
    "It only reads the desk: it sends what its profile says, and nothing else.",
    "A question without arguments to the address of its own answer needs nothing.",
    "Everything else (questions with an argument or answered elsewhere, renewals) is listed by "
    "`gainwarden check` with the numbers or names it is sent for.",
    "None of it leaves before somebody agreed: on the terminal, by `--yes`, or by the list's hash "
    "in the show file (`desk.agreed`).",
    "The profiles that ship are agreed to, and an agreement holds until something else would be "
    "sent.",
    "What carries more than indexes, or could reach an address that answers, is refused unless its "
    "entry says `this_only_asks`.",
    "No cue of `tell.osc` goes to a host where the watch reads a desk.",
    "What a message does on a desk, this program cannot know: let somebody who knows the desk read "
    "the list.",
    NULL,
};

/* ---- rows ---- */

static void
add_row(struct sending *sending, char *row)
{
    char **rows = need_more(sending->rows, (sending->count + 1), sizeof *rows);

    sending->rows = rows;
    sending->rows[sending->count++] = row;
}

static void
print_word(bool only_asks, FILE *to)
{
    if (only_asks)
        fputs(" (the profile says: this only asks)", to);
}

static void
add_question(struct sending *sending, const struct profile *profile, const struct entry *entry)
{
    char *row;
    size_t size;
    FILE *to = no_memory_stream(&row, &size);

    pattern_print(&entry->ask, entry, to);
    for (int i = 0; i < entry->asked_count; i++) {
        const struct variable *variable = &entry->variables[i];

        if (variable->names)
            fprintf(to, ", %s by name", index_name(variable->kind));
        else
            fprintf(to, ", %s %d to %d", index_placeholder(variable->kind), variable->first,
                    variable->first + profile->counts.of[variable->kind] - 1);
    }
    if (entry->echo > 0)
        fprintf(to, ", * %u to %zu", entry->echo,
                entry->echo + entry_places(profile, entry, entry->asked_count) - 1);
    fputs(", asked as needed", to);
    print_word(entry->this_only_asks, to);
    no_memory_stream_end(to);
    add_row(sending, row);
}

static void
add_renewal(struct sending *sending, const struct renewal *renewal)
{
    static const struct entry none = {0};
    char *row;
    size_t size;
    FILE *to = no_memory_stream(&row, &size);

    pattern_print(&renewal->send, &none, to);
    fprintf(to, ", every %.10g s", renewal->every_s);
    if (renewal->every_s > 1)
        fputs(" (each second while the desk is away)", to);
    print_word(renewal->this_only_asks, to);
    no_memory_stream_end(to);
    add_row(sending, row);
}

/* The names that a question is sent with, once for all questions. */
static void
add_names(struct sending *sending, const struct profile *profile, enum index_kind kind)
{
    char *row;
    size_t size;
    FILE *to = no_memory_stream(&row, &size);

    fprintf(to, "%s by name:", index_name(kind));
    names_print(profile->names[kind], profile->counts.of[kind], to);
    no_memory_stream_end(to);
    add_row(sending, row);
}

static bool
asks_by_name(const struct profile *profile, enum index_kind kind)
{
    for (size_t i = 0; i < profile->entry_count; i++) {
        const struct entry *entry = &profile->entries[i];

        for (int j = 0; entry->listed && j < entry->asked_count; j++)
            if (entry->variables[j].kind == kind && entry->variables[j].names)
                return true;
    }
    return false;
}

/* ---- the list ---- */

static int
compare(const void *one, const void *other)
{
    return strcmp(*(char *const *)one, *(char *const *)other);
}

/* Sorted, and each once: neither order nor repetition of entries is anything that is sent. */
static void
sort(struct sending *sending)
{
    size_t kept = 0;

    if (sending->count > 0)
        qsort(sending->rows, sending->count, sizeof *sending->rows, compare);
    for (size_t i = 0; i < sending->count; i++)
        if (kept > 0 && strcmp(sending->rows[kept - 1], sending->rows[i]) == 0)
            free(sending->rows[i]);
        else
            sending->rows[kept++] = sending->rows[i];
    sending->count = kept;
}

static void
add_hash(struct sending *sending)
{
    char *text;
    size_t size;
    FILE *to = no_memory_stream(&text, &size);

    fprintf(to, "%s\n", sending->travels);
    for (size_t i = 0; i < sending->count; i++)
        fprintf(to, "%s\n", sending->rows[i]);
    no_memory_stream_end(to);
    sha256_text(text, size, sending->hash);
    free(text);
}

void
sending_of(const struct profile *profile, struct sending *sending)
{
    static const char *const transports[] = {[TRANSPORT_UDP] = "over UDP",
                                             [TRANSPORT_TCP_SIZE] = "over TCP with sizes",
                                             [TRANSPORT_TCP_SLIP] = "over TCP with SLIP"};

    *sending = (struct sending){.count = 0};
    snprintf(sending->travels, sizeof sending->travels, "%s%s", transports[profile->link.transport],
             profile->link.untagged ? ", without type tags" : "");
    for (size_t i = 0; i < profile->entry_count; i++)
        if (profile->entries[i].listed)
            add_question(sending, profile, &profile->entries[i]);
    for (enum index_kind kind = INDEX_INPUT; kind < INDEX_KINDS; kind++)
        if (asks_by_name(profile, kind))
            add_names(sending, profile, kind);
    for (size_t i = 0; i < profile->renewal_count; i++)
        add_renewal(sending, &profile->renewals[i]);
    sort(sending);
    add_hash(sending);
}

void
sending_release(struct sending *sending)
{
    for (size_t i = 0; i < sending->count; i++)
        free(sending->rows[i]);
    free(sending->rows);
}

void
sending_print(const struct sending *sending, FILE *to)
{
    if (sending->count == 0) {
        output_line(to, 4,
                    "  sends nothing but questions without arguments at the address of their own "
                    "answer",
                    NULL);
        return;
    }
    output_line_format(
        to, 4,
        "  sends, besides questions without arguments at the address of their own answer, %s:",
        sending->travels);
    for (size_t i = 0; i < sending->count; i++)
        output_line_format(to, 6, "    %s", sending->rows[i]);
    output_line_format(
        to, 4, "  agreed to by --yes, or in the show file by \"desk\": { \"agreed\": \"%s\" }",
        sending->hash);
}
