/* SPDX-License-Identifier: MIT */
/* Directions in space. */
#ifndef GAINWARDEN_RULES_ANGLE_H
#define GAINWARDEN_RULES_ANGLE_H

/* standard C has no pi */
#define ANGLE_PI 3.14159265358979323846

static inline double
angle_radians(double degrees)
{
    return degrees * (ANGLE_PI / 180);
}

static inline double
angle_degrees(double radians)
{
    return radians * (180 / ANGLE_PI);
}

#endif
