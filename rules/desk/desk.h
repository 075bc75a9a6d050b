/* SPDX-License-Identifier: MIT */
/* The desk model: every parameter of one desk in dense arrays, each value with whether it is known
 * and the time it was last heard. It knows nothing of OSC, files or clocks: times are handed in.
 */
#ifndef GAINWARDEN_RULES_DESK_H
#define GAINWARDEN_RULES_DESK_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "desk/param.h"
#include "desk/shelf.h"

/* What a heard value did to the model. A value that comes again after it went stale counts as
 * changed, whatever it is: silence is not evidence that nothing moved. */
enum change { CHANGE_REFUSED, CHANGE_SAME, CHANGE_FIRST, CHANGE_MOVED };

/* How the profile supplies a parameter. */
enum supply {
    SUPPLY_NONE,   /* the profile does not name it */
    SUPPLY_HEARD,  /* comes over the wire, and can go stale */
    SUPPLY_FIXED,  /* a constant of the profile */
    SUPPLY_ABSENT, /* not named; params[].absent stands in */
};

struct desk_counts {
    int of[INDEX_KINDS]; /* of[INDEX_NONE] is always 1; in a desk those of spectra are 0 */
};

/* End stops of a control on this desk, from the profile's law or range; NAN where neither tells. */
struct travel {
    double least, most;
};

/* Where a mix's limiter sits. */
enum limiter_place { LIMITER_PLACE_UNKNOWN, LIMITER_BEFORE_MASTER, LIMITER_AFTER_MASTER };

/* How the desk's equalisers and limiters compute, from the profile. */
struct desk_filters {
    double rate_hz;         /* sample rate */
    bool width_in_octaves;  /* band "q" values are octaves between the half-gain points */
    double graphic_octaves; /* width of a graphic band; 0: as wide as the bands stand apart */
    enum limiter_place limiter;
};

enum { DESK_TEXT_SIZE = 64 };

/* One parameter as this desk has it. */
struct desk_param {
    struct shelf shelf;
    char (*texts)[DESK_TEXT_SIZE]; /* NULL: it has numbers */
    enum supply supply;
    struct travel travel;
    double step;
};

/* Laid open for desk_value(), which checks call some hundred thousand times; nobody else looks in.
 */
struct desk {
    struct desk_counts counts;
    struct desk_filters filters;
    struct desk_param params[PARAMS];
};

/* A desk of these counts with nothing known. Parameters that have an
 * `absent` value start with it. Free with desk_free(). */
struct desk *desk_new(const struct desk_counts *counts);
void desk_free(struct desk *desk);

/* Another desk with the same counts and values. */
struct desk *desk_copy(const struct desk *desk);

/* Takes over what `from` has of the values that both hear over the wire, so far as both have the
 * place: number, text, whether it is known, time. */
void desk_carry(struct desk *to, const struct desk *from);

/* The same for all values of a parameter, heard or not. */
void desk_carry_param(struct desk *to, const struct desk *from, enum param_id id);

/* The same for one value; the indexes must be inside the counts of both. */
void desk_carry_value(struct desk *to, const struct desk *from, enum param_id id, int row,
                      int column);

int desk_count(const struct desk *desk, enum index_kind kind);
int desk_rows(const struct desk *desk, enum param_id id);
int desk_columns(const struct desk *desk, enum param_id id);

/* Says how the profile supplies a parameter; SUPPLY_HEARD forgets the absent value. */
void desk_supply(struct desk *desk, enum param_id id, enum supply supply);
enum supply desk_supplied(const struct desk *desk, enum param_id id);

/* The profile supplies every value of the parameter as this constant, which its table must allow.
 */
void desk_fix(struct desk *desk, enum param_id id, double number);

void desk_set_travel(struct desk *desk, enum param_id id, struct travel travel);

/* The end stops as the profile tells them. NAN where it does not: none is invented, and no figure
 * may rest on it. */
struct travel desk_travel(const struct desk *desk, enum param_id id);

/* The smallest move of a control, in its unit; 0: it moves smoothly. */
void desk_set_step(struct desk *desk, enum param_id id, double step);
double desk_step(const struct desk *desk, enum param_id id);

void desk_set_filters(struct desk *desk, struct desk_filters filters);

/* 48 kHz, Q, graphic bands as wide as they stand apart, and a limiter of unknown place where the
 * profile says nothing. */
struct desk_filters desk_filters(const struct desk *desk);

/* Takes a number as heard at now_ms. Refuses what params[] does not allow and indexes outside the
 * counts. */
enum change desk_set(struct desk *desk, enum param_id id, int row, int column, double number,
                     int64_t now_ms);

/* The same for a UNIT_TEXT parameter. Text is cut at DESK_TEXT_SIZE - 1 bytes, never inside a UTF-8
 * sequence. */
enum change desk_set_text(struct desk *desk, enum param_id id, int row, int column,
                          const char *text, int64_t now_ms);

/* The stored value; the caller's indexes must be inside the counts. Valid until the desk is written
 * to. */
static inline const struct value *
desk_value(const struct desk *desk, enum param_id id, int row, int column)
{
    return shelf_value(&desk->params[id].shelf, row, column);
}

/* Exchanges the stored value with the caller's, without its text: for a look back. */
void desk_swap(struct desk *desk, enum param_id id, int row, int column, struct value *value);

/* The stored text, "" when never heard. */
const char *desk_text(const struct desk *desk, enum param_id id, int row, int column);

/* Makes one known value stale. */
void desk_set_stale(struct desk *desk, enum param_id id, int row, int column);

/* Called for each value that goes stale. */
typedef void desk_stale_fn(void *context, enum param_id id, int row, int column);

/* Marks stale each known SUPPLY_HEARD value that was last heard before `before_ms`; returns how
 * many.
 */
size_t desk_expire(struct desk *desk, int64_t before_ms, desk_stale_fn *stale, void *context);

/* How many SUPPLY_HEARD values are so. */
size_t desk_count_state(const struct desk *desk, enum value_state state);

#endif
