/* SPDX-License-Identifier: MIT */
/* Where what ring-outs proved is kept: SHOW.proved.json beside SHOW.json, or, where nothing can be
 * written there, in the folder of the watch's files. At both places is a fault: one of them is not
 * what counts, and nobody could tell which. One that is there and broken is an error, too.
 */
#ifndef GAINWARDEN_SHOW_PROVED_H
#define GAINWARDEN_SHOW_PROVED_H

#include "saved/proved.h"
#include "show/session.h"

struct proved {
    char *path;               /* where it is; NULL: nothing is kept */
    struct proved_file *file; /* NULL with the path: it is wrong */
};

/* The file at the path, checked against the profile's counts and the names of desk and show. NULL
 * with the problems. For proved_file_free(). */
struct proved_file *proved_of_session(const struct session *session, const char *path,
                                      struct problems *problems);

/* PATH.proved.json for PATH.json, to free(). */
char *proved_path_beside(const char *show);

/* Finds it and reads it so. False with the problems. Release it in either case. */
bool proved_read(struct proved *proved, const struct session *session,
                 const struct options *options, struct problems *problems);
void proved_release(struct proved *proved);

/* Reads it, and gives the session's engine what is proved; both must outlive the engine's use. False
 * when it is wrong, told on standard error. */
bool proved_attach(struct proved *proved, struct session *session, const struct options *options);

/* The same of a session that lasts, which owns what is proved from then on. False with the
 * problems. */
bool proved_give(struct session *session, const struct options *options, struct problems *problems);

/* The same where a file that is wrong is no reason not to begin: the session says so. */
void proved_give_or_say(struct session *session, const struct options *options);

/* The session owns it from now on, and its engine goes by it. */
void proved_set(struct session *session, struct proved_file *file);

#endif
