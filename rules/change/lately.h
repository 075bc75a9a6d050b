/* SPDX-License-Identifier: MIT */
/* The desk as it was in the last ten seconds: every value that moved since, with what stood there
 * before. It never grows: of more moves the oldest are let go.
 */
#ifndef GAINWARDEN_RULES_LATELY_H
#define GAINWARDEN_RULES_LATELY_H

#include <stdint.h>

#include "change/moves.h"

enum { LATELY_MS = 10000, LATELY_MOVES = 1024 };

struct lately;

struct lately *lately_new(void);
void lately_free(struct lately *lately);

/* A value became another. */
void lately_note(struct lately *lately, const struct moved *moved, int64_t now_ms);

/* A copy of the desk as it was before all that moved from then on, to half a second; NULL when nothing
 * did. For desk_free(). */
struct desk *lately_before(const struct lately *lately, const struct desk *desk, int64_t since_ms);

#endif
