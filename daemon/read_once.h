/* One reading of the whole desk, for the commands that look once and end. */
#ifndef GAINWARDEN_READ_ONCE_H
#define GAINWARDEN_READ_ONCE_H

#include <stdbool.h>

#include "link.h"
#include "session.h"

/* Reads until everything was asked, the desk proves silent, or `within_s` is over; then runs every
 * check. Says once a second on standard error how far it is. False when it was interrupted or the
 * host does not resolve, which was then told. */
bool read_once(struct session *session, double within_s, struct link_figures *figures);

#endif
