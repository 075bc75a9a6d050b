/* SPDX-License-Identifier: MIT */
/* What is proved, in words. */
#ifndef GAINWARDEN_RULES_PROOF_SAY_H
#define GAINWARDEN_RULES_PROOF_SAY_H

#include "proof/proof.h"

/* What stands on the same line as a figure, once a page. */
#define PROOF_CARE                                                                                 \
    "From the desk's numbers alone: it says nothing of what moved outside the desk. Ring out "     \
    "again "                                                                                       \
    "after the stage has moved."

/* "4.5 dB proved left, at 2.5 kHz through input 18 Ld Vox, since its send rose by 1.5 dB"; "no proof
 * since mix 2 Gtr wedge moved: alone 4.5 dB". Nothing of a mix that is no loop. */
void proof_says(struct text *text, struct proof *proof, int mix);

/* "4.5 dB", "1 dB past it", "no proof", "not known", "closed", "no loudspeaker". */
void proof_says_in_short(struct text *text, struct proof *proof, int mix);

/* "4.5 dB more everywhere", of the desk as a whole. */
void proof_says_desk(struct text *text, struct proof *proof);

/* "; not pushed itself: up to 1 dB less", behind the margin of a mix; nothing where it was. */
void proof_says_less(struct text *text, double less_db);

/* "2.5 kHz", "315 Hz". */
void proof_says_hz(struct text *text, double hz);

/* "mix 1 Ld Vox wedge", "input 18 Ld Vox". */
void proof_says_mix(struct text *text, const struct desk *desk, int mix);
void proof_says_input(struct text *text, const struct desk *desk, int input);

#endif
