/* SPDX-License-Identifier: MIT */
#include "phrase.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "blob.h"
#include "labelled.h"
#include "line.h"

/* What one message says. */
struct sayings {
    size_t index_count;
    char indices[2][NAME_SIZE];
    size_t count;
    struct item items[ITEMS_LIMIT];
};

/* How many objects of the run belong to one object of the phrase. */
static size_t
run_length(const struct phrase *phrase, const struct state *state)
{
    size_t objects = state_objects(state, phrase->scope);

    return objects > 0 ? state_objects(state, phrase->run_scope) / objects : 0;
}

bool
phrase_holds(const struct phrase *phrase, const struct state *state, const struct field *field,
             size_t *object)
{
    if (phrase->only == field || (phrase->whole && phrase->scope == field->scope) ||
        phrase->pair[0] == field || phrase->pair[1] == field)
        return true;
    if (phrase->run != field)
        return false;
    *object /= run_length(phrase, state);
    return true;
}

static void
add_item(struct sayings *sayings, const struct field *field, size_t object)
{
    if (sayings->count < ITEMS_LIMIT)
        sayings->items[sayings->count++] = (struct item){field, object};
}

static void
list_items(const struct phrase *phrase, const struct state *state, size_t object,
           struct sayings *sayings)
{
    size_t length = phrase->run ? run_length(phrase, state) : 0;

    if (phrase->only)
        add_item(sayings, phrase->only, object);
    for (size_t i = 0; phrase->whole && i < fields_count; i++)
        if (all_fields[i].scope == phrase->scope)
            add_item(sayings, &all_fields[i], object);
    for (size_t i = 0; i < length; i++)
        add_item(sayings, phrase->run, object * length + i);
}

static void
list_indices(const struct phrase *phrase, const struct state *state, size_t object,
             const struct manner *manner, struct sayings *sayings)
{
    const struct scope_row *row = &scope_rows[phrase->scope];

    if (strchr(phrase->answer, '#'))
        return;
    if (row->outer != COUNTS)
        naming_write(manner->naming, row->outer, state_outer(state, phrase->scope, object),
                     manner->first, sayings->indices[sayings->index_count++]);
    if (row->inner != COUNTS)
        naming_write(manner->naming, row->inner, state_inner(state, phrase->scope, object),
                     manner->first, sayings->indices[sayings->index_count++]);
}

static void
write_line(const struct phrase *phrase, const struct state *state, const struct sayings *sayings,
           struct draft *draft)
{
    bool units = phrase->style == STYLE_LINE_UNITS;
    struct line line = {.separator = units ? ", " : " "};

    for (size_t i = 0; i < sayings->index_count; i++)
        line_add_index(&line, sayings->indices[i]);
    for (size_t i = 0; i < sayings->count; i++)
        line_add_value(&line, state, &sayings->items[i], units);
    draft_text(draft, line.text);
}

static void
write_labelled(const struct phrase *phrase, const struct state *state, struct sayings *sayings,
               struct draft *draft)
{
    struct labelled labelled = {state,       sayings->items,   sayings->count,
                                phrase->run, sayings->indices, sayings->index_count};
    char text[LABELLED_SIZE];

    (phrase->style == STYLE_JSON ? labelled_json : labelled_line)(&labelled, text);
    draft_text(draft, text);
}

static void
write_mixed(const struct state *state, const struct item *item, struct draft *draft)
{
    double number =
        item->field->form == FORM_REAL ? state_number(state, item->field, item->object) : 0;

    if (item->field->form != FORM_REAL)
        state_write(state, item->field, item->object, draft);
    else if (isinf(number))
        draft_text(draft, "off");
    else
        draft_float(draft, (float)number);
}

static void
write_value(const struct state *state, const struct item *item, enum style style,
            struct draft *draft)
{
    char text[DISPLAY_SIZE];

    if (style == STYLE_UNITS)
        draft_text(draft, display_value(state, item->field, item->object, true, text));
    else if (style == STYLE_MIXED)
        write_mixed(state, item, draft);
    else
        state_write(state, item->field, item->object, draft);
}

static void
write_pair(const struct phrase *phrase, const struct state *state, size_t object,
           struct draft *draft)
{
    bool on = state_number(state, phrase->pair[0], object) != 0;

    draft_float(draft, on ? (float)state_number(state, phrase->pair[1], object) : 0);
}

static void
write_index(const char *name, enum naming naming, struct draft *draft)
{
    if (naming == NAMING_NUMBERS)
        draft_int(draft, (int32_t)strtol(name, NULL, 10));
    else
        draft_text(draft, name);
}

static void
write_arguments(const struct phrase *phrase, const struct state *state,
                const struct sayings *sayings, enum naming naming, struct draft *draft)
{
    for (size_t i = 0; i < sayings->index_count; i++)
        write_index(sayings->indices[i], naming, draft);
    if (phrase->style == STYLE_BLOB) {
        blob_write(state, sayings->items, sayings->count, phrase->form, phrase->skip, draft);
        return;
    }
    for (size_t i = 0; i < sayings->count; i++)
        write_value(state, &sayings->items[i], phrase->style, draft);
}

void
phrase_write(const struct phrase *phrase, const struct state *state, size_t object,
             const struct manner *manner, char address[ADDRESS_SIZE], struct draft *draft)
{
    struct named named = {state, manner->naming, phrase->scope, object};
    struct sayings sayings = {0};

    if (!manner->number)
        list_indices(phrase, state, object, manner, &sayings);
    list_items(phrase, state, object, &sayings);
    address_expand(phrase->answer, &named, address);
    draft_begin(draft, manner->number    ? manner->reply_at
                       : manner->tell_at ? manner->tell_at
                                         : address);
    if (manner->number)
        draft_int(draft, *manner->number);
    if (manner->tell_at)
        draft_text(draft, address);
    if (phrase->style == STYLE_LINE || phrase->style == STYLE_LINE_UNITS)
        write_line(phrase, state, &sayings, draft);
    else if (phrase->style == STYLE_LABELS || phrase->style == STYLE_JSON)
        write_labelled(phrase, state, &sayings, draft);
    else if (phrase->pair_key)
        write_pair(phrase, state, object, draft);
    else
        write_arguments(phrase, state, &sayings, manner->naming, draft);
}
