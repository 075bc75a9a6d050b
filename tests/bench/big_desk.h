/* SPDX-License-Identifier: MIT */
/* The desk of 128 inputs x 64 mixes with 31-band graphics on which the rules are measured. */
#ifndef GAINWARDEN_BENCH_BIG_DESK_H
#define GAINWARDEN_BENCH_BIG_DESK_H

#include "engine/engine.h"

enum { BIG_INPUTS = 128, BIG_MIXES = 64 };

/* An engine on the desk with every value heard: a wedge in each mix, a voice on each input, each
 * preamp its own, six cuts. Nothing was judged yet. */
struct engine *big_desk_engine(enum role role);

#endif
