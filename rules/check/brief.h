/* SPDX-License-Identifier: MIT */
/* A finding in a few words, for one row that may be cut at its end: the figure that leads it, and
 * what to do where no card says better. From the verdict's figures alone: nobody looks at the desk.
 */
#ifndef GAINWARDEN_RULES_BRIEF_H
#define GAINWARDEN_RULES_BRIEF_H

#include "core/text.h"
#include "core/verdict.h"

/* "+23 dB", "9 cuts". Nothing while the verdict has no figures: told before a restart. */
void brief_figure(struct text *text, int check, const struct verdict *verdict);

/* "put it back to -13". */
void brief_cure(struct text *text, int check, const struct verdict *verdict);

#endif
