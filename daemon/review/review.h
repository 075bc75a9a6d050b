/* SPDX-License-Identifier: MIT */
/* Marking setups: one saved desk each, by a scheme. A sheet explains each mark; a class is a table
 * of its sheets.
 */
#ifndef GAINWARDEN_REVIEW_H
#define GAINWARDEN_REVIEW_H

#include <stdio.h>

#include "base/csv.h"
#include "base/json.h"
#include "engine/engine.h"
#include "saved/file.h"
#include "score/score.h"
#include "show/file.h"

/* An id holds any file's name: of two long ones that begin alike each stays its own. */
enum { REVIEW_ID_SIZE = 256, REVIEW_FILE_SIZE = 160 };

/* One setup, with all that its sheet is written from. */
struct setup {
    const struct scheme *scheme;
    char id[REVIEW_ID_SIZE]; /* of the student: the file's name, or made from it */
    bool anonymous;
    bool no_show;                /* no show file says what the desk is for */
    char file[REVIEW_FILE_SIZE]; /* of its sheet in a folder */
    struct saved *saved;         /* without its desk, which is the engine's */
    struct engine *engine;
    struct plan *plan; /* what is advised for the desk */
    struct score *score;
};

/* What the class keeps of a setup. */
struct review_row {
    char id[REVIEW_ID_SIZE], file[REVIEW_FILE_SIZE];
    char at[CLOCK_SIZE];
    struct score_group groups[SCHEME_GROUPS], total;
    size_t of[WEIGHTS];              /* open findings */
    size_t accepted, accepted_stops; /* those that the show file accepts */
    unsigned no_pass;                /* score_no_pass() */
};

struct review_class {
    const struct scheme *scheme;
    struct review_row *rows; /* by id, then by time */
    size_t count;
    struct review_check {
        size_t setups;   /* in which it failed */
        int lost_tenths; /* what it cost all of them */
        int check;       /* its number, in a list that is in another order */
    } checks[CHECKS];
};

/* The id that the setup of the file gets. */
void setup_id(const char *path, const char *word, char id[REVIEW_ID_SIZE]);

/* Reads the saved desk and marks it; `show` may be NULL. False with the problems. Release it in
 * either case. `word`: ids are made from the file's name and this word; NULL: they are the file's
 * name. */
bool setup_read(struct setup *setup, const struct scheme *scheme, const struct show_file *show,
                const char *path, const char *word, struct problems *problems);
void setup_release(struct setup *setup);

/* ---- the sentences of a sheet ---- */

/* "94.3 per cent of what was assessed, which was 85 of 100 marks" */
enum { REVIEW_MARK_SIZE = 120 };
const char *review_mark(const struct score_group *all, char says[REVIEW_MARK_SIZE]);

/* Why nobody passes with this setup; "" where it may. */
enum { REVIEW_NO_PASS_SIZE = 300 };
const char *review_no_pass(const struct setup *setup, char says[REVIEW_NO_PASS_SIZE]);

/* How the cost of a line comes about, "" when the scheme's number alone says it:
 * "8 dB off: 4 marks (1 at 0.5 dB, rising to 4 at 8 dB)" */
enum { REVIEW_WHY_SIZE = 500 };
const char *review_why(const struct setup *setup, const struct score_line *line,
                       char why[REVIEW_WHY_SIZE]);

/* "11 of 13 inputs that want a high-pass have one"; "" where none was judged. */
enum { REVIEW_RIGHT_SIZE = 160 };
const char *review_right(const struct setup *setup, int check, char says[REVIEW_RIGHT_SIZE]);

/* What the most can be won with next time: the checks that cost most, the dearest first. */
struct review_next {
    int check, lost_tenths;
    const struct finding *first; /* where; the worst of */
    size_t count;
};
enum { REVIEW_NEXT = 3 };
int review_next(const struct setup *setup, struct review_next next[REVIEW_NEXT]);

/* Its places and what to do: "input 2 Snare and 3 more: switch the filter on" */
enum { REVIEW_NEXT_SIZE = 900 };
const char *review_next_says(const struct setup *setup, const struct review_next *next,
                             char says[REVIEW_NEXT_SIZE]);

/* "Not assessed: 3 checks of what is closed, 8 of equalisers that nobody touched" */
enum { REVIEW_OPEN_SIZE = 300 };
const char *review_open(const struct score_group *all, char says[REVIEW_OPEN_SIZE]);

/* "2 findings of checks that the scheme does not mark: the audit lists them" */
enum { REVIEW_UNMARKED_SIZE = 100 };
const char *review_unmarked(const struct setup *setup, char says[REVIEW_UNMARKED_SIZE]);

/* What no setting shows, besides what the scheme has marked by hand; what a sheet without a show
 * file rests on; and what stands before what a player wants so. */
extern const char review_cannot_show[], review_no_show[], review_wishes[];

/* One sheet, in each form. */
void review_text(const struct setup *setup);
struct json *review_json(const struct setup *setup);
void review_sheet(const struct setup *setup, FILE *page);

/* The last cell of a row, and its end: earned, lost and not assessed as one bar; what is not
 * assessed is empty. */
void review_bar(FILE *page, const struct score_group *group);

/* By what the marks were given, to the end of its paragraph. */
void review_scheme(FILE *page, const struct scheme *scheme);

/* The class: a page that links its sheets, and RFC 4180. */
void review_overview(const struct review_class *review, FILE *page);
void review_csv(const struct review_class *review, FILE *to);

#endif
