/* SPDX-License-Identifier: MIT */
#include "addresses.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static uint32_t
hash_of(const char *address)
{
    uint32_t hash = UINT32_C(2166136261);

    for (; *address != '\0'; address++)
        hash = (hash ^ (unsigned char)*address) * UINT32_C(16777619);
    return hash;
}

/* The slot that holds the address, or the free one where it belongs. */
static struct node *
slot_of(const struct addresses *addresses, const char *address, uint32_t hash)
{
    size_t at = hash & addresses->mask;

    while (addresses->slots[at].address[0] != '\0') {
        struct node *node = &addresses->slots[at];

        if (node->hash == hash && strcmp(node->address, address) == 0)
            return node;
        at = (at + 1) & addresses->mask;
    }
    return &addresses->slots[at];
}

bool
addresses_init(struct addresses *addresses, size_t count)
{
    size_t size = 1;

    while (size < 2 * count + 1)
        size *= 2;
    addresses->slots = calloc(size, sizeof *addresses->slots);
    addresses->mask = size - 1;
    return addresses->slots != NULL;
}

void
addresses_release(struct addresses *addresses)
{
    free(addresses->slots);
    addresses->slots = NULL;
}

void
addresses_add(struct addresses *addresses, const char *address, struct node node)
{
    node.hash = hash_of(address);
    snprintf(node.address, sizeof node.address, "%s", address);
    *slot_of(addresses, address, node.hash) = node;
}

const struct node *
addresses_find(const struct addresses *addresses, const char *address)
{
    const struct node *node = slot_of(addresses, address, hash_of(address));

    return node->address[0] != '\0' ? node : NULL;
}

const char *
address_expand(const char *pattern, const struct named *named, char out[ADDRESS_SIZE])
{
    const struct scope_row *row = &scope_rows[named->scope];
    enum count kinds[2] = {row->outer, row->inner};
    size_t numbers[2] = {state_outer(named->state, named->scope, named->object),
                         state_inner(named->state, named->scope, named->object)};
    char name[NAME_SIZE];
    size_t next = 0;
    size_t used = 0;

    for (const char *c = pattern; *c != '\0' && used < ADDRESS_SIZE - 4; c++) {
        if (*c != '#' || next == 2) {
            out[used++] = *c;
            continue;
        }
        naming_write(named->naming, kinds[next], numbers[next], 1, name);
        used += (size_t)snprintf(out + used, ADDRESS_SIZE - used, "%s", name);
        next++;
    }
    out[used] = '\0';
    return out;
}
