/* SPDX-License-Identifier: MIT */
/* One cause, one message: a preamp that is turned changes every path behind it, a group every
 * member, a master every send of its mix. What moved on one thing within a short while is one
 * cause, and the findings that begin or end because of it are told together.
 */
#ifndef GAINWARDEN_RULES_CAUSE_H
#define GAINWARDEN_RULES_CAUSE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "desk/desk.h"
#include "engine/engine.h"

enum cause_kind {
    CAUSE_NONE,    /* time, or nothing that was seen to move */
    CAUSE_INPUT,   /* something of one input moved */
    CAUSE_PREAMP,  /* gain, pad or trim of a preamp; inputs may share it */
    CAUSE_MIX,     /* something of one mix moved */
    CAUSE_GROUP,   /* fader or mute of a group */
    CAUSE_RECALL,  /* many values at once */
    CAUSE_LATER,   /* what it took away of protection behind its message, or gave back */
    CAUSE_SETTLED, /* it is over: what followed from it */
    CAUSE_BACK,    /* the desk was lost, and was read again */
    CAUSE_START,   /* the watch was away, and the desk was read again */
    CAUSE_ROOM,    /* what the room held back */
    CAUSE_QUIETED, /* what was quieted */
    CAUSE_UNMUTED, /* what a muted mix held back */
    CAUSE_RUNG_OUT /* what a ring-out held back */
};

struct cause {
    enum cause_kind kind;
    int number;       /* input, preamp, mix, group: 0-based; room; number of the quieting */
    enum param_id id; /* what moved first, PARAMS: nothing did */
    int row, column;
    double from, to;
    int others; /* how many other values moved with it */
    int64_t begun_ms, last_ms;
};

enum { CAUSES_KEPT = 64, CAUSE_TOGETHER_MS = 2000 };

/* A cause that is looked at or waits to be told. */
struct open_cause {
    struct cause cause;
    bool open;
    bool closed;        /* it was told, or is too old: it takes no more moves */
    bool moved[PARAMS]; /* which parameters did */
    size_t links;       /* findings that hang on it */
    int64_t due_ms;     /* since when something of it is to be told; INT64_MAX: nothing is */
};

struct causes {
    struct open_cause list[CAUSES_KEPT];
};

void causes_init(struct causes *causes);

/* Takes the move into the cause it belongs to, or begins one. */
void causes_note(struct causes *causes, const struct desk *desk, const struct move *move,
                 int64_t now_ms);

/* The cause behind a finding that begins or ends now: its place in the list, or -1. The widest
 * first, then the newest. */
int causes_find(const struct causes *causes, const struct desk *desk, const struct finding *finding,
                int64_t now_ms);

/* One of a kind that no move begins; -1 when there is no room. */
int causes_begin(struct causes *causes, enum cause_kind kind, int number, int64_t now_ms);

/* Lets go of causes that nothing hangs on. */
void causes_age(struct causes *causes, int64_t now_ms);

/* All of them end: a recall or a lost desk goes over everything. */
void causes_close_all(struct causes *causes);

#endif
