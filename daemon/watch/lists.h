/* SPDX-License-Identifier: MIT */
/* Lists of lines about one desk that screen and board show alike; margins.h has one more. */
#ifndef GAINWARDEN_WATCH_LISTS_H
#define GAINWARDEN_WATCH_LISTS_H

#include <stddef.h>

struct watch_desk;

enum { LISTS_UNKNOWN = 40 /* lines of what is not known */ };

typedef void lists_line_fn(void *context, const char *line);

/* What is not known, with the reason: the first LISTS_UNKNOWN of them. How many there are. */
size_t lists_unknown(const struct watch_desk *desk, lists_line_fn *each, void *context);

/* What is held because of a ring-out, and what is quieted now. */
void lists_quieted(const struct watch_desk *desk, lists_line_fn *each, void *context);

#endif
