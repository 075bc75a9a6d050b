/* SPDX-License-Identifier: MIT */
/* A watch over a real desk: everything it has outside. watch/replay.c does without. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>

#include "base/atomic_file.h"
#include "base/clock.h"
#include "base/places.h"
#include "check/check.h"
#include "link/desk_hosts.h"
#include "loop/control.h"
#include "show/saved_of.h"
#include "watch/control.h"
#include "watch/earlier.h"
#include "watch/handles.h"
#include "watch/kept.h"
#include "watch/saying.h"

enum { EVENING_S = 12 * 3600 };

/* ---- what it opens ---- */

static bool
open_sinks(struct watch_desk *desk, struct problems *problems)
{
    struct saying_sinks sinks;

    if (!saying_open_sinks(desk->saying, desk->session, &sinks, problems))
        return false;
    saying_set_sinks(desk->saying, sinks);
    return true;
}

/* The name of its files. */
static void
get_name(const struct watch_desk *desk, char name[80])
{
    const struct options *options = desk->shared->options;

    places_name(desk->show, options->profile, options->desk, name);
}

/* Where it keeps what. */
static bool
kept_path(const struct watch_desk *desk, const char *what, char path[PLACES_SIZE],
          struct problems *problems)
{
    char name[80];

    get_name(desk, name);
    return places_kept(desk->shared->options->keep, name, what, path, problems);
}

static bool
open_kept(struct watch_desk *desk, struct problems *problems)
{
    char path[PLACES_SIZE];

    return kept_path(desk, "kept", path, problems) && earlier_open(desk->earlier, path, problems);
}

static bool
open_control(struct watch_desk *desk, struct problems *problems)
{
    struct control_owner owner = {watch_answer, watch_follows, desk};
    char name[80], path[PLACES_SIZE];

    get_name(desk, name);
    if (places_socket(desk->shared->options->keep, name, path, problems))
        desk->control = control_open(desk->shared->loop, path, owner, problems);
    return desk->control != NULL;
}

static bool
open_all(struct watch_desk *desk)
{
    struct problems problems = {0};
    bool good;

    /* the socket first: it knows best whether another watch of this show runs, and which */
    good =
        open_control(desk, &problems) && open_sinks(desk, &problems) && open_kept(desk, &problems);
    problems_tell(&problems);
    return good;
}

static struct link *
open_link(struct watch_desk *desk, struct link_owner owner)
{
    struct session *session = desk->session;

    desk_hosts_forget(desk->shared->hosts, (int)(session - desk->shared->sessions));
    return link_open(desk->shared->loop, session->profile, session->engine, session->host,
                     session->port, owner);
}

/* ---- the anchor ----
 *
 * The desk as it was taken for set up, which protection-lost compares with, kept as a saved desk
 * beside what was told: what was lost before a crash is lost after it too. It counts for the same
 * evening, and for as long as something that was lost since then is not back.
 */

static bool
anchor_path(const struct watch_desk *desk, char path[PLACES_SIZE])
{
    struct problems problems = {0};
    bool good;

    good = kept_path(desk, "set-up.json", path, &problems);
    problems_release(&problems);
    return good;
}

/* For the owner alone, as all that a watch keeps. */
static void
write_anchor(const struct watch_desk *desk, const char *path)
{
    struct saved saved =
        saved_of(desk->session, engine_anchored(desk->session->engine), watch_now_ms(desk));
    char *text = saved_file_text(&saved);

    atomic_file_write(path, text, strlen(text), 0600);
    free(text);
    desk_free(saved.desk);
}

/* A file that cannot be written is no loss but after a crash, and the kept file has said so. */
static void
save_anchor(struct watch_desk *desk)
{
    char path[PLACES_SIZE];

    if (anchor_path(desk, path))
        write_anchor(desk, path);
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

/* What is wrong with it is told on standard error. */
static void
restore_anchor(struct watch_desk *desk)
{
    struct engine *engine = desk->session->engine;
    struct problems problems = {0};
    struct saved *saved = NULL;
    char path[PLACES_SIZE];

    if (!anchor_path(desk, path) || (!is_of_this_evening(path) && !has_lost(desk)))
        return;
    saved = saved_file_read(path, &problems);
    if (saved && saved_file_fits(saved, engine_desk(engine), path, &problems)) {
        engine_set_anchor(engine, saved->desk);
        saved->desk = NULL;
    }
    problems_tell(&problems);
    saved_free(saved);
}

const struct watch_way watch_live = {open_all, open_link, save_anchor, restore_anchor};
