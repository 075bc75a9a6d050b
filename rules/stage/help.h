/* SPDX-License-Identifier: MIT */
/* What on the stage would help most: each thing that a person can do about the leading paths is done
 * to a copy of the plan, and all is worked out again.
 *
 * What is won is how much less comes back while the player's ears hear the voice as loud as before: a
 * mouth nearer the microphone or a wedge nearer the ears is turned down by what that gives, and a
 * microphone turned away from the mouth is turned up. Of one path, and of the whole stage at random
 * phases: what wins much on one path may win nothing where the next is as loud.
 */
#ifndef GAINWARDEN_RULES_HELP_H
#define GAINWARDEN_RULES_HELP_H

#include "stage/loops.h"

enum help_kind {
    HELP_TURN, /* the microphone on its stand, `degrees` in the plane of mouth and wedge */
    HELP_NULL, /* the wedge `to` where the microphone hears least, as far from the ears as before */
    HELP_NEARER,    /* the wedge `to` nearer the ears */
    HELP_MOUTH,     /* the mouth as near as `metres` */
    HELP_IN_EARS,   /* in place of the mix's loudspeakers */
    HELP_CLOSE,     /* the microphone, while nobody uses it */
    HELP_HIGH_PASS, /* of the microphone's inputs, at `hz` */
    HELP_KINDS
};

struct help {
    enum help_kind kind;
    struct loop_path path; /* what it was tried on, as it is now */
    int loudspeaker;       /* the loudest of that path */
    double path_db;        /* what the path wins; HUGE_VAL: it is gone */
    double stage_db;       /* what the whole stage wins, HUGE_VAL: nothing can ring */
    double degrees, metres, hz;
    struct place to;
};

/* Paths that are tried, and how many helps that makes at most. */
enum { HELP_PATHS = 10, HELPS_MOST = HELP_PATHS * HELP_KINDS };

/* What wins less on its path is left out. */
#define HELP_LEAST_DB 1.0

/* Fills `helps` with what helps, what wins the whole stage most first, and returns how many. */
int helps_of(const struct loops *loops, struct help helps[HELPS_MOST]);

/* The best turn of a microphone on a stand against one of its paths; path_db is 0 where none wins, and
 * stage_db is not worked out. */
struct help help_turn(const struct loops *loops, struct loop_path path);

/* How much louder the loudest way back into the microphone gets when a hand covers its grille, which
 * then hears all round alike, dB. */
double help_hand_loss_db(const struct loops *loops, int microphone);

#endif
