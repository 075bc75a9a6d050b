/* SPDX-License-Identifier: MIT */
/* What engine.c, engine/run.c and engine/say.c share of the engine, and nobody else sees. */
#ifndef GAINWARDEN_RULES_ENGINE_PARTS_H
#define GAINWARDEN_RULES_ENGINE_PARTS_H

#include "engine/engine.h"
#include "engine/journal.h"
#include "engine/marks.h"
#include "engine/onsets.h"

struct slot {
    struct finding finding;
    struct misses misses; /* of OUTCOME_NOT_KNOWN */
    char *kept;           /* words of a finding that is judged bad no more, the cure behind the NUL
                             of what it says; NULL: they can be made */
    unsigned judged;      /* by which run it was last judged bad */
    int standing;         /* as what it was then, for check_run() */
    enum outcome outcome;
    bool waits; /* it stands in `waiting` */
};

/* When what rests on the proofs of a mix is judged. */
struct proving {
    bool rose; /* one of its paths may have, since it was */
    int64_t next_ms;
};

struct engine {
    struct ground ground;
    struct check_set set;
    struct desk *desk, *approved, *anchor;
    struct show *show;
    struct moves *moves;
    struct levels *levels;
    struct suspects *suspects;   /* NULL: spectra are not watched */
    const struct proofs *proofs; /* the caller's */
    struct proof *proof;         /* of the desk as it stands; NULL: none are kept */
    struct estimate *estimate;   /* likewise; NULL: there is no plan, or nobody asks */
    struct onset_measured onsets[ONSETS_MOST]; /* what it takes from the proofs */
    struct marks *marks;
    struct journal journal; /* of the desk */
    struct plan **plan;     /* for the desk as it stands, once somebody asked for it */
    unsigned run;           /* counts up behind each run */
    struct slot *slots;
    size_t *waiting; /* slots that time alone can change */
    size_t waiting_count;
    int64_t next_ms;
    const struct finding **open;
    bool *accept_used;
    double *loudest_db;      /* by mix, see struct ground */
    struct proving *proving; /* the same, see engine/proving.c */
    bool hold;
    int day;
    engine_trace_fn *trace;
    void *trace_context;
};

/* Keeps the words of the slot's finding while they can still be made. */
void engine_keep_words(struct engine *engine, struct slot *slot);

/* The same for every finding that is not clear, before what was judged is lost. */
void engine_keep_all(struct engine *engine);

/* When that lets go of rings that no frame tells of any more. */
int64_t engine_spectra_next_ms(const struct engine *engine);

/* What was planned is for another desk, or another time. */
void engine_forget_plan(struct engine *engine);

/* These words, in place of what was kept. */
void engine_put_words(struct slot *slot, const struct words *words);
void engine_drop_words(struct slot *slot);

/* The desk is another one, or what was proved is. */
void engine_renew_proof(struct engine *engine);

/* A value moved that proofs may rest on. */
void engine_note_proof(struct engine *engine, const struct moved *place);

/* Takes what is marked, but what is judged later; and wakes up for that. */
const size_t *engine_take_due(struct engine *engine, size_t *count);
void engine_wake_for_rest(struct engine *engine);

#endif
