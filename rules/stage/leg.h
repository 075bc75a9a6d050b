/* SPDX-License-Identifier: MIT */
/* Acoustic gain: from a desk's output through amplifier, loudspeaker, air and microphone back to
 * the socket of an input, dB at a frequency. One loudspeaker and one microphone, or ears.
 *
 *   direct = beam(loudspeaker_degrees) + pattern(microphone_degrees) - 20 log10 metres
 *   room   = random energy of the microphone / (Q critical^2), Q of the loudspeaker
 *   gain   = direct and room, added as power
 *          + calibration + amplifier + loudspeaker + microphone + allowance - lows(from_hz)
 *
 * A loudspeaker's sensitivity is told for 2.83 V, 1 W in 8 ohm: 10 log10 8 = 9.03 dB above 1 V. A
 * microphone's volts are told for 1 Pa, 93.98 dB SPL. The allowance is what floor, room and ripple
 * add (pattern.h).
 *
 * Each figure has beside it where it comes from; how far the gain may be off is worked out by moving
 * one after the other by its spread.
 */
#ifndef GAINWARDEN_RULES_LEG_H
#define GAINWARDEN_RULES_LEG_H

#include <stdbool.h>

#include "stage/stage.h"

enum leg_figure {
    LEG_METRES,
    LEG_MICROPHONE_DEGREES,
    LEG_LOUDSPEAKER_DEGREES,
    LEG_PATTERN, /* a of |a + (1 - a) cos phi| */
    LEG_FLOOR_DB,
    LEG_BEAM,        /* how much of the beam's loss off the axis counts: 1 */
    LEG_FROM_HZ,     /* where the loudspeaker's lows begin to fall */
    LEG_CRITICAL_DB, /* 20 log10 of the critical distance in metres; HUGE_VAL: open air */
    LEG_CALIBRATION_DB,
    LEG_AMPLIFIER_DB,
    LEG_LOUDSPEAKER_DB, /* dB SPL at 1 m for 1 V */
    LEG_MICROPHONE_DB,  /* dB against 1 V at 0 dB SPL */
    LEG_ALLOWANCE_DB,
    LEG_FIGURES
};

struct leg {
    struct stated figures[LEG_FIGURES];
    const struct beam *beam;
};

/* False when the plan does not tell where one of them is. The plan must outlive the leg. */
bool leg_to_microphone(const struct stage *stage, int loudspeaker, int microphone, struct leg *leg);

/* To ears, which hear all round alike: what arrives there is dB SPL for 0 dB at the desk's output,
 * and no allowance is made. False likewise. */
bool leg_to_ears(const struct stage *stage, int loudspeaker, int ears, struct leg *leg);

/* The gain. q: beam_q() of its loudspeaker at hz. */
double leg_db(const struct leg *leg, double hz, double q);

/* Every figure that has no default is given: the gain means something by itself. */
bool leg_is_absolute(const struct leg *leg);

/* By how much the gain may be off either way, dB, in nine cases of ten. */
double leg_give_or_take_db(const struct leg *leg, double hz, double q);

/* Of independent spreads (standard deviations) that make this sum of squares. */
double leg_nine_of_ten(double sum_of_squares);

#endif
