/* SPDX-License-Identifier: MIT */
#include "profile/wording.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/need.h"

/* ---- an index ---- */

/* The index as it stands in an address or a text; the bytes needed without the NUL, as snprintf. */
static int
write_index(const struct variable *variable, int index, int width, char *buffer, size_t size)
{
    if (variable->names)
        return snprintf(buffer, size, "%s", variable->names[index].text);
    return snprintf(buffer, size, "%0*d", width, index + variable->first);
}

static struct argument
argument_of(const struct variable *variable, int index)
{
    const struct index_name *name = variable->names ? &variable->names[index] : NULL;

    if (name && name->is_text)
        return (struct argument){ARGUMENT_TEXT, 's', 0, name->text};
    return (struct argument){ARGUMENT_NUMBER, 'i', name ? name->number : index + variable->first,
                             NULL};
}

/* A number, also one that travels as text. */
static bool
number_of(const struct argument *argument, double *number)
{
    *number = argument->number;
    return argument->kind == ARGUMENT_TEXT ? law_parse_number(argument->text, number)
                                           : argument->kind == ARGUMENT_NUMBER;
}

static bool
find_name(const struct index_name *names, int count, const struct argument *argument, int *index)
{
    double number;
    bool has_number = number_of(argument, &number);

    for (*index = 0; *index < count; (*index)++) {
        const struct index_name *name = &names[*index];

        if (name->is_text
                ? argument->kind == ARGUMENT_TEXT && strcmp(name->text, argument->text) == 0
                : has_number && number == name->number)
            return true;
    }
    return false;
}

bool
wording_find(const struct variable *variable, int count, const struct argument *argument,
             int *index)
{
    double number;

    if (variable->names)
        return find_name(variable->names, count, argument, index);
    if (!number_of(argument, &number))
        return false;
    number -= variable->first;
    if (!(number >= 0 && number < count) || number != floor(number))
        return false;
    *index = (int)number;
    return true;
}

bool
wording_find_echo(const struct profile *profile, const struct entry *entry,
                  const struct argument *argument, size_t *place)
{
    size_t places = entry_places(profile, entry, entry->asked_count);
    double number;

    if (!number_of(argument, &number) || number != floor(number) ||
        !(number >= entry->echo && number < (double)(entry->echo + places)))
        return false;
    *place = (size_t)(number - entry->echo);
    return true;
}

/* ---- putting together ---- */

size_t
wording_write(const struct piece *pieces, size_t count, const struct entry *entry,
              const int indexes[ENTRY_VARIABLES], char *buffer, size_t size)
{
    size_t used = 0;

    for (size_t i = 0; i < count; i++) {
        const struct piece *piece = &pieces[i];
        char *to = used < size ? buffer + used : NULL;
        size_t room = used < size ? size - used : 0;

        used +=
            (size_t)(piece->text ? snprintf(to, room, "%s", piece->text)
                                 : write_index(&entry->variables[piece->variable],
                                               indexes[piece->variable], piece->width, to, room));
    }
    return used;
}

/* The text, to free(). */
static char *
text_of(const struct element *element, const struct entry *entry,
        const int indexes[ENTRY_VARIABLES])
{
    char none[1];
    size_t size =
        1 + wording_write(element->pieces, element->piece_count, entry, indexes, none, sizeof none);
    char *text = need_memory(size, 1);

    wording_write(element->pieces, element->piece_count, entry, indexes, text, size);
    return text;
}

static struct argument
echo_of(const struct profile *profile, const struct entry *entry,
        const int indexes[ENTRY_VARIABLES])
{
    size_t place = entry_place(profile, entry, entry->asked_count, indexes);

    return (struct argument){ARGUMENT_NUMBER, 'i', (double)(entry->echo + place), NULL};
}

struct argument
wording_argument(const struct profile *profile, const struct element *element,
                 const struct entry *entry, const int indexes[ENTRY_VARIABLES])
{
    switch (element->kind) {
    case ELEMENT_INDEX:
        return argument_of(&entry->variables[element->variable], indexes[element->variable]);
    case ELEMENT_ECHO:
        return echo_of(profile, entry, indexes);
    case ELEMENT_WORDING:
        return (struct argument){ARGUMENT_TEXT, 's', 0, text_of(element, entry, indexes)};
    case ELEMENT_LITERAL:
    case ELEMENT_ANY:
    case ELEMENT_VALUE:
        break;
    }
    return element->literal;
}

void
wording_free_argument(const struct element *element, struct argument *argument)
{
    if (element->kind == ELEMENT_WORDING)
        free((char *)(uintptr_t)argument->text);
}

void
wording_arguments(const struct profile *profile, const struct pattern *pattern,
                  const struct entry *entry, const int indexes[ENTRY_VARIABLES],
                  struct argument *arguments)
{
    for (size_t i = 0; i < pattern->count; i++)
        arguments[i] = wording_argument(profile, &pattern->elements[i], entry, indexes);
}

void
wording_free_arguments(const struct pattern *pattern, struct argument *arguments)
{
    for (size_t i = 0; i < pattern->count; i++)
        wording_free_argument(&pattern->elements[i], &arguments[i]);
}

/* ---- taking apart ---- */

struct matching {
    const struct piece *end;
    const struct entry *entry;
    const struct desk_counts *counts;
    int *indexes;
};

static bool match_from(const struct matching *matching, const struct piece *piece,
                       const char *text);

/* Goes on behind `length` bytes that mean this index. */
static bool
match_index(const struct matching *matching, const struct piece *piece, int index, const char *rest)
{
    int *known = &matching->indexes[piece->variable], before = *known;

    if (before >= 0 && before != index)
        return false;
    *known = index;
    if (match_from(matching, piece + 1, rest))
        return true;
    *known = before;
    return false;
}

static bool
match_name(const struct matching *matching, const struct piece *piece, const char *text)
{
    const struct variable *variable = &matching->entry->variables[piece->variable];
    int count = matching->counts->of[variable->kind];

    for (int i = 0; i < count; i++) {
        size_t length = strlen(variable->names[i].text);

        if (strncmp(text, variable->names[i].text, length) == 0 &&
            match_index(matching, piece, i, text + length))
            return true;
    }
    return false;
}

/* Digits as the piece writes them, the longest first. */
static bool
match_number(const struct matching *matching, const struct piece *piece, const char *text)
{
    const struct variable *variable = &matching->entry->variables[piece->variable];
    int count = matching->counts->of[variable->kind];
    size_t digits = strspn(text, "0123456789");

    for (size_t length = digits < 9 ? digits : 9; length > 0; length--) {
        char number[10], again[10];
        int index;

        snprintf(number, sizeof number, "%.*s", (int)length, text);
        index = (int)strtol(number, NULL, 10) - variable->first;
        if (index < 0 || index >= count)
            continue;
        write_index(variable, index, piece->width, again, sizeof again);
        if (strcmp(number, again) == 0 && match_index(matching, piece, index, text + length))
            return true;
    }
    return false;
}

static bool
match_from(const struct matching *matching, const struct piece *piece, const char *text)
{
    size_t length;

    if (piece == matching->end)
        return !*text;
    if (!piece->text)
        return matching->entry->variables[piece->variable].names
                   ? match_name(matching, piece, text)
                   : match_number(matching, piece, text);
    length = strlen(piece->text);
    return strncmp(text, piece->text, length) == 0 &&
           match_from(matching, piece + 1, text + length);
}

bool
wording_match(const struct piece *pieces, size_t count, const struct entry *entry,
              const struct desk_counts *counts, const char *text, int indexes[ENTRY_VARIABLES])
{
    const struct matching matching = {pieces + count, entry, counts, indexes};

    return match_from(&matching, pieces, text);
}
