/* SPDX-License-Identifier: MIT */
#include "watch/anchor.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>

#include "base/atomic_file.h"
#include "base/clock.h"
#include "base/places.h"
#include "check/check.h"
#include "show/saved_of.h"
#include "watch/handles.h"
#include "watch/kept.h"

enum { EVENING_S = 12 * 3600 };

static bool
path_of(const struct watch_desk *desk, char path[PLACES_SIZE])
{
    const struct options *options = desk->shared->options;
    struct problems problems = {0};
    char name[80];
    bool good;

    places_name(desk->show, options->profile, options->desk, name);
    good = places_kept(options->keep, name, "set-up.json", path, &problems);
    problems_release(&problems);
    return good;
}

/* For the owner alone, as all that a watch keeps. */
static void
save(const struct watch_desk *desk, const char *path)
{
    struct saved saved = saved_of(desk->session, engine_anchored(desk->session->engine),
                                  loop_now_ms(desk->shared->loop));
    char *text = saved_file_text(&saved);

    atomic_file_write(path, text, strlen(text), 0600);
    free(text);
    desk_free(saved.desk);
}

/* A file that cannot be written is no loss but after a crash, and the kept file has said so. */
void
anchor_save(struct watch_desk *desk)
{
    char path[PLACES_SIZE];

    if (path_of(desk, path))
        save(desk, path);
}

static bool
is_of_this_evening(const char *path)
{
    struct stat file;

    return stat(path, &file) == 0 && difftime(clock_now(), file.st_mtime) < EVENING_S;
}

/* Time alone brings no protection back. */
static bool
has_lost(const struct watch_desk *desk)
{
    const struct engine *engine = desk->session->engine;
    size_t slot = 0;

    while (slot < engine_slots(engine) &&
           (engine_slot(engine, slot)->check->number != CHECK_PROTECTION_LOST ||
            !kept_told(desk->kept, slot)))
        slot++;
    return slot < engine_slots(engine);
}

void
anchor_restore(struct watch_desk *desk)
{
    struct engine *engine = desk->session->engine;
    struct problems problems = {0};
    struct saved *saved = NULL;
    char path[PLACES_SIZE];

    if (!path_of(desk, path) || (!is_of_this_evening(path) && !has_lost(desk)))
        return;
    saved = saved_file_read(path, &problems);
    if (saved && saved_file_fits(saved, engine_desk(engine), path, &problems)) {
        engine_set_anchor(engine, saved->desk);
        saved->desk = NULL;
    }
    problems_tell(&problems);
    saved_free(saved);
}
