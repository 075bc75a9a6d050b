/* SPDX-License-Identifier: MIT */
/* How fast a desk lets questions leave: in the fastest stretch of so many in a row, or of all where
 * they are fewer; what is lost on the way makes others slow. Pure; times are microseconds.
 */
#ifndef GAINWARDEN_STRETCH_H
#define GAINWARDEN_STRETCH_H

#include <stdint.h>

enum { STRETCH = 64 };

struct stretch {
    int64_t begun_us;
    int sent;
    double fastest; /* questions a second; 0: none is over */
};

void stretch_begin(struct stretch *stretch, int64_t now_us);

/* A question left. */
void stretch_sent(struct stretch *stretch, int64_t now_us);

/* No other will. */
void stretch_end(struct stretch *stretch, int64_t now_us);

#endif
