/* SPDX-License-Identifier: MIT */
/* The pictures of a page: inline SVG and one table, from the same numbers as the checks. Each has
 * a text alternative, and none needs its colours to be read. Coordinates are given to a hundredth
 * of a unit; what a reader of the file needs to turn them into dB and Hz stands in data-
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

/* A ladder for each input that is sent somewhere; the others are named. */
void draw_ladders(const struct draw *draw);

/* Path gain of every input into every mix, own sends marked. */
void draw_matrix(const struct draw *draw);

/* The equaliser of each mix, its cuts and the level they cost. */
void draw_curves(const struct draw *draw);

/* The high-pass of each input beside its lowest note. */
void draw_corners(const struct draw *draw);

/* ---- what they share ---- */

/* A span on the page that stands for a span of values, either way round. */
struct axis {
    double from, to;   /* values: dB, or Hz where it is logarithmic */
    double begin, end; /* places in the picture */
    bool logarithmic;
};

/* Values beyond the ends come out at the ends. */
double axis_place(const struct axis *axis, double value);

/* What a picture begins with, a format for its width, height and text alternative; what follows is
 * the caller's data- attributes, each behind a space, and ">". */
#define DRAW_SVG "<svg viewBox=\"0 0 %d %d\" role=\"img\" aria-label=\"%s\""

/* "18 Ld Vox": number and label, the name parameter of an input or a mix. On the page it stands in
 * <bdi dir="ltr">, so that the number stays in front of a label that is written from right to left.
 */
enum { DRAW_NAME_SIZE = 100 };
const char *draw_name(const struct draw *draw, enum param_id label, int number,
                      char name[DRAW_NAME_SIZE]);

#endif
