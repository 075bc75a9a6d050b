/* SPDX-License-Identifier: MIT */
/* The desk beside what was approved, or beside a reference: findings then and now, every value that
 * differs with what it weighs, and the cards that put all of it back. The facts are gathered first;
 * both forms of the page are written from them.
 *
 * What moves path gains comes first, the loudest upwards on top. What is another preamp offset
 * alone is folded: no weight, no card. A reference is not what this desk was, but what it should
 * amount to: values are told by kind beside the path gains that differ.
 */
#ifndef GAINWARDEN_COMPARE_H
#define GAINWARDEN_COMPARE_H

#include <stdio.h>

#include "advice/plan.h"
#include "change/difference.h"
#include "change/effect.h"
#include "engine/difference_findings.h"
#include "link/link.h"
#include "report/report.h"
#include "saved/file.h"
#include "show/session.h"

/* How one check stands to one object, then and now. */
struct compare_finding {
    enum finding_change change;
    const struct finding *then, *now;
};

/* How a value that differs counts. */
enum compare_stands {
    COMPARE_DIFFERS,
    COMPARE_FOLDED, /* part of another offset */
    COMPARE_ASLEEP, /* behind a switch that is off on both sides, so that it does nothing */
    COMPARE_STANDS
};

struct compare_value {
    enum difference_class kind;
    enum param_id id;
    int row, column;
    enum compare_stands stands;
    struct effect effect; /* these of what differs */
    enum weight weight;
    size_t card; /* that puts it back, or PLAN_NO_CARD */
};

struct compare {
    /* of the caller */
    const struct session *session; /* the desk was read */
    struct saved *saved;
    const char *path; /* of the saved desk */
    struct link_figures figures;
    bool reference; /* the saved desk is one; else it is the approved desk */
    bool all;       /* list everything */
    /* gathered */
    struct engine *then, *now; /* `then` has the saved desk, and is owned */
    struct compare_finding *findings;
    size_t finding_count, of[FINDING_CHANGES];
    struct compare_value *moved, *unknown; /* what moves path gains first, then protection */
    size_t moved_count, unknown_count;
    struct difference_counts counts;
    struct offsets *offsets;
    struct plan *plan;                                           /* the way back */
    size_t classes[DIFFERENCE_CLASSES], kinds[DIFFERENCE_KINDS]; /* of those that differ */
    size_t stands[COMPARE_STANDS];
};

/* Works out what differs, and the way back; takes the desk of `saved`. */
void compare_gather(struct compare *compare);
void compare_release(struct compare *compare);

/* The exit status that the differences ask for. */
int compare_status(const struct compare *compare);

void compare_text(const struct compare *compare);
void compare_json(const struct compare *compare);

/* The same to look at: one self-contained HTML file. */
void compare_html(const struct compare *compare, FILE *page);

/* Path gains and values by kind, beside a reference. */
void compare_reference_text(const struct compare *compare);

/* The same added to the page: "path_gains", "kind_counts". */
void compare_reference_json(const struct compare *compare, struct json *root);

/* What is no difference: behind switches that are off on both sides, and another offset alone. */
void compare_besides_text(const struct compare *compare);

/* Adds "offsets". */
void compare_offsets_json(const struct compare *compare, struct json *root);

/* On which side what is not known. */
struct json *compare_miss_json(const struct offset_miss *miss);

/* How many values differ, but for labels. */
size_t compare_kinds(const struct compare *compare);

/* The finding to speak of, today's where there is one, and the engine whose it is. */
const struct finding *compare_shown(const struct compare_finding *row);
const struct engine *compare_engine(const struct compare *compare,
                                    const struct compare_finding *row);

/* Whose the value is: "input 7 Snare", "group 2", "desk". */
const char *compare_owner(const struct compare *compare, const struct compare_value *value,
                          char object[REPORT_OBJECT_SIZE]);

/* "in the reference" or "now": where something is not known. */
const char *compare_side(bool before);

/* "preamp 30 -> 36 dB", of a value that moved. */
enum { COMPARE_SAYS_SIZE = 300 };
const char *compare_says(const struct compare *compare, const struct compare_value *value,
                         char says[COMPARE_SAYS_SIZE]);

/* "input 7 Snare: preamp 30 -> 36 dB, 6 dB louder in mixes 1-4; card 2" */
enum { COMPARE_LINE_SIZE = 1200 };
const char *compare_move_says(const struct compare *compare, const struct compare_value *value,
                              char line[COMPARE_LINE_SIZE]);

/* Whether what moved is listed: what hands ride is where it moves a path gain, or a card is for it. */
bool compare_is_listed(const struct compare *compare, const struct compare_value *value);

/* What stands in line with "another offset": whether it is listed, for what goes back is told by its
 * card; and its words. */
bool compare_offset_is_listed(const struct compare *compare, const struct offset *offset);
const char *compare_offset_says(const struct compare *compare, const struct offset *offset,
                                char line[COMPARE_LINE_SIZE]);

/* What ring-outs proved of a mix, then and now. */
enum compare_margin {
    COMPARE_MARGIN_NONE, /* no loop is open into it on either side */
    COMPARE_MARGIN_SAME,
    COMPARE_MARGIN_OTHER
};

/* Only where a ceiling is kept. */
enum compare_margin compare_margin(const struct compare *compare, int mix);

/* "mix 2 Gtr wedge: 6 dB -> 4.5 dB proved left, through input 17 Tenor Sax, since its send rose by 1.5
 * dB" */
const char *compare_margin_says(const struct compare *compare, int mix,
                                char line[COMPARE_LINE_SIZE]);

/* "mix 1 Ld Vox wedge 6 dB, mix 3 Keys wedge no proof": those that are the same, to free(). */
char *compare_margins_same(const struct compare *compare);
const char *compare_margins_title(const struct compare *compare);

/* The block of the text, nothing where nothing is kept; adds "margins". */
void compare_proved_text(const struct compare *compare);
void compare_proved_json(const struct compare *compare, struct json *root);

/* "input 7 Snare: preamp: not known when it was approved" */
const char *compare_unknown_says(const struct compare *compare, const struct compare_value *value,
                                 char line[COMPARE_LINE_SIZE]);

/* A path gain that differs from the reference's. */
struct compare_path {
    int input, mix;
    double rise_db; /* below 0: a fall */
};

/* Those that rose before those that fell, the farthest first; offsets->of[PATH_DIFFERS] of them, for
 * free(). */
struct compare_path *compare_paths(const struct compare *compare);

/* "input 7 Floor Tom into mix 3 Keys wedge: 20 -> 26 dB" */
const char *compare_path_says(const struct compare *compare, const struct compare_path *path,
                              char line[COMPARE_LINE_SIZE]);

/* Prints what moved: "fix: input 7 Snare: preamp 30 -> 36 dB, 6 dB louder in mixes 1-4; card 2";
 * without weight where it stands for nothing. */
void compare_print(const struct compare *compare, const struct compare_value *value);

/* Adds "weight", "louder_db", "softer_db", "mixes" and "card" of what moved. */
void compare_value_json(const struct compare *compare, const struct compare_value *value,
                        struct json *json);

#endif
