/* SPDX-License-Identifier: MIT */
/* The conversation with one desk: socket, renewals, questions and their answers, and whether the
 * desk is there at all. Values go to the engine; the owner is told of each change of its link
 * state.
 *
 *              resolved               first reading done               silent for LINK_LOST_MS
 *   resolving ----------> reading ---------------------> steady ---------------------------> lost
 *                            ^ |                                                           ^ |
 *                            | +----------------- silent for LINK_LOST_MS -----------------+ |
 *                            +------------------------ something heard ----------------------+
 *
 * Silence counts from the first question after which nothing was heard; a desk that only pushes is
 * silent by presence.h. In `steady` the whole desk is asked again all the time, what protects often
 * and the rest slowly, and what moved soon after (rounds.h): a push that was lost or overtaken is
 * caught, and a value that no longer comes goes stale. A desk that may have been started anew gets
 * its renewals at once and is read at full pace, as in every reading what protects first.
 */
#ifndef GAINWARDEN_LINK_H
#define GAINWARDEN_LINK_H

#include <stdint.h>

#include "base/link_state.h"
#include "engine/engine.h"
#include "link/questions.h"
#include "link/rejects.h"
#include "link/router.h"
#include "loop/loop.h"
#include "osc/check.h"
#include "profile/profile.h"

enum { LINK_LOST_MS = 5000, LINK_SAID_SIZE = 120, LINK_UNREAD_SIZE = 64 };

struct link_figures {
    struct question_figures questions; /* of the last reading, in steady: the first one */
    struct link_rejects rejects;
    uint64_t taken;        /* messages whose values went to the engine */
    int64_t last_heard_ms; /* a value of the desk; -1: never */
    int64_t took_ms;       /* the reading, until now while it lasts */
    int64_t now_ms;        /* when these figures were taken */
    /* how often it is asked again as things are; 0: not yet, or there is nothing to ask */
    int64_t protects_every_ms, rest_every_ms;
    bool resolved;     /* the host's name was found at least once */
    const char *error; /* the last word of the system on this link, NULL: none */
    /* the last of what the profile does not know, while the desk says nothing else; "": nothing */
    char said[LINK_SAID_SIZE];
    /* by enum osc_reject: rejects_outline() of the first with an address */
    char unread[OSC_REJECTS][LINK_UNREAD_SIZE];
};

/* A message that could be read, with what the router made of it; entry and place as in
 * router_answer_fn where it was an answer. */
struct link_heard {
    const struct osc_message *message;
    enum route_result result;
    size_t entry, place;
};

/* What a recording keeps, besides the link states: each packet that brought a value, as it came, at
 * loop_woke_ms(), before the engine makes anything of it; of any other how the counts moved, since
 * nothing else follows from it; that the reading link_read_again() began is over; and that values
 * last heard before then went stale. */
struct link_tap {
    void (*packet)(void *context, const uint8_t *bytes, size_t length, int64_t woke_ms);
    void (*rejected)(void *context, struct link_rejects before, struct link_rejects after);
    void (*read)(void *context);
    void (*expired)(void *context, int64_t before_ms);
    void *context;
};

/* Why a desk is lost that is there, but not understood: this, and what it says. */
#define LINK_SAYS_ONLY "it says only what the profile does not know: "

/* Who is told; all but `changed` may be NULL. */
struct link_owner {
    /* Each change of the link state, with what brought it about. */
    void (*changed)(void *context, enum link_state from, enum link_state to, const char *why);
    /* Each datagram, message or frame that was turned down, with its reason as in reports. */
    void (*rejected)(void *context, const char *reason, const uint8_t *bytes, size_t length);
    /* Each of them that could not be read as OSC, osc_outline() of which says what can be. */
    void (*unread)(void *context, enum osc_reject why, const uint8_t *bytes, size_t length);
    /* Each message that could. Whoever wants to hear them all also hears those of forms that the profile does
     * not name: it may be the profile that is wrong. */
    void (*heard)(void *context, const struct link_heard *heard);
    /* Each look-up's addresses of the desk, ended by NULL, before anything is sent. */
    void (*resolved)(void *context, const struct sockaddr *const *addresses);
    /* So many values were not heard for too long, and went stale. */
    void (*expired)(void *context, size_t values);
    const struct link_tap *tap; /* NULL: nobody records */
    void *context;
    bool quiet; /* ask nothing: only renewals are sent */
};

struct link;

/* Starts to talk to host:port. Everything handed in must outlive the link. */
struct link *link_open(struct loop *loop, const struct profile *profile, struct engine *engine,
                       const char *host, int port, struct link_owner owner);

/* Stops talking; the link is freed at once, its handles by the loop. */
void link_close(struct link *link);

/* The same conversation goes on, with an engine that took over the values of the one before. */
void link_set_engine(struct link *link, struct engine *engine);

/* The same desk once more: a link that speaks to nobody and goes by no clock, to which the
 * calls below tell what a tap was told. */
struct link *link_open_replayed(struct loop *loop, const struct profile *profile,
                                struct engine *engine, struct link_owner owner);
void link_replay_packet(struct link *link, const uint8_t *bytes, size_t length);
/* False: nothing is turned down for that reason. */
bool link_replay_rejected(struct link *link, const char *reason, uint64_t count);
void link_set_state(struct link *link, enum link_state state, const char *why);
/* The first reading's figures; the link state is told after it. */
void link_replay_reading(struct link *link, const struct question_figures *figures,
                         int64_t took_ms);
void link_replay_read(struct link *link);
void link_replay_expired(struct link *link, int64_t before_ms);
/* The desk was heard before the recording began. */
void link_replay_heard(struct link *link, int64_t heard_ms);

/* Asks everything anew at full pace, while the desk is steady: many values moved, and what is not
 * pushed has to be asked for. link_is_reading() until it is done. */
void link_read_again(struct link *link);
bool link_is_reading(const struct link *link);

/* Asks once, without arguments, at an address that the desk spoke from: a question that needs no
 * agreement (read_only.h), of a profile that is being made. The link speaks to a desk. */
void link_ask_at(struct link *link, const char *address);

/* Whether there are questions at all: some desks only push. */
bool link_asks(const struct link *link);

/* For how long nothing was heard of a desk that is asked all the while; 0 where it owes nothing. */
int64_t link_silent_ms(const struct link *link);

/* Why a message was not taken, as in reports; NULL for ROUTE_TAKEN. */
const char *link_route_name(enum route_result result);

enum link_state link_state(const struct link *link);
struct link_figures link_figures(const struct link *link);

#endif
