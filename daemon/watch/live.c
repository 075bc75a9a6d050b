/* SPDX-License-Identifier: MIT */
#include "watch/live.h"

#include <stdio.h>
#include <stdlib.h>

#include "base/places.h"
#include "link/desk_hosts.h"
#include "loop/control.h"
#include "loop/service.h"
#include "watch/anchor.h"
#include "watch/control.h"
#include "watch/earlier.h"
#include "watch/handles.h"
#include "watch/saying.h"

enum { MINUTE_MS = 60 * 1000 };

static bool
open_sinks(struct watch_desk *desk, struct problems *problems)
{
    struct saying_sinks sinks = {NULL, NULL, NULL};
    bool good = saying_open_sinks(desk->saying, desk->session, &sinks, problems);

    saying_set_sinks(desk->saying, sinks);
    return good;
}

/* The name of its files. */
static void
get_name(const struct watch_desk *desk, char name[80])
{
    const struct options *options = desk->shared->options;

    places_name(desk->show, options->profile, options->desk, name);
}

static bool
open_kept(struct watch_desk *desk, struct problems *problems)
{
    char name[80], path[PLACES_SIZE];

    get_name(desk, name);
    return places_kept(desk->shared->options->keep, name, "kept", path, problems) &&
           earlier_open(desk->earlier, path, problems);
}

static bool
open_control(struct watch_desk *desk, struct problems *problems)
{
    char name[80], path[PLACES_SIZE];

    get_name(desk, name);
    if (places_socket(desk->shared->options->keep, name, path, problems))
        desk->control = control_open(desk->shared->loop, path, watch_answer, desk, problems);
    return desk->control != NULL;
}

static bool
open_all(struct watch_desk *desk)
{
    struct problems problems = {0};
    bool good;

    good =
        open_sinks(desk, &problems) && open_kept(desk, &problems) && open_control(desk, &problems);
    problems_tell(&problems);
    loop_timer_start(desk->minute, MINUTE_MS, MINUTE_MS);
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

const struct watch_way watch_live = {open_all, open_link, anchor_save, anchor_restore,
                                     service_has_journal};
