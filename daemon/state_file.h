/* A whole desk as a file, format 1: what was approved, or saved to be looked at later.
 *
 *   { "state_format": 1, "desk": "...", "show": "...", "at": RFC 3339 time,
 *     "by": "...", "note": "...",
 *     "counts": { "input": 24, ... },
 *     "values": { "input.preamp_gain": { "unit": "dB", "values": [30, 42, null, ...],
 *                                        "heard_s": [0.4, 0.4, null, ...] }, ... } }
 *
 * Values stand by row (input, mix, group), and where a parameter has a second index each row is an
 * array. A number is in the parameter's unit, "off" is a fader that is all the way down; switches
 * are true and false, words and texts strings, null is unknown. `heard_s` says how many seconds
 * before "at" each was heard; negative: so long before, and it had gone stale. Only what the desk
 * publishes stands here: constants and what a desk lacks come from the profile.
 */
#ifndef GAINWARDEN_STATE_FILE_H
#define GAINWARDEN_STATE_FILE_H

#include "desk.h"
#include "problems.h"

enum { STATE_FORMAT = 1 };

/* What stands beside the values. */
struct state_note {
    char desk[200], show[64], at[40], by[64], note[200];
};

/* Writes it whole or not at all; now_ms is the time of `note->at`. False with errno set. */
bool state_file_write(const char *path, const struct desk *desk, const struct state_note *note,
                      int64_t now_ms);

/* Reads it into a desk like `like`, which has the profile's counts, constants and end stops; times
 * are those of now_ms. NULL with the problems: a file that is missing, damaged or of another desk
 * is an error, never an empty state. Free with desk_free(). */
struct desk *state_file_read(const char *path, const struct desk *like, struct state_note *note,
                             int64_t now_ms, struct problems *problems);

#endif
