/* SPDX-License-Identifier: MIT */
/* Takes the sums in a text apart: every "LEFT = NUMBER" is computed anew from what is written, by
 * an evaluator that knows nothing of the rules. It reads + - x / ^ | |, parentheses, log10(),
 * log2() and "10 log10()".
 */
#ifndef GAINWARDEN_TESTS_EQUATION_H
#define GAINWARDEN_TESTS_EQUATION_H

#include <stdbool.h>

#include "engine/teach.h"

/* The longest expression that ends at `end`, NAN when there is none. *rounds: something in it
 * cannot be written exactly. */
double equation_left(const char *text, const char *end, bool *rounds);

/* Computes every equation of the text anew and returns how many there are; fails, naming `what`,
 * when one does not hold. */
int equation_check(const char *what, const char *text);

/* Whether some equation of the text ends in the number. */
bool equation_results_in(const char *text, double number);

/* The worked example of the finding; fails when it is empty or was cut. */
void equation_work(int check, const struct verdict *verdict, char buffer[TEACH_SIZE]);

#endif
