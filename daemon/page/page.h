/* The parts that a page of the audit and a sheet of the review have in common. A page has no
 * scripts: a player's page is a link, which prints alone once it was followed.
 */
#ifndef GAINWARDEN_PAGE_H
#define GAINWARDEN_PAGE_H

#include <stddef.h>
#include <stdio.h>

#include "engine/engine.h"
#include "page/draw.h"

/* The findings of an engine that has run: open ones first, worst first, then the accepted ones. */
struct page_findings {
    struct engine *engine;
    const struct finding **list; /* open_count of them, then accepted_count */
    size_t open_count, accepted_count;
    size_t of[WEIGHTS];              /* open ones */
    size_t unknown;                  /* checks on objects that ended as not known */
    char (*players)[SHOW_NAME_SIZE]; /* who has an open finding, in the order of their worst */
    size_t player_count;
};

struct page_findings page_findings_of(struct engine *engine);
void page_findings_release(struct page_findings *findings);

/* "1 stop, 5 fix, 8 note, 0 not known" */
void page_tally(FILE *page, const struct page_findings *findings);

/* Links to the sections and players. `first`: one more section, "marks", or NULL. */
void page_contents(FILE *page, const struct page_findings *findings, const char *first);

/* The worked example of a finding, the formula, and where the trade disagrees: folded up, so that
 * who knows it is not held up. */
void page_add_teaching(FILE *page, const struct finding *finding);

void page_add_findings(FILE *page, const struct page_findings *findings);
void page_add_accepted(FILE *page, const struct page_findings *findings);
void page_add_not_known(FILE *page, const struct page_findings *findings);
void page_add_right(FILE *page, const struct page_findings *findings);
void page_add_pictures(const struct draw *draw);

/* For each player the instructions, in the order to do them. */
void page_add_players(FILE *page, const struct page_findings *findings);

/* The usual cautions. */
void page_care(FILE *page);

#endif
