/* SPDX-License-Identifier: MIT */
/* The page an engineer reads before doors: what matters most first. */
#include "report/report.h"

#include <stdio.h>
#include <stdlib.h>

#include "base/output.h"
#include "core/need.h"
#include "core/text.h"
#include "report/cards.h"
#include "report/findings.h"
#include "report/players.h"
#include "report/proved.h"

enum { FINDINGS_SHOWN = 9, UNKNOWN_SHOWN = 6 };
enum { RIGHT_SIZE = 20 + REPORT_NAME_SIZE * CHECKS };

struct page {
    struct report_findings findings;
    size_t printed, limit; /* of the open ones */
};

static void
print_head(const struct report *report)
{
    const struct link_figures *figures = &report->figures;
    const struct session *session = report->session;
    char answered[REPORT_ANSWERED_SIZE], headline[SESSION_HEADLINE_SIZE], again[40] = "";

    session_headline(session, headline);
    output_wrapped(0, 4, headline);
    if (!session->host)
        return;
    if (figures->questions.asked_again > 0)
        snprintf(again, sizeof again, ", %zu asked again", figures->questions.asked_again);
    output_format(0, 4, "%s%s", report_answered(figures, answered), again);
    report_never_heard(figures);
}

/* ---- findings ---- */

static void
print_finding(const struct page *page, const struct finding *finding)
{
    const struct engine *engine = page->findings.engine;
    char object[REPORT_OBJECT_SIZE];
    struct words words;

    engine_words(engine, finding, &words);
    cards_cure(page->findings.plan, finding, &words);
    output_format(4, 6, "%s: %s.%s [%s]", report_object(engine, finding->object, object),
                  words.says, report_kind_mark(finding), finding->check->id);
    report_do(&words);
}

/* Heading of a player's findings; a name taken from a label is marked. */
static void
print_player(const struct player_finding *first)
{
    struct object object = first->finding->object;
    bool desk = !*first->player && object.input < 0 && object.mix < 0;

    output_format(2, 4, "%s%s", desk ? "the whole desk" : players_title(first),
                  *first->player && first->inferred ? " (name taken from the label)" : "");
}

/* The open findings of one weight by player, as long as there is room. */
static void
print_weight(struct page *page, enum weight weight)
{
    const struct report_findings *findings = &page->findings;
    struct player_finding *list = need_memory(findings->open_count + 1, sizeof *list);
    size_t count = 0;

    for (size_t i = 0; i < findings->open_count; i++)
        if (findings->list[i]->verdict.weight == weight)
            list[count++] = (struct player_finding){.finding = findings->list[i], .at = i};
    players_group(findings->engine, list, count);
    report_heading(weight, count);
    for (size_t i = 0; i < count && page->printed < page->limit; i++) {
        if (players_begin(list, i))
            print_player(&list[i]);
        print_finding(page, list[i].finding);
        page->printed++;
    }
    free(list);
}

static void
print_findings(struct page *page)
{
    size_t count = page->findings.open_count;

    for (enum weight weight = WEIGHTS; weight-- > 0;)
        if (page->findings.of[weight] > 0 && page->printed < page->limit)
            print_weight(page, weight);
    if (page->printed < count)
        printf("\nand %zu more: --all lists them\n", count - page->printed);
    if (count == 0)
        printf("\n%s\n", report_no_findings(&page->findings));
}

/* ---- accepted ---- */

static void
print_accepted(const struct engine *engine, const struct finding *finding)
{
    char object[REPORT_OBJECT_SIZE];

    output_format(2, 4, "%s, %s (%s %.4g): %s", report_object(engine, finding->object, object),
                  finding->check->id, finding->check->severity, finding->verdict.severity,
                  engine_show(engine)->accepts[finding->accept].why);
}

static void
print_accepts(const struct report_findings *findings)
{
    const struct show *show = engine_show(findings->engine);

    if (show->accept_count == 0)
        return;
    puts("\nAccepted in the show file");
    for (size_t i = 0; i < findings->accepted_count; i++)
        print_accepted(findings->engine, findings->list[findings->open_count + i]);
    for (int i = 0; i < show->accept_count; i++) {
        const char *idle = report_accept_idle(findings->engine, i);

        if (idle)
            output_format(2, 4, "accept[%d] %s: %s (%s)", i, check_name(show->accepts[i].check),
                          idle, show->accepts[i].why);
    }
}

/* ---- not known ---- */

struct unknown {
    const struct engine *engine;
    const struct check *check;
    size_t count;
    struct object first;
    char why[200];
    size_t printed, left_out;
};

static void
print_unknown(struct unknown *unknown)
{
    char object[REPORT_OBJECT_SIZE], more[40] = "";

    if (unknown->count == 0)
        return;
    if (unknown->printed == UNKNOWN_SHOWN) {
        unknown->left_out += unknown->count;
        return;
    }
    unknown->printed++;
    if (unknown->count > 1)
        snprintf(more, sizeof more, " and %zu more", unknown->count - 1);
    output_format(2, 4, "%s: %s%s: %s", unknown->check->id,
                  report_object(unknown->engine, unknown->first, object), more, unknown->why);
}

/* Gathers what one check could not know, and prints it when the next one begins. */
static void
gather_unknown(void *context, const struct check *check, struct object object, const char *why)
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
print_not_known(const struct report_findings *findings)
{
    struct unknown unknown = {.engine = findings->engine, .check = NULL};

    if (findings->unknown == 0)
        return;
    printf("\nNot known (%zu)\n", findings->unknown);
    engine_unknown(findings->engine, gather_unknown, &unknown);
    print_unknown(&unknown);
    if (unknown.left_out > 0)
        printf("  and %zu more: --format=json lists them\n", unknown.left_out);
}

/* ---- the rest ---- */

/* Some checks are asked only in a watch, or only beside an approved desk. */
static bool
was_asked(const struct engine *engine, int check)
{
    for (enum outcome outcome = OUTCOME_NOT_ASKED + 1; outcome < OUTCOMES; outcome++)
        if (engine_count(engine, check, outcome) > 0)
            return true;
    return !engine_checks(engine)->of[check]->watch_only;
}

static void
print_right(const struct engine *engine)
{
    char line[RIGHT_SIZE], says[REPORT_CLOSED_SIZE];
    const char *between = "";
    size_t closed = 0;
    struct text text;

    text_init(&text, line, sizeof line);
    text_add(&text, "Right: ");
    for (int check = 0; check < CHECKS; check++) {
        if (engine_show(engine)->checks[check].off || !was_asked(engine, check))
            continue;
        closed += engine_count(engine, check, OUTCOME_CLOSED);
        text_add(&text, "%s%s %zu", between, check_name(check),
                 engine_count(engine, check, OUTCOME_PASS));
        between = ", ";
    }
    putchar('\n');
    output_wrapped(0, 2, line);
    if (closed > 0)
        output_wrapped(0, 2, report_closed(closed, says));
}

/* The parameters that are so, in one line behind the words. */
static void
print_params(const struct desk *desk, report_is_fn *is, const char *words)
{
    char says[REPORT_PARAMS_SIZE];

    if (*report_params(desk, is, words, "", says))
        output_wrapped(0, 2, says);
}

void
report_text(const struct report *report)
{
    struct engine *engine = report->session->engine;
    struct page page = {.findings = report_findings_of(engine, report->all ? PLAN_SMALL_TOO : 0),
                        .limit = report->all ? SIZE_MAX : FINDINGS_SHOWN};

    print_head(report);
    print_findings(&page);
    cards_text(engine, page.findings.plan);
    proved_text(engine);
    print_accepts(&page.findings);
    print_not_known(&page.findings);
    print_right(engine);
    print_params(engine_desk(engine), report_is_absent, report_absent_words);
    print_params(engine_desk(engine), report_is_endless, report_endless_words);
    report_print_rejects(&report->figures);
    report_care();
    report_findings_release(&page.findings);
}
