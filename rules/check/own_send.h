/* SPDX-License-Identifier: MIT */
/* The send of a player's input into that player's own mix. */
#ifndef GAINWARDEN_RULES_OWN_SEND_H
#define GAINWARDEN_RULES_OWN_SEND_H

#include "look/look.h"
#include "sound/surplus.h"

struct own_send {
    int mix; /* -1: none found */
    double db;
    bool closed; /* there is one, behind a fader or group that is down */
};

/* Finds it: by the players of the show file, else by the labels, which marks the verdict as
 * inferred, else the loudest send stands in. False when a part is not known. */
bool own_send_of(struct look *look, int input, struct own_send *own);

/* Whether it came down since the desk was as it was meant, and that alone is why the preamp carries gain
 * that nothing uses: then the send is told, and the preamp is as good as it was. */
bool own_send_slipped(const struct look *look, int input);

/* What these read, for the tables of checks. */
#define OWN_SEND_READS SURPLUS_READS, PARAM_INPUT_NAME, PARAM_MIX_NAME

#endif
