#include "addresses.h"

#include "faults.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

const struct BandRow BAND_ROWS[BAND_KINDS] = {
    {SCOPE_INPUT_BAND, "/get/eq", "/set/eq", "/eq"},
    {SCOPE_MIX_BAND, "/get/mix-eq", "/set/mix-eq", "/mix-eq"},
};

static uint32_t
hash_of(const char *address)
{
    uint32_t hash = UINT32_C(2166136261);

    for (; *address != '\0'; address++)
        hash = (hash ^ (unsigned char)*address) * UINT32_C(16777619);
    return hash;
}

/* The slot that holds the address, or the free one where it belongs. */
static struct Node *
slot_of(const struct Addresses *addresses, const char *address, uint32_t hash)
{
    size_t at = hash & addresses->mask;

    while (addresses->slots[at].address[0] != '\0') {
        struct Node *node = &addresses->slots[at];

        if (node->hash == hash && strcmp(node->address, address) == 0)
            return node;
        at = (at + 1) & addresses->mask;
    }
    return &addresses->slots[at];
}

static void
add(struct Addresses *addresses, const char *address, struct Node node)
{
    struct Node *slot;

    node.hash = hash_of(address);
    snprintf(node.address, sizeof node.address, "%s", address);
    slot = slot_of(addresses, address, node.hash);
    *slot = node;
}

/* Puts 1-based numbers where the pattern has '#'; inputs are written with two digits. */
static void
expand(const struct Field *field, const size_t indices[2], char out[ADDRESS_SIZE])
{
    bool two_digits = SCOPE_ROWS[field->scope].outer == COUNT_INPUTS;
    size_t used = 0;

    for (const char *c = field->address; *c != '\0' && used < ADDRESS_SIZE - 4; c++) {
        if (*c != '#') {
            out[used++] = *c;
            continue;
        }
        used += (size_t)snprintf(out + used, ADDRESS_SIZE - used, two_digits ? "%02zu" : "%zu",
                                 *indices++ + 1);
        two_digits = false;
    }
    out[used] = '\0';
}

static void
add_field(struct Addresses *addresses, const struct State *state, const struct Field *field)
{
    char address[ADDRESS_SIZE];

    for (size_t i = 0; i < State_objects(state, field->scope); i++) {
        const size_t indices[2] = {State_outer(state, field->scope, i),
                                   State_inner(state, field->scope, i)};

        expand(field, indices, address);
        add(addresses, address, (struct Node){.kind = NODE_VALUE, .object = i, .field = field});
    }
}

const char *
Addresses_graphic(size_t mix, char out[ADDRESS_SIZE])
{
    snprintf(out, ADDRESS_SIZE, "/mix/%zu/graphic", mix + 1);
    return out;
}

static void
add_others(struct Addresses *addresses, const struct State *state)
{
    char address[ADDRESS_SIZE];

    add(addresses, "/stay", (struct Node){.kind = NODE_STAY});
    for (size_t i = 0; i < BAND_KINDS; i++) {
        add(addresses, BAND_ROWS[i].ask, (struct Node){.kind = NODE_BAND_ASK, .object = i});
        add(addresses, BAND_ROWS[i].set, (struct Node){.kind = NODE_BAND_SET, .object = i});
    }
    for (size_t i = 0; i < FAULTS; i++) {
        snprintf(address, sizeof address, "/rig/%s", FAULT_ROWS[i].name);
        add(addresses, address, (struct Node){.kind = NODE_RIG, .object = i});
    }
    for (size_t i = 0; State_objects(state, SCOPE_GRAPHIC) > 0 && i < state->counts[COUNT_MIXES];
         i++)
        add(addresses, Addresses_graphic(i, address),
            (struct Node){.kind = NODE_GRAPHIC, .object = i});
}

static size_t
count_nodes(const struct State *state)
{
    size_t count = 64 + state->counts[COUNT_MIXES]; /* more than add_others() adds */

    for (size_t i = 0; i < FIELDS_COUNT; i++)
        count += State_objects(state, FIELDS[i].scope);
    return count;
}

bool
Addresses_init(struct Addresses *addresses, const struct State *state)
{
    size_t size = 1;

    while (size < 2 * count_nodes(state))
        size *= 2;
    addresses->slots = calloc(size, sizeof *addresses->slots);
    addresses->mask = size - 1;
    if (addresses->slots == NULL)
        return false;
    for (size_t i = 0; i < FIELDS_COUNT; i++)
        if (FIELDS[i].address != NULL)
            add_field(addresses, state, &FIELDS[i]);
    add_others(addresses, state);
    return true;
}

void
Addresses_release(struct Addresses *addresses)
{
    free(addresses->slots);
    addresses->slots = NULL;
}

const struct Node *
Addresses_find(const struct Addresses *addresses, const char *address)
{
    const struct Node *node = slot_of(addresses, address, hash_of(address));

    return node->address[0] != '\0' ? node : NULL;
}
