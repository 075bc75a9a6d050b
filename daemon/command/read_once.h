/* SPDX-License-Identifier: MIT */
/* One reading of the whole desk, for the commands that look once and end. */
#ifndef GAINWARDEN_READ_ONCE_H
#define GAINWARDEN_READ_ONCE_H

#include <stdbool.h>

#include "link/link.h"
#include "show/session.h"

/* Reads until everything was asked, the desk proves silent, or the time of --within is over; then
 * runs every check. Says once a second on standard error how far it is. With --saved a saved desk
 * stands in for the desk, and all figures are 0. False when it was interrupted, the host does not
 * resolve or the saved desk is wrong, which was then told. */
bool read_once(struct session *session, const struct options *options,
               struct link_figures *figures);

#endif
