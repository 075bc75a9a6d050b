/* SPDX-License-Identifier: MIT */
/* Indexes as a desk writes them, and texts with indexes in them: put together to be sent, and taken
 * apart as they come.
 */
#ifndef GAINWARDEN_WORDING_H
#define GAINWARDEN_WORDING_H

#include "profile/profile.h"

/* The index that an argument means, of `count`. False when it is none of the desk's. */
bool wording_find(const struct variable *variable, int count, const struct argument *argument,
                  int *index);

/* The place, of entry_places(asked_count), whose question sends this number as its own. False when
 * none does. */
bool wording_find_echo(const struct profile *profile, const struct entry *entry,
                       const struct argument *argument, size_t *place);

/* The pieces with the indexes put in; the bytes needed without the NUL, as snprintf. */
size_t wording_write(const struct piece *pieces, size_t count, const struct entry *entry,
                     const int indexes[ENTRY_VARIABLES], char *buffer, size_t size);

/* The other way round: whether the text is made of such pieces. What `indexes` knows already (it is
 * not below 0) must be the same; the others are filled in. */
bool wording_match(const struct piece *pieces, size_t count, const struct entry *entry,
                   const struct desk_counts *counts, const char *text,
                   int indexes[ENTRY_VARIABLES]);

/* The argument that an element stands for, which no value is. What it points to belongs to the
 * element or, for wording_free_argument(), to it. */
struct argument wording_argument(const struct profile *profile, const struct element *element,
                                 const struct entry *entry, const int indexes[ENTRY_VARIABLES]);
void wording_free_argument(const struct element *element, struct argument *argument);

/* The arguments of a message that is sent, at most OSC_ARGUMENTS. Likewise. */
void wording_arguments(const struct profile *profile, const struct pattern *pattern,
                       const struct entry *entry, const int indexes[ENTRY_VARIABLES],
                       struct argument *arguments);
void wording_free_arguments(const struct pattern *pattern, struct argument *arguments);

#endif
