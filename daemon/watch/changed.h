/* SPDX-License-Identifier: MIT */
/* What differs on one desk from how it was meant (as it was approved, else as the watch took it for
 * set up), since when, and what is back. For whoever looks at the board: without one nobody follows
 * it.
 *
 * A value that is not known moves nothing: how it was last heard stays.
 */
#ifndef GAINWARDEN_WATCH_CHANGED_H
#define GAINWARDEN_WATCH_CHANGED_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "desk/param.h"

struct changed;
struct watch_desk;

enum { CHANGED_BACK = 64 /* of those that are back again, the last ones */ };

/* A setting that is another than it was meant to be; labels are none. */
struct shift {
    enum param_id id;
    int row, column;
    double from, to;
    int64_t at_ms;   /* when it came to where it is; INT64_MIN: before anybody looked */
    int64_t back_ms; /* when it came back; INT64_MAX: it did not */
};

struct changed *changed_new(void);
void changed_free(struct changed *changed);

/* Looks at all of it, at most once a second; and now. */
void changed_follow(struct changed *changed, const struct watch_desk *desk);
void changed_look(struct changed *changed, const struct watch_desk *desk);

/* The desk has other files from now on. */
void changed_forget(struct changed *changed);

/* As of the last look: calls `each`, the newest first. False from it: no more are wanted. */
typedef bool changed_fn(void *context, const struct shift *change);
void changed_each(const struct changed *changed, changed_fn *each, void *context);

/* The one of that value, which is not back; NULL: it stands as it was meant. */
const struct shift *changed_of(const struct changed *changed, enum param_id id, int row,
                               int column);

/* How many levels came to another place since then. */
size_t changed_levels(const struct changed *changed, int64_t since_ms);

#endif
