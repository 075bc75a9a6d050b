/* SPDX-License-Identifier: MIT */
/*
 * How fast the desk works: after each answer it is busy for one over the rate. While it is busy
 * the caller does not read, so questions wait in the socket's receive buffer and are lost when
 * that is full, as on a slow desk.
 *
 * A late wake-up is made good, so that the mean rate holds as long as questions wait; time in which
 * none waited is not.
 */
#ifndef MOCK_PACE_H
#define MOCK_PACE_H

#include <stdbool.h>
#include <stdint.h>

struct pace {
    bool at_work; /* something waited when the desk last looked */
    int64_t free_at_ns;
};

/* Nothing waits to be read. */
void pace_rest(struct pace *pace);

/* Accounts for one answer; a rate of 0 has no limit. */
void pace_spend(struct pace *pace, double per_second, int64_t now_us);

/* How long the desk stays busy; 0 when it can read. */
int64_t pace_busy_us(const struct pace *pace, double per_second, int64_t now_us);

#endif
