/* SPDX-License-Identifier: MIT */
/* Where figures come from: each published source by its title, once. "Read in a secondary text" or
 * "as a fragment" says that the primary text was not at hand.
 */
#ifndef GAINWARDEN_RULES_CREDIT_H
#define GAINWARDEN_RULES_CREDIT_H

#define CREDIT_PRACTICE "common practice, no source"

#define CREDIT_HIGH_PASS "\"Mighty High Pass Filter\", prosoundweb.com"
#define CREDIT_LIMITERS "\"IEM Limiters and Hearing Protection\", iemrig.com"
#define CREDIT_LIMIT_AT_PEAK                                                                       \
    "\"Protecting Your Hearing While Wearing In-Ear Monitors\", 64audio.com"
#define CREDIT_LIMIT_AT_CEILING "\"Safe In-Ear Monitoring\", sweetwater.com"
#define CREDIT_RING_OUT_GAIN "\"'Ringing Out' a Sound System\", musiciansfriend.com FAQ"
#define CREDIT_SYSTEM_DESIGN "Sound System Design Reference Manual (1999), p. 4-3"
#define CREDIT_SAME_GAIN                                                                           \
    "\"To eliminate feedback is it good to reduce the gain and raise the fader? (Part 2)\", "      \
    "audiomasterclass.com"

#define CREDIT_RANGES "zytrax.com, instrument ranges, read in a secondary text"
#define CREDIT_SAXOPHONES "J. D. Cook, \"Saxophone ranges\", johndcook.com, a secondary text"
#define CREDIT_DRUMS "entertainmentguide.local.com, drum ranges, a secondary text (weak)"

#endif
