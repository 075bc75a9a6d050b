/* SPDX-License-Identifier: MIT */
/* First-order microphones: |a + (1 - a) cos phi|, phi off the axis.
 *
 * Coefficients: DPA Microphones dictionary, "1st Order Pattern". A real null is shallower than the
 * formula's, so a floor holds it up.
 */
#ifndef GAINWARDEN_RULES_PATTERN_H
#define GAINWARDEN_RULES_PATTERN_H

enum polar {
    PATTERN_OMNIDIRECTIONAL,
    PATTERN_SUBCARDIOID,
    PATTERN_CARDIOID,
    PATTERN_SUPERCARDIOID,
    PATTERN_HYPERCARDIOID,
    PATTERN_FIGURE_OF_EIGHT,
    PATTERNS
};

struct pattern_row {
    const char *name;    /* as a plan spells it */
    double a;            /* the part that hears all round alike */
    double allowance_db; /* how far below direct and reverberant sound together a ring began: what
                            floor, room and ripple add */
};

extern const struct pattern_row pattern_rows[PATTERNS];

/* What is allowed there: less by 2 dB per octave below 500 Hz, where a third-octave band is narrower
 * than the possible rings are apart (1 / delay) and seldom holds one. Of those tried, this left the
 * least spread on simulated stages. */
double pattern_allowance_db(double allowance_db, double hz);

/* About each allowance, standard deviation: the largest of all patterns, fitted with them. */
#define PATTERN_ALLOWANCE_SPREAD_DB 2.5

/* Unless a plan gives another; common practice, no source. */
#define PATTERN_FLOOR_DB (-18.0)

/* Response against that on the axis; floor_db -HUGE_VAL: none. */
double pattern_db(double a, double degrees, double floor_db);

/* The same of sound from everywhere, as power: a^2 + (1 - a)^2 / 3. G. Martin, Introduction to Sound
 * Recording, "Random-Energy Response". */
double pattern_random_energy(double a);

/* Where it hears least, degrees off the axis: its null, or its back where it has none. */
double pattern_null_degrees(double a);

#endif
