/* SPDX-License-Identifier: MIT */
/* What engine.c and engine/run.c share of the engine, and nobody else sees. */
#ifndef GAINWARDEN_RULES_ENGINE_PARTS_H
#define GAINWARDEN_RULES_ENGINE_PARTS_H

#include "engine/engine.h"
#include "engine/marks.h"

struct slot {
    struct finding finding;
    char why[sizeof((struct verdict *)0)->why]; /* reason of OUTCOME_NOT_KNOWN */
    enum outcome outcome;
    bool waits; /* it stands in `waiting` */
};

struct engine {
    struct ground ground;
    struct check_set set;
    struct desk *desk, *approved, *anchor;
    struct show *show;
    struct moves *moves;
    struct marks *marks;
    struct slot *slots;
    size_t *waiting; /* slots that time alone can change */
    size_t waiting_count;
    int64_t next_ms;
    const struct finding **open;
    bool *accept_used;
    bool hold;
    int day;
    engine_trace_fn *trace;
    void *trace_context;
};

/* Marks what reads the value; `context` is the engine. */
void engine_mark_readers(void *context, enum param_id id, int row, int column);

#endif
