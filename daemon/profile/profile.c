/* SPDX-License-Identifier: MIT */
#include "profile/profile.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/escape.h"
#include "profile/wording.h"

static void
pieces_release(struct piece *pieces, size_t count)
{
    for (size_t i = 0; i < count; i++)
        free(pieces[i].text);
    free(pieces);
}

static void
pattern_release(struct pattern *pattern)
{
    pieces_release(pattern->address, pattern->pieces);
    for (size_t i = 0; i < pattern->count; i++) {
        struct element *element = &pattern->elements[i];

        law_release(&element->law);
        free((char *)(uintptr_t)element->literal.text);
        pieces_release(element->pieces, element->piece_count);
        pieces_release(element->label, element->label_pieces);
    }
    free(pattern->elements);
}

static void
names_release(struct index_name *names, int count)
{
    for (int i = 0; names && i < count; i++)
        free(names[i].text);
    free(names);
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
    for (enum index_kind kind = 0; kind < INDEX_KINDS; kind++)
        names_release(profile->names[kind], profile->counts.of[kind]);
    free(profile->entries);
    free(profile->renewals);
    free(profile->fixed);
    free(profile->desk);
    json_free(profile->json);
    free(profile);
}

/* What the entry's range says, or else the law. A parameter has one pair of end stops: where two
 * entries, each for some of its objects, differ in them, none is known. */
static void
supply_value(struct desk *desk, const struct element *element, bool *supplied)
{
    struct travel travel = law_travel(&element->law), before = desk_travel(desk, element->param);
    double step = element->step;

    if (!isnan(element->range.least))
        travel = element->range;
    if (*supplied && !(travel.least == before.least && travel.most == before.most))
        travel = (struct travel){NAN, NAN};
    if (*supplied)
        step = fmax(step, desk_step(desk, element->param));
    *supplied = true;
    desk_supply(desk, element->param, SUPPLY_HEARD);
    desk_set_travel(desk, element->param, travel);
    desk_set_step(desk, element->param, step);
}

struct desk *
profile_desk(const struct profile *profile)
{
    struct desk *desk = desk_new(&profile->counts);
    bool supplied[PARAMS] = {false};

    desk_set_filters(desk, profile->filters);
    for (size_t i = 0; i < profile->entry_count; i++) {
        const struct pattern *answer = &profile->entries[i].answer;

        for (size_t j = 0; j < answer->count; j++)
            if (answer->elements[j].kind == ELEMENT_VALUE &&
                !param_is_of_spectrum(answer->elements[j].param))
                supply_value(desk, &answer->elements[j], &supplied[answer->elements[j].param]);
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

bool
pattern_is_bare(const struct pattern *pattern)
{
    return pattern->pieces > 0 && (!pattern->address[0].text || pattern->address[0].text[0] != '/');
}

size_t
pattern_address(const struct pattern *pattern, const struct entry *entry,
                const int indexes[ENTRY_VARIABLES], char *buffer, size_t size)
{
    return wording_write(pattern->address, pattern->pieces, entry, indexes, buffer, size);
}

/* As in JSON, but for the quotes. */
static void
text_print(const char *text, FILE *to)
{
    struct json *json = json_new_string(text);
    char *quoted = json_print(json, false);

    quoted[strlen(quoted) - 1] = '\0';
    escape_print(to, quoted + 1);
    free(quoted);
    json_free(json);
}

static void
quoted_print(const char *text, FILE *to)
{
    fputc('"', to);
    text_print(text, to);
    fputc('"', to);
}

/* A whole number has no point, a broken one has, to the last bit of a float. */
static void
literal_print(const struct argument *literal, FILE *to)
{
    char number[40];

    if (literal->kind == ARGUMENT_TEXT) {
        quoted_print(literal->text, to);
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

/* An index in a text that travels as one is told from one that is an argument by the quotes. */
static void
wording_print(const struct piece *pieces, size_t count, const struct entry *entry, FILE *to)
{
    fputc('"', to);
    for (size_t i = 0; i < count; i++) {
        const struct piece *piece = &pieces[i];

        if (piece->text)
            text_print(piece->text, to);
        else
            index_print(entry, piece->variable, piece->width, to);
    }
    fputc('"', to);
}

static void
element_print(const struct element *element, const struct entry *entry, FILE *to)
{
    if (element->form != LABELS_NONE) {
        wording_print(element->label, element->label_pieces, entry, to);
        fputc(':', to);
    }
    switch (element->kind) {
    case ELEMENT_LITERAL:
        literal_print(&element->literal, to);
        break;
    case ELEMENT_INDEX:
        index_print(entry, element->variable, 0, to);
        break;
    case ELEMENT_WORDING:
        wording_print(element->pieces, element->piece_count, entry, to);
        break;
    case ELEMENT_ECHO:
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
names_print(const struct index_name *names, int count, FILE *to)
{
    for (int i = 0; i < count; i++) {
        fputc(' ', to);
        if (names[i].is_text)
            quoted_print(names[i].text, to);
        else
            fputs(names[i].text, to);
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
        if (!pattern->elements[i].shares)
            fputc(' ', to);
        element_print(&pattern->elements[i], entry, to);
    }
}
