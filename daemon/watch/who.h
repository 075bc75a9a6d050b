/* SPDX-License-Identifier: MIT */
/* Who plays tonight: the show file's players of inputs and mixes, and those read from mixes' labels.
 */
#ifndef GAINWARDEN_WATCH_WHO_H
#define GAINWARDEN_WATCH_WHO_H

#include "show/session.h"

enum { WHO_ERROR_SIZE = 1400 };

/* NULL when findings can be for that player, or why not: with all names there are. */
const char *who_refuse(const struct session *session, const char *player,
                       char error[WHO_ERROR_SIZE]);

#endif
