/*
 * How fast the desk works: after each answer it is busy for one over the rate. While it is busy
 * the caller does not read, so questions wait in the socket's receive buffer and are lost when
 * that is full, as on a slow desk.
 */
#ifndef MOCK_PACE_H
#define MOCK_PACE_H

#include <stdint.h>

struct Pace {
    int64_t free_at_us;
};

/* Accounts for one answer; a rate of 0 has no limit. */
void Pace_spend(struct Pace *pace, double per_second, int64_t now_us);

/* How long the desk stays busy; 0 when it can read. */
int64_t Pace_busy_us(const struct Pace *pace, double per_second, int64_t now_us);

#endif
