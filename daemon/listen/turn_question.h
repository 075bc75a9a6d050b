/* SPDX-License-Identifier: MIT */
/* Does the desk answer at an address that is asked? It must do so at once, twice, and not while it
 * tells everything anyway. Pure.
 */
#ifndef GAINWARDEN_LISTEN_TURN_QUESTION_H
#define GAINWARDEN_LISTEN_TURN_QUESTION_H

#include <stdbool.h>
#include <stdint.h>

#include "listen/address.h"

struct turn_question {
    char address[ADDRESS_SIZE]; /* "": nothing is asked */
    int64_t asked_ms;
    int tries, answers, others; /* others: messages from elsewhere since the last try */
};

/* It is to be asked from now on; NULL: nothing is. */
void turn_question_begin(struct turn_question *question, const char *address);

/* A message of something that does not move by itself. */
void turn_question_heard(struct turn_question *question, const char *address, int64_t now_ms);

/* Whether to ask now, once more. */
bool turn_question_is_due(struct turn_question *question, int64_t now_ms);

/* Whether that is known, and what. */
bool turn_question_is_over(const struct turn_question *question, int64_t now_ms);
bool turn_question_is_answered(const struct turn_question *question);

#endif
