/* SPDX-License-Identifier: MIT */
#include "listen/find_law.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "base/text_format.h"
#include "profile/law.h"

/* ---- what was typed ---- */

bool
find_law_shown(const char *text, struct find_law_point *point)
{
    const char *dot = strchr(text, '.');
    size_t decimals = dot ? strspn(dot + 1, "0123456789") : 0;
    bool kilo = strstr(text, "kHz") != NULL;

    if (strcasecmp(text, "off") == 0)
        text = "-inf";
    if (!law_parse_number(text, &point->shown) ||
        !(point->shown == -HUGE_VAL || fabs(point->shown) <= LAW_VALUE_MOST))
        return false;
    point->within = 0.5 * pow(10, -(double)decimals) * (kilo ? 1000 : 1);
    return true;
}

/* ---- points ---- */

static int
compare(const void *one, const void *other)
{
    const struct find_law_point *a = one, *b = other;

    return (a->wire > b->wire) - (a->wire < b->wire);
}

/* In order of wire; of two at one place the later stays. */
static size_t
sort(struct find_law_point *points, size_t count)
{
    size_t kept = 0;

    for (size_t i = 0; i < count; i++) {
        size_t same = 0;

        while (same < kept && points[same].wire != points[i].wire)
            same++;
        points[same] = points[i];
        kept += same == kept;
    }
    qsort(points, kept, sizeof *points, compare);
    return kept;
}

/* The first that turns back, or is off in the middle; 0: all rise, or all fall. */
static size_t
turns_back(const struct find_law_point *points, size_t count)
{
    double sign = points[1].shown > points[0].shown ? 1 : -1;

    for (size_t i = 1; i < count; i++)
        if (!(sign * points[i].shown > sign * points[i - 1].shown) ||
            (points[i].shown == -HUGE_VAL && i + 1 < count))
            return i;
    return 0;
}

/* A float of 32 bits has no more digits. */
static double
short_number(double number)
{
    char text[32];

    snprintf(text, sizeof text, "%.7g", number);
    return strtod(text, NULL);
}

/* ---- laws that need no points ---- */

typedef double shown_fn(double wire, double factor);

static double
as_times(double wire, double factor)
{
    return wire * factor;
}

static double
as_amplitude(double wire, double factor)
{
    (void)factor;
    return wire > 0 ? 20 * log10(wire) : -HUGE_VAL;
}

static bool
fits(const struct find_law_point *points, size_t count, shown_fn *shown, double factor)
{
    size_t finite = 0;

    for (size_t i = 0; i < count; i++) {
        double here = shown(points[i].wire, factor);

        if (points[i].shown == -HUGE_VAL) {
            if (shown == as_amplitude && here != -HUGE_VAL)
                return false;
            continue;
        }
        finite++;
        if (!(fabs(here - points[i].shown) <= points[i].within * 1.02 + 1e-6))
            return false;
    }
    return finite >= 2;
}

static double
nice_factor(const struct find_law_point *points, size_t count)
{
    static const double factors[] = {1,    0.1, 0.01, 0.001, 10,    100,
                                     1000, 0.5, 0.25, 2,     24000, 20000};

    for (size_t i = 0; i < sizeof factors / sizeof *factors; i++)
        if (fits(points, count, as_times, factors[i]))
            return factors[i];
    return 0;
}

static struct travel
range_of(const struct find_law_point *points, size_t count)
{
    struct travel range = {NAN, NAN};

    for (size_t i = 0; i < count; i++) {
        if (points[i].shown == -HUGE_VAL)
            continue;
        range.least = fmin(range.least, points[i].shown);
        range.most = fmax(range.most, points[i].shown);
    }
    return range;
}

/* An off beside them needs its own place on the wire, which a factor cannot give. */
static bool
has_off(const struct find_law_point *points, size_t count)
{
    return points[0].shown == -HUGE_VAL || points[count - 1].shown == -HUGE_VAL;
}

static bool
take_simple(const struct find_law_point *points, size_t count, enum param_id id,
            struct found_law *found)
{
    double factor = has_off(points, count) ? 0 : nice_factor(points, count);

    found->range = range_of(points, count);
    if (factor != 0) {
        found->law = factor == 1 ? NULL : json_new_object();
        if (factor != 1)
            json_add_number(found->law, "times", factor);
        snprintf(found->says, sizeof found->says, factor == 1 ? "%s as it is" : "%s times %g",
                 unit_name(params[id].unit), factor);
        return true;
    }
    if (params[id].unit == UNIT_DB && fits(points, count, as_amplitude, 0)) {
        found->law = json_new_object();
        json_add_bool(found->law, "amplitude", true);
        snprintf(found->says, sizeof found->says, "a linear gain");
        return true;
    }
    return false;
}

/* ---- laws of points ---- */

/* The largest error of the points between the ends, in what the desk cannot show: of the point, and
 * of the ends; as ratios or lines. */
static double
error_of(const struct find_law_point *points, size_t count, bool ratio)
{
    const struct find_law_point *first = &points[0], *last = &points[count - 1];
    double error = 0, ends = fmax(first->within, last->within);

    for (size_t i = 1; i + 1 < count; i++) {
        double part = (points[i].wire - first->wire) / (last->wire - first->wire);
        double here = ratio ? first->shown * pow(last->shown / first->shown, part)
                            : first->shown + part * (last->shown - first->shown);
        double within = points[i].within + ends + 0.002 * fabs(points[i].shown);

        error = fmax(error, fabs(here - points[i].shown) / within);
    }
    return error;
}

static bool
may_be_ratio(const struct find_law_point *points, size_t count, enum param_id id)
{
    enum unit unit = params[id].unit;

    return (unit == UNIT_HZ || unit == UNIT_MS || unit == UNIT_FACTOR) && points[0].shown > 0 &&
           points[count - 1].shown > 0;
}

static struct json *
points_json(const struct find_law_point *points, size_t count, bool all)
{
    struct json *list = json_new_array();

    for (size_t i = 0; i < count; i++) {
        const struct find_law_point *point = &points[i];
        struct json *shown =
            point->shown == -HUGE_VAL ? json_new_string("-inf") : json_new_number(point->shown);

        if (all || i == 0 || i + 1 == count)
            json_add(list, NULL, json_list(json_new_number(short_number(point->wire)), shown));
        else
            json_free(shown);
    }
    return list;
}

static void
take_points(const struct find_law_point *points, size_t count, enum param_id id,
            struct found_law *found)
{
    bool off = has_off(points, count);
    bool ratio = !off && may_be_ratio(points, count, id) &&
                 error_of(points, count, true) <= error_of(points, count, false);
    bool straight = count > 2 && !off && error_of(points, count, ratio) <= 1;

    found->law = json_new_object();
    found->range = (struct travel){NAN, NAN};
    json_add(found->law, ratio ? "ratio" : "line", points_json(points, count, !straight));
    snprintf(found->says, sizeof found->says, "%s through %zu points%s",
             ratio ? "equal ratios" : "straight lines", straight ? (size_t)2 : count,
             straight ? ", and the others lie on it" : "");
}

bool
find_law(struct find_law_point *points, size_t count, enum param_id id, struct found_law *found)
{
    size_t back;

    *found = (struct found_law){.range = {NAN, NAN}};
    count = sort(points, count);
    if (count < 2) {
        snprintf(found->says, sizeof found->says, "two positions that differ are needed");
        return false;
    }
    back = turns_back(points, count);
    if (back > 0) {
        snprintf(found->says, sizeof found->says,
                 "%g was shown at %g and %g at %g, so the numbers do not go one way",
                 points[back - 1].shown, points[back - 1].wire, points[back].shown,
                 points[back].wire);
        return false;
    }
    if (!take_simple(points, count, id, found))
        take_points(points, count, id, found);
    return true;
}
