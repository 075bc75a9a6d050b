#include "approved.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

/* PATH.approved.json for PATH.json, to free(). */
static char *
beside(const char *show)
{
    static const char ending[] = ".json", instead[] = ".approved.json";
    size_t length = strlen(show), cut = sizeof ending - 1;
    char *path = malloc(length + sizeof instead);

    if (!path)
        abort();
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
    path = strdup(options->approved ? options->approved : session->file->approved);
    if (!path)
        abort();
    return path;
}

struct state *
approved_read(const struct session *session, const char *path, struct problems *problems)
{
    struct state *state = state_file_read(path, problems);

    if (!state)
        return NULL;
    if (!state->approved)
        problems_add(problems, "%s: approved: is missing; the state was saved, not approved", path);
    else if (state_file_fits(state, engine_desk(session->engine), path, problems))
        return state;
    state_free(state);
    return NULL;
}

bool
approved_attach(struct session *session, const struct options *options, struct problems *problems)
{
    char *path = approved_path(session, options);
    struct state *state = NULL;
    struct stat status;
    bool none =
        !path || (!is_named(session, options) && stat(path, &status) != 0 && errno == ENOENT);

    if (!none)
        state = approved_read(session, path, problems);
    if (state) {
        engine_set_approved(session->engine, state->desk);
        state->desk = NULL; /* the engine's now */
    }
    free(path);
    state_free(state);
    return none || problems->count == 0;
}
