/* SPDX-License-Identifier: MIT */
/* The positions that a person is asked for, until there are enough for the law of a control. Pure
 * but for the laws of the profile that it offers.
 */
#ifndef GAINWARDEN_LISTEN_POSITIONS_H
#define GAINWARDEN_LISTEN_POSITIONS_H

#include "listen/find_law.h"
#include "listen/stirring.h"

enum { POSITIONS_QUESTION_SIZE = 200, POSITIONS_WORDS = 8 };

struct positions {
    enum param_id param;
    int at; /* the question */
    struct find_law_point points[FIND_LAW_POINTS];
    size_t count;
    struct {
        struct stirring_value wire;
        const char *word; /* NULL: on and off */
        bool on;
    } words[POSITIONS_WORDS]; /* of switches and words */
    size_t word_count;
    const char *like; /* the law of a control of this kind, of the profile; NULL: none */
    bool same;        /* it reads like that */
    char question[POSITIONS_QUESTION_SIZE];
    const char *complaint;
};

/* Why no law can be found for what comes there; NULL: one can. */
const char *positions_why_not(enum param_id param, char type, const struct stirring_value *value);

/* The profile outlives it. */
void positions_begin(struct positions *positions, enum param_id param, const struct json *profile);

/* What to set next, and what to type then; NULL: that was all. */
const char *positions_question(struct positions *positions);

/* A line that was typed while the desk sends this. False when it is no position: the same question
 * stands, and the complaint says what it wants. */
bool positions_take(struct positions *positions, const char *line,
                    const struct stirring_value *value);
const char *positions_complaint(const struct positions *positions);

/* The name of the law that it shares; NULL: it has its own. */
const char *positions_same(const struct positions *positions);

/* The law; false, with the reason, when they are not enough. */
bool positions_law(struct positions *positions, struct found_law *found);

#endif
