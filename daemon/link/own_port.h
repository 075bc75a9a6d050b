/* SPDX-License-Identifier: MIT */
/* Our own port, for a desk that answers to a fixed one (answer_port of a profile). Only one program
 * can have it: whoever wants it looks first, before a desk is asked anything.
 */
#ifndef GAINWARDEN_OWN_PORT_H
#define GAINWARDEN_OWN_PORT_H

#include "base/problems.h"
#include "profile/profile.h"

/* Those that were looked at: held until all were, so that two desks of one watch do not find the
 * same one free. An empty one is {0}. */
struct own_ports {
    int *sockets; /* owned */
    size_t count;
};

/* Takes the port, where the profile gives one; false with a problem. */
bool own_ports_try(struct own_ports *ports, const struct profile_link *link,
                   struct problems *problems);
void own_ports_release(struct own_ports *ports);

/* One that is free now; 0: the system gives none. */
int own_port_choose(void);

/* One of them: tells on standard error. */
bool own_port_is_free(const struct profile_link *link);

#endif
