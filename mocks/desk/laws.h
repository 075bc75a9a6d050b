/*
 * How this desk turns dB and Hz into what travels: the position of a control, 0 to 1.
 *
 *   head    a straight line, -6 dB at 0 to 60 dB at 1
 *   fader   straight lines between 0.05 (-60 dB), 0.25 (-30), 0.5 (-10) and 1 (+10); 0 is off
 *   corner  equal ratios, 20 Hz at 0 to 400 Hz at 1
 */
#ifndef MOCK_LAWS_H
#define MOCK_LAWS_H

enum Law {
    LAW_NONE, /* travels in its own unit */
    LAW_HEAD,
    LAW_FADER,
    LAW_CORNER,
};

double Law_to_wire(enum Law law, double human);

/* `wire` must lie in 0..1. */
double Law_to_human(enum Law law, double wire);

#endif
