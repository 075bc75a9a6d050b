#include "phrase.h"

#include "blob.h"
#include "line.h"

#include <string.h>

/* What one message says. */
struct Sayings {
    size_t index_count;
    int32_t indices[2];
    size_t count;
    struct Item items[ITEMS_LIMIT];
};

/* How many objects of the run belong to one object of the phrase. */
static size_t
run_length(const struct Phrase *phrase, const struct State *state)
{
    size_t objects = State_objects(state, phrase->scope);

    return objects > 0 ? State_objects(state, phrase->run_scope) / objects : 0;
}

bool
Phrase_holds(const struct Phrase *phrase, const struct State *state, const struct Field *field,
             size_t *object)
{
    if (phrase->only == field || (phrase->whole && phrase->scope == field->scope))
        return true;
    if (phrase->run != field)
        return false;
    *object /= run_length(phrase, state);
    return true;
}

static void
add_item(struct Sayings *sayings, const struct Field *field, size_t object)
{
    if (sayings->count < ITEMS_LIMIT)
        sayings->items[sayings->count++] = (struct Item){field, object};
}

static void
list_items(const struct Phrase *phrase, const struct State *state, size_t object,
           struct Sayings *sayings)
{
    size_t length = phrase->run != NULL ? run_length(phrase, state) : 0;

    if (phrase->only != NULL)
        add_item(sayings, phrase->only, object);
    for (size_t i = 0; phrase->whole && i < FIELDS_COUNT; i++)
        if (FIELDS[i].scope == phrase->scope)
            add_item(sayings, &FIELDS[i], object);
    for (size_t i = 0; i < length; i++)
        add_item(sayings, phrase->run, object * length + i);
}

static void
list_indices(const struct Phrase *phrase, const struct State *state, size_t object, unsigned first,
             struct Sayings *sayings)
{
    const struct ScopeRow *row = &SCOPE_ROWS[phrase->scope];

    if (strchr(phrase->answer, '#') != NULL)
        return;
    if (row->outer != COUNTS)
        sayings->indices[sayings->index_count++] =
            (int32_t)(State_outer(state, phrase->scope, object) + first);
    if (row->inner != COUNTS)
        sayings->indices[sayings->index_count++] =
            (int32_t)(State_inner(state, phrase->scope, object) + first);
}

static void
write_line(const struct Phrase *phrase, const struct State *state, const struct Sayings *sayings,
           struct Draft *draft)
{
    bool units = phrase->style == STYLE_LINE_UNITS;
    struct Line line = {.separator = units ? ", " : " "};

    for (size_t i = 0; i < sayings->index_count; i++)
        Line_add_index(&line, sayings->indices[i]);
    for (size_t i = 0; i < sayings->count; i++)
        Line_add_value(&line, state, &sayings->items[i], units);
    Draft_text(draft, line.text);
}

static void
write_value(const struct State *state, const struct Item *item, bool units, struct Draft *draft)
{
    char text[DISPLAY_SIZE];

    if (units)
        Draft_text(draft, Display_value(state, item->field, item->object, true, text));
    else
        State_write(state, item->field, item->object, draft);
}

static void
write_arguments(const struct Phrase *phrase, const struct State *state,
                const struct Sayings *sayings, struct Draft *draft)
{
    for (size_t i = 0; i < sayings->index_count; i++)
        Draft_int(draft, sayings->indices[i]);
    if (phrase->style == STYLE_BLOB) {
        Blob_write(state, sayings->items, sayings->count, phrase->form, phrase->skip, draft);
        return;
    }
    for (size_t i = 0; i < sayings->count; i++)
        write_value(state, &sayings->items[i], phrase->style == STYLE_UNITS, draft);
}

void
Phrase_write(const struct Phrase *phrase, const struct State *state, size_t object, unsigned first,
             char address[ADDRESS_SIZE], struct Draft *draft)
{
    struct Sayings sayings = {0};

    list_indices(phrase, state, object, first, &sayings);
    list_items(phrase, state, object, &sayings);
    Draft_begin(draft, Address_expand(phrase->answer, state, phrase->scope, object, address));
    if (phrase->style == STYLE_LINE || phrase->style == STYLE_LINE_UNITS)
        write_line(phrase, state, &sayings, draft);
    else
        write_arguments(phrase, state, &sayings, draft);
}
