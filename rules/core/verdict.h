/* SPDX-License-Identifier: MIT */
/* What one check judges of one object. No prose: words are made of it when somebody is told. */
#ifndef GAINWARDEN_RULES_VERDICT_H
#define GAINWARDEN_RULES_VERDICT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { OBJECT_DESK = 1, OBJECT_INPUT = 2, OBJECT_MIX = 4 };

/* What a check is about: input and mix are -1 where the object has none; the desk has neither. */
struct object {
    int input, mix;
};

enum outcome {
    OUTCOME_NOT_ASKED, /* the check has nothing to say of such an object */
    OUTCOME_PASS,
    OUTCOME_FINDING,
    OUTCOME_FOLDED, /* fails for a cause that another finding tells */
    OUTCOME_CLOSED, /* muted or sent nowhere: judged again when it opens; muting clears nothing */
    OUTCOME_NOT_KNOWN, /* values it needs were never heard, or are stale */
    OUTCOMES
};

enum weight { WEIGHT_NOTE, WEIGHT_FIX, WEIGHT_STOP, WEIGHTS };

enum { VERDICT_FIGURES = 12 };

struct figure {
    const char *name; /* with its unit: "surplus_db" */
    double number;
};

struct verdict {
    enum outcome outcome;
    enum weight weight;
    double severity;    /* the figure named by the check's `severity` */
    bool inferred;      /* a source or mix kind was read from a label */
    uint64_t of_others; /* of an input: it rests on what other inputs send, too, into these mixes, a
                           bit each: mix % 64 */
    int mix;            /* for an input's finding: the mix it shows in, or -1 */
    int band;           /* for an equaliser's: the band, or -1 */
    struct figure figures[VERDICT_FIGURES];
    int figure_count; /* 0: they are not known; every finding that a check made has some */
};

/* The figure called `name`, NAN when the verdict has none. */
double verdict_figure(const struct verdict *verdict, const char *name);

/* "note", "fix", "stop". */
const char *weight_name(enum weight weight);

/* Up is not down: what goes upwards into a loudspeaker or an ear weighs one step more than the same
 * downwards, `fix` at most. */
enum weight weight_up(enum weight weight);

/* WEIGHTS when no weight is called so. */
enum weight weight_find(const char *name);

/* "1 stop, 4 fix, 6 note" */
enum { WEIGHT_COUNTS_SIZE = 80 };
const char *weight_counts(const size_t counts[WEIGHTS], char says[WEIGHT_COUNTS_SIZE]);

#endif
