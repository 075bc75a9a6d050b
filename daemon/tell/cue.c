/* SPDX-License-Identifier: MIT */
#include "tell/cue.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/need.h"
#include "osc/osc.h"

enum { LOOKUP_AGAIN_MS = 5000 };

/* What keeps messages back. */
enum hold { HOLD_NOTHING, HOLD_NOT_FOUND, HOLD_UNKNOWN_DESK, HOLD_DESK };

struct cue {
    struct loop *loop;
    const struct cue_settings *settings;
    struct desk_hosts *hosts;
    struct desk_hosts_listener listener;
    struct sockaddr_storage peer; /* the host, once `udp` is open */
    struct loop_lookup *lookup;
    struct loop_timer *again;
    cue_trouble_fn *trouble;
    void *context;
    struct loop_udp *udp; /* NULL: not yet, or never */
    enum hold told;       /* the last that was told */
    size_t unsent;        /* messages that were kept back since then */
};

static void
say(const struct cue *cue, const char *what, const char *why)
{
    char line[400];

    snprintf(line, sizeof line, "tell.osc: \"%s\" port %d %s%s%s", cue->settings->host,
             cue->settings->port, what, *why ? ": " : "", why);
    cue->trouble(cue->context, line);
}

/* ---- what keeps it back ---- */

/* Asked anew before every message: a desk may have moved there. */
static enum hold
hold_of(const struct cue *cue)
{
    if (!cue->udp)
        return HOLD_NOT_FOUND;
    if (desk_hosts_reached_by(cue->hosts, (const struct sockaddr *)&cue->peer))
        return HOLD_DESK;
    return desk_hosts_all_known(cue->hosts) ? HOLD_NOTHING : HOLD_UNKNOWN_DESK;
}

static void
say_free(struct cue *cue)
{
    char what[100];

    snprintf(what, sizeof what, "is sent to now; %zu message%s could not be", cue->unsent,
             cue->unsent == 1 ? "" : "s");
    say(cue, what, "");
    cue->unsent = 0;
}

/* Tells what changed. That a desk is not found is told by its link, and here when a message waits.
 */
static enum hold
look(struct cue *cue)
{
    enum hold hold = hold_of(cue);

    if (hold == cue->told || hold == HOLD_NOT_FOUND ||
        (hold == HOLD_UNKNOWN_DESK && cue->unsent == 0))
        return hold;
    if (hold == HOLD_DESK)
        say(cue, "is where a desk is read, or many hear; nothing is sent there", "");
    else if (hold == HOLD_UNKNOWN_DESK)
        say(cue, "is not sent to before it is known where every desk is", "");
    else
        say_free(cue);
    cue->told = hold;
    return hold;
}

static void
on_hosts(void *context)
{
    look(context);
}

/* ---- looking up ---- */

/* Once, however often it is tried. */
static void
on_not_found(struct cue *cue, const char *error)
{
    if (cue->told != HOLD_NOT_FOUND)
        say(cue, "cannot be looked up and is tried again every 5 s", error);
    cue->told = HOLD_NOT_FOUND;
    loop_timer_start(cue->again, LOOKUP_AGAIN_MS, 0);
}

static void
on_nothing(void *context, const uint8_t *bytes, size_t length, const char *error)
{
    (void)context; /* answers are not wanted, and a closed port is no concern of the watch */
    (void)bytes;
    (void)length;
    (void)error;
}

static void
on_host(void *context, const struct sockaddr *const *peers, const char *error)
{
    struct cue *cue = context;

    cue->lookup = NULL;
    if (!peers) {
        on_not_found(cue, error);
        return;
    }
    memcpy(&cue->peer, peers[0], loop_address_size(peers[0]));
    cue->udp =
        loop_udp_open(cue->loop, peers[0], (struct loop_udp_ports){0}, on_nothing, cue, &error);
    if (!cue->udp)
        say(cue, "cannot be sent to", error);
    look(cue);
}

static void
look_up(void *context)
{
    struct cue *cue = context;

    cue->lookup =
        loop_lookup_open(cue->loop, cue->settings->host, cue->settings->port, on_host, cue);
}

/* ---- opening, closing, sending ---- */

struct cue *
cue_open(struct loop *loop, const struct cue_settings *settings, struct desk_hosts *hosts,
         cue_trouble_fn *trouble, void *context)
{
    struct cue *cue = need_memory(1, sizeof *cue);

    *cue = (struct cue){.loop = loop,
                        .settings = settings,
                        .hosts = hosts,
                        .listener = {on_hosts, cue, NULL},
                        .trouble = trouble,
                        .context = context};
    cue->again = loop_timer_open(loop, look_up, cue);
    desk_hosts_listen(hosts, &cue->listener);
    look_up(cue);
    return cue;
}

void
cue_close(struct cue *cue)
{
    if (!cue)
        return;
    desk_hosts_unlisten(cue->hosts, &cue->listener);
    if (cue->lookup)
        loop_lookup_cancel(cue->lookup);
    if (cue->udp)
        loop_udp_close(cue->udp);
    loop_timer_close(cue->again);
    free(cue);
}

void
cue_send(struct cue *cue, const char *event, const char *weight, const char *check,
         const char *object, const char *text)
{
    const char *const words[] = {event, weight, check, object, text};
    struct argument arguments[5];
    size_t length;
    uint8_t *bytes;

    if (hold_of(cue) != HOLD_NOTHING) {
        cue->unsent++;
        look(cue);
        return;
    }
    for (int i = 0; i < 5; i++)
        arguments[i] = (struct argument){ARGUMENT_TEXT, 's', 0, words[i]};
    bytes = osc_encode(cue->settings->address, arguments, 5, true, &length);
    loop_udp_send(cue->udp, bytes, length);
    free(bytes);
}
