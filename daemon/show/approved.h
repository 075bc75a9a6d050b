/* SPDX-License-Identifier: MIT */
/* Where the approved desk of a show stands, and how it is read: named on the command line, else in
 * the show file, else beside it. One that is named must be there; one beside the show file need
 * not, but a broken one is an error wherever it stands.
 */
#ifndef GAINWARDEN_APPROVED_H
#define GAINWARDEN_APPROVED_H

#include "core/verdict.h"
#include "saved/file.h"
#include "show/session.h"

/* The path, to free(); NULL without a show file and --approved. */
char *approved_path(const struct session *session, const struct options *options);

/* The approved desk, checked against the profile's counts; NULL with the problems. Free with
 * saved_free(). */
struct saved *approved_read(const struct session *session, const char *path,
                            struct problems *problems);

/* Gives it to the session's engine; NULL is none. */
void approved_set(struct session *session, struct saved *saved);

/* Gives the session's engine the approved desk, where there is one. False with the problems. */
bool approved_attach(struct session *session, const struct options *options,
                     struct problems *problems);

/* Keeps what stands in the file as PATH.1; what stood there becomes PATH.2, and so on, so that
 * nothing is lost. True also when there is no file yet; false with errno set, and then the file is
 * as it was. */
bool approved_keep_old(const char *path);

/* Takes over what is known of one input or mix into the approved desk of `saved`, as read at
 * `at` (now_ms on the desk's own clock); the rest stays as it was approved. False when the approved
 * desk lacks a setting of it that this desk publishes. */
bool approved_take(struct saved *saved, const struct desk *desk, struct object object,
                   const char *at, int64_t now_ms);

#endif
