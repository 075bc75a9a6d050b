/* SPDX-License-Identifier: MIT */
/* Small desks for tests of proofs: every value known, every input a voice, every mix a wedge. */
#ifndef GAINWARDEN_TESTS_PROOF_DESK_H
#define GAINWARDEN_TESTS_PROOF_DESK_H

#include "proof/proof.h"
#include "unit.h"

enum { PROOF_INPUTS = 3, PROOF_MIXES = 3, PROOF_BANDS = 2, PROOF_GRAPHIC = 10, PROOF_GROUPS = 1 };

/* Preamps 30 dB, all sends 0 dB and pre-fader, all open, every filter off or flat. */
struct desk *proof_desk_plain(void);
struct show *proof_desk_show(void);

/* Sets a value; the desk must take it. */
void proof_put(struct desk *desk, enum param_id id, int row, int column, double number);

/* Adds to a number, where it is one. */
void proof_add(struct desk *desk, enum param_id id, int row, int column, double number);

/* One random move: of gains, sends, masters, bands, high-passes, mutes. `value` (may be NULL) is
 * told which. */
struct proof_move {
    enum param_id id;
    int row, column;
};
struct proof_move proof_shake(struct dice *dice, struct desk *desk);

/* A ceiling of a copy of the desk. */
struct proof_ceiling proof_ceiling_of(const struct desk *desk, int mix);

/* Gain and openness worked out without the room `proof`. -HUGE_VAL: closed. */
double proof_peer_db(const struct desk *desk, int input, int mix, double hz);

#endif
