/* SPDX-License-Identifier: MIT */
#include "desk/catch_up.h"

#include <string.h>

struct desk *
desk_behind(const struct desk *now)
{
    struct desk *behind = desk_copy(now);

    for (int id = 0; id < PARAMS; id++)
        if (desk_supplied(now, (enum param_id)id) == SUPPLY_HEARD)
            desk_supply(behind, (enum param_id)id, SUPPLY_HEARD);
    return behind;
}

static bool
is_behind(const struct desk *behind, const struct desk *now, enum param_id id, int row, int column)
{
    const struct value *was = desk_value(behind, id, row, column);
    const struct value *is = desk_value(now, id, row, column);

    if (was->state != is->state)
        return true;
    if (params[id].unit == UNIT_TEXT)
        return strcmp(desk_text(behind, id, row, column), desk_text(now, id, row, column)) != 0;
    return value_last_heard(was) != value_last_heard(is);
}

static bool
catch_up_param(struct desk *behind, const struct desk *now, enum param_id id, desk_behind_fn *each,
               void *context)
{
    for (int row = 0; row < desk_rows(now, id); row++)
        for (int column = 0; column < desk_columns(now, id); column++) {
            if (!is_behind(behind, now, id, row, column))
                continue;
            if (!each(context, id, row, column))
                return false;
            desk_carry_value(behind, now, id, row, column);
        }
    desk_carry_param(behind, now, id);
    return true;
}

/* What was taken over whole is shared until the desk is written to. */
static bool
is_shared(const struct desk *behind, const struct desk *now, enum param_id id)
{
    const struct shelf *mine = &behind->params[id].shelf, *other = &now->params[id].shelf;

    return mine->cells && mine->cells == other->cells;
}

bool
desk_catch_up(struct desk *behind, const struct desk *now, desk_behind_fn *each, void *context)
{
    for (int id = 0; id < PARAMS; id++)
        if (desk_supplied(now, (enum param_id)id) == SUPPLY_HEARD &&
            !is_shared(behind, now, (enum param_id)id) &&
            !catch_up_param(behind, now, (enum param_id)id, each, context))
            return false;
    return true;
}
