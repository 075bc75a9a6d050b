/* The page an engineer reads before doors: what matters most first. */
#include "report/report.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/clock.h"
#include "base/output.h"

enum { FINDINGS_SHOWN = 9, UNKNOWN_SHOWN = 6 };

/* The findings that are not accepted, worst first, and how many of them were printed. */
struct page {
    const struct report *report;
    const struct engine *engine;
    const struct finding *const *findings;
    size_t count;
    size_t printed, limit;
    size_t unknown; /* checks on objects that ended as not known */
};

static void
print_head(const struct report *report)
{
    const struct link_figures *figures = &report->figures;
    const struct session *session = report->session;
    char span[CLOCK_SIZE], headline[SESSION_HEADLINE_SIZE], again[40] = "";

    session_headline(session, headline);
    output_wrapped(0, 4, headline);
    if (!session->host)
        return;
    if (figures->questions.asked_again > 0)
        snprintf(again, sizeof again, ", %zu asked again", figures->questions.asked_again);
    output_format(0, 4, "%zu of %zu questions answered in %s%s", figures->questions.heard,
                  figures->questions.questions, clock_span(figures->took_ms, span), again);
    report_never_heard(figures);
}

static void
print_finding(const struct page *page, const struct finding *finding)
{
    char object[REPORT_OBJECT_SIZE], line[1200];

    snprintf(line, sizeof line, "%s: %s.%s [%s]",
             report_object(page->engine, finding->object, object), finding->verdict.says,
             finding->verdict.inferred ? " (Kind taken from the label.)" : "",
             checks[finding->check]->id);
    output_wrapped(4, 6, line);
    report_do(finding);
}

/* Heading of a player's findings; a name taken from a label is marked. */
static void
print_player(const char *player, bool inferred, bool desk)
{
    output_format(2, 4, "%s%s",
                  *player ? player
                  : desk  ? "the whole desk"
                          : "no player named",
                  *player && inferred ? " (name taken from the label)" : "");
}

/* Prints the findings of one weight that are for the same player as number `first`. */
static void
print_group(struct page *page, size_t first, bool done[])
{
    enum weight weight = page->findings[first]->verdict.weight;
    char player[SHOW_NAME_SIZE], other[SHOW_NAME_SIZE];
    bool desk = page->findings[first]->object.input < 0 && page->findings[first]->object.mix < 0;
    bool inferred = engine_player(page->engine, page->findings[first], player);

    print_player(player, inferred, desk);
    for (size_t i = first; i < page->count && page->printed < page->limit; i++) {
        if (done[i] || page->findings[i]->verdict.weight != weight)
            continue;
        engine_player(page->engine, page->findings[i], other);
        if (strcmp(player, other) != 0)
            continue;
        done[i] = true;
        page->printed++;
        print_finding(page, page->findings[i]);
    }
}

static size_t
count_weight(const struct page *page, enum weight weight)
{
    size_t count = 0;

    for (size_t i = 0; i < page->count; i++)
        count += page->findings[i]->verdict.weight == weight;
    return count;
}

static void
print_findings(struct page *page)
{
    bool *done = calloc(page->count + 1, sizeof *done);

    if (!done)
        abort();
    for (int weight = WEIGHT_STOP; weight >= WEIGHT_NOTE; weight--) {
        size_t count = count_weight(page, (enum weight)weight);

        if (count == 0 || page->printed == page->limit)
            continue;
        report_heading((enum weight)weight, count);
        for (size_t i = 0; i < page->count && page->printed < page->limit; i++)
            if (!done[i] && page->findings[i]->verdict.weight == (enum weight)weight)
                print_group(page, i, done);
    }
    if (page->printed < page->count)
        printf("\nand %zu more: --all lists them\n", page->count - page->printed);
    if (page->count == 0)
        puts(page->unknown > 0 ? "\nNo findings in what is known; what is not known stands below."
                               : "\nNo findings.");
    free(done);
}

/* ---- accepted ---- */

static void
print_accepted(const struct page *page, size_t count)
{
    const struct show *show = engine_show(page->engine);
    char object[REPORT_OBJECT_SIZE], line[700];

    for (size_t i = 0; i < count; i++) {
        const struct finding *finding = page->findings[i];

        if (finding->accept < 0)
            continue;
        snprintf(line, sizeof line, "%s, %s (%s %.4g): %s",
                 report_object(page->engine, finding->object, object), checks[finding->check]->id,
                 checks[finding->check]->severity, finding->verdict.severity,
                 show->accepts[finding->accept].why);
        output_wrapped(2, 4, line);
    }
}

static void
print_accepts(const struct page *page, size_t count)
{
    const struct show *show = engine_show(page->engine);

    if (show->accept_count == 0)
        return;
    puts("\nAccepted in the show file");
    print_accepted(page, count);
    for (int i = 0; i < show->accept_count; i++) {
        const struct accept *accept = &show->accepts[i];
        bool expired = engine_accept_expired(page->engine, i);
        char line[500];

        if (!expired && !engine_accept_idle(page->engine, i))
            continue;
        snprintf(line, sizeof line, "accept[%d] %s: %s (%s)", i, checks[accept->check]->id,
                 expired ? "has ended; its findings count again"
                         : "nothing matches this accepted item any more",
                 accept->why);
        output_wrapped(2, 4, line);
    }
}

/* ---- not known ---- */

struct unknown {
    const struct engine *engine;
    int check;
    size_t count;
    struct object first;
    char why[200];
    size_t printed, left_out;
};

static void
print_unknown(struct unknown *unknown)
{
    char object[REPORT_OBJECT_SIZE], line[500];

    if (unknown->count == 0)
        return;
    if (unknown->printed == UNKNOWN_SHOWN) {
        unknown->left_out += unknown->count;
        return;
    }
    unknown->printed++;
    report_object(unknown->engine, unknown->first, object);
    if (unknown->count == 1)
        snprintf(line, sizeof line, "%s: %s: %s", checks[unknown->check]->id, object, unknown->why);
    else
        snprintf(line, sizeof line, "%s: %s and %zu more: %s", checks[unknown->check]->id, object,
                 unknown->count - 1, unknown->why);
    output_wrapped(2, 4, line);
}

/* Gathers what one check could not know, and prints it when the next one begins. */
static void
gather_unknown(void *context, int check, struct object object, const char *why)
{
    struct unknown *unknown = context;

    if (check != unknown->check) {
        print_unknown(unknown);
        unknown->check = check;
        unknown->count = 0;
        unknown->first = object;
        snprintf(unknown->why, sizeof unknown->why, "%s", why);
    }
    unknown->count++;
}

static void
print_not_known(const struct page *page)
{
    struct unknown unknown = {.engine = page->engine, .check = -1};

    if (page->unknown == 0)
        return;
    printf("\nNot known (%zu)\n", page->unknown);
    engine_unknown(page->engine, gather_unknown, &unknown);
    print_unknown(&unknown);
    if (unknown.left_out > 0)
        printf("  and %zu more: --format=json lists them\n", unknown.left_out);
}

/* ---- the rest ---- */

/* Some checks are asked only in a watch, or only beside an approved desk. */
static bool
was_asked(const struct engine *engine, int check)
{
    for (int outcome = OUTCOME_NOT_ASKED + 1; outcome < OUTCOMES; outcome++)
        if (engine_count(engine, check, (enum outcome)outcome) > 0)
            return true;
    return !checks[check]->watch_only;
}

static void
print_right(const struct page *page)
{
    char line[800] = "Right: ";
    const char *between = "";
    size_t used = strlen(line), closed = 0;

    for (int check = 0; check < CHECKS; check++) {
        size_t count = engine_count(page->engine, check, OUTCOME_PASS);

        if (engine_show(page->engine)->checks[check].off || !was_asked(page->engine, check))
            continue;
        closed += engine_count(page->engine, check, OUTCOME_CLOSED);
        used += (size_t)snprintf(line + used, sizeof line - used, "%s%s %zu", between,
                                 checks[check]->id, count);
        between = ", ";
    }
    putchar('\n');
    output_wrapped(0, 2, line);
    if (closed > 0)
        output_format(0, 2, "Not judged: %zu check%s of inputs that are muted or sent nowhere",
                      closed, closed == 1 ? "" : "s");
}

static void
print_absent(const struct page *page)
{
    const struct desk *desk = engine_desk(page->engine);
    char line[900] = "Taken as absent, because the profile does not name them:";
    size_t used = strlen(line), before = used;

    for (int id = 0; id < PARAMS; id++)
        if (report_is_absent(desk, (enum param_id)id))
            used += (size_t)snprintf(line + used, sizeof line - used, " %s", params[id].name);
    if (used > before)
        output_wrapped(0, 2, line);
}

void
report_text(const struct report *report)
{
    struct page page = {.report = report,
                        .engine = report->session->engine,
                        .limit = report->all ? SIZE_MAX : FINDINGS_SHOWN};
    const struct finding *const *all;
    size_t total = engine_findings(report->session->engine, &all);
    const struct finding **kept = calloc(total + 1, sizeof *kept);

    if (!kept)
        abort();
    for (int check = 0; check < CHECKS; check++)
        page.unknown += engine_count(page.engine, check, OUTCOME_NOT_KNOWN);
    print_head(report);
    for (size_t i = 0; i < total; i++)
        if (all[i]->accept < 0)
            kept[page.count++] = all[i];
    page.findings = kept;
    print_findings(&page);
    free(kept);
    page.findings = all;
    print_accepts(&page, total);
    print_not_known(&page);
    print_right(&page);
    print_absent(&page);
    report_print_rejects(&report->figures);
    report_care();
}
