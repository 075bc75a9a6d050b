/* SPDX-License-Identifier: MIT */
/* Yes, no, or nobody knows: what an answer is that rests on values of which some are not known.
 * In this order "and" is the least and "or" the greatest of two, as in S. C. Kleene's strong logic
 * of three values (Introduction to Metamathematics, 1952, section 64): what is known decides where it
 * can.
 */
#ifndef GAINWARDEN_RULES_SURE_H
#define GAINWARDEN_RULES_SURE_H

#include <stdbool.h>

enum sure { SURE_NO, UNSURE, SURE_YES };

static inline enum sure
sure(bool yes)
{
    return yes ? SURE_YES : SURE_NO;
}

static inline enum sure
sure_not(enum sure one)
{
    return (enum sure)(SURE_YES - one);
}

static inline enum sure
sure_and(enum sure one, enum sure other)
{
    return one < other ? one : other;
}

static inline enum sure
sure_or(enum sure one, enum sure other)
{
    return one > other ? one : other;
}

#endif
