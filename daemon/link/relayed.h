/* SPDX-License-Identifier: MIT */
/* A link over a running watch that speaks to the desk already (watch/relay.h): nothing is sent to
 * the desk, and what the watch hears is heard here. Its link states are the watch's. A watch that
 * ends, hangs up, says nothing for LINK_LOST_MS or what cannot be understood is over: the desk is
 * lost, and nothing more comes over this link.
 */
#ifndef GAINWARDEN_LINK_RELAYED_H
#define GAINWARDEN_LINK_RELAYED_H

#include "link/link.h"

enum { RELAYED_LINE_MOST = 4 << 20 };

/* Takes over the descriptor of control_call(), whose request was "ring-out". The problems, in which
 * a refusal stands as well, outlive it. */
struct link *link_open_relayed(struct loop *loop, const struct profile *profile,
                               struct engine *engine, int fd, struct link_owner owner,
                               struct problems *problems);

/* Whether it is over; false for a link of another kind. */
bool link_relay_is_over(const struct link *link);

#endif
