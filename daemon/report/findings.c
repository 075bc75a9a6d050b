/* SPDX-License-Identifier: MIT */
#include "report/findings.h"

#include <stdio.h>
#include <stdlib.h>

#include "core/need.h"

size_t
report_unknown(const struct engine *engine)
{
    size_t unknown = 0;

    for (int check = 0; check < CHECKS; check++)
        unknown += engine_count(engine, check, OUTCOME_NOT_KNOWN);
    return unknown;
}

void
report_count_open(struct engine *engine, size_t of[WEIGHTS])
{
    const struct finding *const *all;
    size_t count = engine_findings(engine, &all);

    for (size_t i = 0; i < count; i++)
        of[all[i]->verdict.weight] += all[i]->accept < 0;
}

struct report_findings
report_findings_with(struct engine *engine, struct plan *plan)
{
    struct report_findings findings = {.engine = engine, .plan = plan, .lent = true};
    const struct finding *const *all;
    size_t count = engine_findings(engine, &all);

    findings.list = need_memory(count + 1, sizeof *findings.list);
    for (size_t i = 0; i < count; i++)
        if (all[i]->accept < 0)
            findings.list[findings.open_count++] = all[i];
    for (size_t i = 0; i < count; i++)
        if (all[i]->accept >= 0)
            findings.list[findings.open_count + findings.accepted_count++] = all[i];
    report_count_open(engine, findings.of);
    findings.unknown = report_unknown(engine);
    return findings;
}

struct report_findings
report_findings_of(struct engine *engine, unsigned ways)
{
    struct report_findings findings = report_findings_with(engine, engine_advise(engine, ways));

    findings.lent = false;
    return findings;
}

void
report_findings_release(struct report_findings *findings)
{
    if (!findings->lent)
        plan_free(findings->plan);
    free(findings->list);
}

/* ---- words ---- */

const char *
report_no_findings(const struct report_findings *findings)
{
    return findings->unknown > 0 ? "No findings in what is known; what is not known stands below."
                                 : "No findings.";
}

const char *
report_kind_mark(const struct finding *finding)
{
    return finding->verdict.inferred ? " (Kind taken from the label.)" : "";
}

const char *
report_accept_idle(const struct engine *engine, int accept)
{
    if (engine_accept_expired(engine, accept))
        return "has ended; its findings count again";
    return engine_accept_idle(engine, accept) ? "nothing matches this accepted item any more"
                                              : NULL;
}

const char *
report_closed(size_t closed, char says[REPORT_CLOSED_SIZE])
{
    snprintf(says, REPORT_CLOSED_SIZE,
             "Not judged: %zu check%s of inputs that are muted or sent nowhere", closed,
             closed == 1 ? "" : "s");
    return says;
}
