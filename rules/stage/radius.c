/* SPDX-License-Identifier: MIT */
#include "stage/radius.h"

#include <assert.h>
#include <math.h>

#include "stage/parts.h"

/* One part, its rows drawn together. */
struct part {
    int size;
    double rows[RADIUS_SIZE * RADIUS_SIZE];
    double x[RADIUS_SIZE], turned[RADIUS_SIZE]; /* turned = rows x */
};

static void
draw_together(const double *rows, int size, const struct parts *parts, int which, struct part *part)
{
    int members[RADIUS_SIZE];

    part->size = 0;
    for (int row = 0; row < size; row++)
        if (parts->of[row] == which)
            members[part->size++] = row;
    for (int i = 0; i < part->size; i++)
        for (int k = 0; k < part->size; k++)
            part->rows[i * part->size + k] = rows[members[i] * size + members[k]];
}

static void
turn(struct part *part)
{
    for (int i = 0; i < part->size; i++) {
        const double *row = &part->rows[i * part->size];
        double sum = 0;

        for (int k = 0; k < part->size; k++)
            sum += row[k] * part->x[k];
        part->turned[i] = sum;
    }
}

/* Each round's bounds hold, so the closest of all rounds do. */
static void
narrow(const struct part *part, struct radius *bounds)
{
    double least = HUGE_VAL, most = 0;

    for (int i = 0; i < part->size; i++) {
        double quotient = part->turned[i] / part->x[i];

        least = fmin(least, quotient);
        most = fmax(most, quotient);
    }
    bounds->least = fmax(bounds->least, least);
    bounds->most = fmin(bounds->most, most);
}

/* x <- (rows + shift I) x, its largest number 1. */
static void
step(struct part *part, double shift)
{
    double most = 0;

    for (int i = 0; i < part->size; i++) {
        part->x[i] = part->turned[i] + shift * part->x[i];
        most = fmax(most, part->x[i]);
    }
    for (int i = 0; i < part->size; i++)
        part->x[i] /= most;
}

static struct radius
of_part(struct part *part)
{
    struct radius bounds = {0, HUGE_VAL};

    for (int i = 0; i < part->size; i++)
        part->x[i] = 1;
    for (int round = 0; round < RADIUS_ROUNDS; round++) {
        turn(part);
        narrow(part, &bounds);
        if (bounds.most <= bounds.least * RADIUS_CLOSE)
            break;
        step(part, sqrt(bounds.least * bounds.most) / 2);
    }
    return bounds;
}

struct radius
radius_of(const double *rows, int size)
{
    struct radius bounds = {0, 0};
    struct parts parts;
    struct part part;

    assert(size >= 0 && size <= RADIUS_SIZE);
    parts_of(rows, size, &parts);
    for (int which = 0; which < parts.count; which++) {
        struct radius one;

        draw_together(rows, size, &parts, which, &part);
        one = part.size == 1 ? (struct radius){part.rows[0], part.rows[0]} : of_part(&part);
        bounds.least = fmax(bounds.least, one.least);
        bounds.most = fmax(bounds.most, one.most);
    }
    return bounds;
}
