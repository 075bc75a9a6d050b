/* SPDX-License-Identifier: MIT */
#include "change/difference.h"

#include <math.h>
#include <string.h>

enum { OBJECTS_MOST = 4096 };

const char *
difference_class_name(enum difference_class kind)
{
    static const char *const names[] = {"protection", "gain",  "routing", "filter",
                                        "level",      "label", "meter"};

    return names[kind];
}

const char *
difference_kind_name(enum difference_kind kind)
{
    static const char *const names[DIFFERENCE_KINDS] = {"",        "protection", "structure",
                                                        "filters", "routing",    "labels"};

    return names[kind];
}

bool
difference_is_setting(enum param_id id)
{
    return params[id].class != DIFFERENCE_METER;
}

bool
difference_is_drift(enum difference_class kind)
{
    return kind <= DIFFERENCE_ROUTING;
}

/* One step, or what the unit makes no matter of. What differs by less is the same, so a whole step
 * must not be lost to rounding. */
static double
tolerance(const struct desk *desk, enum param_id id, double number)
{
    double least =
        params[id].unit == UNIT_DB ? 0.05
        : params[id].unit == UNIT_HZ || params[id].unit == UNIT_MS || params[id].unit == UNIT_FACTOR
            ? fabs(number) / 200
            : 0;

    return fmax(least, desk_step(desk, id)) * (1 - 1e-6);
}

bool
difference_half_absent(const struct desk *before, const struct desk *after, enum param_id id)
{
    return (desk_supplied(before, id) == SUPPLY_ABSENT) !=
           (desk_supplied(after, id) == SUPPLY_ABSENT);
}

bool
difference_moved(const struct desk *before, const struct desk *after, enum param_id id, int row,
                 int column)
{
    double was = value_last_heard(desk_value(before, id, row, column));
    double is = value_last_heard(desk_value(after, id, row, column));

    if (params[id].unit == UNIT_TEXT)
        return strcmp(desk_text(before, id, row, column), desk_text(after, id, row, column)) != 0;
    return was != is && !(fabs(was - is) < tolerance(after, id, is));
}

enum same
difference_of(const struct desk *before, const struct desk *after, enum param_id id, int row,
              int column)
{
    if (desk_value(before, id, row, column)->state != VALUE_KNOWN ||
        desk_value(after, id, row, column)->state != VALUE_KNOWN ||
        difference_half_absent(before, after, id))
        return SAME_NOT_KNOWN;
    return difference_moved(before, after, id, row, column) ? OTHER : SAME;
}

/* Marks the object; true when it is the first time. */
static bool
first_time(unsigned char *seen, int number)
{
    bool first = number < OBJECTS_MOST && !(seen[number / 8] & 1 << number % 8);

    if (first)
        seen[number / 8] = (unsigned char)(seen[number / 8] | 1 << number % 8);
    return first;
}

struct walk {
    const struct desk *before, *after;
    difference_fn *each;
    void *context;
    enum same wanted; /* `each` is called for these */
    struct difference_counts counts;
    unsigned char inputs[OBJECTS_MOST / 8], mixes[OBJECTS_MOST / 8];
};

static void
count(struct walk *walk, enum difference_class kind, enum param_id id, int row)
{
    walk->counts.of[kind]++;
    walk->counts.values++;
    if (params[id].row == INDEX_INPUT)
        walk->counts.inputs += first_time(walk->inputs, row);
    if (params[id].row == INDEX_MIX)
        walk->counts.mixes += first_time(walk->mixes, row);
}

static void
visit(struct walk *walk, enum difference_class kind, enum param_id id, int row, int column)
{
    enum same same = difference_of(walk->before, walk->after, id, row, column);

    if (same == OTHER)
        count(walk, kind, id, row);
    else if (same == SAME_NOT_KNOWN)
        walk->counts.not_known++;
    if (same == walk->wanted && walk->each)
        walk->each(walk->context, kind, id, row, column);
}

/* Neither desk publishes it, nor is it known some other way. */
static bool
is_nowhere(const struct walk *walk, enum param_id id)
{
    return desk_supplied(walk->before, id) == SUPPLY_NONE &&
           desk_supplied(walk->after, id) == SUPPLY_NONE;
}

static void
visit_all(struct walk *walk)
{
    for (int kind = 0; kind < DIFFERENCE_METER; kind++)
        for (int id = 0; id < PARAMS; id++) {
            if (params[id].class != (enum difference_class)kind ||
                is_nowhere(walk, (enum param_id)id))
                continue;
            for (int row = 0; row < desk_rows(walk->after, (enum param_id)id); row++)
                for (int column = 0; column < desk_columns(walk->after, (enum param_id)id);
                     column++)
                    visit(walk, (enum difference_class)kind, (enum param_id)id, row, column);
        }
}

struct difference_counts
difference_all(const struct desk *before, const struct desk *after, difference_fn *each,
               void *context)
{
    struct walk walk = {
        .before = before, .after = after, .each = each, .context = context, .wanted = OTHER};

    visit_all(&walk);
    return walk.counts;
}

void
difference_not_known(const struct desk *before, const struct desk *after, difference_fn *each,
                     void *context)
{
    struct walk walk = {.before = before,
                        .after = after,
                        .each = each,
                        .context = context,
                        .wanted = SAME_NOT_KNOWN};

    visit_all(&walk);
}
