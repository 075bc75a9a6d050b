/* SPDX-License-Identifier: MIT */
/* What the files of this room share of one ring-out. */
#ifndef GAINWARDEN_RULES_RING_PARTS_H
#define GAINWARDEN_RULES_RING_PARTS_H

#include "proof/proof.h"
#include "proof/side.h"
#include "ring/ringing.h"
#include "ring/stood.h"

/* Common practice, no source, but where a name stands. */
#define RING_BACK_DB 6.0       /* Davis and Jones, Sound Reinforcement Handbook, 5.3.1: at least */
#define RING_BACK_LEAST_DB 3.0 /* is also taught */
#define RING_CUT_MOST_DB 6.0   /* of the first bands */
#define RING_FAST_DB 3.0       /* in a second */
#define RING_STARTS_HIGH_DB 12.0
#define RING_MASTERS_DOWN_DB 12.0
#define RING_TOGETHER_MOST_DB 6.0
#define RING_PUSH_MOST_DB 10.0
#define RING_AT_DB 0.1 /* so close to a figure is at it */

/* "Five to seven bands at most": "What is the best way to EQ stage monitors", sweetwater.com. */
enum { RING_CUTS_ENOUGH = 5, RING_CUTS_MOST = 7, RING_DEEP_CUTS = 4 };

enum {
    RING_FAST_MS = 1000,
    RING_GESTURE_MS = 500,  /* steps of one band so close together are one turn of a hand */
    RING_AT_ONCE_MS = 1000, /* nobody hears another ring so soon */
    RING_HEARD_MS = 5000    /* so long before a cut a spectrum showed what is cut */
};

enum phase {
    PHASE_READY,   /* nothing was raised yet */
    PHASE_RISING,  /* raised since the last cut */
    PHASE_RINGING, /* cut since the last rise */
    PHASE_BACK     /* stepped back */
};

struct knob {
    enum param_id id; /* PARAMS: none yet */
    int row, column;
};

static inline bool
knob_is(const struct knob *one, const struct knob *other)
{
    return one->id == other->id && one->row == other->row && one->column == other->column;
}

/* A value that moved. */
struct ring_move {
    struct knob knob;
    double from, to; /* NAN: not known */
    int64_t at_ms;
};

/* One band of a mix's equalisers. */
struct ring_band {
    double began_db; /* when the mix began */
    bool cut, leads; /* in this ring-out; and its ring was counted by it */
};

/* Steps up within RING_FAST_MS. */
enum { RISE_STEPS = 32 };
struct rise {
    int64_t at_ms[RISE_STEPS];
    double db[RISE_STEPS];
    int count;
};

/* One mix. */
struct course {
    int mix, input; /* the one whose path is raised; -1: not known yet */
    enum phase phase;
    struct knob knob;
    bool raised; /* since it began, or since the desk was read anew */
    bool back, voice, pushed;
    int rings, cuts;
    double level_db;             /* of the path, last finite */
    double top_db;               /* highest since the last ring */
    double first_db, highest_db; /* at the first ring, and the highest since; NAN: none */
    double base_db;              /* from where it is pushed, all being open */
    double stand_db;             /* where its master should stand */
    struct ring_band *bands;     /* owned: of the graphic, then of the equaliser */
    struct rise rise;
    int64_t back_ms;

    /* the last ring that was cut */
    int seen;             /* its place in seen[]; -1: none, or gone */
    int band, other_band; /* that came down for it; -1: no other */
    int hand_band;        /* in which the hand was last, */
    double hand_db;       /* and where it stood when the hand took it */
    int64_t cut_ms;
    double rang_hz; /* by the desk's spectrum; NAN: it showed nothing in that band */

    struct heard_thirds heard; /* in the spectrum */

    bool speech_known; /* `speech_db` is worked out */
    double speech_db;
};

enum path_way { WAY_OPENED, WAY_CLOSED, WAY_UP, WAY_DOWN, WAY_UNCLEAR };

/* What a move did to one path that can be a loop. */
struct touched {
    int input, mix;
    enum path_way way;
    double db;
};

enum { RING_EVENTS_ROOM = 128 };

struct ringing {
    const struct desk *live;
    const struct show *show;
    struct desk *desk;  /* as it was told; owned */
    struct desk *began; /* as it was when it was read last; owned */
    struct side side;   /* of `desk`: its paths, no tones */
    int inputs, mixes, bands;
    struct course *courses; /* in the caller's order */
    int count;
    bool wants_together;

    struct course *course; /* at work; NULL: none yet */
    bool together;
    enum phase phase;      /* of all together */
    struct course *pushed; /* alone, all being open; NULL: none */

    struct stood stood;
    bool unclear; /* the move at hand begins it anew */
    bool blind;
    int64_t now_ms, hand_ms;

    struct touched *touched; /* of the move at hand */
    int touched_count;

    struct ring_event events[RING_EVENTS_ROOM];
    int first_event, event_count;
    bool said[RING_KINDS];

    struct ring_seen seen[RINGS_MOST];
    double seen_gain_db[RINGS_MOST]; /* of the path at that frequency, before the cut */
    int seen_count;

    struct proofs kept;
    int *slots;          /* place of each purpose's ceiling, see keep.c; -1: none */
    struct proof *proof; /* over `desk`; NULL: no ceilings */

    struct ring_state state;
    struct ring_mix *of_mixes;
};

/* ---- say it: tell.c ---- */

/* At the move at hand; figures that are not told are NAN. */
struct ring_event ring_made(const struct ringing *ringing, enum ring_kind kind, int mix, int input);

/* Advice, mistakes and what proves nothing once an evening; all else each time. */
void ring_tell(struct ringing *ringing, struct ring_event event);

/* ---- whose microphone: own.c ---- */

/* Of mixes that were not raised yet, where it is not known. */
void ringing_find_own(struct ringing *ringing);

/* The microphone of the mix's player, of several the one that is open into it; -1: nobody knows. */
int ringing_own(const struct ringing *ringing, int mix);

/* ---- paths: touch.c ---- */

/* Takes what the move did to the paths into `touched`. */
void touch_find(struct ringing *ringing, const struct ring_move *move);
const struct touched *touch_of(const struct ringing *ringing, int mix, int input);

/* Something passes into the mix. */
bool ring_sounds(const struct ringing *ringing, int mix);

/* Other loop paths into it that are open; the first of them, or -1. */
int ring_other_open(const struct ringing *ringing, int mix, int input);
struct course *ring_course_of(const struct ringing *ringing, int mix);

/* ---- one mix: course.c ---- */

void course_init(struct course *course, const struct ringing *ringing, int mix);
void course_begin(struct ringing *ringing, struct course *course);

/* It is raised through a microphone that is not its player's, and nothing rang there: most likely that one
 * was left open. */
bool course_is_anothers(const struct ringing *ringing, const struct course *course);

/* What goes up and stays below where the book begins, or where the preamp came down for it, is set up,
 * in any order. */
bool course_sets_up(const struct ringing *ringing, const struct course *course,
                    const struct touched *path, const struct ring_move *move);

/* The microphone that is raised, where it is not known, or the one so far is closed. */
void course_take(struct ringing *ringing, struct course *course, int input);

/* Its path went up by so much, or down. */
void course_push(struct ringing *ringing, struct course *course, const struct ring_move *move,
                 double db);
void course_lower(struct ringing *ringing, struct course *course);
void course_leave(struct ringing *ringing, struct course *course);

/* It came back by less than the book says, and stays so. */
void course_settle(struct ringing *ringing, struct course *course);

/* Where nobody knows whose microphone it is, the loudest path stands in for it. */
void course_stand_in(struct ringing *ringing, struct course *course);

/* Takes its path's level. */
void course_level(struct ringing *ringing, struct course *course);

/* A step up, for the rate. */
void course_fast(struct ringing *ringing, struct course *course, double db);

/* ---- cuts: cut.c ---- */

/* What the mix's equalisers cost speech; NAN: not known. */
double ring_speech_db(const struct ringing *ringing, struct course *course);

/* A band of the mix moved. */
bool cut_is_band(enum param_id id);
void cut_band(struct ringing *ringing, struct course *course, enum phase *phase,
              const struct ring_move *move);

/* ---- all together: together.c ---- */

void together_begin(struct ringing *ringing);
void together_push(struct ringing *ringing, struct course *course, const struct ring_move *move,
                   double db);
void together_lower(struct ringing *ringing, struct course *course);
/* The mix opened, or (-1) an input. */
void together_opened(struct ringing *ringing, int mix);
void together_end(struct ringing *ringing);

/* By how much the least of all mixes came down from its top. */
double together_fall_db(const struct ringing *ringing);

/* All masters are 12 dB down. */
bool together_is_down(const struct ringing *ringing);

/* How far the master stands above where it should; NAN: not known. */
double together_over_db(const struct ringing *ringing, const struct course *course);

/* ---- whose move it is: move.c ---- */

void move_judge(struct ringing *ringing, const struct ring_move *move);

/* Which mix is at work, or all, goes by what is open, and what opened last; `move`: NULL: the desk was
 * read anew. */
void move_look_around(struct ringing *ringing, const struct ring_move *move);

/* ---- what is proved: keep.c ---- */

/* What stood is a ceiling: of the mix alone, of it pushed, or of all together. */
void keep_ceiling(struct ringing *ringing, const struct course *course);
void keep_init(struct ringing *ringing);
void keep_release(struct ringing *ringing);

/* The desk is another altogether. */
void keep_renew(struct ringing *ringing);
void keep_left(struct ringing *ringing);

/* What rang changed. */
void keep_rings(struct ringing *ringing);

/* Resolution of the ceiling of that purpose; NAN: it has none. */
double keep_step_db(const struct ringing *ringing, const struct course *course);

/* How much less than all together proved the mix may have; 0 where it was pushed itself or has no
 * others beside it. */
double keep_less_db(const struct ringing *ringing, const struct course *course);

#endif
