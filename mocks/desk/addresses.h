/* From an address to what it means on this desk, in one look-up: a hash table, filled once. */
#ifndef MOCK_ADDRESSES_H
#define MOCK_ADDRESSES_H

#include "state.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { ADDRESS_SIZE = 32 };

enum NodeKind {
    NODE_VALUE,    /* `field` of `object` */
    NODE_GRAPHIC,  /* all bands of mix `object` */
    NODE_BAND_ASK, /* BAND_ROWS[object] */
    NODE_BAND_SET, /* BAND_ROWS[object] */
    NODE_STAY,
    NODE_RIG, /* the fault `object` */
    NODE_KINDS,
};

struct Node {
    char address[ADDRESS_SIZE]; /* empty: a free slot */
    enum NodeKind kind;
    uint32_t hash;
    size_t object;
    const struct Field *field;
};

struct Addresses {
    struct Node *slots;
    size_t mask; /* slots - 1, a power of two less one */
};

/* Equaliser bands travel whole: the indices as arguments, then every field of the scope. */
struct BandRow {
    enum Scope scope;
    const char *ask;
    const char *set;
    const char *answer;
};

enum { BAND_KINDS = 2 };
extern const struct BandRow BAND_ROWS[BAND_KINDS];

/* False when memory is out. */
bool Addresses_init(struct Addresses *addresses, const struct State *state);
void Addresses_release(struct Addresses *addresses);

/* NULL for an address this desk does not have. */
const struct Node *Addresses_find(const struct Addresses *addresses, const char *address);

/* Writes the address of mix `mix`'s whole graphic and returns `out`. */
const char *Addresses_graphic(size_t mix, char out[ADDRESS_SIZE]);

#endif
