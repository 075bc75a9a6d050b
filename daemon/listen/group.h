/* SPDX-License-Identifier: MIT */
/* Addresses that differ in their numbers alone, as one: what counts in them, and what came there.
 * Pure.
 */
#ifndef GAINWARDEN_LISTEN_GROUP_H
#define GAINWARDEN_LISTEN_GROUP_H

#include "base/json.h"
#include "core/text.h"
#include "listen/guess.h"
#include "listen/table.h"

enum { GROUPS_KEPT = 200 };

/* One number of the address, or an argument that counts as one. */
struct group_number {
    enum index_kind kind; /* INDEX_NONE: it is always the same, and no index */
    int low, high;
    size_t width; /* digits, where it has zeros in front; 0: as many as needed */
};

struct group {
    const struct listen_row *row; /* the first of them */
    size_t rows;
    uint64_t messages;
    int numbers;       /* in the address; -1: it cannot be taken apart */
    int counting;      /* arguments that are indexes, before all others */
    size_t arguments;  /* of the messages */
    bool run;          /* many arguments of one type: a value for each band */
    bool alike, named; /* the same types everywhere; some brought a text that is no number */
    struct group_number number[ADDRESS_NUMBERS + LISTEN_ARGUMENTS];
    struct listen_range range[LISTEN_ARGUMENTS]; /* of all of them */
    enum param_id param;                         /* that it may be; PARAMS: nobody knows */
};

/* The groups of the rows that are wanted, those of most addresses first, as many as are kept; how
 * many there are. */
size_t groups_of(const struct listen_table *table, bool (*wanted)(const struct listen_row *row),
                 struct group groups[GROUPS_KEPT]);

/* The address with placeholders for what counts in it. */
void group_address(const struct group *group, char *address, size_t size);

/* Why no entry can be written for it; NULL: one can. */
const char *group_why_not(const struct group *group);

/* The entry, without what its value is: { "at": ... } or { "answer": [...] }; `value` becomes the
 * value's, or is freed where the entry itself is the value. */
struct json *group_entry(const struct group *group, struct json *value);

/* "{input} 1 to 24, {mix} 1 to 8" */
void group_write_indexes(const struct group *group, struct text *text);

#endif
