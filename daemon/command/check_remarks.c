/* SPDX-License-Identifier: MIT */
#include "command/check_remarks.h"

#include <stdlib.h>
#include <string.h>

#include "base/no_memory.h"
#include "base/output.h"
#include "check/check.h"
#include "profile/overlap.h"

enum { BARE_SHOWN = 5, REST = 4 };

/* ---- entries in vain ---- */

static void
print_overlap(void *context, const struct overlap *overlap)
{
    FILE *to = context;

    switch (overlap->kind) {
    case OVERLAP_COVERED:
        output_line_format(to, REST,
                           "  values[%zu] can never be reached: values[%zu] takes the same message "
                           "for the same value",
                           overlap->entry, overlap->other);
        break;
    case OVERLAP_ARGUMENT:
        output_line_format(to, REST,
                           "  values[%zu] takes the same argument of the same message as "
                           "values[%zu]: here it is %s, there %s",
                           overlap->entry, overlap->other, params[overlap->param].name,
                           params[overlap->other_param].name);
        break;
    case OVERLAP_NEVER:
        output_line_format(to, REST,
                           "  values[%zu] can never be reached: a text that must be in its answer "
                           "is no text by \"untyped\", or a number no number",
                           overlap->entry);
        break;
    }
}

/* ---- addresses ---- */

static void
print_bare(const struct entry *entry, size_t number, FILE *to)
{
    char *text;
    size_t size;
    FILE *pattern = no_memory_stream(&text, &size);

    pattern_print(&entry->answer, entry, pattern);
    no_memory_stream_end(pattern);
    output_line_format(to, REST,
                       "  values[%zu] %s: its address has no / before it, and others have one",
                       number, text);
    free(text);
}

/* Some desks speak so in all they say; in a profile that has both it is more likely a slip. */
static void
print_slashes(const struct profile *profile, FILE *to)
{
    size_t bare = 0, shown = 0;

    for (size_t i = 0; i < profile->entry_count; i++)
        bare += pattern_is_bare(&profile->entries[i].answer);
    if (bare == profile->entry_count)
        output_line_format(to, REST,
                           "  no answer's address begins with /: few desks speak so, see that "
                           "yours does");
    for (size_t i = 0; i < profile->entry_count && bare < profile->entry_count; i++)
        if (pattern_is_bare(&profile->entries[i].answer) && shown++ < BARE_SHOWN)
            print_bare(&profile->entries[i], i, to);
    if (shown > BARE_SHOWN)
        output_line_format(to, REST, "  and %zu more addresses without /", shown - BARE_SHOWN);
}

/* ---- what the checks need ---- */

struct need {
    enum param_id id;
    int checks, weight; /* how many read it; what is put right first weighs more */
};

static bool
is_in(const enum param_id *list, enum param_id id)
{
    while (*list != PARAMS && *list != id)
        list++;
    return *list == id;
}

static struct need
need_of(const struct profile *profile, enum param_id id)
{
    bool hears_spectra = profile->counts.of[INDEX_MIX_SPECTRUM_BAND] > 0;
    struct need need = {id, 0, 0};

    for (int i = 0; i < CHECKS; i++) {
        const struct check *check = check_set_all.of[i];

        if (check->of_spectra && !hears_spectra)
            continue;
        if (!is_in(check->reads, id) && !is_in(check_reads(check, true), id))
            continue;
        need.checks++;
        need.weight += SUBJECTS - (int)check->subject;
    }
    return need;
}

/* What is heaviest first, then in the order of the table. */
static int
compare(const void *one, const void *other)
{
    const struct need *a = one, *b = other;

    if (a->weight != b->weight)
        return a->weight > b->weight ? -1 : 1;
    return a->id < b->id ? -1 : a->id > b->id;
}

/* Graphic equalisers of the usual widths stand at the usual centres. */
static bool
is_known_without(const struct profile *profile, enum param_id id)
{
    int bands = profile->counts.of[INDEX_MIX_GRAPHIC_BAND];

    return id == PARAM_MIX_GRAPHIC_BAND_FREQ && (bands == 31 || bands == 10);
}

/* A desk without groups has nothing of them; bands that were not counted are yet to be described. */
static bool
is_needed(const struct profile *profile, const struct desk *desk, enum param_id id,
          enum supply supply)
{
    return desk_supplied(desk, id) == supply && !is_known_without(profile, id) &&
           (params[id].row != INDEX_GROUP || profile->counts.of[INDEX_GROUP] > 0) &&
           (params[id].column != INDEX_GROUP || profile->counts.of[INDEX_GROUP] > 0);
}

static void
print_needs(const struct profile *profile, const struct desk *desk, enum supply supply,
            const char *lead, FILE *to)
{
    struct need needs[PARAMS];
    size_t count = 0, size;
    char *text;
    FILE *line = no_memory_stream(&text, &size);

    for (enum param_id id = 0; id < PARAMS; id++) {
        struct need need = need_of(profile, id);

        if (need.checks > 0 && is_needed(profile, desk, id, supply))
            needs[count++] = need;
    }
    if (count > 0)
        qsort(needs, count, sizeof *needs, compare);
    for (size_t i = 0; i < count; i++)
        fprintf(line, "%s %s (%d)", i > 0 ? "," : "", params[needs[i].id].name, needs[i].checks);
    no_memory_stream_end(line);
    if (count > 0)
        output_line_format(to, REST, "  %s%s", lead, text);
    free(text);
}

void
check_remarks(const struct profile *profile, FILE *to)
{
    struct desk *desk = profile_desk(profile);

    overlap_find(profile, print_overlap, to);
    print_slashes(profile, to);
    print_needs(profile, desk, SUPPLY_NONE,
                "not given, most useful first (how many checks read it):", to);
    print_needs(profile, desk, SUPPLY_ABSENT, "taken as absent, because it is not named:", to);
    desk_free(desk);
}
