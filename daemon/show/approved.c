/* SPDX-License-Identifier: MIT */
#include "show/approved.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "core/need.h"

/* PATH.approved.json for PATH.json, to free(). */
static char *
beside(const char *show)
{
    static const char ending[] = ".json", instead[] = ".approved.json";
    size_t length = strlen(show), cut = sizeof ending - 1;
    char *path = need_memory(length + sizeof instead, 1);

    if (length > cut && strcmp(show + length - cut, ending) == 0)
        length -= cut;
    memcpy(path, show, length);
    memcpy(path + length, instead, sizeof instead);
    return path;
}

static bool
is_named(const struct session *session, const struct options *options)
{
    return options->approved || (session->file && session->file->approved);
}

char *
approved_path(const struct session *session, const struct options *options)
{
    char *path;

    if (!is_named(session, options))
        return session->file ? beside(session->file->path) : NULL;
    path = need_text(options->approved ? options->approved : session->file->approved);
    return path;
}

struct saved *
approved_read(const struct session *session, const char *path, struct problems *problems)
{
    struct saved *saved = saved_file_read(path, problems);

    if (!saved)
        return NULL;
    if (!saved->approved)
        problems_add(problems, "%s: approved: is missing; the desk was saved, not approved", path);
    else if (saved_file_fits(saved, engine_desk(session->engine), path, problems))
        return saved;
    saved_free(saved);
    return NULL;
}

bool
approved_attach(struct session *session, const struct options *options, struct problems *problems)
{
    char *path = approved_path(session, options);
    struct saved *saved = NULL;
    struct stat status;
    bool none =
        !path || (!is_named(session, options) && stat(path, &status) != 0 && errno == ENOENT);

    if (!none)
        saved = approved_read(session, path, problems);
    if (saved) {
        engine_set_approved(session->engine, saved->desk);
        saved->desk = NULL; /* the engine's now */
    }
    free(path);
    saved_free(saved);
    return none || problems->count == 0;
}
