/* SPDX-License-Identifier: MIT */
/* The pictures of a page: rows of tables and inline SVG, from the same numbers as the checks. Each
 * says in words what it shows, and none needs its colours to be read. Coordinates are given to a
 * hundredth of a unit; what a reader of the file needs to turn them into dB and Hz stands in data-
 * attributes of each <svg>.
 */
#ifndef GAINWARDEN_DRAW_H
#define GAINWARDEN_DRAW_H

#include <stdbool.h>
#include <stdio.h>

#include "desk/desk.h"
#include "desk/show.h"

struct draw {
    FILE *page;
    const struct desk *desk;
    const struct show *show;
};

/* Where preamp gain goes: a row an input, what is not used on top, its high-pass in the same row. */
void draw_preamps(const struct draw *draw);

/* Path gain of every input into every mix, as against the player's own. */
void draw_sends(const struct draw *draw);

/* The equaliser of each mix that has cuts or boosts; the others are named. */
void draw_equalisers(const struct draw *draw);

/* ---- what they share ---- */

/* A span on the page that stands for a span of values, either way round. */
struct axis {
    double from, to;   /* values: dB, or Hz where it is logarithmic */
    double begin, end; /* places in the picture */
    bool logarithmic;
};

/* Values beyond the ends come out at the ends. */
double axis_place(const struct axis *axis, double value);

/* "18 Ld Vox": number and label, the name parameter of an input or a mix. On the page it stands in
 * <bdi dir="ltr">, so that the number stays in front of a label that is written from right to left.
 */
enum { DRAW_NAME_SIZE = 100 };
const char *draw_name(const struct draw *draw, enum param_id label, int number,
                      char name[DRAW_NAME_SIZE]);

#endif
