#include "state.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static size_t
count_of(const struct State *state, enum Count count)
{
    return count == COUNTS ? 1 : state->counts[count];
}

size_t
State_objects(const struct State *state, enum Scope scope)
{
    return count_of(state, SCOPE_ROWS[scope].outer) * count_of(state, SCOPE_ROWS[scope].inner);
}

size_t
State_object(const struct State *state, enum Scope scope, size_t outer, size_t inner)
{
    return outer * count_of(state, SCOPE_ROWS[scope].inner) + inner;
}

size_t
State_outer(const struct State *state, enum Scope scope, size_t object)
{
    return object / count_of(state, SCOPE_ROWS[scope].inner);
}

size_t
State_inner(const struct State *state, enum Scope scope, size_t object)
{
    return object % count_of(state, SCOPE_ROWS[scope].inner);
}

static bool
fill(struct Column *column, const struct Field *field, size_t objects)
{
    if (objects == 0)
        return true;
    if (field->form == FORM_TEXT) {
        column->texts = calloc(objects, sizeof *column->texts);
        return column->texts != NULL;
    }
    column->numbers = malloc(objects * sizeof *column->numbers);
    if (column->numbers == NULL)
        return false;
    for (size_t i = 0; i < objects; i++)
        column->numbers[i] = field->initial;
    return true;
}

/* Straight patch until told otherwise: each input is fed by the head amp of its own number. */
static void
patch_straight(struct State *state)
{
    const struct Field *socket = Field_find(SCOPE_INPUT, "socket");

    for (size_t i = 0; i < state->counts[COUNT_INPUTS]; i++)
        State_set_number(state, socket, i, (double)(i + 1));
}

bool
State_init(struct State *state, const unsigned counts[COUNTS])
{
    memcpy(state->counts, counts, sizeof state->counts);
    state->columns = calloc(FIELDS_COUNT, sizeof *state->columns);
    if (state->columns == NULL)
        return false;
    for (size_t i = 0; i < FIELDS_COUNT; i++)
        if (!fill(&state->columns[i], &FIELDS[i], State_objects(state, FIELDS[i].scope)))
            return false;
    patch_straight(state);
    return true;
}

void
State_release(struct State *state)
{
    for (size_t i = 0; state->columns != NULL && i < FIELDS_COUNT; i++) {
        free(state->columns[i].numbers);
        free(state->columns[i].texts);
    }
    free(state->columns);
    state->columns = NULL;
}

double
State_number(const struct State *state, const struct Field *field, size_t object)
{
    return state->columns[Field_index(field)].numbers[object];
}

const char *
State_text(const struct State *state, const struct Field *field, size_t object)
{
    return state->columns[Field_index(field)].texts[object];
}

void
State_set_number(struct State *state, const struct Field *field, size_t object, double number)
{
    state->columns[Field_index(field)].numbers[object] = number;
}

void
State_set_text(struct State *state, const struct Field *field, size_t object, const char *text)
{
    char *out = state->columns[Field_index(field)].texts[object];
    size_t length = strnlen(text, STATE_TEXT_SIZE);

    if (length == STATE_TEXT_SIZE) {
        length--;
        while (length > 0 && ((unsigned char)text[length] & 0xC0) == 0x80)
            length--;
    }
    memcpy(out, text, length);
    out[length] = '\0';
}

static double
clamp(double value, double low, double high)
{
    if (value < low)
        return low;
    return value > high ? high : value;
}

static bool
move_word(struct State *state, const struct Field *field, size_t object, const char *text)
{
    for (size_t i = 0; text != NULL && field->words[i] != NULL; i++)
        if (strcmp(field->words[i], text) == 0) {
            State_set_number(state, field, object, (double)i);
            return true;
        }
    return false;
}

static bool
move_number(struct State *state, const struct Field *field, size_t object, double wire)
{
    if (isnan(wire))
        return false;
    if (field->law != LAW_NONE)
        wire = clamp(wire, 0, 1);
    else
        wire = clamp(wire, field->low, field->high);
    if (field->tag == 'i')
        wire = round(wire);
    State_set_number(state, field, object, Law_to_human(field->law, wire));
    return true;
}

bool
State_move(struct State *state, const struct Field *field, size_t object,
           const struct Argument *argument)
{
    if (field->form == FORM_TEXT) {
        if (argument->text == NULL)
            return false;
        State_set_text(state, field, object, argument->text);
        return true;
    }
    if (field->tag == 's')
        return move_word(state, field, object, argument->text);
    return move_number(state, field, object, argument->number);
}

static void
write_number(const struct Field *field, double number, struct Draft *draft)
{
    if (field->tag == 's')
        Draft_text(draft, field->words[(size_t)number]);
    else if (field->tag == 'i')
        Draft_int(draft, (int32_t)number);
    else
        Draft_float(draft, (float)Law_to_wire(field->law, number));
}

void
State_write(const struct State *state, const struct Field *field, size_t object,
            struct Draft *draft)
{
    if (field->form == FORM_TEXT)
        Draft_text(draft, State_text(state, field, object));
    else
        write_number(field, State_number(state, field, object), draft);
}
