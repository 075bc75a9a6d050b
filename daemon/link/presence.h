/* SPDX-License-Identifier: MIT */
/* Is the desk there, and was it away? Told from what is sent to it and what is heard. Pure: it is
 * told the time, in ms.
 *
 * Silence begins with the first question after which nothing was heard. A desk that is asked nothing
 * owes something only where values come after its renewals, or where the profile says how long it
 * may be silent. A silence that lasts is a desk that is lost. One that ends earlier was a desk that
 * may have been started anew, with other values and nobody to push to: where the system said that
 * nobody took what was sent, or where chance would hardly have kept so many answers away.
 */
#ifndef GAINWARDEN_PRESENCE_H
#define GAINWARDEN_PRESENCE_H

#include <stdbool.h>
#include <stdint.h>

/* After which silence a desk is lost. */
struct presence_limits {
    bool asked;         /* the desk answers questions */
    int64_t lost_ms;    /* where it does; never sooner for renewals */
    int64_t mute_ms;    /* where it does not; 0: the profile does not say */
    int64_t renewal_ms; /* the longest time between two renewals; 0: there are none */
};

struct presence {
    struct presence_limits limits;
    int64_t since_ms; /* the first question or renewal since the desk was heard; -1: none */
    unsigned unheard; /* questions since then */
    bool trouble;     /* nobody took what was sent */
    bool heard;       /* since the beginning; */
    int64_t heard_ms; /* when, or the beginning */
    int tells;        /* renewals behind which values came that no hand had moved */
    bool told;        /* and so behind the last one */
};

/* A reading begins: the desk owes answers from now on, whatever was before. */
void presence_begin(struct presence *presence, struct presence_limits limits, int64_t now_ms);

void presence_asked(struct presence *presence, int64_t now_ms);
void presence_renewed(struct presence *presence, int64_t now_ms);
void presence_trouble(struct presence *presence, int64_t now_ms);

/* Something was heard; `unmoved`: values among it that no hand had moved. `loss`: the share of
 * questions that stay without an answer by chance. True when the desk may have been started anew. */
bool presence_heard(struct presence *presence, bool unmoved, double loss, int64_t now_ms);

/* When the desk is lost if nothing is heard until then; INT64_MAX: never, as things are. */
int64_t presence_lost_at_ms(const struct presence *presence);

#endif
