/* SPDX-License-Identifier: MIT */
/* What of a desk is there to be judged. Whoever does nothing, or hides it, shows nothing:
 *
 *   a mix         that is not muted, and into which something is sent
 *   an input      that is not muted, and sent into such a mix
 *   an equaliser  that turns something up or down, by as much as counts as a cut
 */
#ifndef GAINWARDEN_RULES_THERE_H
#define GAINWARDEN_RULES_THERE_H

#include <stdbool.h>

#include "desk/desk.h"
#include "desk/show.h"

struct there {
    const struct desk *desk;
    const struct show *show;
    bool *inputs, *mixes; /* open ones; what is not known is taken for open */
};

/* Looks at the desk, which must outlive it. */
struct there there_read(const struct desk *desk, const struct show *show);
void there_release(struct there *there);

/* Whether a band of the equalisers is in circuit and does something. The parametric equaliser of a
 * mix is left out where it holds the loudspeaker's tuning. */
bool there_input_equaliser(const struct there *there, int input);
bool there_mix_equaliser(const struct there *there, int mix);

/* Whether the mix ends in ears. */
bool there_in_ears(const struct there *there, int mix);

#endif
