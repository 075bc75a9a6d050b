/* SPDX-License-Identifier: MIT */
/* Which answers of a profile's entries were heard, and which never came. */
#ifndef GAINWARDEN_LISTEN_ANSWERS_H
#define GAINWARDEN_LISTEN_ANSWERS_H

#include <stdio.h>

#include "profile/profile.h"

struct answers {
    const struct profile *profile;
    struct answers_entry {
        bool *came; /* each place: it was heard */
        size_t count, missing;
    } * entries; /* of each */
};

void answers_init(struct answers *answers, const struct profile *profile);
void answers_release(struct answers *answers);
void answers_note(struct answers *answers, size_t entry, size_t place);

/* "values[4] /in/{input}/x <input.trim>: 21 of 24 heard, missing 2, 3, 5": what is missing of the
 * entry, by its number where it has one. */
void answers_write_missing(const struct answers *answers, size_t entry, FILE *to);

#endif
