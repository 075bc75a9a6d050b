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
    HELP_NEARER,  /* the wedge `to` nearer the ears */
    HELP_MOUTH,   /* the mouth as near as `metres` */
    HELP_IN_EARS, /* in place of the mix's loudspeakers */
    HELP_PATTERN, /* a microphone of another `pattern`, one that hears less of the room, in its place */
    HELP_CLOSE,     /* the microphone, while nobody uses it: none that is somebody's own */
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
    enum polar pattern;
    struct place to;
};

/* Paths that are tried, and how many helps that makes at most. */
enum { HELP_PATHS = 10, HELPS_MOST = HELP_PATHS * HELP_KINDS };

/* What wins less on its path is left out. */
#define HELP_LEAST_DB 1.0

/* Fills `helps` with what helps, what wins the whole stage most first, and returns how many. */
int helps_of(const struct loops *loops, struct help helps[HELPS_MOST]);

/* The best turn of a microphone on a stand against the loudest of all ways back into it. path_db is
 * how much less comes back on whichever is the loudest then, less what the voice loses: 0 where no
 * turn wins; stage_db is not worked out. False where nobody can turn it, nothing comes back, or the
 * plan does not tell how every loudspeaker would lie then. */
bool help_turn(const struct loops *loops, int microphone, struct help *help);

/* Whether it stands on a stand, and the plan tells how every loudspeaker would lie. */
bool help_may_turn(const struct stage *stage, int microphone);

/* What the voice loses by that turn, dB, 0 or less: nobody moves the mouth. */
double help_turn_voice_db(const struct loops *loops, int microphone, double degrees);

/* The loudest way back into the microphone; its gain is -HUGE_VAL where there is none. */
struct loop_path help_loudest_into(const struct loops *loops, int microphone);

#endif
