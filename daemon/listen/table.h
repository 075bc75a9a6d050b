/* SPDX-License-Identifier: MIT */
/* Every address that was heard: how often, what it last said, in which range, and what came of it.
 * Bounded: where a stranger who invents addresses has filled it, those that were heard only once
 * are forgotten, and counted, so that what goes on speaking keeps its place.
 */
#ifndef GAINWARDEN_LISTEN_TABLE_H
#define GAINWARDEN_LISTEN_TABLE_H

#include "link/link.h"
#include "listen/address.h"

enum {
    LISTEN_ADDRESSES = 16384,
    LISTEN_TYPES_SIZE = 24,
    LISTEN_TEXT_SIZE = 80,
    LISTEN_WHY_SIZE = 120,
    LISTEN_ARGUMENTS = 4 /* whose range is kept */
};

struct listen_range {
    double low, high; /* NAN: no number was heard */
};

struct listen_row {
    char address[ADDRESS_SIZE];    /* made safe to print */
    char types[LISTEN_TYPES_SIZE]; /* type tags of the last message */
    char last[LISTEN_TEXT_SIZE];   /* its arguments */
    uint64_t shape;                /* of the address */
    char why[LISTEN_WHY_SIZE];     /* the last value was turned down, "": it was not */
    enum route_result result;
    size_t entry, place; /* where it is an answer */
    uint64_t count;
    uint64_t counted; /* of them, when the rate was last looked at */
    struct listen_range range[LISTEN_ARGUMENTS];
    bool untyped; /* it came without type tags */
    bool unread;  /* it could not be read: */
    enum osc_reject reject;
    bool odd;   /* what is kept of the address is not all of it */
    bool news;  /* since it was last printed */
    bool named; /* a text was among the arguments that is no number */
};

struct listen_table {
    struct listen_row *rows; /* in order of first hearing, count of them */
    size_t count;
    uint32_t *slots;    /* hash of the address -> row + 1 */
    size_t wait;        /* messages until it is worth another try to make room */
    uint64_t forgotten; /* addresses that were heard once and had to make room */
    uint64_t untabled;  /* messages of them, and those that found no place */
};

void listen_table_init(struct listen_table *table);
void listen_table_release(struct listen_table *table);

/* Where it stands now; NULL: there was no place. */
struct listen_row *listen_table_note(struct listen_table *table, const struct link_heard *heard);

/* The same of a message that could not be read, of which the address can. */
void listen_table_note_unread(struct listen_table *table, enum osc_reject why,
                              const struct osc_outline *outline, size_t length);

#endif
