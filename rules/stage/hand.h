/* SPDX-License-Identifier: MIT */
/* A hand around the grille: the microphone then hears all round alike. */
#ifndef GAINWARDEN_RULES_HAND_H
#define GAINWARDEN_RULES_HAND_H

#include "stage/loops.h"

/* How much louder the loudest way back into the microphone gets, dB. */
double hand_loss_db(const struct loops *loops, int microphone);

#endif
