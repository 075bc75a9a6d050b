/* SPDX-License-Identifier: MIT */
/* Where a computer is, as people write it: HOST, HOST:PORT, [ADDRESS]:PORT. A bare IPv6 address has
 * more than one colon, and no port.
 */
#ifndef GAINWARDEN_HOST_PORT_H
#define GAINWARDEN_HOST_PORT_H

#include <stdbool.h>

#include "base/problems.h"

/* What the option of this name says. The host, "" when it is left out, for free(); the port stays as
 * it is where none is named. NULL, with the reason in the problems, when it is written otherwise or
 * the port is below `least`. */
char *host_port_read(const char *option, const char *text, int least, int *port,
                     struct problems *problems);

#endif
