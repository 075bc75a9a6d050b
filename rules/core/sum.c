/* SPDX-License-Identifier: MIT */
#include "core/sum.h"

#include <math.h>
#include <stdbool.h>

enum { LEAST_DECIMALS = 1, MOST_DECIMALS = 3 };

static double
rounded(double number, int decimals)
{
    double unit = pow(10, decimals);

    return round(number * unit) / unit;
}

double
sum_tenth(double number)
{
    return rounded(number, 1);
}

/* The result as written with so many decimals; false when the written terms do not add up to it. */
static bool
result_of(const double *terms, int count, int decimals, double *result)
{
    double exact = 0, written = 0;

    for (int i = 0; i < count; i++) {
        exact += terms[i];
        written += rounded(terms[i], decimals);
    }
    *result = rounded(written, decimals);
    return fabs(rounded(exact, decimals) - *result) < 1e-6;
}

/* The decimals it takes, and the result. */
static int
decimals_of(const double *terms, int count, double *result)
{
    int decimals = LEAST_DECIMALS;

    while (!result_of(terms, count, decimals, result) && decimals < MOST_DECIMALS)
        decimals++;
    return decimals;
}

void
sum_add(struct text *text, const double *terms, int count)
{
    double result;
    int decimals = decimals_of(terms, count, &result);

    text_add_number(text, terms[0], decimals);
    for (int i = 1; i < count; i++) {
        text_add(text, terms[i] < 0 ? " - " : " + ");
        text_add_number(text, fabs(terms[i]), decimals);
    }
    text_add(text, " = ");
    text_add_number(text, result, decimals);
}

void
sum_difference(struct text *text, double from, double taken)
{
    const double terms[] = {from, -taken};
    double result;
    int decimals = decimals_of(terms, 2, &result);

    text_add_number(text, from, decimals);
    text_add(text, taken < 0 ? " - (" : " - ");
    text_add_number(text, taken, decimals);
    text_add(text, taken < 0 ? ") = " : " = ");
    text_add_number(text, result, decimals);
}
