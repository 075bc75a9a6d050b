/* SPDX-License-Identifier: MIT */
/* Whether a leap upwards counts, stands, and was not meant: how value-jumped judges one of them.
 * What is not known of the desk leaves it open.
 */
#ifndef GAINWARDEN_RULES_LEAP_H
#define GAINWARDEN_RULES_LEAP_H

#include "change/moves.h"
#include "core/sure.h"
#include "look/look.h"
#include "sound/path.h"

/* The settings of value-jumped, in the order of its table. */
enum { LEAP_FADER_DB, LEAP_MASTER_DB, LEAP_ABOVE_DB, LEAP_GAIN_DB };

enum { LEAP_OFF_DB = -60 }; /* a fader that was off counts as standing here */
#define LEAP_SLACK_DB 0.05  /* 6 dB on the desk is a little less, or more, on the wire */

double leap_db(const struct jump *jump);

/* Far enough, and for what is pushed and not set, high enough. What a master did while nobody saw it
 * may have been three nudges. */
bool leap_counts(const struct jump *jump, const double settings[CHECK_SETTINGS]);

/* Not taken back by half, beyond where it was meant to stand, and not made up for. */
enum sure leap_is_left(struct look *look, const struct jump *jump);

/* It counts, it is left, and into something open. */
enum sure leap_stands(struct look *look, const struct jump *jump);

/* It is open into these mixes alone, a flag each, which all feed loudspeakers; what is not known may
 * be open, and may be ears. */
bool leap_stays_in(struct look *look, const struct jump *jump, const bool *mixes);

enum weight leap_weight(struct look *look, const struct jump *jump);

/* What these read, for the tables of checks. */
#define LEAP_READS PATH_LEVEL_READS, PARAM_INPUT_MUTE, PARAM_MIX_MUTE, PARAM_GROUP_MUTE

#endif
