/* SPDX-License-Identifier: MIT */
/* The parts that the pages of audit, comparison, re-trim and review have in common: one section a
 * file, the facts gathered before the first of them is written. A page has no scripts: a player's
 * sheet is a link, which prints alone once it was followed.
 */
#ifndef GAINWARDEN_PAGE_H
#define GAINWARDEN_PAGE_H

#include <stdio.h>

#include "page/draw.h"
#include "report/findings.h"

/* ---- the head ---- */

/* Whose page it is: the small line over the title, and on each player's sheet. */
struct reading {
    const char *show, *desk; /* names; show: "" where there is none */
    const char *at;          /* RFC 3339 */
    const struct desk *heard;
};

void page_reading(FILE *page, const struct reading *reading);

/* The title, which is one sentence. */
void page_title(FILE *page, const char *sentence);

/* "1 stop", "5 to fix before doors", "8 to know", as badges. */
void page_badges(FILE *page, const struct report_findings *findings);

/* What to do first; nothing where nothing has to be done before doors. */
void page_first(FILE *page, const struct report_findings *findings);

/* Opens a badge of that weight, which "</span>" closes: filled, outlined, dotted. */
void page_badge(FILE *page, enum weight weight);

/* Links to these sections, ended by {NULL}, and to the players; and the end of the header. */
struct page_link {
    const char *id, *name;
};
void page_end_header(FILE *page, const struct report_findings *findings,
                     const struct page_link *links);

/* ---- sections ---- */

/* The mixes, one row each. */
void page_add_mixes(FILE *page, const struct report_findings *findings);

/* What is left of the margin that ring-outs proved; nothing where none is kept. */
void page_add_proved(FILE *page, struct engine *engine);

/* What to do, in the order to do it, with boxes to tick; then what is only to know. */
void page_add_steps(FILE *page, const struct report_findings *findings);

/* What to set, card by card. */
void page_add_cards(FILE *page, const struct report_findings *findings);

/* One of them as a table, to tick off. */
void page_add_card(FILE *page, const struct report_findings *findings, size_t place);

/* The worked example of a finding, the formula, and where the trade disagrees: folded up, so that
 * who knows it is not held up. */
void page_add_teaching(FILE *page, const struct finding *finding);

/* What is no finding to mend: accepted, not known; and what is right. */
void page_add_aside(FILE *page, const struct report_findings *findings);
void page_add_right(FILE *page, const struct report_findings *findings);

/* For each player the instructions, in the order to do them, and the links to these. */
void page_add_player_links(FILE *page, const struct report_findings *findings);
void page_add_players(FILE *page, const struct report_findings *findings,
                      const struct reading *reading);

/* The usual cautions. */
void page_care(FILE *page);

/* Preamps, sends, equalisers. */
void page_add_pictures(FILE *page, const struct report_findings *findings);

/* The players, and the end of the page. */
void page_end(FILE *page, const struct report_findings *findings, const struct reading *reading);

#endif
