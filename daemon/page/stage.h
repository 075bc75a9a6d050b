/* SPDX-License-Identifier: MIT */
/* What the stage plan and the desk say together, as parts of a page: the picture with its table on the
 * audit's page and on the stage's own, the rest on the latter.
 */
#ifndef GAINWARDEN_PAGE_STAGE_H
#define GAINWARDEN_PAGE_STAGE_H

#include <stdio.h>

#include "report/stage.h"

/* The estimate as one sentence. */
enum { PAGE_STAGE_SIZE = 300 };
const char *page_stage_sentence(const struct stage_report *report, char says[PAGE_STAGE_SIZE]);

/* The picture and the table of the paths that lead. */
void page_add_stage(FILE *page, const struct stage_report *report);

/* What players and listeners can have, what helps, and what a hand takes. */
void page_add_stage_levels(FILE *page, const struct stage_report *report);
void page_add_stage_helps(FILE *page, const struct stage_report *report);
void page_add_stage_hands(FILE *page, const struct stage_report *report);

#endif
