/* SPDX-License-Identifier: MIT */
/* One desk as the proofs see it: every path's level, whether it is open, and the filters around it.
 * A ceiling's desk is worked out once; the desk as it stands is told what moved.
 */
#ifndef GAINWARDEN_RULES_SIDE_H
#define GAINWARDEN_RULES_SIDE_H

#include "core/sure.h"
#include "proof/tone.h"

/* Electrically: whether something passes, and with what gain besides the filters. */
struct spot {
    enum sure open;
    double level_db; /* NAN: not known */
    double tap;      /* enum tap; NAN: not known */
};

struct side {
    const struct desk *desk; /* the caller's */
    int inputs, mixes;
    struct spot *spots; /* inputs x mixes */
    struct tone *input_tones, *mix_tones;
};

/* Takes the whole desk in. Release with side_release(). */
void side_take(struct side *side, const struct desk *desk);
void side_release(struct side *side);

/* Whether something passes from the input to the mix's output. */
enum sure side_open(const struct desk *desk, int input, int mix);

/* Takes one path in anew; whether more of it moved than its level. */
bool side_take_spot(struct side *side, int input, int mix);

static inline struct spot *
side_spot(const struct side *side, int input, int mix)
{
    return &side->spots[(size_t)input * (size_t)side->mixes + (size_t)mix];
}

#define SIDE_OPEN_READS PATH_LEVEL_READS, PARAM_INPUT_MUTE, PARAM_GROUP_MUTE, PARAM_MIX_MUTE

#endif
