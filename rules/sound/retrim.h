/* SPDX-License-Identifier: MIT */
/* Re-trim: the same path gains with every master at 0 dB and the loudest send of each preamp at 0
 * dB, so that the preamps carry no more than is used.
 *
 * With preamp p down by x_p and master j from m_j to m'_j, a send becomes
 *
 *   s' = s + x_p + m_j - m'_j     less what its house fader goes up by, for a post-fader tap
 *
 * and the path from socket to output stays as it was; x_p = -(loudest s + m_j - m'_j), held to what
 * the controls allow. What stops a control short is said, and a control's step leaves a residue of
 * at most half a send's step on a path. Compressor and gate thresholds move down with their preamp.
 */
#ifndef GAINWARDEN_RULES_RETRIM_H
#define GAINWARDEN_RULES_RETRIM_H

#include "desk/desk.h"
#include "desk/show.h"

/* One control to set. */
struct retrim_move {
    enum param_id param;
    int row, column;
    double from, to;
    double residue_db; /* of a send: what its step leaves on the path */
};

/* Why a preamp (of the input) or a master (of the mix) is not where it should be; the other is -1.
 */
struct retrim_stop {
    int input, mix;
    char why[200];
};

struct retrim {
    struct retrim_move
        *moves; /* in the order to do them: preamps, thresholds, faders, masters, sends */
    int move_count;
    struct retrim_stop *stops;
    int stop_count;
    double worst_residue_db;
    double headroom_db; /* the most that one preamp gives back */
};

/* Works it out for the desk as it is known. Free with retrim_free(). */
struct retrim *retrim_new(const struct desk *desk, const struct show *show);
void retrim_free(struct retrim *retrim);

#endif
