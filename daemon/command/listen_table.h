/* SPDX-License-Identifier: MIT */
/* Every address that was heard: how often, what it last said, and what came of it. Bounded: a
 * stranger who invents addresses fills it, and then they are only counted.
 */
#ifndef GAINWARDEN_LISTEN_TABLE_H
#define GAINWARDEN_LISTEN_TABLE_H

#include "link/link.h"

enum {
    LISTEN_ADDRESSES = 16384,
    LISTEN_ADDRESS_SIZE = 128,
    LISTEN_TYPES_SIZE = 24,
    LISTEN_TEXT_SIZE = 80
};

struct listen_row {
    char address[LISTEN_ADDRESS_SIZE]; /* made safe to print */
    char types[LISTEN_TYPES_SIZE];     /* type tags of the last message */
    char last[LISTEN_TEXT_SIZE];       /* its arguments */
    enum route_result result;
    size_t entry, place; /* where it is an answer */
    uint64_t count;
    uint64_t counted; /* of them, when the rate was last looked at */
    bool untyped;     /* it came without type tags */
    bool unread;      /* it could not be read: */
    enum osc_reject why;
    bool news; /* since it was last printed */
};

struct listen_table {
    struct listen_row *rows; /* in order of first hearing, count of them */
    size_t count;
    uint32_t *slots;   /* hash of the address -> row + 1 */
    uint64_t untabled; /* messages whose address found no place */
};

void listen_table_init(struct listen_table *table);
void listen_table_release(struct listen_table *table);

void listen_table_note(struct listen_table *table, const struct link_heard *heard);

/* The same of a message that could not be read, of which the address can. */
void listen_table_note_unread(struct listen_table *table, enum osc_reject why,
                              const struct osc_outline *outline, size_t length);

/* Prints an entry of a profile for those addresses that none has (suggest.c), a guess for a person
 * to look at; how many. */
size_t listen_suggest(const struct listen_table *table);

#endif
