/* SPDX-License-Identifier: MIT */
/* The hook's address, from where the show file says that it stands. It is a secret: problems name
 * the place, never what it holds.
 */
#ifndef GAINWARDEN_CHAT_URL_H
#define GAINWARDEN_CHAT_URL_H

#include "base/problems.h"
#include "show/file.h"

/* From the environment variable, or from the file: one line. A service manager hands the file over
 * as a credential (systemd.exec(5), "Credentials"): what $CREDENTIALS_DIRECTORY has under the
 * file's name goes before the file itself. For free(); NULL with the reason in the problems. */
char *chat_url(const struct chat_settings *settings, struct problems *problems);

#endif
