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
    size_t of[WEIGHTS]; /* open findings */
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

/* Reads the saved desk and marks it; `show` may be NULL. False with the problems. Release it in
 * either case. `word`: ids are made from the file's name and this word; NULL: they are the file's
 * name. */
bool setup_read(struct setup *setup, const struct scheme *scheme, const struct show_file *show,
                const char *path, const char *word, struct problems *problems);
void setup_release(struct setup *setup);

/* How the cost of a line comes about, "" when the scheme's number alone says it. */
enum { SETUP_WHY_SIZE = 400 };
const char *setup_why(const struct setup *setup, const struct score_line *line,
                      char why[SETUP_WHY_SIZE]);

/* "2 findings of checks that the scheme does not mark: the audit lists them" */
enum { SETUP_UNMARKED_SIZE = 100 };
const char *setup_unmarked(const struct setup *setup, char says[SETUP_UNMARKED_SIZE]);

/* What no setting shows, besides what the scheme has marked by hand. */
extern const char review_cannot_show[];

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
