/* SPDX-License-Identifier: MIT */
/* Entries of a profile that take the same message. Both may do so for values of their own; for the
 * same value the later one is in vain, for the router lets the earlier one have the last word.
 */
#ifndef GAINWARDEN_OVERLAP_H
#define GAINWARDEN_OVERLAP_H

#include "profile/profile.h"

enum overlap_kind {
    OVERLAP_COVERED,  /* `other` gives all its values, of every message that it takes */
    OVERLAP_ARGUMENT, /* an argument is `param` here and `other_param` there */
    OVERLAP_NEVER     /* no message can be like it: what its types say is not what it waits for */
};

struct overlap {
    enum overlap_kind kind;
    size_t entry, other; /* the other stands before it */
    enum param_id param, other_param;
};

typedef void overlap_fn(void *context, const struct overlap *overlap);

/* Tells of each entry once, in their order. */
void overlap_find(const struct profile *profile, overlap_fn *each, void *context);

#endif
