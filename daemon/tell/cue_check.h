/* SPDX-License-Identifier: MIT */
/* What can be said of a cue before anybody looked anything up: whether it would go where a desk is
 * read, or with an address that means something to one. What only a look-up tells, cue.h tells.
 */
#ifndef GAINWARDEN_CUE_CHECK_H
#define GAINWARDEN_CUE_CHECK_H

#include <stddef.h>

#include "profile/profile.h"
#include "show/file.h"

/* A desk that the process reads. */
struct cue_desk {
    const char *host; /* NULL: nobody knows yet */
    const struct profile *profile;
};

/* Adds the problems of the show file's cue with these desks; of a file without a cue there are
 * none. */
void cue_check(const struct show_file *file, const struct cue_desk *desks, size_t count,
               struct problems *problems);

#endif
