/* SPDX-License-Identifier: MIT */
/* How fast a desk may be asked: how many questions may be under way, when the next one may leave,
 * and when one counts as lost. Pure: it is told the time and what happened. Times are microseconds.
 *
 * It watches the queue at the desk. Of a window of w questions about w * (1 - lowest / present
 * round trip) stand in line; the window grows until that passes QUEUE_MOST and is then held between
 * QUEUE_LEAST and QUEUE_MOST, so that a slow desk with a small buffer is kept busy and never
 * flooded. (The delay-based rule of L. Brakmo and L. Peterson, TCP Vegas, IEEE JSAC 13(8), 1995.)
 * The present round trip is the least of the last few, as in RFC 6817: a queue that stands delays
 * all of them. Losses cut the window only as long as cutting cures them: what is lost at random
 * stays lost.
 */
#ifndef GAINWARDEN_PACER_H
#define GAINWARDEN_PACER_H

#include <stdbool.h>
#include <stdint.h>

#include "link/ceiling.h"

struct pacer_limits {
    int in_flight;     /* questions under way, never more */
    double per_second; /* questions leaving in a second, never more */
    int64_t within_us; /* the longest wait for an answer */
};

struct pacer {
    struct pacer_limits limits;
    double window; /* questions under way */
    bool growing;  /* one more for each answer; else one more or less for each round */
    /* round trips; RFC 6298 section 2 */
    bool sampled;
    double smoothed_us, varied_us;
    double lowest_us[2]; /* of this stretch of time, and of the one before */
    int64_t stretch_us;  /* since when */
    double recent_us[4]; /* the latest ones, in a ring */
    int recent;
    double round_us;     /* the lowest of this round */
    double allowance_us; /* how much later than others an answer may come */
    /* what became of the questions of this round */
    int answered, lost;
    double usual_loss, cut_loss; /* shares; the second one is 0 unless the last round was cut */
    struct ceiling ceiling;      /* by per_second */
    double spaced;               /* questions that may leave at once by the window's own pace */
    int64_t spaced_us;           /* when that was right */
};

void pacer_init(struct pacer *pacer, struct pacer_limits limits, int64_t now_us);

/* How long until a question may leave while `under_way` are: 0 now, -1 when only an answer or a
 * loss makes room. */
int64_t pacer_wait_us(struct pacer *pacer, int under_way, int64_t now_us);

/* A question left. */
void pacer_sent(struct pacer *pacer);

/* A question was answered; the time it took, or -1 where that could belong to another try. */
void pacer_answered(struct pacer *pacer, int64_t took_us, int64_t now_us);

/* A question was lost. */
void pacer_lost(struct pacer *pacer);

/* An answer came `took_us` after its question, which had been taken for lost. */
void pacer_late(struct pacer *pacer, int64_t took_us);

/* After this time a question is lost once later ones were answered. */
int64_t pacer_passed_us(const struct pacer *pacer);

/* After this time it is odd that nothing was answered. */
int64_t pacer_overdue_us(const struct pacer *pacer);

/* Nothing was answered, not even what always is: the desk is gone, or drowning. Begins anew. */
void pacer_stalled(struct pacer *pacer);

/* After this time a question is lost in any case; twice as long for each try before it. */
int64_t pacer_timeout_us(const struct pacer *pacer, int tries);

#endif
