/* From an address to what it means on this desk, in one look-up: a hash table, filled once. */
#ifndef MOCK_ADDRESSES_H
#define MOCK_ADDRESSES_H

#include "state.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { ADDRESS_SIZE = 40 };

enum NodeKind {
    NODE_QUESTION, /* `phrase`, and of it `object` if the address holds the indices */
    NODE_VALUE,    /* moves `field` of `object` */
    NODE_BAND,     /* moves a whole band of the scope `object` */
    NODE_RIG,      /* moves the fault `object` */
    NODE_KINDS,
};

struct Phrase;

struct Node {
    enum NodeKind kind;
    size_t object;
    const struct Field *field;
    const struct Phrase *phrase;
    uint32_t hash;
    char address[ADDRESS_SIZE]; /* empty: a free slot */
};

struct Addresses {
    struct Node *slots;
    size_t mask; /* slots - 1, a power of two less one */
};

/* Makes room for `count` addresses. False when memory is out. */
bool Addresses_init(struct Addresses *addresses, size_t count);
void Addresses_release(struct Addresses *addresses);

/* No more than there is room for, and none twice. */
void Addresses_add(struct Addresses *addresses, const char *address, struct Node node);

/* NULL for an address that was not added. */
const struct Node *Addresses_find(const struct Addresses *addresses, const char *address);

/*
 * Writes `pattern` to `out` with the numbers of an object, from 1, in place of each '#'. Returns
 * `out`.
 */
const char *Address_expand(const char *pattern, const struct State *state, enum Scope scope,
                           size_t object, char out[ADDRESS_SIZE]);

#endif
