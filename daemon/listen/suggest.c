/* SPDX-License-Identifier: MIT */
#include "listen/suggest.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/json.h"
#include "base/no_memory.h"
#include "base/output.h"
#include "base/text_format.h"
#include "core/need.h"
#include "listen/group.h"

enum { REST = 8, INDEXES_SIZE = 120 };

static bool
has_no_entry(const struct listen_row *row)
{
    return !row->unread && row->result == ROUTE_UNKNOWN_ADDRESS;
}

static bool
is_read(const struct listen_row *row)
{
    return !row->unread;
}

static void
print_behind(const struct group *group, FILE *to)
{
    char indexes[INDEXES_SIZE];
    struct text text;

    text_init(&text, indexes, sizeof indexes);
    group_write_indexes(group, &text);
    fprintf(to, "    %zu address%s%s%s", group->rows, group->rows == 1 ? "" : "es",
            *indexes ? ": " : "", indexes);
}

/* As people write it: a blank behind each colon and comma, and inside the braces. */
static void
write_spaced(FILE *to, const char *json)
{
    bool quoted = false;

    for (; *json; json++) {
        quoted ^= *json == '"';
        fprintf(to, "%s%c%s", !quoted && *json == '}' ? " " : "", *json,
                !quoted && strchr(":,{", *json) ? " " : "");
    }
}

static void
write_entry(FILE *to, const struct group *group)
{
    struct json *value = json_new_object(), *entry;
    char *text;

    json_add_string(value, "is", group->param < PARAMS ? params[group->param].name : "...");
    entry = group_entry(group, value);
    text = json_print(entry, false);
    write_spaced(to, text);
    free(text);
    json_free(entry);
}

static void
print_entry(const struct group *group)
{
    const char *why = group_why_not(group);
    size_t size;
    char *line;
    FILE *to = no_memory_stream(&line, &size);

    fputs("    ", to);
    if (why)
        fprintf(to, "no entry can be written for \"%s\": %s", group->row->address, why);
    else
        write_entry(to, group);
    print_behind(group, to);
    fprintf(to, ", last %s%s", *group->row->types ? group->row->types : "-", group->row->last);
    no_memory_stream_end(to);
    output_line(stdout, REST, line, NULL);
    free(line);
}

static void
say_more(size_t groups)
{
    if (groups > GROUPS_KEPT)
        output_format(4, REST, "and %zu kinds more, of fewer addresses", groups - GROUPS_KEPT);
}

size_t
suggest_entries(const struct listen_table *table)
{
    struct group *groups = need_memory(GROUPS_KEPT, sizeof *groups);
    size_t count = groups_of(table, has_no_entry, groups);

    if (count > 0)
        output_format(0, 0,
                      "\nAddresses that no entry covers, and an entry for each to look at. \"is\" "
                      "is a guess; a law is needed where the value is not in the parameter's "
                      "unit:");
    for (size_t i = 0; i < count && i < GROUPS_KEPT; i++)
        print_entry(&groups[i]);
    say_more(count);
    free(groups);
    return count;
}

/* ---- turned down ---- */

void
suggest_refused(const struct listen_table *table, size_t entries)
{
    size_t *rows = need_memory(entries, sizeof *rows);
    const struct listen_row **first = need_memory(entries, sizeof *first);
    bool begun = false;

    for (size_t i = 0; i < table->count; i++) {
        const struct listen_row *row = &table->rows[i];

        if (row->result == ROUTE_BAD_VALUE && rows[row->entry]++ == 0)
            first[row->entry] = row;
    }
    for (size_t i = 0; i < entries; i++) {
        if (rows[i] == 0)
            continue;
        if (!begun)
            puts("\nValues that were turned down:");
        begun = true;
        output_format(4, REST, "values[%zu] %s %s%s: %s (%zu address%s)", i, first[i]->address,
                      first[i]->types, first[i]->last, first[i]->why, rows[i],
                      rows[i] == 1 ? "" : "es");
    }
    free(rows);
    free(first);
}

/* ---- by pattern ---- */

static void
write_range(struct listen_range range, FILE *to)
{
    fprintf(to, "%g", range.low);
    if (range.high > range.low)
        fprintf(to, " to %g", range.high);
}

/* Of each argument that is no index; of a run all together. */
static void
write_ranges(const struct group *group, FILE *to)
{
    const char *comma = "";

    for (size_t i = (size_t)group->counting; i < group->arguments && i < LISTEN_ARGUMENTS; i++) {
        if (isnan(group->range[i].low) || (group->run && i > 0))
            continue;
        fputs(comma, to);
        write_range(group->range[i], to);
        comma = ", ";
    }
    if (group->named)
        fprintf(to, "%ssuch as%s", comma, group->row->last);
}

static void
print_pattern(const struct group *group, double seconds)
{
    char address[2 * ADDRESS_SIZE], *line;
    double rate = (double)group->messages / fmax(seconds, 1);
    size_t size;
    FILE *to = no_memory_stream(&line, &size);

    group_address(group, address, sizeof address);
    fprintf(to, "    %s  %s  ", address, *group->row->types ? group->row->types : "-");
    write_ranges(group, to);
    print_behind(group, to);
    if (rate >= 1)
        fprintf(to, ", %.0f/s", rate);
    if (group->param < PARAMS)
        fprintf(to, "; may be %s", params[group->param].name);
    no_memory_stream_end(to);
    output_line(stdout, REST, line, NULL);
    free(line);
}

void
suggest_patterns(const struct listen_table *table, double seconds)
{
    struct group *groups = need_memory(GROUPS_KEPT, sizeof *groups);
    size_t count = groups_of(table, is_read, groups);

    if (count > 0)
        puts("\nWhat came, by pattern:");
    for (size_t i = 0; i < count && i < GROUPS_KEPT; i++)
        print_pattern(&groups[i], seconds);
    say_more(count);
    free(groups);
}
