/* SPDX-License-Identifier: MIT */
#define _GNU_SOURCE 1 /* faccessat() by the effective user */
#include "show/proved_keep.h"

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <unistd.h>

#include "base/atomic_file.h"
#include "base/escape.h"
#include "base/lock_file.h"
#include "base/places.h"
#include "base/text_format.h"
#include "base/whole_file.h"
#include "core/need.h"
#include "show/approved.h"

struct proved_keeper {
    const struct session *session;
    char *path;
    struct proofs written; /* of this ring-out, owned */
    bool kept_old;
    int show,
        lock; /* of the show file and of its name, one ring-out at a time; -1: there is none */
    char lock_path[PLACES_SIZE];
};

/* ---- one at a time ---- */

/* A lock on the show file is seen by everybody who may read it, but an editor that puts another in
 * its place leaves the lock on what nobody opens any more. */
static bool
is_show_free(struct proved_keeper *keeper)
{
    keeper->show = open(keeper->session->file->path, O_RDONLY | O_CLOEXEC | O_NOCTTY);
    return keeper->show < 0 || flock(keeper->show, LOCK_EX | LOCK_NB) == 0 || errno != EWOULDBLOCK;
}

/* The same by the show's name, which outlasts its file. Where no folder can be had the other must do:
 * what is proved may still be kept beside the show. */
static bool
is_name_free(struct proved_keeper *keeper, const char *keep)
{
    struct problems ignored = {0};
    char name[80];
    bool found;

    places_name(keeper->session->file->path, NULL, NULL, name);
    found = places_kept(keep, name, "ring-out", keeper->lock_path, &ignored);
    problems_release(&ignored);
    return !found || lock_file_take(keeper->lock_path, &keeper->lock) != LOCK_FILE_THEIRS;
}

/* Two that follow the same hands prove the same, and each would take the other's for its own. */
static void
take_show(struct proved_keeper *keeper, const char *keep, struct problems *problems)
{
    if (!is_show_free(keeper) || !is_name_free(keeper, keep))
        problems_add(problems,
                     "%s: another ring-out of this show is being followed already; end that first",
                     keeper->session->file->path);
}

static void
let_show_go(const struct proved_keeper *keeper)
{
    lock_file_let_go(keeper->lock_path, keeper->lock);
    if (keeper->show >= 0)
        close(keeper->show);
}

/* ---- where ---- */

static bool
may_write_beside(const char *path)
{
    const char *slash = strrchr(path, '/');
    char *folder = slash ? need_part(path, (size_t)(slash - path) + 1) : need_text(".");
    bool may = faccessat(AT_FDCWD, folder, W_OK, AT_EACCESS) == 0;

    free(folder);
    return may;
}

/* For the first file of a show, to free(); NULL with the problems. */
static char *
choose_path(const char *show, const char *keep, struct problems *problems)
{
    char *beside = proved_path_beside(show), name[80], path[PLACES_SIZE];

    if (may_write_beside(beside))
        return beside;
    free(beside);
    places_name(show, NULL, NULL, name);
    if (!places_kept(keep, name, "proved.json", path, problems))
        return NULL;
    if (may_write_beside(path))
        return need_text(path);
    problems_add(problems,
                 "%s: nothing can be written there, nor beside the show file: what the "
                 "ring-out proves would be lost; --keep names another folder",
                 path);
    return NULL;
}

/* Fills in the path, or adds to the problems. */
static void
find_place(struct proved_keeper *keeper, const struct proved *there, const struct options *options,
           struct problems *problems)
{
    if (!there->path) {
        keeper->path = choose_path(keeper->session->file->path, options->keep, problems);
        return;
    }
    keeper->path = need_text(there->path);
    if (may_write_beside(there->path))
        return;
    problems_add(problems,
                 "%s: nothing can be written in its folder: what the ring-out proves "
                 "would be lost; make the folder one that you may write to",
                 there->path);
}

struct proved_keeper *
proved_keeper_open(const struct session *session, const struct options *options,
                   struct problems *problems)
{
    struct proved_keeper *keeper = need_memory(1, sizeof *keeper);
    struct proved there;

    keeper->session = session;
    keeper->lock = -1;
    take_show(keeper, options->keep, problems);
    if (problems->count > 0) {
        proved_keeper_close(keeper);
        return NULL;
    }
    if (proved_read(&there, session, options, problems))
        find_place(keeper, &there, options, problems);
    proved_release(&there);
    if (problems->count == 0)
        return keeper;
    proved_keeper_close(keeper);
    return NULL;
}

void
proved_keeper_close(struct proved_keeper *keeper)
{
    if (!keeper)
        return;
    let_show_go(keeper);
    proofs_release(&keeper->written);
    free(keeper->path);
    free(keeper);
}

const char *
proved_keeper_path(const struct proved_keeper *keeper)
{
    return keeper->path;
}

/* ---- writing ---- */

/* With nothing in it. */
static struct proved_file *
new_file(const struct session *session)
{
    struct proved_file *file = need_memory(1, sizeof *file);
    static const struct proofs none;

    escape_clean(file->desk_name, sizeof file->desk_name, session->profile->desk);
    escape_clean(file->show, sizeof file->show, engine_show(session->engine)->name);
    proofs_copy(&file->proofs, &none);
    return file;
}

/* As it stands there now; NULL with the problems. */
static struct proved_file *
read_again(const struct proved_keeper *keeper, struct problems *problems)
{
    if (access(keeper->path, F_OK) != 0 && errno == ENOENT)
        return new_file(keeper->session);
    return proved_of_session(keeper->session, keeper->path, problems);
}

static bool
write_whole(struct proved_keeper *keeper, const struct proved_file *file, struct problems *problems)
{
    if (!keeper->kept_old)
        keeper->kept_old = approved_keep_old(keeper->path);
    if (keeper->kept_old && proved_file_write(file, keeper->path))
        return true;
    problems_add(problems, "%s: cannot write: %s", keeper->path, whole_file_why(errno));
    return false;
}

bool
proved_keeper_add(struct proved_keeper *keeper, const struct proofs *own,
                  proved_dropped_fn *dropped, void *context, struct problems *problems)
{
    int lock = atomic_file_lock_folder(keeper->session->file->path);
    struct proved_file *file = read_again(keeper, problems);
    bool good = file != NULL;

    if (good) {
        proved_file_add(file, own, &keeper->written, dropped, context);
        proved_file_shrink(file, SAVED_FILE_LIMIT, own->ceiling_count, dropped, context);
        good = write_whole(keeper, file, problems);
    }
    atomic_file_unlock(lock);
    proved_file_free(file);
    if (!good)
        return false;
    proofs_release(&keeper->written);
    proofs_copy(&keeper->written, own);
    return true;
}
