/* SPDX-License-Identifier: MIT */
/* What a law gives for a number or a text on the wire. */
#include "profile/law.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

/* Between two points; -inf reaches up to, not including, its neighbour. */
static double
between(const struct law *law, const struct law_point *left, double wire)
{
    const struct law_point *right = left + 1;
    double part = (wire - left->wire) / (right->wire - left->wire);
    double value;

    if (left->value == -HUGE_VAL)
        return part <= 0 ? -HUGE_VAL : right->value;
    if (right->value == -HUGE_VAL)
        return part >= 1 ? -HUGE_VAL : left->value;
    if (law->kind == LAW_RATIO)
        value = left->value * pow(right->value / left->value, part);
    else
        value = left->value + part * (right->value - left->value);
    /* rounding may pass a point by a bit, and the last one is an end stop */
    return fmin(fmax(value, fmin(left->value, right->value)), fmax(left->value, right->value));
}

static bool
points_value(const struct law *law, double wire, double *value)
{
    const struct law_point *first = &law->points[0];
    const struct law_point *last = &law->points[law->count - 1];
    double slack = (last->wire - first->wire) / 1000;
    size_t i = 0;

    if (!(wire >= first->wire - slack && wire <= last->wire + slack))
        return false;
    wire = fmin(fmax(wire, first->wire), last->wire);
    while (i + 2 < law->count && wire > law->points[i + 1].wire)
        i++;
    *value = between(law, &law->points[i], wire);
    return true;
}

static bool
table_value(const struct law *law, double wire, double *value)
{
    for (size_t i = 0; i < law->word_count; i++)
        if (!law->words[i].wire_text && law->words[i].wire == wire) {
            *value = law->words[i].value;
            return true;
        }
    return false;
}

bool
law_value(const struct law *law, double wire, double *value)
{
    if (!isfinite(wire))
        return false;
    if (law->words && table_value(law, wire, value))
        return true;
    switch (law->kind) {
    case LAW_LINE:
    case LAW_RATIO:
        return points_value(law, wire, value);
    case LAW_WORDS:
        return false;
    case LAW_TIMES:
        *value = wire * law->factor;
        return isfinite(*value);
    case LAW_AMPLITUDE:
        *value = wire > 0 ? 20 * log10(wire) : -HUGE_VAL;
        return wire >= 0 && isfinite(wire);
    case LAW_ELSE:
        *value = law->otherwise.value;
        return true;
    case LAW_NONE:
        break;
    }
    *value = wire;
    return true;
}

double
law_factor(const struct law *law)
{
    if (law->words)
        return NAN;
    return law->kind == LAW_TIMES ? law->factor : law->kind == LAW_NONE ? 1 : NAN;
}

bool
law_value_of_text(const struct law *law, const char *text, double *value)
{
    double wire;

    for (size_t i = 0; i < law->word_count; i++)
        if (law->words[i].wire_text && strcmp(law->words[i].wire_text, text) == 0) {
            *value = law->words[i].value;
            return true;
        }
    if (!law_parse_number(text, &wire)) {
        *value = law->otherwise.value;
        return law->kind == LAW_ELSE;
    }
    if (wire != -HUGE_VAL)
        return law_value(law, wire, value);
    *value = wire;
    return true;
}

struct travel
law_travel(const struct law *law)
{
    struct travel travel = {NAN, NAN};

    for (size_t i = 0; law->points && i < law->count; i++) {
        double value = law->points[i].value;

        if (value == -HUGE_VAL)
            continue;
        travel.least = isnan(travel.least) || value < travel.least ? value : travel.least;
        travel.most = isnan(travel.most) || value > travel.most ? value : travel.most;
    }
    return travel;
}

bool
law_parse_number(const char *text, double *number)
{
    char *end;

    while (*text == ' ')
        text++;
    if (strcasecmp(text, "-inf") == 0 || strcmp(text, "-oo") == 0 ||
        strcasecmp(text, "-inf dB") == 0 || strcasecmp(text, "-oo dB") == 0) {
        *number = -HUGE_VAL;
        return true;
    }
    if (!strchr("+-.0123456789", *text) || !*text || strpbrk(text, "xX"))
        return false;
    *number = strtod(text, &end); /* the program never leaves the "C" locale */
    if (end == text || !isfinite(*number))
        return false;
    while (*end == ' ')
        end++;
    if (strcmp(end, "kHz") == 0)
        *number *= 1000;
    else if (*end && strcasecmp(end, "dB") != 0 && strcasecmp(end, "Hz") != 0 &&
             strcmp(end, "ms") != 0)
        return false;
    return isfinite(*number);
}
