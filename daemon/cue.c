#include "cue.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "osc.h"

enum { LOOKUP_AGAIN_MS = 5000 };

struct cue {
    struct loop *loop;
    const struct cue_settings *settings;
    const char *desk;
    int desk_port;
    struct sockaddr_storage avoid; /* the desk, once it resolved */
    struct loop_lookup *lookup;
    struct loop_timer *again;
    cue_trouble_fn *trouble;
    void *context;
    struct loop_udp *udp; /* NULL: not yet, or never */
    bool avoids;
};

static void
on_nothing(void *context, const uint8_t *bytes, size_t length, const char *error)
{
    (void)context; /* answers are not wanted, and a closed port is no concern of the watch */
    (void)bytes;
    (void)length;
    (void)error;
}

static void
on_host(void *context, const struct sockaddr *peer, const char *error)
{
    struct cue *cue = context;
    const char *why = NULL;
    char line[400];

    (void)error;
    cue->lookup = NULL;
    if (!peer) {
        loop_timer_start(cue->again, LOOKUP_AGAIN_MS, 0);
        return;
    }
    if (memcmp(peer, &cue->avoid, loop_address_size(peer)) == 0) {
        snprintf(line, sizeof line,
                 "tell.osc: \"%s\" port %d is the desk, which is only read; nothing is sent there",
                 cue->settings->host, cue->settings->port);
        cue->trouble(cue->context, line);
        return;
    }
    cue->udp = loop_udp_open(cue->loop, peer, (struct loop_udp_ports){0}, on_nothing, cue, &why);
    if (cue->udp)
        return;
    snprintf(line, sizeof line, "tell.osc: %s", why);
    cue->trouble(cue->context, line);
}

static void
on_desk(void *context, const struct sockaddr *peer, const char *error)
{
    struct cue *cue = context;

    (void)error;
    cue->lookup = NULL;
    if (!peer) {
        loop_timer_start(cue->again, LOOKUP_AGAIN_MS, 0);
        return;
    }
    memcpy(&cue->avoid, peer, loop_address_size(peer));
    cue->avoids = true;
    cue->lookup =
        loop_lookup_open(cue->loop, cue->settings->host, cue->settings->port, on_host, cue);
}

static void
look_up(void *context)
{
    struct cue *cue = context;

    if (cue->avoids)
        cue->lookup =
            loop_lookup_open(cue->loop, cue->settings->host, cue->settings->port, on_host, cue);
    else
        cue->lookup = loop_lookup_open(cue->loop, cue->desk, cue->desk_port, on_desk, cue);
}

struct cue *
cue_open(struct loop *loop, const struct cue_settings *settings, const char *desk, int desk_port,
         cue_trouble_fn *trouble, void *context, struct problems *problems)
{
    struct cue *cue;

    if (settings->port == desk_port && strcasecmp(settings->host, desk) == 0) {
        problems_add(problems, "tell.osc: \"%s\" port %d is the desk, which is only read", desk,
                     desk_port);
        return NULL;
    }
    cue = calloc(1, sizeof *cue);
    if (!cue)
        abort();
    cue->loop = loop;
    cue->settings = settings;
    cue->desk = desk;
    cue->desk_port = desk_port;
    cue->trouble = trouble;
    cue->context = context;
    cue->again = loop_timer_open(loop, look_up, cue);
    look_up(cue);
    return cue;
}

void
cue_close(struct cue *cue)
{
    if (!cue)
        return;
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

    if (!cue->udp)
        return;
    for (int i = 0; i < 5; i++)
        arguments[i] = (struct argument){ARGUMENT_TEXT, 's', 0, words[i]};
    bytes = osc_encode(cue->settings->address, arguments, 5, true, &length);
    if (bytes)
        loop_udp_send(cue->udp, bytes, length);
    free(bytes);
}
