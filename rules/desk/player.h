/* SPDX-License-Identifier: MIT */
/* Whom a mix or a finding is for. */
#ifndef GAINWARDEN_RULES_PLAYER_H
#define GAINWARDEN_RULES_PLAYER_H

#include <stdbool.h>

#include "core/verdict.h"
#include "desk/desk.h"
#include "desk/show.h"

/* The player a mix is for: from the show file, else read from its label; "" when neither tells. */
void player_of_mix(const struct desk *desk, const struct show *show, int mix,
                   char player[SHOW_NAME_SIZE]);

/* Whether the mix is the input's player's own: as the show file names players, or by the labels: "Ld Vox
 * wedge" is the mix of "Ld Vox". */
bool player_has_mix(const struct desk *desk, const struct show *show, int input, int mix);

/* The same by the labels alone. */
bool player_label_has_mix(const struct desk *desk, int input, int mix);

/* The player of the input or mix that the verdict is about, or of the mix in which the input shows
 * or is loudest; "" when nothing tells. True when that was read from a label. */
bool player_of(const struct desk *desk, const struct show *show, struct object object,
               const struct verdict *verdict, char player[SHOW_NAME_SIZE]);

#endif
