/* SPDX-License-Identifier: MIT */
#include "score/scheme.h"

#include <math.h>
#include <stddef.h>

int
scheme_cost(const struct scheme_check *check, double severity)
{
    double share = check->to > check->from ? (severity - check->from) / (check->to - check->from)
                                           : severity >= check->from;

    share = fmin(fmax(share, 0), 1);
    return check->least_tenths + (int)lround(share * (check->top_tenths - check->least_tenths));
}

const struct scheme_check *
scheme_find(const struct scheme *scheme, int check, int *group)
{
    for (int i = 0; i < scheme->group_count; i++)
        for (int j = 0; j < scheme->groups[i].check_count; j++) {
            if (scheme->groups[i].checks[j].check != check)
                continue;
            if (group)
                *group = i;
            return &scheme->groups[i].checks[j];
        }
    return NULL;
}
