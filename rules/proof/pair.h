/* SPDX-License-Identifier: MIT */
/* Two desks, path by path: by how much a path of the later one stands below the earlier one, at the
 * frequency at which that is least. What is worked out of filters is kept until one of them moves,
 * and what levels do is added to it; where both strips of a path filter alike, its gap is that of
 * the levels.
 */
#ifndef GAINWARDEN_RULES_PAIR_OF_SIDES_H
#define GAINWARDEN_RULES_PAIR_OF_SIDES_H

#include "proof/allowance.h"
#include "proof/side.h"

/* Of the filters of one path; hz is NAN where they differ nowhere. */
struct gap {
    bool fresh;
    double db, hz;
};

/* Of the filters of one strip. */
struct gap_curve {
    bool fresh;
    bool flat;        /* they are the same */
    unsigned moves;   /* kinds of allowance */
    struct gap alone; /* of each path whose other strip is flat */
    double db[TONE_PLACES];
};

/* What is known of a path. */
struct way {
    bool fresh, fresh_filters;
    enum way_is {
        PAIR_CLOSED,
        PAIR_CLOSED_SINCE, /* it may have been open then */
        PAIR_UNKNOWN,
        PAIR_UNPROVED, /* it was not open then, or another way */
        PAIR_OPEN
    } is;
    /* of PAIR_OPEN: */
    unsigned moves;    /* of its filters */
    double gap_db, hz; /* of them */
    double fall_db;    /* of the levels */
};

struct pair {
    const struct side *was, *is;
    bool proves; /* the earlier one is a ceiling: behind a gate that was on nothing was loud */
    struct gap_curve *curves;           /* owned: of the inputs, then of the mixes */
    struct gap_curve **inputs, **mixes; /* each its own, or that of a pair with the same filters */
    struct way *ways;                   /* mixes x inputs: those of a row lie side by side */
};

/* All open loop paths of one mix. */
struct row {
    double db, hz; /* the least gap of those with proof; HUGE_VAL: there is none */
    int input;     /* whose path that is, -1: none */
    int unknown;   /* paths of the later desk that are not known */
    int unproved;  /* the first input whose path has no proof, -1: none. It was closed earlier, or
                      of another polarity, tap, delay, patch, or behind a gate then */
    double least_fall_db, most_fall_db; /* of the levels; HUGE_VAL and -HUGE_VAL: no path */
    int most_fall_input;                /* -1: none */
    struct movers moves;                /* of filters, and what closed */
};

/* No path is open. */
static inline bool
row_is_closed(const struct row *row)
{
    return row->input < 0 && row->unknown == 0 && row->unproved < 0;
}

/* Both must outlive it, and so must the pairs before it, which are of the same later desk. Release
 * with pair_release(). */
void pair_init(struct pair *pair, const struct side *was, const struct side *is, bool proves,
               const struct pair *before, int count);
void pair_release(struct pair *pair);

/* The filters of the later desk moved there. Where they became known, or are known no more, so did
 * their paths: pair_spot_moved(). */
void pair_input_moved(struct pair *pair, int input);
void pair_mix_moved(struct pair *pair, int mix);

/* Its level did, and nothing else: whether the row of its mix stands, because it is none of the
 * extremes that a row tells of, and was none. */
bool pair_level_moved(struct pair *pair, int input, int mix, const struct row *row);

/* Anything else of that path did. */
void pair_spot_moved(struct pair *pair, int input, int mix);

/* `loops`: of each input, whether its paths can be loops at all. */
struct row pair_row(struct pair *pair, int mix, const enum sure *loops);

/* What a proof rests on besides the path's gain. */
#define PAIR_READS                                                                                 \
    PARAM_INPUT_POLARITY, PARAM_INPUT_DELAY, PARAM_INPUT_PREAMP, PARAM_INPUT_GATE_ON,              \
        PARAM_MIX_DELAY

#endif
