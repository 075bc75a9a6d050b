/* SPDX-License-Identifier: MIT */
/* What every unit test includes: cmocka with what it wants before it, and what it lacks. */
#ifndef GAINWARDEN_TESTS_UNIT_H
#define GAINWARDEN_TESTS_UNIT_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#define COUNT(array) (sizeof(array) / sizeof *(array))

/* cmocka 1.1.5 compares single precision only. Fails, naming both numbers, when they lie further
 * than `tolerance` apart or one is NaN; the same infinity equals itself. */
#define assert_near(actual, expected, tolerance)                                                   \
    unit_near(actual, expected, tolerance, #actual, __FILE__, __LINE__)
void unit_near(double actual, double expected, double tolerance, const char *what, const char *file,
               int line);

/* The same for a row of a table: `what` names the row. */
#define assert_near_in(what, actual, expected, tolerance)                                          \
    unit_near(actual, expected, tolerance, what, __FILE__, __LINE__)

/* Fails with both numbers and the row's name. */
#define assert_row(what, actual, expected)                                                         \
    unit_row(what, (long)(actual), (long)(expected), __FILE__, __LINE__)
void unit_row(const char *what, long actual, long expected, const char *file, int line);

/* Fails, naming both texts, when `part` does not stand in `text`. */
#define assert_contains(text, part) unit_contains(text, part, __FILE__, __LINE__)
void unit_contains(const char *text, const char *part, const char *file, int line);

/* Random numbers for property tests: splitmix64. The seed comes from the clock and is printed, so
 * that a failure can be had again with GW_SEED=seed. */
struct dice {
    uint64_t state;
};

struct dice dice_new(void);
uint64_t dice_next(struct dice *dice);
int dice_below(struct dice *dice, int limit);                      /* 0 ... limit - 1 */
double dice_between(struct dice *dice, double least, double most); /* uniform */

#endif
