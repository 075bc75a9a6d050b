/* SPDX-License-Identifier: MIT */
#include "link/pacer.h"

#include <math.h>

enum {
    RECENT = sizeof((struct pacer *)0)->recent_us / sizeof(double),
    WINDOW_FIRST = 6,
    WINDOW_LEAST = 6,
    QUEUE_LEAST = 4, /* questions in line at the desk */
    QUEUE_MOST = 8,
    BURST = 6,        /* questions that leave at once */
    ROUND_LEAST = 32, /* outcomes before a share of losses means anything */
    LOSSES_LEAST = 4
};

static const double stretch_us = 6e7;       /* for how long a lowest round trip holds */
static const double timeout_least_us = 5e4; /* losses are seen earlier by what overtakes them */
static const double grain_us = 1e4;         /* G of RFC 6298: desks answer between other work */
static const double odd_us = 1e3;
static const double timeout_first_us = 1e5; /* a desk stands in the same room */
static const double tick_us = 2000;         /* timers wake no more often than each millisecond */
static const double spacing = 1.25;         /* leaves a little faster than answers come */
static const double cut = 0.7;
static const double loss_margin = 0.05;

void
pacer_init(struct pacer *pacer, struct pacer_limits limits, int64_t now_us)
{
    *pacer = (struct pacer){.limits = limits,
                            .window = fmin(WINDOW_FIRST, limits.in_flight),
                            .growing = true,
                            .lowest_us = {HUGE_VAL, HUGE_VAL},
                            .stretch_us = now_us,
                            .round_us = HUGE_VAL,
                            .spaced = BURST,
                            .spaced_us = now_us};
    ceiling_init(&pacer->ceiling, limits.per_second, now_us);
}

/* ---- leaving ---- */

/* Questions that leave in a second by the window's own pace. */
static double
own_pace(const struct pacer *pacer)
{
    return spacing * pacer->window / (fmax(1, pacer->smoothed_us) / 1e6);
}

/* Lets the questions that may leave at once grow with time. Until a round trip is known the window
 * alone holds them. */
static void
refill(struct pacer *pacer, int64_t now_us)
{
    double seconds = (double)(now_us - pacer->spaced_us) / 1e6;
    double burst = BURST;

    if (pacer->sampled) {
        burst = fmax(BURST, own_pace(pacer) * tick_us / 1e6);
        pacer->spaced += seconds * own_pace(pacer);
    } else {
        pacer->spaced = BURST;
    }
    pacer->spaced = fmin(pacer->spaced, burst);
    pacer->spaced_us = now_us;
}

int64_t
pacer_wait_us(struct pacer *pacer, int under_way, int64_t now_us)
{
    double wait_us;

    if (under_way >= (int)pacer->window)
        return -1;
    refill(pacer, now_us);
    wait_us = (double)ceiling_wait_us(&pacer->ceiling, now_us);
    if (pacer->spaced < 1)
        wait_us = fmax(wait_us, (1 - pacer->spaced) / own_pace(pacer) * 1e6);
    return (int64_t)ceil(fmin(wait_us, 1e12));
}

void
pacer_sent(struct pacer *pacer)
{
    pacer->spaced--;
    ceiling_sent(&pacer->ceiling, pacer->spaced_us);
}

/* ---- round trips ---- */

/* RFC 6298 (2.2) and (2.3), with the lowest one besides. */
static void
sample(struct pacer *pacer, double took_us, int64_t now_us)
{
    if (!pacer->sampled) {
        pacer->sampled = true;
        pacer->smoothed_us = took_us;
        pacer->varied_us = took_us / 2;
        for (int i = 0; i < RECENT; i++)
            pacer->recent_us[i] = took_us;
    } else {
        pacer->varied_us += (fabs(pacer->smoothed_us - took_us) - pacer->varied_us) / 4;
        pacer->smoothed_us += (took_us - pacer->smoothed_us) / 8;
    }
    if ((double)(now_us - pacer->stretch_us) > stretch_us) {
        pacer->lowest_us[1] = pacer->lowest_us[0];
        pacer->lowest_us[0] = HUGE_VAL;
        pacer->stretch_us = now_us;
    }
    pacer->lowest_us[0] = fmin(pacer->lowest_us[0], took_us);
    pacer->round_us = fmin(pacer->round_us, took_us);
    pacer->recent_us[pacer->recent++ % RECENT] = took_us;
    pacer->allowance_us *= 0.98;
}

static double
present_us(const struct pacer *pacer)
{
    double least_us = pacer->recent_us[0];

    for (int i = 1; i < RECENT; i++)
        least_us = fmin(least_us, pacer->recent_us[i]);
    return least_us;
}

static double
queue_of(const struct pacer *pacer, double round_trip_us)
{
    double lowest_us = fmin(pacer->lowest_us[0], pacer->lowest_us[1]);

    return pacer->window * (1 - lowest_us / fmax(lowest_us, round_trip_us));
}

int64_t
pacer_passed_us(const struct pacer *pacer)
{
    return (int64_t)(pacer->smoothed_us + fmax(pacer->smoothed_us / 4, pacer->allowance_us));
}

int64_t
pacer_overdue_us(const struct pacer *pacer)
{
    return (int64_t)(pacer->smoothed_us + fmax(pacer->smoothed_us, 4 * pacer->varied_us) + odd_us);
}

int64_t
pacer_timeout_us(const struct pacer *pacer, int tries)
{
    double most_us = (double)pacer->limits.within_us, timeout_us;

    timeout_us = pacer->sampled ? fmax(timeout_least_us,
                                       pacer->smoothed_us + fmax(grain_us, 4 * pacer->varied_us))
                                : timeout_first_us;
    return (int64_t)fmin(most_us, ldexp(timeout_us, tries < 8 ? tries - 1 : 7));
}

void
pacer_late(struct pacer *pacer, int64_t took_us)
{
    pacer->allowance_us =
        fmin(fmax(pacer->allowance_us, 1.25 * ((double)took_us - pacer->smoothed_us)),
             (double)pacer->limits.within_us);
}

/* ---- the window ---- */

static void
set_window(struct pacer *pacer, double window)
{
    pacer->window = fmin(fmax(window, WINDOW_LEAST), pacer->limits.in_flight);
}

/* Whether the losses of the round are more than the usual ones and chance. */
static bool
loses(struct pacer *pacer, double loss, int outcomes)
{
    double chance = 2 * sqrt(pacer->usual_loss * (1 - pacer->usual_loss) / outcomes);

    return pacer->lost >= LOSSES_LEAST && loss > pacer->usual_loss + chance + loss_margin;
}

/* Cuts the window for losses; where the cut before did not cure them, takes them as usual instead.
 */
static void
answer_losses(struct pacer *pacer, double loss)
{
    if (pacer->cut_loss > 0 && loss > pacer->cut_loss / 2) {
        pacer->usual_loss = fmax(pacer->usual_loss, (loss + pacer->cut_loss) / 2);
        pacer->cut_loss = 0;
        pacer->growing = true;
        return;
    }
    pacer->cut_loss = loss;
    pacer->growing = false;
    set_window(pacer, cut * pacer->window);
}

static void
hold_queue(struct pacer *pacer)
{
    double queue = pacer->round_us < HUGE_VAL ? queue_of(pacer, pacer->round_us) : QUEUE_LEAST;

    if (queue > QUEUE_MOST)
        set_window(pacer, pacer->window - fmax(1, (queue - QUEUE_MOST) / 2));
    else if (queue < QUEUE_LEAST)
        set_window(pacer, pacer->window + 1);
}

/* A round is as many outcomes as the window holds. */
static void
end_round(struct pacer *pacer)
{
    int outcomes = pacer->answered + pacer->lost;
    double loss = (double)pacer->lost / outcomes;

    if (loses(pacer, loss, outcomes)) {
        answer_losses(pacer, loss);
    } else {
        pacer->cut_loss = 0;
        pacer->usual_loss += (loss - pacer->usual_loss) / 8;
        if (!pacer->growing)
            hold_queue(pacer);
    }
    pacer->answered = pacer->lost = 0;
    pacer->round_us = HUGE_VAL;
}

static void
note_outcome(struct pacer *pacer)
{
    if (pacer->answered + pacer->lost >= fmax(ROUND_LEAST, pacer->window))
        end_round(pacer);
}

/* Without a round trip nobody knows what growing does to the queue. */
void
pacer_answered(struct pacer *pacer, int64_t took_us, int64_t now_us)
{
    pacer->answered++;
    if (took_us >= 0) {
        sample(pacer, (double)took_us, now_us);
        if (pacer->growing && queue_of(pacer, present_us(pacer)) > QUEUE_MOST)
            pacer->growing = false;
        if (pacer->growing)
            set_window(pacer, pacer->window + 1);
    }
    note_outcome(pacer);
}

void
pacer_stalled(struct pacer *pacer)
{
    set_window(pacer, WINDOW_LEAST);
    pacer->growing = true;
}

void
pacer_lost(struct pacer *pacer)
{
    pacer->lost++;
    note_outcome(pacer);
}
