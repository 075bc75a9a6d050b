/* SPDX-License-Identifier: MIT */
/* A ring-out, followed along: a person rings out, and every move shows in the desk's numbers. This
 * recognises what they do, says little, and keeps what was proved. It has no clock: times are those
 * of the moves, monotonic and never falling.
 *
 *   one mix          begun -> rising <-> ringing (cuts) -> back -> the next mix
 *   all together     down -> rising <-> ringing -> back -> one mix after another: pushed, put back
 *
 * A ceiling is a whole desk that was loud and did not ring. People hear a ring once it stands 20 to
 * 40 dB over the noise, and answer 0.3 to 1.5 s later (common practice, no source). So it is the
 * desk as it stood RING_STANDS_MS before a step up of the control that is being raised: whoever goes
 * on up has heard nothing until then. (Low modes grow slowly: on simulated stages what had stood for
 * 3 s lay up to 0.5 dB above onset.) To stand long is not enough, for nobody tells whether it rang.
 * A cut, a step back, another hand, a recall, a lost link, or anything that is not known begins
 * that time anew: what was between proves nothing.
 */
#ifndef GAINWARDEN_RULES_RINGING_H
#define GAINWARDEN_RULES_RINGING_H

#include "proof/kept.h"
#include "ring/event.h"
#include "ring/ready.h"
#include "spectrum/heard.h"

enum {
    RING_STANDS_MS = 3900, /* how long a state must have stood */
    RINGS_MOST = PROOFS_MOST,
    RING_MIXES_MOST = (PROOFS_MOST - 1) / 2 /* each alone and pushed, and all together */
};

/* What to do next; in this order nothing of them is more urgent than what stands above it. */
enum ring_next {
    RING_NEXT_WAIT,           /* the desk is not heard, or being read anew: no push */
    RING_NEXT_STEP_BACK,      /* by next_db, of the mix, or of all together (mix -1) */
    RING_NEXT_PUT_BACK,       /* the mix's push, by next_db */
    RING_NEXT_MASTERS_DOWN,   /* all masters 12 dB down, before anything else opens */
    RING_NEXT_PREPARE,        /* the mix: see `ready` */
    RING_NEXT_RINGS,          /* next_mix, by its spectrum at next_hz: cut there, or step back */
    RING_NEXT_RAISE,          /* in small steps, to the first ring */
    RING_NEXT_RAISE_ON,       /* in smaller ones, to the next */
    RING_NEXT_SILENCE,        /* go on cutting until it is silent, 6 dB at most, then raise */
    RING_NEXT_LAST_PUSH,      /* once more, that ring stays uncut */
    RING_NEXT_VOICE,          /* a voice decides; then the next */
    RING_NEXT_MIX,            /* next_mix is the next */
    RING_NEXT_OPEN_ALL,       /* with all masters down: open every microphone and mix */
    RING_NEXT_RAISE_TOGETHER, /* all masters, by small steps, slowly */
    RING_NEXT_PUSH,           /* next_mix alone, all else as it stands, 10 dB at most */
    RING_NEXT_DONE,
    RING_NEXTS
};

/* One that was seen. */
struct ring_seen {
    int64_t at_ms;
    int mix, input; /* input -1: several were open */
    double hz;     /* its own by the spectrum, else the band's; NAN: not known which band of two, or
                      * it was left uncut */
    double cut_db; /* 0: left uncut */
    double level_db; /* where the path stood then, equalisers apart; NAN: not known */
};

struct ring_mix {
    int mix;
    int own;          /* the input whose path is raised; -1: not known yet */
    bool begun, back; /* it was raised; and stepped back since */
    bool closed;      /* no microphone is open into it now */
    int rings, cuts;  /* seen; and cut, each ring once */
    double speech_db; /* what its equalisers cost speech; NAN: not known */
    double won_db;    /* highest since the first ring, over where that was; NAN: none rang */
    double proved_db; /* the margin now, with all else as it stands; NAN: none is proved */
    double alone_db;  /* with the others closed; never the margin; NAN: none */
    double less_db;   /* so much less than proved_db there may be: it was not pushed itself */
    double step_db;   /* resolution of its ceiling; NAN: it has none */
};

struct ring_state {
    bool together; /* all of them; else one mix */
    int mix;       /* the one at work; -1: none yet, or all together */
    enum ring_next next;
    int next_mix;
    double next_db, next_hz;      /* NAN: no matter */
    struct ring_ready ready;      /* of `mix`, or where there is none of next_mix */
    double level_db;              /* of the path that is raised, equalisers apart; NAN: not known */
    const struct ring_mix *mixes; /* in the order in which they are to be rung out */
    int mix_count;
    const struct ring_seen *rings; /* the oldest first; at most RINGS_MOST, then the oldest goes */
    int ring_count;
};

struct ringing;

/* The mixes to ring out in this order, 1 to RING_MIXES_MOST; `together`: then all. Desk and show must
 * outlive it; the desk is read when something is told, and has it already. */
struct ringing *ringing_new(const struct desk *desk, const struct show *show, const int *mixes,
                            int count, bool together, int64_t now_ms);
void ringing_free(struct ringing *ringing);

/* The value moved, became known or went stale. Meters too: they tell a voice. */
void ringing_moved(struct ringing *ringing, enum param_id id, int row, int column, int64_t now_ms);

/* What rang in the mix's spectrum, whenever it is another. Proves nothing; a cut there then has the
 * frequency itself. */
void ringing_heard(struct ringing *ringing, int mix, const struct heard_thirds *heard);

/* Time passes: at least ten times a second. */
void ringing_passed(struct ringing *ringing, int64_t now_ms);

/* Nobody looked since the last call, for longer than that: what stands has to stand anew, as nobody
 * knows when what is heard now was moved. */
void ringing_unseen(struct ringing *ringing, int64_t now_ms);

/* The desk went quiet; a scene was recalled. Until ringing_reread() nothing is believed, and moves
 * are not looked at. */
void ringing_lost(struct ringing *ringing, int64_t now_ms);
void ringing_back(struct ringing *ringing, int64_t now_ms);
void ringing_recalled(struct ringing *ringing, int64_t now_ms);
void ringing_reread(struct ringing *ringing, int64_t now_ms);

/* Nobody rings out any more: what was left undone is told, and what is proved has the desk as it
 * was left. */
void ringing_end(struct ringing *ringing, int64_t now_ms);

/* The oldest event that was not taken yet; false: there is none. */
bool ringing_event(struct ringing *ringing, struct ring_event *event);

/* Worked out when asked for, and valid until something is told. */
const struct ring_state *ringing_state(struct ringing *ringing);

/* What is proved so far; changes with RING_PROVED, RING_CUT and the end. `made` has the time of the
 * moves alone: who and when is the caller's. It stays the ringing's. */
const struct proofs *ringing_proofs(const struct ringing *ringing);

#endif
