/* SPDX-License-Identifier: MIT */
/* Teaching text: the worked example of a finding, and a sample finding of each check for those who
 * have none.
 */
#ifndef GAINWARDEN_RULES_TEACH_H
#define GAINWARDEN_RULES_TEACH_H

#include "check/check.h"
#include "core/text.h"
#include "core/verdict.h"

enum { TEACH_SIZE = 1200 }; /* any worked example fits */

/* Appends the worked example of a finding of the check, with its figures. False, and nothing is
 * appended, when there is none: the verdict is no finding, or its figures are not known, because it
 * was told before a restart and not judged since. */
bool teach_work(struct text *text, const struct check *check, const struct verdict *verdict)
    __attribute__((warn_unused_result));

/* A finding of the check and its words (may be NULL), had by running it on a small invented desk on
 * which it fails. */
void teach_sample(const struct check *check, struct verdict *verdict, struct words *words);

#endif
