/* SPDX-License-Identifier: MIT */
/* To whoever follows a ring-out: one screen, or lines where there is no terminal, or JSON, an object
 * a line. */
#ifndef GAINWARDEN_ALONG_TELL_H
#define GAINWARDEN_ALONG_TELL_H

#include "along/says.h"
#include "base/options.h"
#include "loop/loop.h"
#include "screen/ring_view.h"

struct tell_owner {
    void (*ended)(void *context); /* the user ends it, or nobody can be told any more */
    void *context;
};

struct tell;

/* `name`: of the show. Takes the terminal over where there is one. */
struct tell *tell_open(struct loop *loop, const struct options *options, const char *name,
                       struct tell_owner owner);

/* Gives the terminal back; what is told from now on comes as lines. */
void tell_leave_screen(struct tell *tell);
void tell_close(struct tell *tell);

/* A sentence of our own: that something is kept, why the desk is lost. `event`: as JSON has it. */
void tell_word(struct tell *tell, const char *event, const char *weight, const char *says);

/* What was seen. A band that comes down is told once the hand rests, with all of its steps. */
void tell_event(struct tell *tell, const struct desk *desk, const struct ring_event *event);

/* Time passes: at least ten times a second, and INT64_MAX at the end. */
void tell_passed(struct tell *tell, const struct desk *desk, int64_t now_ms);

/* How it stands: told where it is news. `link`: "the desk, steady". NULL state: it was not read yet. */
void tell_state(struct tell *tell, const struct desk *desk, const struct ring_state *state,
                const char *link, bool lost);

/* The same as it is shown, for whoever else shows it. */
const struct ring_view *tell_view(const struct tell *tell);

/* The terminal hung up. */
bool tell_is_gone(const struct tell *tell);

#endif
