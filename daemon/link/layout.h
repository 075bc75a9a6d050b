/* SPDX-License-Identifier: MIT */
/* All the questions that a profile can put, numbered, and the answers each waits for. */
#ifndef GAINWARDEN_LAYOUT_H
#define GAINWARDEN_LAYOUT_H

#include "profile/profile.h"

/* One question. Its answers are numbered too, one after the other. */
struct asking {
    uint32_t entry, place; /* its place among entry_places(asked_count) */
    uint32_t first_answer, answers;
};

struct layout {
    const struct profile *profile;
    struct asking *all; /* owned, as all below */
    size_t count, answers;
    bool *protects;      /* one for each: it asks for a value that protects */
    size_t *entry_first; /* first question of each entry */
};

/* The profile must outlive it. */
struct layout layout_of(const struct profile *profile);
void layout_release(struct layout *layout);

/* The number of the question whose answer has this place of the entry, among
 * entry_places(variable_count). The entry asks. */
size_t layout_number(const struct layout *layout, size_t entry, size_t place);

#endif
