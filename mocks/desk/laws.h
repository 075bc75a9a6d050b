/* SPDX-License-Identifier: MIT */
/*
 * How this desk turns dB and Hz into what travels: the position of a control, 0 to 1.
 *
 *   head    a straight line, -4 dB at 0 to 56 dB at 1: six tenths of a dB for each hundredth
 *   fader   straight lines between 0.04 (-70 dB), 0.35 (-25), 0.7 (0) and 1 (+10); 0 is off
 *   corner  equal ratios, 16 Hz at 0 to 500 Hz at 1
 */
#ifndef MOCK_LAWS_H
#define MOCK_LAWS_H

enum law {
    LAW_NONE, /* travels in its own unit */
    LAW_HEAD,
    LAW_FADER,
    LAW_CORNER,
};

double law_to_wire(enum law law, double human);

/* `wire` must lie in 0..1. */
double law_to_human(enum law law, double wire);

#endif
