/* SPDX-License-Identifier: MIT */
/* The audit's report. Both forms are written from the same facts. */
#ifndef GAINWARDEN_REPORT_H
#define GAINWARDEN_REPORT_H

#include <stdio.h>

#include "engine/teach.h"
#include "link/link.h"
#include "show/session.h"

struct report {
    const struct session *session;
    struct link_figures figures;
    bool all; /* list every finding */
};

/* Room for each in a line of all checks or parameters: its name, comma, blanks and a count. */
enum { REPORT_NAME_SIZE = 40 };

/* Writes the page to standard output. */
void report_text(const struct report *report);
void report_json(const struct report *report);

/* The same to look at: one self-contained HTML file. */
void report_html(const struct report *report, FILE *page);

/* The heading of the findings of a weight. */
const char *report_title(enum weight weight);

/* Prints that heading with a count, and what to do about a finding. */
void report_heading(enum weight weight, size_t count);
void report_do(const struct words *words);

/* Prints how many lines of a list are left out. */
void report_more(size_t count);

/* Whether something is so of a parameter of the desk. */
typedef bool report_is_fn(const struct desk *desk, enum param_id id);

/* Whether the profile does not name the parameter, and what a desk without it has stands in. */
report_is_fn report_is_absent;

/* Whether it is a control whose end stops are asked for and the profile does not tell them. */
report_is_fn report_is_endless;

/* What such parameters are listed behind. */
extern const char report_absent_words[], report_endless_words[];

/* The sentence that lists those of which it is so, behind the words; "" when there are none. */
enum { REPORT_PARAMS_SIZE = 120 + REPORT_NAME_SIZE * PARAMS };
const char *report_params(const struct desk *desk, report_is_fn *is, const char *words,
                          const char *between, char says[REPORT_PARAMS_SIZE]);

/* The usual cautions, for every page that says what to do. */
extern const char report_care_words[];
void report_care(void);

/* The exit status the findings ask for. */
int report_status(const struct report *report);

/* The "link" object of a JSON report. */
struct json *report_link_json(const struct link_figures *figures);

/* The worked example of a finding; false when its figures are not known. */
bool report_worked(const struct finding *finding, char worked[TEACH_SIZE]);

/* One finding, as in the "findings" of a JSON report; with a plan it points to its card, with NULL it
 * says what to do in a sentence. */
struct plan;
struct json *report_finding_json(const struct engine *engine, const struct finding *finding,
                                 const struct plan *plan);

/* Calls `each` for each way in which datagrams or messages were turned down, with how often, and
 * what can be read of the first that could not be; "": nothing. */
typedef void report_reject_fn(void *context, const char *reason, uint64_t count, const char *first);
void report_rejects(const struct link_figures *figures, report_reject_fn *each, void *context);

/* "Refused: bad-array 3 (/v ,[ff), bad-value 1"; "" when none was. */
enum { REPORT_REFUSED_SIZE = 3000 };
const char *report_refused(const struct link_figures *figures, char says[REPORT_REFUSED_SIZE]);

/* Prints that, or nothing. */
void report_print_rejects(const struct link_figures *figures);

/* "612 of 612 questions answered in 3 s" */
enum { REPORT_ANSWERED_SIZE = 100 };
const char *report_answered(const struct link_figures *figures, char says[REPORT_ANSWERED_SIZE]);

/* What to look at when no value of a desk that was asked was ever heard, "" when one was. */
enum { REPORT_SILENT_SIZE = 400 };
const char *report_silent(const struct link_figures *figures, char says[REPORT_SILENT_SIZE]);

/* Prints that, or nothing. */
void report_never_heard(const struct link_figures *figures);

enum { REPORT_OBJECT_SIZE = 120 };

/* "input 18 Ld Vox", "mix 3 Keys wedge", "desk". */
const char *report_object(const struct engine *engine, struct object object,
                          char buffer[REPORT_OBJECT_SIZE]);

#endif
