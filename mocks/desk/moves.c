#include "moves.h"

#include "faults.h"

#include <stdio.h>

static size_t
count_moves(const struct State *state)
{
    size_t count = FAULTS + 2;

    for (size_t i = 0; i < FIELDS_COUNT; i++)
        count += State_objects(state, FIELDS[i].scope);
    return count;
}

static void
add_field(struct Addresses *moves, const struct State *state, const struct Field *field)
{
    char address[ADDRESS_SIZE];

    for (size_t i = 0; i < State_objects(state, field->scope); i++)
        Addresses_add(moves, Address_expand(field->address, state, field->scope, i, address),
                      (struct Node){.kind = NODE_VALUE, .object = i, .field = field});
}

bool
Moves_init(struct Addresses *moves, const struct State *state)
{
    char address[ADDRESS_SIZE];

    if (!Addresses_init(moves, count_moves(state)))
        return false;
    for (size_t i = 0; i < FIELDS_COUNT; i++)
        if (FIELDS[i].address != NULL)
            add_field(moves, state, &FIELDS[i]);
    Addresses_add(moves, "/set/eq", (struct Node){.kind = NODE_BAND, .object = SCOPE_INPUT_BAND});
    Addresses_add(moves, "/set/mix-eq", (struct Node){.kind = NODE_BAND, .object = SCOPE_MIX_BAND});
    for (size_t i = 0; i < FAULTS; i++) {
        snprintf(address, sizeof address, "/rig/%s", FAULT_ROWS[i].name);
        Addresses_add(moves, address, (struct Node){.kind = NODE_RIG, .object = i});
    }
    return true;
}
