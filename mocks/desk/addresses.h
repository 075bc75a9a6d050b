/* SPDX-License-Identifier: MIT */
/* From an address to what it means on this desk, in one look-up: a hash table, filled once. */
#ifndef MOCK_ADDRESSES_H
#define MOCK_ADDRESSES_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "naming.h"
#include "state.h"

enum { ADDRESS_SIZE = 40 };

enum node_kind {
    NODE_QUESTION, /* `phrase`, and of it `object` if the address holds the indices */
    NODE_VALUE,    /* moves `field` of `object` */
    NODE_BAND,     /* moves a whole band of the scope `object` */
    NODE_RIG,      /* moves the fault `object` */
    NODE_KINDS,
};

struct phrase;

struct node {
    enum node_kind kind;
    size_t object;
    const struct field *field;
    const struct phrase *phrase;
    uint32_t hash;
    char address[ADDRESS_SIZE]; /* empty: a free slot */
};

struct addresses {
    struct node *slots;
    size_t mask; /* slots - 1, a power of two less one */
};

/* Makes room for `count` addresses. False when memory is out. */
bool addresses_init(struct addresses *addresses, size_t count);
void addresses_release(struct addresses *addresses);

/* No more than there is room for, and none twice. */
void addresses_add(struct addresses *addresses, const char *address, struct node node);

/* NULL for an address that was not added. */
const struct node *addresses_find(const struct addresses *addresses, const char *address);

/* An object and what it is called. */
struct named {
    const struct state *state;
    enum naming naming;
    enum scope scope;
    size_t object;
};

/*
 * Writes `pattern` to `out` with the names of an object, numbers from 1, in place of each '#'.
 * Returns `out`.
 */
const char *address_expand(const char *pattern, const struct named *named, char out[ADDRESS_SIZE]);

#endif
