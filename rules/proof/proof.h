/* SPDX-License-Identifier: MIT */
/* The proved margin: what a ring-out proved, and how much of it is left on the desk as it stands.
 *
 * A ceiling is the whole desk at a moment that was loud and did not ring. With its path gains Gs
 * and those of now G, each in dB at a frequency,
 *
 *     margin >= min over open loop paths and frequencies of Gs - G, the best of all ceilings
 *
 * because raising everything by x dB raises each eigenvalue of the loop gains by x, and raising any
 * entry of a matrix without negative entries never lowers its spectral radius (O. Perron and
 * G. Frobenius; R. Horn and C. Johnson, Matrix Analysis, section 8.1, from memory). For one mix it is the
 * largest x for which the desk with that mix raised by x lies under one ceiling on every path.
 * Where the mix was pushed with all else as it stands, a ceiling of all together leaves it no more
 * than that push: see pushed.h. "Alone" is the same with no look at the other mixes: a figure, but
 * not the margin.
 *
 * A loop path leads from an input that is no line source into a mix that feeds a loudspeaker; where
 * either is not known it counts. Phases are not in the bound: see allowance.h for what comes off.
 *
 * A finding belongs to the mix whose own paths rose, and counts without allowances: what another
 * mix took away, or an allowance, is shown and raises nothing. "Left" is the desk as the ring-out
 * left it, from which rises are counted; who was left past every ceiling, by own paths, rose before.
 *
 * Nothing outside the desk's numbers is in it: microphone, wedge, door, audience, amplifier.
 */
#ifndef GAINWARDEN_RULES_PROOF_H
#define GAINWARDEN_RULES_PROOF_H

#include "look/miss.h"
#include "proof/allowance.h"
#include "proof/kept.h"
#include "proof/since.h"

enum proof_state {
    PROOF_NO_LOOP, /* the mix feeds no loudspeaker */
    PROOF_CLOSED,  /* no loop path is open into it */
    PROOF_LEFT,    /* the margin is a number; below 0: past what was proved */
    PROOF_NONE,    /* no ceiling covers the desk as it stands, see proof_why */
    PROOF_NOT_KNOWN,
    PROOF_STATES
};

enum proof_why {
    PROOF_OPENED,       /* a path into it is open that no ceiling had open in the same way */
    PROOF_OTHER_OPENED, /* one into another mix is */
    PROOF_TAKEN,        /* another mix passed what was proved with it */
    PROOF_ALONE_ONLY,   /* it was only proved with other mixes closed */
    PROOF_WHYS
};

/* "left", "none", ... and "opened", "taken", "alone-only": as JSON has them. */
const char *proof_state_name(enum proof_state state);
const char *proof_why_name(enum proof_why why);

struct proof_figure {
    int ceiling; /* -1: there is none */
    double db;   /* with the allowance taken off */
    double allowance_db;
    struct movers moves; /* what the allowance is for */
    double hz;           /* NAN: all frequencies alike */
    int input, mix;      /* the path that limits it */
};

struct proof_mix {
    enum proof_state state;
    struct proof_figure margin; /* of PROOF_LEFT */
    struct proof_figure alone;
    enum proof_why why; /* of PROOF_NONE, with */
    int input, mix;     /* the path that opened or passed it */
    double after_db;    /* the margin that the ring-out left; NAN: not known */
    double less_db;     /* so much less than the margin of PROOF_LEFT there may be: pushed.h */
    double taken_db;    /* how much of PROOF_LEFT another mix took since, which passed a ceiling; */
    int taken_mix;      /* that one, -1: none did */

    /* what a finding goes by, without allowances */
    double rose_db;    /* what its paths that were open rose since by; NAN: not known, */
    double rose_hz;    /* at which frequency, NAN: at all alike, */
    int rose_input;    /* of which this one the most, or -1 */
    int opened_input;  /* whose path opened since, or changed its way; -1: none did */
    double counted_db; /* what is left; NAN: nothing is proved, or none of its paths rose since, nor
                          had before, past all that was proved */
    double lost_db;    /* how much less than after the ring-out, by paths that rose; NAN as above */
};

struct proof;

/* All three must outlive it; there is a ceiling, and the kept desks have the counts of `now`. */
struct proof *proof_new(const struct desk *now, const struct show *show,
                        const struct proofs *proofs);
void proof_free(struct proof *proof);

/* The value moved, became known or went stale; whether anything rests on it. */
bool proof_moved(struct proof *proof, enum param_id id, int row, int column);

/* Worked out when asked for, and valid until something moves. */
const struct proof_mix *proof_of_mix(struct proof *proof, int mix);

/* Which parts of that path rose since the ring-out, filters at that frequency, NAN: none; nothing
 * where it is not known how it was left. */
struct since proof_since(struct proof *proof, int input, int mix, double hz);

/* How much everything may rise together; its ceiling is -1 where nothing covers the desk. */
const struct proof_figure *proof_of_desk(struct proof *proof);

const struct proofs *proof_kept(const struct proof *proof);
const struct desk *proof_desk(const struct proof *proof);

/* The values that are not known on the loop paths of the mix. */
struct misses proof_missing(const struct proof *proof, int mix);

/* Inputs that are open, and mixes, that count because nobody knows whether they can be loops: the
 * input's source, or what the mix feeds. */
bool proof_guesses_input(const struct proof *proof, int input);
bool proof_guesses_mix(const struct proof *proof, int mix);

/* Whether paths of the input count as loops. */
bool proof_counts_input(const struct proof *proof, int input);

/* How much lower than at that ring its path stands now, at the ring's frequency: the margin is no
 * larger. NAN: not known, or the path is closed. */
double proof_below_ring_db(struct proof *proof, int ring);

#endif
