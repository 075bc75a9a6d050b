/* SPDX-License-Identifier: MIT */
/* What the screen shows: rows made from plain facts, without a terminal. The facts are filled in by
 * watch/view.c; screen.c draws the rows.
 *
 *   the desks, one row each        when there are several, and as far as there is room
 *   clock, room, show              of the chosen desk
 *   link
 *   how much is open
 *   findings, proved, not known,   scrolled
 *   quieted
 *   the last events
 *   the prompt, and how much is out of sight
 *
 * What matters most stands first in every row, since narrow screens cut the end, and takes the
 * room first, since low ones leave out the events and then the other desks. A row is never cut
 * within a number. What is told by colour is told by a word as well.
 */
#ifndef GAINWARDEN_VIEW_H
#define GAINWARDEN_VIEW_H

#include <stdbool.h>
#include <stddef.h>

#include "core/verdict.h"

enum { VIEW_ROW_SIZE = 1200, VIEW_TEXT_SIZE = 400 };

/* One open finding. What is fresh has a row that tells number and cure first: "+23 dB  Ld Vox -> 1
 * Ld Vox wedge: put it back to -13"; all of it stands below those rows. */
struct view_finding {
    enum weight weight;
    bool stale;      /* what it rests on is not known now */
    bool closed;     /* its input is muted or sent nowhere now, so that it is not judged */
    char player[64]; /* "": nobody in particular */
    char text[VIEW_TEXT_SIZE];  /* "mix 8 Drums IEM: no limiter [ears-unprotected]" */
    char since[120];            /* "41 min 02 s", "41 min 02 s, worse 12 s ago, seen by Mo" */
    char hidden[200];           /* what holds it back, "" */
    bool fresh;                 /* newer than a minute, or new since the room changed */
    char figure[40];            /* "+23 dB"; "" while it is not known */
    char brief[VIEW_TEXT_SIZE]; /* "Ld Vox -> 1 Ld Vox wedge: put it back to -13" */
};

/* How many are open, by weight, and of them held back. */
struct view_counts {
    size_t open[WEIGHTS], held_back;
};
void view_count(struct view_counts *counts, const struct view_finding *finding);

/* One desk. The lists are the filler's, and valid while the view is drawn. */
struct view_desk {
    char show[64], room[80]; /* "changeover, ends in 12 min" */
    char link[200];          /* "steady, heard 0.4 s ago; 2155 values known, 0 stale" */
    bool lost;
    const struct view_finding *findings; /* in the order to show them */
    size_t finding_count;
    struct view_counts unlisted;           /* of those that stand in no list */
    const char (*unknown)[VIEW_TEXT_SIZE]; /* what is not known, with the reason; the first of */
    size_t unknown_count, not_known;       /* so many */
    const char (*proved)[VIEW_TEXT_SIZE];  /* what is left of each margin; proved_count of them */
    size_t proved_count;
    const char (*quiets)[VIEW_TEXT_SIZE];
    size_t quiet_count;
    const char (*events)[VIEW_TEXT_SIZE]; /* oldest first, with their times */
    size_t event_count;
};

struct view {
    const struct view_desk *desks;
    size_t desk_count, chosen; /* which one is shown whole */
    bool brief;                /* findings are cut to one row each */
    char clock[32];
    const char *prompt; /* the last rows: help, or a question */
};

/* What a row is, for its colour and weight; the words say it too. */
enum tone { TONE_PLAIN, TONE_HEAD, TONE_STOP, TONE_FIX, TONE_NOTE, TONE_DIM, TONE_ALARM };

struct view_row {
    enum tone tone;
    size_t lead;              /* so many bytes have that tone, the rest is plain */
    char text[VIEW_ROW_SIZE]; /* at most as wide as the screen, in columns */
};

enum { VIEW_LEAST_WIDTH = 30, VIEW_LEAST_HEIGHT = 6 };

/* How far the scrolled part goes. */
struct view_extent {
    size_t scroll; /* rows above what is shown: as asked for, or as far as it goes */
    size_t room;   /* rows shown */
    size_t below;
};

/* Calls `each` for the `height` rows of the screen from the top. Needs the locale's LC_CTYPE to be
 * one of UTF-8. */
typedef void view_row_fn(void *context, const struct view_row *row);
struct view_extent view_rows(const struct view *view, int width, int height, size_t scroll,
                             view_row_fn *each, void *context);

/* All of the chosen desk, in as many rows as it takes, and no prompt: for a page that is no screen. */
void view_page(const struct view *view, int width, view_row_fn *each, void *context);

#endif
