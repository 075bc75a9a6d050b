/* SPDX-License-Identifier: MIT */
/* What every page of findings begins from: those of an engine that has run, sorted and counted. */
#ifndef GAINWARDEN_FINDINGS_H
#define GAINWARDEN_FINDINGS_H

#include <stddef.h>

#include "advice/plan.h"
#include "engine/engine.h"

struct report_findings {
    struct engine *engine;
    struct plan *plan;           /* what is advised for the desk */
    bool lent;                   /* the plan is the caller's */
    const struct finding **list; /* open_count of them, worst first, then accepted_count */
    size_t open_count, accepted_count;
    size_t of[WEIGHTS]; /* report_count_open() */
    size_t unknown;     /* report_unknown() */
};

/* `ways` of the plan: as in struct plan_wish. */
struct report_findings report_findings_of(struct engine *engine, unsigned ways);

/* The same with a plan that is there already, and stays the caller's. */
struct report_findings report_findings_with(struct engine *engine, struct plan *plan);
void report_findings_release(struct report_findings *findings);

/* Adds how many are open, by weight. */
void report_count_open(struct engine *engine, size_t of[WEIGHTS]);

/* How many checks on objects ended as not known. */
size_t report_unknown(const struct engine *engine);

/* What stands in place of the open ones when there are none. */
const char *report_no_findings(const struct report_findings *findings);

/* What a kind that only a label tells is marked with; "" for others. */
const char *report_kind_mark(const struct finding *finding);

/* Why an entry of the show file's accepts has no effect now, NULL when it has, so that "why was I
 * told?" has an answer. */
const char *report_accept_idle(const struct engine *engine, int accept);

/* "Not judged: 3 checks of inputs that are muted or sent nowhere" */
enum { REPORT_CLOSED_SIZE = 100 };
const char *report_closed(size_t closed, char says[REPORT_CLOSED_SIZE]);

#endif
