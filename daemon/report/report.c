/* SPDX-License-Identifier: MIT */
#include "report/report.h"

#include <assert.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/clock.h"
#include "base/output.h"
#include "core/text.h"
#include "report/findings.h"

const char *
report_title(enum weight weight)
{
    static const char *const titles[WEIGHTS] = {"Note", "Fix before doors",
                                                "Stop: protection is missing"};

    return titles[weight];
}

bool
report_is_absent(const struct desk *desk, enum param_id id)
{
    return desk_supplied(desk, id) == SUPPLY_ABSENT &&
           desk_rows(desk, id) * desk_columns(desk, id) > 0;
}

bool
report_is_endless(const struct desk *desk, enum param_id id)
{
    /* what advice moves, and what a check compares with its end */
    static const enum param_id ended[] = {
        PARAM_INPUT_PREAMP_GAIN,     PARAM_INPUT_FADER,      PARAM_INPUT_COMP_THRESHOLD,
        PARAM_INPUT_GATE_THRESHOLD,  PARAM_SEND_LEVEL,       PARAM_MIX_FADER,
        PARAM_MIX_GRAPHIC_BAND_GAIN, PARAM_MIX_EQ_BAND_GAIN, PARAMS};
    struct travel travel = desk_travel(desk, id);
    const enum param_id *each = ended;

    while (*each != PARAMS && *each != id)
        each++;
    return *each == id && desk_supplied(desk, id) == SUPPLY_HEARD &&
           desk_rows(desk, id) * desk_columns(desk, id) > 0 &&
           (isnan(travel.least) || isnan(travel.most));
}

const char report_endless_words[] =
    "End stops that the profile does not tell; figures that need them are left out (add "
    "\"range\"):";

const char report_absent_words[] = "Taken as absent, because the profile does not name them:";

const char *
report_params(const struct desk *desk, report_is_fn *is, const char *words, const char *between,
              char says[REPORT_PARAMS_SIZE])
{
    struct text text;

    text_init(&text, says, REPORT_PARAMS_SIZE);
    for (enum param_id id = 0; id < PARAMS; id++)
        if (is(desk, id))
            text_add(&text, "%s %s", text.used == 0 ? words : between, params[id].name);
    return says;
}

const char report_care_words[] =
    "Care: loud stages damage hearing. Protect ears, take in-ears out while ringing out, bring "
    "gain up slowly with a hand on the master; local noise rules and the venue's responsible "
    "person decide. This page does not replace a limiter, a measurement or a qualified person.";

void
report_care(void)
{
    output_wrapped(0, 2, report_care_words);
}

void
report_heading(enum weight weight, size_t count)
{
    output_led(0, 2, "\n%s (%zu)", report_title(weight), count);
}

void
report_do(const struct words *words)
{
    output_led(6, 10, "do: %s", words->cure);
}

bool
report_worked(const struct finding *finding, char worked[TEACH_SIZE])
{
    struct text text;

    text_init(&text, worked, TEACH_SIZE);
    return teach_work(&text, finding->check, &finding->verdict);
}

void
report_more(size_t count)
{
    printf("  and %zu more: --all lists them\n", count);
}

int
report_status(const struct report *report)
{
    const struct finding *const *findings;
    size_t count = engine_findings(report->session->engine, &findings);

    for (size_t i = 0; i < count; i++)
        if (findings[i]->accept < 0 && findings[i]->verdict.weight != WEIGHT_NOTE)
            return EXIT_FINDINGS;
    return report_unknown(report->session->engine) > 0 ? EXIT_NOT_KNOWN : EXIT_CLEAN;
}

void
report_rejects(const struct link_figures *figures, report_reject_fn *each, void *context)
{
    struct link_rejects rejects = figures->rejects;

    for (size_t i = 0; i < LINK_REASONS; i++)
        if (*rejects_count(&rejects, i) > 0)
            each(context, rejects_reason(i), *rejects_count(&rejects, i),
                 i < OSC_REJECTS ? figures->unread[i] : "");
}

static void
add_reject(void *context, const char *reason, uint64_t count, const char *first)
{
    struct text *text = context;

    text_add(text, "%s %s %zu", text->used > 0 ? "," : "Refused:", reason, (size_t)count);
    if (*first)
        text_add(text, " (%s)", first);
    assert(!text->cut); /* there are only so many reasons */
}

const char *
report_refused(const struct link_figures *figures, char says[REPORT_REFUSED_SIZE])
{
    struct text text;

    text_init(&text, says, REPORT_REFUSED_SIZE);
    report_rejects(figures, add_reject, &text);
    return says;
}

void
report_print_rejects(const struct link_figures *figures)
{
    char says[REPORT_REFUSED_SIZE];

    if (*report_refused(figures, says))
        output_wrapped(0, 2, says);
}

const char *
report_answered(const struct link_figures *figures, char says[REPORT_ANSWERED_SIZE])
{
    char span[CLOCK_SIZE];

    snprintf(says, REPORT_ANSWERED_SIZE, "%zu of %zu questions answered in %s",
             figures->questions.heard, figures->questions.questions,
             clock_span(figures->took_ms, span));
    return says;
}

const char *
report_silent(const struct link_figures *figures, char says[REPORT_SILENT_SIZE])
{
    if (figures->last_heard_ms >= 0)
        snprintf(says, REPORT_SILENT_SIZE, "%s", "");
    else if (*figures->said)
        snprintf(says, REPORT_SILENT_SIZE,
                 "The desk answers, but with nothing the profile knows: %s. Is it the right "
                 "profile, and does the desk want something first?",
                 figures->said);
    else
        snprintf(says, REPORT_SILENT_SIZE,
                 "The desk was never heard (%s). Is it on, is OSC enabled, are address and port "
                 "right?",
                 figures->error ? figures->error : "no answer");
    return says;
}

void
report_never_heard(const struct link_figures *figures)
{
    char says[REPORT_SILENT_SIZE];

    if (*report_silent(figures, says))
        output_wrapped(0, 4, says);
}

const char *
report_object(const struct engine *engine, struct object object, char buffer[REPORT_OBJECT_SIZE])
{
    const struct desk *desk = engine_desk(engine);
    bool input = object.input >= 0;
    int number = input ? object.input : object.mix;
    const char *label;

    if (number < 0)
        return strcpy(buffer, "desk");
    label = desk_text(desk, input ? PARAM_INPUT_NAME : PARAM_MIX_NAME, number, 0);
    snprintf(buffer, REPORT_OBJECT_SIZE, "%s %d%s%s", input ? "input" : "mix", number + 1,
             *label ? " " : "", label);
    return buffer;
}
