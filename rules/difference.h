/* What differs between two desks of the same counts: before and after a recall, approved and now.
 */
#ifndef GAINWARDEN_RULES_DIFFERENCE_H
#define GAINWARDEN_RULES_DIFFERENCE_H

#include <stdbool.h>
#include <stddef.h>

#include "desk.h"

/* What a parameter is for, what matters most first. */
enum difference_class {
    DIFFERENCE_PROTECTION,
    DIFFERENCE_GAIN,
    DIFFERENCE_ROUTING,
    DIFFERENCE_FILTER, /* an input's equaliser, gate and compressor */
    DIFFERENCE_LEVEL,  /* what hands ride: faders, sends, masters, mutes */
    DIFFERENCE_LABEL,
    DIFFERENCE_METER, /* no setting: never compared */
    DIFFERENCE_CLASSES
};

enum difference_class difference_class(enum param_id id);

/* Not a meter, and not what the room is doing. */
bool difference_is_setting(enum param_id id);

/* "protection", "gain", ... */
const char *difference_class_name(enum difference_class kind);

/* Moves of what hands ride, labels and meters are no drift. */
bool difference_is_drift(enum difference_class kind);

enum same { SAME, OTHER, SAME_NOT_KNOWN };

/* Numbers closer than half a step of the control, or a twentieth of a dB, are the same: desks
 * round. Not known when either side does not know it. */
enum same difference_of(const struct desk *before, const struct desk *after, enum param_id id,
                        int row, int column);

/* OTHER, whatever is stale: what was approved once need not be heard again. */
bool difference_moved(const struct desk *before, const struct desk *after, enum param_id id,
                      int row, int column);

struct difference_counts {
    size_t of[DIFFERENCE_CLASSES]; /* values that differ */
    size_t values, inputs, mixes;  /* in all, and how many objects they are of */
    size_t not_known;              /* known before, and not now */
};

/* Calls `each` (may be NULL) for each value that differs, class by class, and counts. */
typedef void difference_fn(void *context, enum difference_class kind, enum param_id id, int row,
                           int column);
struct difference_counts difference_all(const struct desk *before, const struct desk *after,
                                        difference_fn *each, void *context);

#endif
