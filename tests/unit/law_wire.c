/* SPDX-License-Identifier: MIT */
#include "law_wire.h"

#include <math.h>

static bool
points_wire(const struct law *law, double value, double *wire)
{
    for (size_t i = 0; i + 1 < law->count; i++) {
        const struct law_point *left = &law->points[i], *right = left + 1;

        if (value == left->value || value == right->value) {
            *wire = value == left->value ? left->wire : right->wire;
            return true;
        }
        if ((value - left->value) * (value - right->value) > 0 || !isfinite(left->value) ||
            !isfinite(right->value))
            continue;
        *wire = law->kind == LAW_RATIO ? log(value / left->value) / log(right->value / left->value)
                                       : (value - left->value) / (right->value - left->value);
        *wire = left->wire + *wire * (right->wire - left->wire);
        return true;
    }
    return false;
}

bool
law_wire(const struct law *law, double value, double *wire)
{
    switch (law->kind) {
    case LAW_LINE:
    case LAW_RATIO:
        return points_wire(law, value, wire);
    case LAW_WORDS:
        for (size_t i = 0; i < law->word_count; i++)
            if (!law->words[i].wire_text && law->words[i].value == value) {
                *wire = law->words[i].wire;
                return true;
            }
        return false;
    case LAW_TIMES:
        *wire = value / law->factor;
        return true;
    case LAW_AMPLITUDE:
        *wire = pow(10, value / 20);
        return true;
    case LAW_ELSE: /* anything */
        *wire = 12345;
        return value == law->otherwise.value;
    case LAW_NONE:
        break;
    }
    *wire = value;
    return true;
}
