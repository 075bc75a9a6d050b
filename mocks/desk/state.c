/* SPDX-License-Identifier: MIT */
#include "state.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static size_t
count_of(const struct state *state, enum count count)
{
    return count == COUNTS ? 1 : state->counts[count];
}

size_t
state_objects(const struct state *state, enum scope scope)
{
    return count_of(state, scope_rows[scope].outer) * count_of(state, scope_rows[scope].inner);
}

size_t
state_object(const struct state *state, enum scope scope, size_t outer, size_t inner)
{
    return outer * count_of(state, scope_rows[scope].inner) + inner;
}

size_t
state_outer(const struct state *state, enum scope scope, size_t object)
{
    return object / count_of(state, scope_rows[scope].inner);
}

size_t
state_inner(const struct state *state, enum scope scope, size_t object)
{
    return object % count_of(state, scope_rows[scope].inner);
}

static bool
fill(struct column *column, const struct field *field, size_t objects)
{
    if (objects == 0)
        return true;
    if (field->form == FORM_TEXT) {
        column->texts = calloc(objects, sizeof *column->texts);
        return column->texts != NULL;
    }
    column->numbers = malloc(objects * sizeof *column->numbers);
    if (!column->numbers)
        return false;
    for (size_t i = 0; i < objects; i++)
        column->numbers[i] = field->initial;
    return true;
}

/* Straight patch until told otherwise: each input is fed by the head amp of its own number. */
static void
patch_straight(struct state *state)
{
    const struct field *socket = field_find(SCOPE_INPUT, "socket");

    for (size_t i = 0; i < state->counts[COUNT_INPUTS]; i++)
        state_set_number(state, socket, i, (double)(i + 1));
}

bool
state_init(struct state *state, const unsigned counts[COUNTS])
{
    memcpy(state->counts, counts, sizeof state->counts);
    state->columns = calloc(fields_count, sizeof *state->columns);
    if (!state->columns)
        return false;
    for (size_t i = 0; i < fields_count; i++)
        if (!fill(&state->columns[i], &all_fields[i], state_objects(state, all_fields[i].scope)))
            return false;
    patch_straight(state);
    return true;
}

void
state_release(struct state *state)
{
    for (size_t i = 0; state->columns && i < fields_count; i++) {
        free(state->columns[i].numbers);
        free(state->columns[i].texts);
    }
    free(state->columns);
    state->columns = NULL;
}

double
state_number(const struct state *state, const struct field *field, size_t object)
{
    return state->columns[field_index(field)].numbers[object];
}

const char *
state_text(const struct state *state, const struct field *field, size_t object)
{
    return state->columns[field_index(field)].texts[object];
}

void
state_set_number(struct state *state, const struct field *field, size_t object, double number)
{
    state->columns[field_index(field)].numbers[object] = number;
}

void
state_set_text(struct state *state, const struct field *field, size_t object, const char *text)
{
    char *out = state->columns[field_index(field)].texts[object];
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
move_word(struct state *state, const struct field *field, size_t object, const char *text)
{
    for (size_t i = 0; text && field->words[i]; i++)
        if (strcmp(field->words[i], text) == 0) {
            state_set_number(state, field, object, (double)i);
            return true;
        }
    return false;
}

static bool
move_number(struct state *state, const struct field *field, size_t object, double wire)
{
    if (isnan(wire))
        return false;
    if (field->law != LAW_NONE)
        wire = clamp(wire, 0, 1);
    else
        wire = clamp(wire, field->low, field->high);
    if (field->tag == 'i')
        wire = round(wire);
    state_set_number(state, field, object, law_to_human(field->law, wire));
    return true;
}

bool
state_move(struct state *state, const struct field *field, size_t object,
           const struct argument *argument)
{
    if (field->form == FORM_TEXT) {
        if (!argument->text)
            return false;
        state_set_text(state, field, object, argument->text);
        return true;
    }
    if (field->tag == 's')
        return move_word(state, field, object, argument->text);
    return move_number(state, field, object, argument->number);
}

static void
write_number(const struct field *field, double number, struct draft *draft)
{
    if (field->tag == 's')
        draft_text(draft, field->words[(size_t)number]);
    else if (field->tag == 'i')
        draft_int(draft, (int32_t)number);
    else
        draft_float(draft, (float)law_to_wire(field->law, number));
}

void
state_write(const struct state *state, const struct field *field, size_t object,
            struct draft *draft)
{
    if (field->form == FORM_TEXT)
        draft_text(draft, state_text(state, field, object));
    else
        write_number(field, state_number(state, field, object), draft);
}
