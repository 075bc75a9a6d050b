/* SPDX-License-Identifier: MIT */
#include "show/proved.h"

#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "base/escape.h"
#include "base/places.h"
#include "base/text_format.h"
#include "core/need.h"

char *
proved_path_beside(const char *show)
{
    static const char ending[] = ".json";
    size_t length = strlen(show), cut = sizeof ending - 1;

    if (length > cut && strcmp(show + length - cut, ending) == 0)
        length -= cut;
    return text_printed("%.*s.proved.json", (int)length, show);
}

/* In the watch's folder, to free(). NULL where there is no such folder: then nothing is there. */
static char *
elsewhere(const char *show, const char *keep)
{
    struct problems aside = {0};
    char name[80], path[PLACES_SIZE];
    bool good;

    places_name(show, NULL, NULL, name);
    good = places_kept_at(keep, name, "proved.json", path, &aside);
    problems_release(&aside);
    return good ? need_text(path) : NULL;
}

static bool
is_there(const char *path)
{
    struct stat is;

    return path && lstat(path, &is) == 0;
}

/* The one that is there; NULL: none, or both, with the problem. */
static char *
find(const char *show, const char *keep, struct problems *problems)
{
    char *one = proved_path_beside(show), *other = elsewhere(show, keep), *found = NULL;

    if (is_there(one) && is_there(other))
        problems_add(problems, "%s: %s is there too; look at both and remove one", one, other);
    else if (is_there(one))
        found = need_text(one);
    else if (is_there(other))
        found = need_text(other);
    free(one);
    free(other);
    return found;
}

static void
refuse_other(const struct where *root, const char *key, const char *is, const char *must)
{
    struct where here = where_key(root, key);

    if (strcmp(is, must) != 0)
        where_problem(&here,
                      "is \"%s\", but this is \"%s\": what was proved elsewhere proves "
                      "nothing here; put the name back, or move the file away and ring out again",
                      is, must);
}

/* A desk of the same size proves nothing of this one, nor does another evening's stage. */
static bool
is_of_session(const struct proved_file *file, const struct session *session,
              const struct where *root)
{
    char desk[SAVED_NAME_SIZE], show[SHOW_NAME_SIZE];
    size_t before = root->problems->count;

    escape_clean(desk, sizeof desk, session->profile->desk);
    escape_clean(show, sizeof show, engine_show(session->engine)->name);
    refuse_other(root, "desk", file->desk_name, desk);
    refuse_other(root, "show", file->show, show);
    return root->problems->count == before;
}

struct proved_file *
proved_of_session(const struct session *session, const char *path, struct problems *problems)
{
    struct where root = where_file(path, NULL, problems);
    struct proved_file *file = proved_file_read(path, problems);

    if (file && proved_file_fits(file, engine_desk(session->engine), path, problems) &&
        is_of_session(file, session, &root))
        return file;
    proved_file_free(file);
    return NULL;
}

bool
proved_read(struct proved *proved, const struct session *session, const struct options *options,
            struct problems *problems)
{
    size_t before = problems->count;

    *proved = (struct proved){NULL, NULL};
    if (!session->file)
        return true;
    proved->path = find(session->file->path, options->keep, problems);
    if (!proved->path)
        return problems->count == before;
    proved->file = proved_of_session(session, proved->path, problems);
    return proved->file;
}

void
proved_release(struct proved *proved)
{
    free(proved->path);
    proved_file_free(proved->file);
}

bool
proved_attach(struct proved *proved, struct session *session, const struct options *options)
{
    struct problems problems = {0};
    bool good = proved_read(proved, session, options, &problems);

    if (proved->file && proved->file->proofs.ceiling_count > 0)
        engine_set_proofs(session->engine, &proved->file->proofs);
    problems_tell(&problems);
    return good;
}

void
proved_set(struct session *session, struct proved_file *file)
{
    session->proved = file;
    if (file && file->proofs.ceiling_count > 0)
        engine_set_proofs(session->engine, &file->proofs);
}

bool
proved_give(struct session *session, const struct options *options, struct problems *problems)
{
    struct proved proved;
    bool good = proved_read(&proved, session, options, problems);

    proved_set(session, proved.file);
    proved.file = NULL;
    proved_release(&proved);
    return good;
}

void
proved_give_or_say(struct session *session, const struct options *options)
{
    struct problems problems = {0};

    if (!proved_give(session, options, &problems))
        session->proved_wrong = need_text(problems.lines[0]);
    problems_release(&problems);
}
