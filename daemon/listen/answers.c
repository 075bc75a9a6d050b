/* SPDX-License-Identifier: MIT */
#include "listen/answers.h"

#include <stdlib.h>

#include "core/need.h"

enum { SHOWN = 8, ADDRESSES_SHOWN = 5, MISSING_SIZE = 400 };

void
answers_init(struct answers *answers, const struct profile *profile)
{
    answers->profile = profile;
    answers->entries = need_memory(profile->entry_count, sizeof *answers->entries);
    for (size_t i = 0; i < profile->entry_count; i++) {
        const struct entry *entry = &profile->entries[i];
        size_t places = entry_places(profile, entry, entry->variable_count);

        answers->entries[i] =
            (struct answers_entry){need_memory(places, sizeof(bool)), places, places};
    }
}

void
answers_release(struct answers *answers)
{
    for (size_t i = 0; i < answers->profile->entry_count; i++)
        free(answers->entries[i].came);
    free(answers->entries);
}

void
answers_note(struct answers *answers, size_t entry, size_t place)
{
    struct answers_entry *answer = &answers->entries[entry];

    answer->missing -= !answer->came[place];
    answer->came[place] = true;
}

/* Runs of them: "2, 3, 5 to 9". */
static void
write_numbers(const struct answers_entry *answer, int first, FILE *to)
{
    int shown = 0;

    for (size_t place = 0; place < answer->count; place++) {
        size_t last = place;

        if (answer->came[place])
            continue;
        while (last + 1 < answer->count && !answer->came[last + 1])
            last++;
        if (shown == SHOWN) {
            fputs(", ...", to);
            return;
        }
        fprintf(to, "%s %d", shown++ > 0 ? "," : "", (int)place + first);
        if (last > place)
            fprintf(to, "%s %d", last > place + 1 ? " to" : ",", (int)last + first);
        place = last;
    }
}

static void
write_index(const struct variable *variable, int index, const char *before, FILE *to)
{
    fprintf(to, "%s%s ", before, index_placeholder(variable->kind));
    if (variable->names)
        fputs(variable->names[index].text, to);
    else
        fprintf(to, "%d", index + variable->first);
}

static void
write_addresses(const struct answers *answers, size_t number, FILE *to)
{
    const struct profile *profile = answers->profile;
    const struct answers_entry *answer = &answers->entries[number];
    const struct entry *entry = &profile->entries[number];
    int shown = 0;

    for (size_t place = 0; place < answer->count && shown < ADDRESSES_SHOWN; place++) {
        int indexes[ENTRY_VARIABLES] = {0};
        char address[MISSING_SIZE];

        if (answer->came[place])
            continue;
        entry_indexes(profile, entry, entry->variable_count, place, indexes);
        pattern_address(&entry->answer, entry, indexes, address, sizeof address);
        fprintf(to, "%s %s", shown++ > 0 ? "," : "", address);
        for (int i = 0; i < entry->variable_count; i++)
            write_index(&entry->variables[i], indexes[i], i > 0 ? ", " : " (", to);
        fputs(entry->variable_count > 0 ? ")" : "", to);
    }
    fputs(answer->missing > ADDRESSES_SHOWN ? ", ..." : "", to);
}

void
answers_write_missing(const struct answers *answers, size_t number, FILE *to)
{
    const struct answers_entry *answer = &answers->entries[number];
    const struct entry *entry = &answers->profile->entries[number];

    fprintf(to, "    values[%zu] ", number);
    pattern_print(&entry->answer, entry, to);
    if (answer->missing == answer->count) {
        fprintf(to, ": none of %zu heard", answer->count);
        return;
    }
    fprintf(to, ": %zu of %zu heard, missing", answer->count - answer->missing, answer->count);
    if (entry->variable_count == 1 && !entry->variables[0].names)
        write_numbers(answer, entry->variables[0].first, to);
    else
        write_addresses(answers, number, to);
}
