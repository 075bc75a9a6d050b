/* SPDX-License-Identifier: MIT */
/* What somebody who has no profile wants sent: --ask='/stay', --ask='/hello "our stage" 1
 * this_only_asks'. It becomes a renewal of a profile, so that all rules for those hold: whether it
 * may be a move, and that somebody agrees to it first.
 */
#ifndef GAINWARDEN_LISTEN_ASKED_H
#define GAINWARDEN_LISTEN_ASKED_H

#include "base/json.h"

enum { ASKED_EVERY_S = 5, ASKED_WORDS = 32 };

/* { "send": [address, arguments...], "every_s": 5 }: words parted by blanks, a text in quotes where
 * blanks stand in it; a number, true and false are themselves. NULL, with a problem, when it is no
 * message. For json_free(). */
struct json *asked_renewal(const char *text, struct problems *problems);

#endif
