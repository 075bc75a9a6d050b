/* SPDX-License-Identifier: MIT */
/* Reference figures for microphones, distance and gain before feedback. Each row names its source and
 * the tolerance with which a rounded printed figure must be met; where a source's figures were
 * computed again, that is to four decimals.
 */
#ifndef GAINWARDEN_REFERENCE_STAGE_H
#define GAINWARDEN_REFERENCE_STAGE_H

#include <math.h>

/* Coefficients: DPA Microphones dictionary, "1st Order Pattern" (read in the source); the others by
 * their definition. The figures are computed from them: REE = a^2 + b^2 / 3 (G. Martin, Introduction
 * to Sound Recording, "Random-Energy Response"), Q = 1 / REE, distance factor = sqrt(Q). NAN: the
 * pattern has none. Published beside them: a cardioid's Q is 3, its distance 1.7 times (lp2cd.com). */
static const struct {
    const char *name;
    double a, db_90, db_120, db_135, db_180, null_degrees, arc_3_degrees, arc_6_degrees, ree, q,
        di_db, distance_factor, front_to_back_db;
} reference_patterns[] = {
    {"omnidirectional", 1, 0, 0, 0, 0, NAN, NAN, NAN, 1, 1, 0, 1, 0},
    {"subcardioid", 0.7, -3.098, -5.1927, -6.234, -7.9588, NAN, 176.9646, 263.0136, 0.52, 1.923077,
     2.84, 1.3868, 3.7196},
    {"wide cardioid, 2/3", 2 / 3.0, -3.5218, -6.0206, -7.3112, -9.5424, NAN, 165.7728, 239.5293,
     0.481481, 2.076923, 3.1742, 1.4412, 4.3366},
    {"subcardioid, -10 dB at 180", 0.658114, -3.634, -6.2464, -7.6105, -10, NAN, 163.2379, 234.6455,
     0.472076, 2.118303, 3.2599, 1.4554, 4.5045},
    {"cardioid", 0.5, -6.0206, -12.0412, -16.6864, -HUGE_VAL, 180, 130.849, 179.7279, 1 / 3.0, 3,
     4.7712, 1.7321, 8.451},
    {"supercardioid", 0.37, -8.636, -25.1927, -22.4437, -11.7005, 125.9658, 115.1192, 155.9623,
     0.2692, 3.71471, 5.6992, 1.9274, 11.4346},
    {"supercardioid, exact (sqrt 3 - 1) / 2", 0.36602540378, -8.7298, -26.1893, -21.696, -11.439,
     125.2644, 114.7242, 155.3804, 0.267949, 3.732051, 5.7195, 1.9319, 11.439},
    {"hypercardioid", 0.25, -12.0412, -18.0618, -11.0466, -6.0206, 109.4712, 104.735, 140.8651,
     0.25, 4, 6.0206, 2, 8.451},
    {"figure-of-eight", 0, -HUGE_VAL, -6.0206, -3.0103, 0, 90, 89.864, 119.8428, 1 / 3.0, 3, 4.7712,
     1.7321, 0},
};

/* HyperPhysics, "Directional Patterns of Microphones" (hyperphysics.phy-astr.gsu.edu, read in the
 * source), whole degrees and half dB; its supercardioid is the one with a = 3/8. */
static const struct {
    const char *name;
    double a, arc_3_degrees, arc_6_degrees, db_90, db_180, null_degrees;
} reference_hyperphysics[] = {
    {"omni", 1, NAN, NAN, 0, 0, NAN},
    {"cardioid", 0.5, 131, 180, -6, -HUGE_VAL, 180},
    {"super", 0.375, 115, 156, -8.5, -12, 127},
    {"hyper", 0.25, 105, 141, -12, -6, 110},
    {"bidirectional", 0, 90, 120, -HUGE_VAL, 0, 90},
};

/* Inverse square, dB against 1 m, computed. */
static const struct {
    double metres, db;
} reference_distances[] = {
    {0.25, 12.0412}, {0.5, 6.0206},  {1, 0},         {1.5, -3.5218}, {2, -6.0206},
    {3, -9.5424},    {4, -12.0412},  {5, -13.9794},  {7, -16.902},   {8, -18.0618},
    {10, -20},       {16, -24.0824}, {20, -26.0206}, {32, -30.103},
};

/* Level at 1 m. perkaudio.wordpress.com, Sound System Engineering - Common Parameter for Reference
 * (2021), read in the source; it prints whole dB. */
static const struct {
    double watts, db_per_watt, db;
} reference_loudspeakers[] = {{600, 98, 126}, {600, 95, 123}, {500, 98, 125}, {1000, 98, 128}};
#define REFERENCE_LOUDSPEAKERS_WITHIN 0.5

/* dBu at an open preamp input, 1 Pa taken for 93.9794 dB SPL, computed. */
static const double reference_dbu_spl[] = {60, 74, 94, 100, 110, 120, 130};
static const struct {
    double mv_per_pa, dbu[7];
} reference_dbu[] = {
    {1, {-91.761, -77.761, -57.761, -51.761, -41.761, -31.761, -21.761}},
    {1.85, {-86.417, -72.417, -52.417, -46.417, -36.417, -26.417, -16.417}},
    {2, {-85.74, -71.74, -51.74, -45.74, -35.74, -25.74, -15.74}},
    {10, {-71.761, -57.761, -37.761, -31.761, -21.761, -11.761, -1.761}},
    {20, {-65.74, -51.74, -31.74, -25.74, -15.74, -5.74, 4.26}},
};

/* Preamp gain to 0 dBu at 72 dB SPL: an AVIXA preparation example as quoted on r/CommercialAV, a
 * secondary text; the gains computed, with 94 dB for 1 Pa. */
static const struct {
    double dbv_per_pa, gain_db;
} reference_preamps[] = {{-54.5, 74.2815}, {-35, 54.7815}};

#define SSDRM "Sound System Design Reference Manual (1999), ch. 4"
#define BALLOU "Handbook for Sound Engineers, 4th ed., ch. 34"
#define BIAMP                                                                                      \
    "Biamp Cornerstone, Calculating PAG and NAG, with numbers repeated at alxc.studio (2023)"
#define PRIMER "Primer: Acoustic Characteristics of Live Sound Reinforcement, prosoundweb.com, p. 6"

/* Potential gain: D0 talker to listener, D1 microphone to loudspeaker, D2 loudspeaker to listener, Ds
 * talker to microphone, NOM open microphones; any one unit. The manual sums rounded terms. */
static const struct {
    const char *source;
    double d0, d1, d2, ds, critical;
    int nom;
    double margin_db, db, within;
} reference_potentials[] = {
    {SSDRM " p. 4-2", 7, 4, 6, 1, HUGE_VAL, 1, 0, 13.5, 0.15},
    {SSDRM " p. 4-4", 7, 4, 6, 1, HUGE_VAL, 1, 6, 7.5, 0.15},
    {BALLOU ", eq. 34-21", 128, 45, 90, 2, 31.2, 3, 6, 11.7, 0.06},
    {BALLOU ", eq. 34-5, computed", 128, 45, 90, 2, HUGE_VAL, 3, 6, 19.331787, 1e-5},
    {BIAMP, 6, 4, 3, 1.5, HUGE_VAL, 3, 6, 4, 0.5},
};

static const struct {
    const char *source;
    double d0, equivalent, critical, db, within;
} reference_needs[] = {
    {SSDRM " p. 4-4", 7, 3, HUGE_VAL, 7.5, 0.15},
    {BALLOU ", eq. 34-22", 128, 4, 31.2, 17.7, 0.06},
    {BALLOU ", eq. 34-8, computed", 128, 4, HUGE_VAL, 30.103, 1e-4},
    {BIAMP ": the nearest listener for EAD, whole dB cut off", 6, 2, HUGE_VAL, 9, 0.6},
};

/* -10 log10(Q / (4 pi x^2) + 4 / (S a)), the handbook's equation 34-23, feet. */
static const struct {
    double x, q, s, a, db;
} reference_rooms[] = {
    {128, 5, 28000, 0.35, 33.6},
    {45, 5, 28000, 0.35, 32.2},
    {2, 5, 28000, 0.35, 10},
    {90, 5, 28000, 0.35, 33.4},
};
#define REFERENCE_ROOMS_WITHIN 0.06

/* What a level or a gain changes by when one distance does: "level at listener" and "extra gain". */
static const struct {
    const char *source;
    double from, to, db, within;
} reference_changes[] = {
    {SSDRM " p. 4-2: 70 dB at 1 m, at 7 m 53", 1, 7, -17, 0.15},
    {SSDRM " p. 4-2: 70 dB 4 m away, 6 m away 66.5", 4, 6, -3.5, 0.05},
    {SSDRM " p. 4-4: listener as if at 1.5 m, not 3", 3, 1.5, 6, 0.03},
    {SSDRM " p. 4-4: talker at 0.5 m, not 1", 1, 0.5, 6, 0.03},
    {PRIMER ": microphone at 4 ft, not 1", 1, 4, -12, 0.05},
    {PRIMER ": microphone at 3 in, not 12", 12, 3, 12, 0.05},
};

/* What open microphones cost. */
static const struct {
    const char *source;
    int from, to;
    double db, within;
} reference_open[] = {
    {PRIMER ": 20 dB with one, 17 with two", 1, 2, 3, 0.02},
    {PRIMER ": 20 dB with one, 14 with four", 1, 4, 6, 0.03},
    {"AudioTechnology no. 62, PAG-NAG, a secondary text", 1, 20, 13, 0.02},
    {PRIMER " and AudioTechnology no. 62: a doubling", 12, 24, 3, 0.02},
    {"computed", 1, 3, 4.7712, 5e-5},
    {"computed", 1, 5, 6.9897, 5e-5},
    {"computed", 1, 6, 7.7815, 5e-5},
    {"computed", 1, 8, 9.0309, 5e-5},
    {"computed", 1, 10, 10, 5e-5},
    {"computed", 1, 12, 10.7918, 5e-5},
    {"computed", 1, 16, 12.0412, 5e-5},
    {"computed", 1, 24, 13.8021, 5e-5},
    {"computed", 1, 32, 15.0515, 5e-5},
    {"computed", 1, 48, 16.8124, 5e-5},
};

/* A small room, step by step: Sound System Design Reference Manual (1999), pp. 6-3 and 6-4, read in the
 * source. A talker whose critical distance is 1 m, 0.6 m from the microphone and 4.2 m from the listener,
 * makes 70 dB of direct sound at the microphone; a loudspeaker whose critical distance is 1.4 m is 1.4 m
 * from the microphone and 4.8 m from the listener. Printed in whole dB, and far sound is taken for room
 * alone, so half a dB off is as printed. */
static const struct {
    double talker_critical_m, talker_to_microphone_m, talker_to_listener_m, loudspeaker_critical_m,
        loudspeaker_to_microphone_m, loudspeaker_to_listener_m;
    double direct_at_microphone_db; /* of the talker */
    double at_microphone_db, unaided_db, aided_db, gain_db, delta_db;
    double within;
} reference_small_room = {1, 0.6, 4.2, 1.4, 1.4, 4.8, 70, 71, 65.4, 68, 2.6, -3, 0.5};

/* What stays below the ring: "6 dB", and rarely less than 3 (Sound System Design Reference Manual, p. 4-3;
 * D. Davis and R. Jones, Sound Reinforcement Handbook, 5.3.1, as a fragment). */
#define REFERENCE_MARGIN_DB 6.0
#define REFERENCE_LEAST_MARGIN_DB 3.0

/* A talker, dB SPL at half a metre (Sound System Design Reference Manual, chapter 7); and as near as a
 * listener shall feel, 4 ft (Handbook for Sound Engineers, 4th ed., chapter 34, its example). */
#define REFERENCE_TALKER_DB 72.0
#define REFERENCE_TALKER_M 0.5
#define REFERENCE_EQUIVALENT_M (4 * 0.3048)

#endif
