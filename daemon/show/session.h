/* SPDX-License-Identifier: MIT */
/* What audit and watch begin with: profile, show and where the desk is, from options and files. */
#ifndef GAINWARDEN_SESSION_H
#define GAINWARDEN_SESSION_H

#include "base/clock.h"
#include "base/json.h"
#include "base/options.h"
#include "engine/engine.h"
#include "profile/profile.h"
#include "show/file.h"

struct proved_file;

enum {
    SESSION_SOURCE_SIZE = 400,
    SESSION_HEADLINE_SIZE = SESSION_SOURCE_SIZE + CLOCK_SIZE + SHOW_NAME_SIZE + 2
};

struct session {
    struct show_file *file; /* NULL: no show file */
    struct json *plan;      /* the stage plan as it was read; NULL: there is none */
    struct profile *profile;
    struct engine *engine;
    struct proved_file
        *proved;        /* what ring-outs proved, of a watch; NULL: nothing is known of it */
    char *proved_wrong; /* its file is; NULL: it is right, or there is none */
    char *host;         /* NULL: a saved desk stands in for the desk */
    int port;
    char approved_at[CLOCK_SIZE], approved_by[SHOW_NAME_SIZE]; /* "": not said */
    char saved_at[CLOCK_SIZE]; /* when it was read from its desk; "" while none was */
};

/* Loads all of it, the approved desk too where there is one; `show` is the show file's path, or
 * NULL; `set`: the checks that look at this desk. False when something is wrong, with everything
 * wrong in the problems. Release it in either case. */
bool session_read(struct session *session, const struct options *options, const char *show,
                  struct check_set set, struct problems *problems);

/* The same, and what is wrong is told on standard error. */
bool session_load(struct session *session, const struct options *options, const char *show,
                  struct check_set set);

/* The same without the approved desk, for commands that do not look back. */
bool session_load_afresh(struct session *session, const struct options *options, const char *show,
                         struct check_set set);

/* A session of a profile that stands in no file; where the desk is say the options. `profile`
 * stays the caller's. */
bool session_read_made(struct session *session, const struct options *options,
                       const struct json *profile, struct problems *problems);

/* Tonight's show, of the show file where there is one; NULL with the problems. For show_free(). */
struct show *session_show(const struct session *session, struct problems *problems);

/* What a recording holds of a session. */
struct session_parts {
    const struct json *profile, *show; /* show: NULL: no show file */
    const struct json *plan;           /* NULL: no stage plan */
    const char *approved;              /* the approved desk's text; NULL: there is none */
    const char *proved;                /* what ring-outs proved, the same */
    const char *host;
    int port;
};

/* The session of a watch once more; `name` stands for the files in the problems. */
bool session_restore(struct session *session, const struct session_parts *parts, const char *name,
                     struct problems *problems);
void session_release(struct session *session);

/* What rises like a ring in the spectra of mixes is looked for from now on, where the profile names any. */
void session_watch_spectra(struct session *session);

/* "Barn monitor desk at 10.0.0.20 port 9100", or "Barn monitor desk, as saved at" and the time. */
void session_source(const struct session *session, char text[SESSION_SOURCE_SIZE]);

/* The same with the time of the reading, behind the name of the show, where it has one: what a page
 * begins with. */
void session_headline(const struct session *session, char text[SESSION_HEADLINE_SIZE]);

/* When the desk was read: now, or when the saved desk was. */
const char *session_at(const struct session *session, char when[CLOCK_SIZE]);

/* "Ostrel Barn, Saturday" or, without a show file, the desk's name. */
const char *session_name(const struct session *session);

#endif
