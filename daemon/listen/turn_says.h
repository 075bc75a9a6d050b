/* SPDX-License-Identifier: MIT */
/* What turn.c keeps, and what it says; for the two files of it alone. */
#ifndef GAINWARDEN_LISTEN_TURN_SAYS_H
#define GAINWARDEN_LISTEN_TURN_SAYS_H

#include "listen/find_law.h"
#include "listen/pair.h"
#include "listen/positions.h"
#include "listen/stirring.h"
#include "listen/turn.h"
#include "listen/turn_list.h"
#include "listen/turn_question.h"

/* TURN_REST: the column of later lines. */
enum { TURN_NAME_SIZE = 60, TURN_REST = 4 };

enum step {
    STEP_NAME,
    STEP_COUNTS,
    STEP_HANDS_OFF,
    STEP_FIRST,
    STEP_OTHER,
    STEP_POSITIONS,
    STEP_OVER
};

struct turn {
    struct turn_setting setting;
    struct stirring *stirring;
    enum step step;
    int at; /* in turn_counts or turn_tasks */
    int64_t since_ms;
    struct turn_question question;
    struct place_of of;
    struct place_object objects[2];
    struct stirring_found first[STIRRING_FOUND]; /* what moved on the first object */
    size_t first_count, skip;                    /* candidates that are no more */
    struct place place;
    struct stirring_at live; /* whose positions are asked for */
    struct positions positions;
    struct stirring_value shown; /* told last */
    bool heard;                  /* anything at all */
    bool unwritten;              /* what was found last is not in the file */
    size_t found;
};

/* The task in hand; and whether the desk has what a task is of, and the profile does not give it. */
const struct turn_task *turn_task_of(const struct turn *turn);
bool turn_wants(const struct turn *turn, const struct turn_task *task);

/* "Input 3: turn the preamp gain up and down again" */
void says_turn(const struct turn *turn, const struct place_object *object);
void says_moved(const struct stirring_found *found, const char *before);
void says_nothing(const struct turn *turn);
void says_no_pair(const struct turn *turn);
void says_count(const struct turn *turn);
void says_position(struct turn *turn);
void says_help(void);

/* What the control sends, once it stands still in another position. */
void says_sent(struct turn *turn, int64_t now_ms);

#endif
