/* SPDX-License-Identifier: MIT */
/* The ladder of an input: level along its loudest path, from the socket to the mix output.
 *
 *   socket 0 dB --> preamp --------> fader ---------> send --> master ------------> mix output
 *                   - pad + preamp   make-up, and              with the mix's trim
 *                   + trim           the fader where
 *                                    the tap follows it
 *
 * With fader, send and master at unity the level behind the preamp would reach the output as it
 * is; what lies below that was amplified and is given away again.
 */
#ifndef GAINWARDEN_RULES_LADDER_H
#define GAINWARDEN_RULES_LADDER_H

#include <stdbool.h>

#include "sound/path.h"

enum ladder_state {
    LADDER_SHOWN,
    LADDER_CLOSED,   /* sent nowhere */
    LADDER_NOT_KNOWN /* a part of a path that may be the loudest was not heard, or is stale */
};

enum rung { RUNG_SOCKET, RUNG_PREAMP, RUNG_FADER, RUNG_SEND, RUNG_MASTER, RUNGS };

struct ladder {
    enum ladder_state state;
    int mix;    /* of the loudest path; of two as loud its player's own, then the first */
    bool own;   /* the path leads to the player of the input */
    bool muted; /* known to be */
    struct path_level path;
    double level_db[RUNGS]; /* behind each rung; the last is the path gain */
    double behind_db;       /* fader, send and master together: below 0 it is given away */
};

/* "socket", "preamp", ... */
const char *ladder_rung_name(enum rung rung);

void ladder_of(const struct desk *desk, const struct show *show, int input, struct ladder *ladder);

/* Level of one path, for pictures. False when a part is not known. */
bool ladder_path(const struct desk *desk, const struct show *show, int input, int mix,
                 struct path_level *level);

/* True when the mix is for the player of the input. */
bool ladder_is_own(const struct desk *desk, const struct show *show, int input, int mix);

#endif
