/* Whom a finding is for. */
#ifndef GAINWARDEN_RULES_PLAYER_H
#define GAINWARDEN_RULES_PLAYER_H

#include <stdbool.h>

#include "engine/engine.h"

/* The player of the finding's input or mix, or of the mix in which the input shows or is loudest;
 * "" when nothing tells. True when that was read from a label. */
bool player_of(const struct desk *desk, const struct show *show, const struct finding *finding,
               char player[SHOW_NAME_SIZE]);

#endif
