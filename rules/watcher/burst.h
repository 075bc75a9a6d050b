/* SPDX-License-Identifier: MIT */
/* Tells a recall from traffic. Hands, automation and a desk that is asked move values one after the
 * other, for as long as they like: that is a stream, and however dense it is, each of its values is
 * news of its own. A recall moves many different settings of many things at once, out of comparative
 * stillness, and then it is over:
 *
 *            many more at once than before                 it ebbs, or a scene was named
 *   nothing ------------------------------> undecided ------------------------------------> recall
 *      ^                                        |                                             |
 *      |____ still going on after a second _____|                                             |
 *      |__________________________ burst_forget() ____________________________________________|
 *
 * While it is undecided nothing is told, so it is decided within BURST_MOST_MS.
 */
#ifndef GAINWARDEN_RULES_BURST_H
#define GAINWARDEN_RULES_BURST_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "change/moves.h"

enum {
    BURST_MOST_MS = 1000,     /* that it is undecided */
    BURST_EBB_MS = 400,       /* so long hardly anything moved: it is over */
    BURST_SAMPLE_MS = 250,    /* how often what moves is counted, */
    BURST_SAMPLES = 7,        /* and how many are remembered: stillness is a matter of 2 s */
    BURST_SCENE_VALUES = 4,   /* with another scene's name so few are enough */
    BURST_STREAM_VALUES = 400 /* no hands move so many in a second */
};

/* So many at once are a recall where nothing moved before. */
struct burst_least {
    size_t values, objects;
};

enum burst_phase { BURST_NOTHING, BURST_UNDECIDED, BURST_RECALL };

struct burst {
    enum burst_phase phase;
    size_t samples[BURST_SAMPLES]; /* a ring: the most values that moved within a second */
    int64_t sample;                /* number of the latest, time / BURST_SAMPLE_MS; below 0: none */
    size_t before;                 /* what moved in a second before it began */
    int64_t begun_ms;              /* since when more moves than before; INT64_MAX: it does not */
    int64_t undecided_ms;          /* since when it is so much that it may be one */
    size_t densest;                /* the most that moved within BURST_EBB_MS since */
    int64_t ebbed_ms;              /* since when it is seen to be over; INT64_MAX: it is not */
    int64_t deaf_ms;               /* until then a stream's own beginning lies in the way */
};

void burst_init(struct burst *burst);

/* How old a move may be to count as late in the next look. */
int64_t burst_late_ms(int64_t now_ms);

/* A look at what moved within the last second, or since the burst began. */
enum burst_phase burst_look(struct burst *burst, const struct moves_count *moved,
                            const struct burst_least *least, int64_t now_ms);

/* When it wants the next look though nothing moves; INT64_MAX: it does not. */
int64_t burst_next_ms(const struct burst *burst, int64_t now_ms);

/* Whether so many within a second are more than what moved before it. */
bool burst_stands_out(const struct burst *burst, size_t values);

/* It was dealt with. */
void burst_forget(struct burst *burst);

#endif
