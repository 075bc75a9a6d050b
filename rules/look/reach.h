/* SPDX-License-Identifier: MIT */
/* Where an input is heard. */
#ifndef GAINWARDEN_RULES_REACH_H
#define GAINWARDEN_RULES_REACH_H

#include "look/look.h"

enum reach { REACH_UNKNOWN, REACH_NOWHERE, REACH_EARS, REACH_LOUDSPEAKER };

/* The most critical place in which the input is heard: a loudspeaker mix before in-ears.
 * `filtered`: only sends that lie behind high-pass, equaliser and dynamics count (not a pre-eq
 * tap). REACH_UNKNOWN when that is not known and the known ones do not already lead to a
 * loudspeaker; the reason is remembered. *mix is one in which it is heard so. */
enum reach reach_of(struct look *look, int input, bool filtered, int *mix);

#define REACH_READS LOOK_SEND_READS, PARAM_MIX_NAME

#endif
