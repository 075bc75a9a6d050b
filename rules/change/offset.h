/* SPDX-License-Identifier: MIT */
/* Another preamp offset: the same gain on every path, made up of other parts.
 *
 *   path gain = head (preamp - pad + trim) + send + master (with the mix trim) + what the tap adds
 *
 * Where the head of an input differs between two desks and yet every open path of it has the gain
 * it had, nothing that is heard differs: what the preamp gained the sends, the trim or the masters
 * gave back. Such differences are folded into one offset. The same holds for a mix whose master
 * differs while every open path into it has the gain it had. Inputs that share a preamp are one:
 * all their paths must agree.
 *
 * Nothing is folded on trust: a path that is open on one side alone differs; one of which a part is
 * not known agrees with nothing; where the fader, a group or a make-up takes part in the balance it
 * is no offset; and a send of a path that is closed on both sides stays listed.
 */
#ifndef GAINWARDEN_RULES_OFFSET_H
#define GAINWARDEN_RULES_OFFSET_H

#include <stdbool.h>
#include <stddef.h>

#include "core/text.h"
#include "core/verdict.h"
#include "desk/desk.h"
#include "sound/path.h"

/* How the gain of one path stands on two desks. */
enum path_same { PATH_AGREES, PATH_DIFFERS, PATH_CLOSED, PATH_NOT_KNOWN, PATH_SAMES };

struct path_pair {
    enum path_same same;
    bool balanced;             /* agrees, and so do fader, groups and make-up on their own */
    struct path_level was, is; /* of a path that is known */
};

/* What is not known, and on which side. */
struct offset_miss {
    bool before;
    char why[MISSES_SIZE];
};

struct offset {
    int input, mix;          /* the first input of the preamp and -1, or -1 and the mix */
    bool recognised;         /* else a part is not known, and whether it is one cannot be told */
    int paths;               /* open ones; when recognised they all agree */
    struct offset_miss miss; /* when it is not recognised */
};

struct offsets {
    const struct desk *before, *after; /* the caller's */
    int inputs, mixes;
    double tolerance_db;      /* path gains closer than this agree */
    struct path_pair *paths;  /* inputs x mixes */
    size_t of[PATH_SAMES];    /* how many of each */
    int miss_input, miss_mix; /* the first path that is not known, or -1, */
    struct offset_miss miss;  /* and why */
    struct offset *list;      /* by input, then by mix */
    size_t count, recognised;
    int *preamp_of;   /* the first input that the input shares its preamp with, or itself */
    bool *input_open; /* it has an open path */
    bool *input_folds, *mix_folds;
};

/* Less than a tenth of a dB, or than one step of the sends, is no difference in path gain: what a
 * send's grid leaves over is nobody's choice. */
#define OFFSET_TOLERANCE_DB 0.1

/* Two desks of the same counts, which must outlive it. Free with offsets_free(). */
struct offsets *offsets_new(const struct desk *before, const struct desk *after);
void offsets_free(struct offsets *offsets);

const struct path_pair *offsets_path(const struct offsets *offsets, int input, int mix);

/* Whether the value, which differs, is part of a recognised offset. */
bool offsets_fold(const struct offsets *offsets, enum param_id id, int row, int column);

/* "another offset: preamp 30 -> 36 dB, its sends 6 dB lower; all 5 path gains agree"; where it is
 * not recognised: "preamp 30 -> 36 dB; whether it is another offset alone is not known". */
void offset_says(struct text *text, const struct offsets *offsets, const struct offset *offset);

/* A compressor or gate behind a head that moved meets another level unless its threshold went
 * along: how much higher, dB; 0 where it is out of circuit, not known or as it was. */
double offsets_meets_db(const struct offsets *offsets, enum param_id on, enum param_id threshold,
                        int input);

/* "path gain 28 -> 31 dB", of a path that differs. */
void offset_path_says(struct text *text, const struct path_pair *pair);

#endif
