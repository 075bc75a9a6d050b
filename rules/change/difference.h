/* SPDX-License-Identifier: MIT */
/* What differs between two desks of the same counts: before and after a recall, approved and now.
 */
#ifndef GAINWARDEN_RULES_DIFFERENCE_H
#define GAINWARDEN_RULES_DIFFERENCE_H

#include <stdbool.h>
#include <stddef.h>

#include "core/sure.h"
#include "core/text.h"
#include "desk/desk.h"

/* "protection", "gain", ... */
const char *difference_class_name(enum difference_class kind);

/* False for meters and the like. */
bool difference_is_setting(enum param_id id);

/* Moves of what hands ride, of an input's sound, labels and meters are no drift. */
bool difference_is_drift(enum difference_class kind);

/* "protection", "structure", ...; "" for DIFFERENCE_OF_NOTHING. */
const char *difference_kind_name(enum difference_kind kind);

enum same { SAME, OTHER, SAME_NOT_KNOWN };

/* Numbers closer than one step of the control, or than a twentieth of a dB or half a per cent of a
 * frequency or ratio, are the same: desks round. Not known when either side does not know it, or
 * when one desk publishes the control and the other was taken to lack it. */
enum same difference_of(const struct desk *before, const struct desk *after, enum param_id id,
                        int row, int column);

/* The profile takes the control for absent on one side alone: then nobody knows how it stood. */
bool difference_half_absent(const struct desk *before, const struct desk *after, enum param_id id);

/* Whether what was last heard differs, whatever is stale. */
bool difference_moved(const struct desk *before, const struct desk *after, enum param_id id,
                      int row, int column);

/* A band of an equaliser that is off, the corner of a high-pass that is off, the make-up of a
 * compressor that is off: what stands behind a switch that is off does nothing. */
enum sure difference_dormant(const struct desk *desk, enum param_id id, int row, int column);

/* What to call the value without its object, and what became of it: "preamp 30 -> 36 dB", "limiter
 * was on, is off", "graphic 400 Hz -6 -> 0 dB". Both sides must know it. */
void difference_says(struct text *text, const struct desk *before, const struct desk *after,
                     enum param_id id, int row, int column);

/* The first part of that: "preamp", "graphic 400 Hz", "tap into mix 3 Keys wedge". */
void difference_place(struct text *text, const struct desk *desk, enum param_id id, int row,
                      int column);

struct difference_counts {
    size_t of[DIFFERENCE_CLASSES]; /* values that differ */
    size_t values, inputs, mixes;  /* in all, and how many objects they are of */
    size_t not_known;              /* on one side or both, though one of them publishes it */
};

/* Calls `each` (may be NULL) for each value that differs, class by class, and counts. */
typedef void difference_fn(void *context, enum difference_class kind, enum param_id id, int row,
                           int column);
struct difference_counts difference_all(const struct desk *before, const struct desk *after,
                                        difference_fn *each, void *context);

/* The same for each value that is not known on one side. */
void difference_not_known(const struct desk *before, const struct desk *after, difference_fn *each,
                          void *context);

#endif
