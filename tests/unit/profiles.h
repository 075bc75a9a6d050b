/* SPDX-License-Identifier: MIT */
/* Profiles written for a test, and what is said of them. */
#ifndef GAINWARDEN_TESTS_PROFILES_H
#define GAINWARDEN_TESTS_PROFILES_H

#include "profile/profile.h"

struct loaded {
    struct problems problems;
    struct profile *profile; /* NULL when anything was wrong */
};

/* Reads the text as a profile called "p"; loaded_release() in any case. */
void loaded_read(struct loaded *loaded, const char *text);
void loaded_release(struct loaded *loaded);

/* The same of a text that must be sound. */
void loaded_sound(struct loaded *loaded, const char *text);

/* A profile and its desk; for cmocka: makes one without, and drops it. */
struct profile_rig {
    struct loaded loaded;
    struct desk *desk;
};

int profile_rig_make(void **state);
int profile_rig_drop(void **state);

/* Loads a text that must be sound, in place of what was loaded before. */
const struct profile *profile_rig_load(void **state, const char *text);
struct desk *profile_rig_desk(void **state, const char *text);

/* The text of a sound profile with these entries under "values", and behind that more members of
 * the profile (", \"fixed\": {...}" or ""). 24 inputs, 8 mixes, 4 groups, 4 bands of an input, 31
 * graphic and 4 parametric bands of a mix; laws head (dB), fader (dB, off at 0), corner (Hz),
 * switch, tap. Valid until the next call. */
const char *profile_with(const char *values, const char *more);

/* Fails unless exactly these problems were found, in this order; `lines` ends with NULL. */
void assert_problems(const struct problems *problems, const char *const *lines);

/* Loads profile_with(values, more) and wants these one or no problems; NULL: none. */
void assert_profile(const char *values, const char *more, const char *problem);

#endif
