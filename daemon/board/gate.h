/* SPDX-License-Identifier: MIT */
/* Who may come in, by what a browser says of itself: functions of texts.
 *
 * The address that a page of somebody else's was looked up under stands in Host, and the page that
 * sends something in Origin. So a name that was made to lead here is not served, and no other page
 * presses a button.
 */
#ifndef GAINWARDEN_BOARD_GATE_H
#define GAINWARDEN_BOARD_GATE_H

#include <stdbool.h>
#include <sys/socket.h>

/* Whether the Host header names what we are: the address at which the request came in, with its
 * port; `name`, which the user gave (NULL: none), with that port; and for what comes from this
 * computer itself localhost at any port, as a tunnel has another on its far side. */
bool gate_host(const char *host, const struct sockaddr *own, const char *name);

/* Which port a Host says, HTTP's own where none; -1: it is no host. */
int gate_port(const char *host);

/* Whether the Origin header is a page of that host. */
bool gate_origin(const char *origin, const char *host);

#endif
