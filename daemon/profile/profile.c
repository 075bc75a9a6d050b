/* SPDX-License-Identifier: MIT */
#include "profile/profile.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/escape.h"

static void
pattern_release(struct pattern *pattern)
{
    for (size_t i = 0; i < pattern->pieces; i++)
        free(pattern->address[i].text);
    for (size_t i = 0; i < pattern->count; i++) {
        law_release(&pattern->elements[i].law);
        free((char *)(uintptr_t)pattern->elements[i].literal.text);
    }
    free(pattern->address);
    free(pattern->elements);
}

void
profile_free(struct profile *profile)
{
    if (!profile)
        return;
    for (size_t i = 0; i < profile->entry_count; i++) {
        pattern_release(&profile->entries[i].ask);
        pattern_release(&profile->entries[i].answer);
        free(profile->entries[i].untyped);
    }
    for (size_t i = 0; i < profile->renewal_count; i++)
        pattern_release(&profile->renewals[i].send);
    free(profile->entries);
    free(profile->renewals);
    free(profile->fixed);
    free(profile->desk);
    json_free(profile->json);
    free(profile);
}

/* The narrower of what the law and the entry's range say. */
static void
supply_value(struct desk *desk, const struct element *element)
{
    struct travel travel = law_travel(&element->law);

    if (!isnan(element->range.least))
        travel = element->range;
    desk_supply(desk, element->param, SUPPLY_HEARD);
    desk_set_travel(desk, element->param, travel);
    desk_set_step(desk, element->param, element->step);
}

struct desk *
profile_desk(const struct profile *profile)
{
    struct desk *desk = desk_new(&profile->counts);

    desk_set_filters(desk, profile->filters);
    for (size_t i = 0; i < profile->entry_count; i++) {
        const struct pattern *answer = &profile->entries[i].answer;

        for (size_t j = 0; j < answer->count; j++)
            if (answer->elements[j].kind == ELEMENT_VALUE)
                supply_value(desk, &answer->elements[j]);
    }
    for (size_t i = 0; i < profile->fixed_count; i++)
        desk_fix(desk, profile->fixed[i].param, profile->fixed[i].number);
    return desk;
}

size_t
entry_places(const struct profile *profile, const struct entry *entry, int variables)
{
    size_t places = 1;

    for (int i = 0; i < variables; i++)
        places *= (size_t)profile->counts.of[entry->variables[i].kind];
    return places;
}

void
entry_indexes(const struct profile *profile, const struct entry *entry, int variables, size_t place,
              int indexes[ENTRY_VARIABLES])
{
    for (int i = variables - 1; i >= 0; i--) {
        size_t count = (size_t)profile->counts.of[entry->variables[i].kind];

        indexes[i] = (int)(place % count);
        place /= count;
    }
}

size_t
entry_place(const struct profile *profile, const struct entry *entry, int variables,
            const int indexes[ENTRY_VARIABLES])
{
    size_t place = 0;

    for (int i = 0; i < variables; i++)
        place = place * (size_t)profile->counts.of[entry->variables[i].kind] + (size_t)indexes[i];
    return place;
}

size_t
pattern_address(const struct pattern *pattern, const struct entry *entry,
                const int indexes[ENTRY_VARIABLES], char *buffer, size_t size)
{
    size_t used = 0;

    for (size_t i = 0; i < pattern->pieces; i++) {
        const struct piece *piece = &pattern->address[i];
        char *to = used < size ? buffer + used : NULL;
        size_t room = used < size ? size - used : 0;
        int more =
            piece->text
                ? snprintf(to, room, "%s", piece->text)
                : snprintf(to, room, "%0*d", piece->width,
                           indexes[piece->variable] + entry->variables[piece->variable].first);

        used += (size_t)more;
    }
    return used;
}

/* Text as in JSON; a whole number has no point, a broken one has, to the last bit of a float. */
static void
literal_print(const struct argument *literal, FILE *to)
{
    char number[40];
    struct json *text;
    char *quoted;

    if (literal->kind == ARGUMENT_TEXT) {
        text = json_new_string(literal->text);
        quoted = json_print(text, false);
        escape_print(to, quoted);
        free(quoted);
        json_free(text);
    } else if (literal->kind == ARGUMENT_SWITCH) {
        fputs(literal->number != 0 ? "true" : "false", to);
    } else {
        snprintf(number, sizeof number, literal->type == 'i' ? "%.0f" : "%.9g", literal->number);
        fprintf(to, "%s%s", number, literal->type == 'i' || strpbrk(number, ".en") ? "" : ".0");
    }
}

static void
index_print(const struct entry *entry, int variable, int width, FILE *to)
{
    fprintf(to, "{%s", index_placeholder(entry->variables[variable].kind));
    if (width > 0)
        fprintf(to, ":%d", width);
    fputc('}', to);
}

static void
element_print(const struct element *element, const struct entry *entry, FILE *to)
{
    switch (element->kind) {
    case ELEMENT_LITERAL:
        literal_print(&element->literal, to);
        break;
    case ELEMENT_INDEX:
        index_print(entry, element->variable, 0, to);
        break;
    case ELEMENT_ANY:
        fputc('*', to);
        break;
    case ELEMENT_VALUE:
        fprintf(to, "<%s%s>", params[element->param].name,
                element->each != INDEX_NONE ? "..." : "");
        break;
    }
}

void
pattern_print(const struct pattern *pattern, const struct entry *entry, FILE *to)
{
    for (size_t i = 0; i < pattern->pieces; i++) {
        const struct piece *piece = &pattern->address[i];

        if (piece->text)
            escape_print(to, piece->text);
        else
            index_print(entry, piece->variable, piece->width, to);
    }
    for (size_t i = 0; i < pattern->count; i++) {
        fputc(' ', to);
        element_print(&pattern->elements[i], entry, to);
    }
}
