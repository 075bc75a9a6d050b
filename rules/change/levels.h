/* SPDX-License-Identifier: MIT */
/* What the mixes carried lately: the highest that the meter of each showed in ten minutes. Minutes
 * in which nothing was to be heard do not count, so a pause does not make a mix soft.
 */
#ifndef GAINWARDEN_RULES_LEVELS_H
#define GAINWARDEN_RULES_LEVELS_H

#include <stdbool.h>
#include <stdint.h>

enum { LEVELS_MINUTES = 10, LEVELS_SILENT_DB = -40 };

struct levels;

struct levels *levels_new(int mixes);
void levels_free(struct levels *levels);

/* Takes a reading, dB full scale. True when what levels_highest() says became another, by a dB or
 * more. */
bool levels_note(struct levels *levels, int mix, double level_db, int64_t now_ms);

/* The highest of the last ten minutes in which the mix carried something. False until there were so
 * many. */
bool levels_highest(const struct levels *levels, int mix, double *highest_db);

/* Takes over what was known of the mixes that both have. */
void levels_carry(struct levels *levels, const struct levels *from);

#endif
