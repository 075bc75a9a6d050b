/* SPDX-License-Identifier: MIT */
/* The parts that a page of the audit and a sheet of the review have in common. A page has no
 * scripts: a player's page is a link, which prints alone once it was followed.
 */
#ifndef GAINWARDEN_PAGE_H
#define GAINWARDEN_PAGE_H

#include <stdio.h>

#include "page/draw.h"
#include "report/findings.h"

/* "1 stop, 5 fix, 8 note, 0 not known", links to the sections and players, and the end of the
 * header. `first`: one more section, "marks", or NULL. */
void page_end_header(FILE *page, const struct report_findings *findings, const char *first);

/* The worked example of a finding, the formula, and where the trade disagrees: folded up, so that
 * who knows it is not held up. It ends the finding's item. */
void page_add_teaching(FILE *page, const struct finding *finding);

void page_add_findings(FILE *page, const struct report_findings *findings);

/* What to set, card by card. */
void page_add_cards(FILE *page, const struct report_findings *findings);

/* What is no finding to mend: accepted, not known; and what is right. */
void page_add_aside(FILE *page, const struct report_findings *findings);
void page_add_right(FILE *page, const struct report_findings *findings);

/* For each player the instructions, in the order to do them, and the links to these. */
void page_add_player_links(FILE *page, const struct report_findings *findings);
void page_add_players(FILE *page, const struct report_findings *findings);

/* The usual cautions. */
void page_care(FILE *page);

/* The same, and the pictures. */
void page_add_pictures(FILE *page, const struct report_findings *findings);

/* The players, and the end of the page. */
void page_end(FILE *page, const struct report_findings *findings);

#endif
