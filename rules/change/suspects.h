/* SPDX-License-Identifier: MIT */
/* What may be ringing, a mix each: what rises like a ring in its spectrum (spectrum/rise.h), from when
 * that is seen until the band has fallen again, together with the desk from which its paths rose most
 * within the ten seconds before: a hand may have gone down first. Of several bands the one that stands
 * out most counts: another takes over once it is the louder one. As much as a path rose meanwhile,
 * music rises with it.
 */
#ifndef GAINWARDEN_RULES_SUSPECTS_H
#define GAINWARDEN_RULES_SUSPECTS_H

#include "change/moves.h"
#include "spectrum/heard.h"

enum { SUSPECTS_HUSHED_MS = 10000 }; /* after a recall nothing is what it was */

struct suspect {
    bool stands;
    struct risen risen; /* as it was when it was seen */
    int places;         /* so many stood out most, one behind the other, */
    double before_hz;   /* and the one before; 0: there was none */
    int64_t since_ms;
    struct desk *before; /* NULL: nothing moved */
};

struct suspects;

/* Of this desk, which outlives it. */
struct suspects *suspects_new(const struct desk *desk, const struct spectrum_bands *bands,
                              double per_second);
void suspects_free(struct suspects *suspects);
const struct desk *suspects_desk(const struct suspects *suspects);

/* A value became another. */
void suspects_moved(struct suspects *suspects, const struct moved *moved, int64_t now_ms);

/* A frame of the mix, as rise_take() wants it; true when what stands of it is another. */
bool suspects_take(struct suspects *suspects, int mix, const double *levels, int64_t now_ms);

/* Lets go of what nobody hears any more; calls `gone` for it. */
typedef void suspects_gone_fn(void *context, int mix);
void suspects_age(struct suspects *suspects, int64_t now_ms, suspects_gone_fn *gone, void *context);

/* When suspects_age() has to be called again; INT64_MAX: never. */
int64_t suspects_next_ms(const struct suspects *suspects);

/* A recall: what stands is let go, with `gone`, and nothing new stands for SUSPECTS_HUSHED_MS. */
void suspects_hush(struct suspects *suspects, int64_t now_ms, suspects_gone_fn *gone,
                   void *context);

/* From now on what rings in a ring-out is heard, too; false: no longer. */
void suspects_hear_rings(struct suspects *suspects, bool hear);

/* What was heard in the mix, by us or whoever fills it; NULL: nobody asks for it, or there are no
 * suspects. */
struct heard_thirds *suspects_heard(const struct suspects *suspects, int mix);

const struct suspect *suspects_of(const struct suspects *suspects, int mix);

#endif
