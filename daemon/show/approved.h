/* SPDX-License-Identifier: MIT */
/* Where the approved desk of a show stands, and how it is read: named on the command line, else in
 * the show file, else beside it. One that is named must be there; one beside the show file need
 * not, but a broken one is an error wherever it stands.
 */
#ifndef GAINWARDEN_APPROVED_H
#define GAINWARDEN_APPROVED_H

#include <stdbool.h>

#include "base/options.h"
#include "saved/file.h"
#include "show/session.h"

/* The path, to free(); NULL without a show file and --approved. */
char *approved_path(const struct session *session, const struct options *options);

/* The approved desk, checked against the profile's counts; NULL with the problems. Free with
 * saved_free(). */
struct saved *approved_read(const struct session *session, const char *path,
                            struct problems *problems);

/* Gives the session's engine the approved desk, where there is one. False with the problems. */
bool approved_attach(struct session *session, const struct options *options,
                     struct problems *problems);

#endif
