/* SPDX-License-Identifier: MIT */
/* Sums as a worked example shows them: "42 - 14 = 28".
 *
 * Each number is written with as few decimals, from one to three, as it takes for what is written
 * to add up; three are what the desk model keeps. Where even three do not do, the result is that of
 * the numbers as written.
 */
#ifndef GAINWARDEN_RULES_SUM_H
#define GAINWARDEN_RULES_SUM_H

#include "core/text.h"

/* Appends the terms, the first with its sign and the others added or taken away, and the result.
 * All finite. */
void sum_add(struct text *text, const double *terms, int count);

#define SUM(text, ...)                                                                             \
    sum_add(text, (const double[]){__VA_ARGS__},                                                   \
            (int)(sizeof((const double[]){__VA_ARGS__}) / sizeof(double)))

/* "10 - (-14) = 24": the difference, also where what is taken away is negative. */
void sum_difference(struct text *text, double from, double taken);

/* To one decimal: what text_add() writes for %f, for numbers that no desk keeps exactly. */
double sum_tenth(double number);

#endif
