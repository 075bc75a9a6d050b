/* SPDX-License-Identifier: MIT */
/* Where the control socket listens, as the system wants to be told it. A socket's address holds 108
 * bytes and a folder may have a longer name: then the address is the socket's name alone, in the
 * folder that is held open meanwhile.
 */
#ifndef GAINWARDEN_CONTROL_ADDRESS_H
#define GAINWARDEN_CONTROL_ADDRESS_H

#include <stdbool.h>
#include <sys/socket.h>
#include <sys/un.h>

#include "base/problems.h"

struct control_address {
    struct sockaddr_un name; /* to bind or connect to, until the release */
    int folder;              /* -1: the path fits as it is */
};

/* False, with the reason in the problems, when there is no such folder or the name alone is too
 * long; then there is nothing to release. */
bool control_address_init(struct control_address *address, const char *path,
                          struct problems *problems);
void control_address_release(struct control_address *address);

#endif
