/* SPDX-License-Identifier: MIT */
/* What was checked and is right, what could not be read, and what the show file accepts: sentences,
 * with the checks' ids folded away.
 */
#include <string.h>

#include "page/html.h"
#include "page/page.h"
#include "report/report.h"

/* "High-pass on: 14 of 16 inputs that want one" */
static const struct {
    const char *what, *of;
} sentences[CHECKS] = {
    [CHECK_UNUSED_PREAMP_GAIN] = {"Preamp gain in use", "inputs"},
    [CHECK_TOO_MANY_CUTS] = {"Rung out with few cuts", "loudspeaker mixes"},
    [CHECK_HIGH_PASS_MISSING] = {"High-pass on", "inputs that want one"},
    [CHECK_HIGH_PASS_LOW] = {"High-pass not far too low", "inputs that have one"},
    [CHECK_HIGH_PASS_HIGH] = {"High-pass leaves the lowest note alone", "inputs that have one"},
    [CHECK_MASTER_OFF_UNITY] = {"Master at 0 dB", "mixes"},
    [CHECK_OWN_SEND_OFF_UNITY] = {"Own send near 0 dB", "inputs"},
    [CHECK_SEND_FOLLOWS_FADER] = {"Stays as it is when a fader moves", "mixes"},
    [CHECK_BOOST_INTO_WEDGE] = {"No boost on the way to a loudspeaker", "inputs and mixes"},
    [CHECK_MAKE_UP_INTO_WEDGE] = {"No make-up gain into a loudspeaker", "inputs"},
    [CHECK_OPEN_UNUSED_INPUT] = {"In use, or closed", "inputs"},
    [CHECK_OPEN_MICROPHONES] = {"Few open microphones", "loudspeaker mixes"},
    [CHECK_EARS_UNPROTECTED] = {"A limiter that protects", "in-ear mixes"},
    [CHECK_PHANTOM_MISMATCH] = {"48 V as it should be", "inputs of which it is known"},
    [CHECK_INPUT_HOT] = {"Room above the peaks", "inputs with a meter"},
    [CHECK_INPUT_FAINT] = {"Loud enough", "inputs with a meter"},
    [CHECK_VALUE_JUMPED] = {"No leap upwards", "inputs and mixes"},
    [CHECK_MOVED_FROM_APPROVED] = {"As it was approved", "inputs and mixes"},
    [CHECK_PROTECTION_LOST] = {"Protection as it was", "inputs and mixes"},
    [CHECK_MARGIN_LEFT] = {"Margin as it was proved", "loudspeaker mixes"},
    [CHECK_LOOP_MARGIN] = {"Margin by the stage plan", "loudspeaker mixes"},
    [CHECK_MICROPHONE_AIM] = {"Turned well by the stage plan", "microphones on stands"},
    [CHECK_MIX_RINGING] = {"Nothing that rings in the spectra", "loudspeaker mixes"},
    [CHECK_LEFT_ON] = {"Talkback and oscillator off", "desk"},
};

/* ---- right ---- */

/* Of how many the check judged anything. */
static size_t
judged(const struct engine *engine, int check)
{
    return engine_count(engine, check, OUTCOME_PASS) + engine_count(engine, check, OUTCOME_FINDING);
}

static void
add_sentences(FILE *page, const struct engine *engine)
{
    html_add(page, "<ul class=\"checked\">\n");
    for (int check = 0; check < CHECKS; check++) {
        size_t of = judged(engine, check), right = engine_count(engine, check, OUTCOME_PASS);

        if (of > 0)
            html_add(page, "<li class=\"%s\">%s: <b>%zu of %zu</b> %s</li>\n",
                     right == of ? "all" : "some", sentences[check].what, right, of,
                     sentences[check].of);
    }
    html_add(page, "</ul>\n<details><summary>The checks by their names</summary>\n<ul>\n");
    for (int check = 0; check < CHECKS; check++)
        if (judged(engine, check) > 0)
            html_add(page, "<li>%s: %s</li>\n", sentences[check].what, check_name(check));
    html_add(page, "</ul>\n</details>\n");
}

void
page_add_right(FILE *page, const struct report_findings *findings)
{
    const struct engine *engine = findings->engine;
    size_t closed = 0, of = 0;
    char says[REPORT_CLOSED_SIZE];

    for (int check = 0; check < CHECKS; check++) {
        closed += engine_count(engine, check, OUTCOME_CLOSED);
        of += judged(engine, check);
    }
    html_add(page, "<section id=\"right\">\n<h2>Checked, and right</h2>\n");
    if (of > 0)
        add_sentences(page, engine);
    else
        html_add(page, "<p>Nothing that is known.</p>\n");
    if (closed > 0)
        html_add(page, "<p class=\"soft\">%s.</p>\n", report_closed(closed, says));
    html_add(page, "</section>\n");
}

/* ---- accepted ---- */

static void
add_accept(FILE *page, const struct report_findings *findings, const struct finding *finding)
{
    const struct accept *accept = &engine_show(findings->engine)->accepts[finding->accept];
    char object[REPORT_OBJECT_SIZE];
    struct words words;

    engine_words(findings->engine, finding, &words);
    html_add(page, "<p><bdi>%s</bdi>: %s. <em><bdi>%s</bdi></em>%s<bdi>%s</bdi>%s</p>\n",
             report_object(findings->engine, finding->object, object), words.says, accept->why,
             *accept->by ? " (" : "", accept->by, *accept->by ? ")" : "");
}

/* Entries that have ended or match nothing, so that "why was I told?" has an answer. Returns how
 * many. */
static size_t
add_idle(FILE *page, const struct engine *engine)
{
    const struct show *show = engine_show(engine);
    size_t count = 0;

    for (int i = 0; i < show->accept_count; i++) {
        const char *idle = report_accept_idle(engine, i);

        if (!idle)
            continue;
        html_add(page, "<p>accept[%d] %s: %s (<bdi>%s</bdi>)</p>\n", i,
                 check_name(show->accepts[i].check), idle, show->accepts[i].why);
        count++;
    }
    return count;
}

static void
add_accepted(FILE *page, const struct report_findings *findings)
{
    size_t told = findings->accepted_count;

    if (engine_show(findings->engine)->accept_count == 0)
        return;
    html_add(page, "<section id=\"accepted\">\n<h2>Accepted in the show file</h2>\n");
    for (size_t i = 0; i < findings->accepted_count; i++)
        add_accept(page, findings, findings->list[findings->open_count + i]);
    told += add_idle(page, findings->engine);
    if (told == 0)
        html_add(page, "<p>Not judged: what it rests on is not known.</p>\n");
    html_add(page, "</section>\n");
}

/* ---- not known ---- */

struct unknown {
    FILE *page;
    const struct engine *engine;
    const struct check *check; /* told last, NULL: none was */
};

/* The first of each check; how many there are stands with it. */
static void
add_first(void *context, const struct check *check, struct object object, const char *why)
{
    struct unknown *unknown = context;
    size_t count = engine_count(unknown->engine, check->number, OUTCOME_NOT_KNOWN);
    char name[REPORT_OBJECT_SIZE];

    if (unknown->check == check)
        return;
    unknown->check = check;
    html_add(unknown->page, "<li>%s: <bdi>%s</bdi>", sentences[check->number].what,
             report_object(unknown->engine, object, name));
    if (count > 1)
        html_add(unknown->page, " and %zu more", count - 1);
    html_add(unknown->page, ": %s</li>\n", why);
}

static void
add_each(void *context, const struct check *check, struct object object, const char *why)
{
    const struct unknown *unknown = context;
    char name[REPORT_OBJECT_SIZE];

    html_add(unknown->page, "<li><bdi>%s</bdi>, %s: %s</li>\n",
             report_object(unknown->engine, object, name), check->id, why);
}

static void
add_not_known(FILE *page, const struct report_findings *findings)
{
    struct unknown unknown = {page, findings->engine, NULL};

    html_add(page, "<section id=\"not-known\">\n<h2>Not known (%zu)</h2>\n", findings->unknown);
    if (findings->unknown == 0) {
        html_add(page, "<p>Everything the checks asked for was heard.</p>\n</section>\n");
        return;
    }
    html_add(page, "<ul>\n");
    engine_unknown(findings->engine, add_first, &unknown);
    html_add(page, "</ul>\n<details><summary>Each of them</summary>\n<ul>\n");
    engine_unknown(findings->engine, add_each, &unknown);
    html_add(page, "</ul>\n</details>\n</section>\n");
}

void
page_add_aside(FILE *page, const struct report_findings *findings)
{
    add_not_known(page, findings);
    add_accepted(page, findings);
}
