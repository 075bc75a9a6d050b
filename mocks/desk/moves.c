/* SPDX-License-Identifier: MIT */
#include "moves.h"

#include <stdio.h>

#include "faults.h"

static size_t
count_moves(const struct state *state)
{
    size_t count = FAULTS + 2;

    for (size_t i = 0; i < fields_count; i++)
        count += state_objects(state, all_fields[i].scope);
    return count;
}

static void
add_field(struct addresses *moves, const struct state *state, const struct field *field)
{
    char address[ADDRESS_SIZE];

    for (size_t i = 0; i < state_objects(state, field->scope); i++) {
        struct named named = {state, NAMING_NUMBERS, field->scope, i};

        addresses_add(moves, address_expand(field->address, &named, address),
                      (struct node){.kind = NODE_VALUE, .object = i, .field = field});
    }
}

bool
moves_init(struct addresses *moves, const struct state *state)
{
    char address[ADDRESS_SIZE];

    if (!addresses_init(moves, count_moves(state)))
        return false;
    for (size_t i = 0; i < fields_count; i++)
        if (all_fields[i].address)
            add_field(moves, state, &all_fields[i]);
    addresses_add(moves, "/set/eq", (struct node){.kind = NODE_BAND, .object = SCOPE_INPUT_BAND});
    addresses_add(moves, "/set/mix-eq", (struct node){.kind = NODE_BAND, .object = SCOPE_MIX_BAND});
    for (size_t i = 0; i < FAULTS; i++) {
        snprintf(address, sizeof address, "/rig/%s", fault_rows[i].name);
        addresses_add(moves, address, (struct node){.kind = NODE_RIG, .object = i});
    }
    return true;
}
