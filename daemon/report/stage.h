/* SPDX-License-Identifier: MIT */
/* What a stage plan and one reading of the desk say together: an estimate, never a proof. Both forms
 * are written from the same facts.
 */
#ifndef GAINWARDEN_REPORT_STAGE_H
#define GAINWARDEN_REPORT_STAGE_H

#include "link/link.h"
#include "show/session.h"
#include "stage/ears.h"
#include "stage/hand.h"
#include "stage/help.h"
#include "stage/house.h"
#include "stage/margin.h"

/* The margin at which a player's level is told. */
#define STAGE_REPORT_MARGIN_DB HOUSE_MARGIN_DB

enum { STAGE_REPORT_PATHS = HELP_PATHS, STAGE_REPORT_HELPS = 10 };

struct stage_report {
    const struct session *session;
    const struct link_figures *figures;
    const struct stage *stage;
    struct loops *loops;
    struct margin worst, random; /* of the whole stage, by phases */
    struct loop_path paths[STAGE_REPORT_PATHS];
    int path_count;
    struct help helps[HELPS_MOST];
    int help_count;       /* to tell: STAGE_REPORT_HELPS at most */
    struct misses misses; /* why loops->unknown paths are not known */
    int strangers;        /* open inputs that the plan has no microphone for */
};

/* Session and figures must outlive it; its show has a plan. For stage_report_release(). */
void stage_report_make(struct stage_report *report, const struct session *session,
                       const struct link_figures *figures);
void stage_report_release(struct stage_report *report);

void stage_report_text(const struct stage_report *report);
void stage_report_json(const struct stage_report *report);
void stage_report_html(const struct stage_report *report, FILE *page); /* daemon/page */

/* EXIT_NOT_KNOWN where a path is not known. */
int stage_report_status(const struct stage_report *report);

/* What a figure of all paths is of: "the whole stage", unless some are left out. */
const char *stage_report_extent(const struct stage_report *report);

/* The plan has a loudspeaker for the mix (a place in loops->mixes), and show file or label say in-ears:
 * one of them is wrong, most likely a number. */
bool stage_report_is_for_ears(const struct stage_report *report, int mix);
#define STAGE_REPORT_FOR_EARS                                                                      \
    "the plan has a loudspeaker for it, and the show file or its label says in-ears. Is the "      \
    "number in the plan right?"

/* Why no margin can be told: nothing is closed, or all that may be was left out. */
const char *stage_report_no_loop(const struct stage_report *report);

/* What else rings, where a help leaves nothing that does. */
const char *stage_report_nothing_else(const struct stage_report *report);

/* What to do, in words. */
enum { STAGE_HELP_SIZE = 300 };
const char *stage_report_help(const struct stage_report *report, const struct help *help,
                              char says[STAGE_HELP_SIZE]);

/* "input 18 Ld Vox", the first that the microphone feeds; "mix 1 Ld Vox", by its place in loops->mixes.
 */
enum { STAGE_NAME_SIZE = 80 };
const char *stage_report_input(const struct stage_report *report, int microphone,
                               char says[STAGE_NAME_SIZE]);
const char *stage_report_mix(const struct stage_report *report, int mix,
                             char says[STAGE_NAME_SIZE]);

/* The margin of a path; absolute where that of the whole stage is, so that no page tells one path's
 * margin beside another's difference. */
struct margin stage_report_margin(const struct stage_report *report, const struct loop_path *path);

/* The margin of a path, dB; where that means nothing by itself, its gain against that of the first. */
double stage_report_db(const struct stage_report *report, const struct loop_path *path);

/* Why nothing can be said of these ears, "mix 7 Bass IEM: no loudspeaker of the plan plays it", or a path
 * into it is left out; false where it can: `level` is what they get. */
bool stage_report_deaf(const struct stage_report *report, int ears, struct ears_level *level,
                       char says[STAGE_HELP_SIZE]);

/* What a ring measured on the path, NULL: nothing; and the allowance whose place that takes. */
const struct loops_measured *stage_report_measured(const struct stage_report *report,
                                                   const struct loop_path *path);
double stage_report_allowance_db(const struct stage_report *report, const struct loop_path *path);

/* What the house loudspeakers must give and can give; NULL, else why nothing can be said of them. "" where
 * the plan has no listener. */
const char *stage_report_house(const struct stage_report *report, struct house *house);

/* Whether a singer's hand can cover the grille and costs something; how much. */
bool stage_report_hand(const struct stage_report *report, int microphone, double *loss_db);

/* Of that band, as people print it. */
double stage_report_hz(int band);

#endif
