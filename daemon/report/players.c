/* SPDX-License-Identifier: MIT */
#include "report/players.h"

#include <stdlib.h>
#include <string.h>

static size_t
group_of(const struct player_finding *list, size_t row, size_t groups)
{
    for (size_t i = 0; i < row; i++)
        if (strcmp(list[i].player, list[row].player) == 0)
            return list[i].group;
    return groups;
}

static int
compare(const void *one, const void *other)
{
    const struct player_finding *a = one, *b = other;

    if (a->group != b->group)
        return a->group < b->group ? -1 : 1;
    if (a->rank != b->rank)
        return a->rank < b->rank ? -1 : 1;
    return (a->at > b->at) - (a->at < b->at);
}

void
players_group(const struct engine *engine, struct player_finding *list, size_t count)
{
    size_t groups = 0;

    for (size_t i = 0; i < count; i++) {
        list[i].inferred = engine_player(engine, list[i].finding, list[i].player);
        list[i].group = group_of(list, i, groups);
        groups += list[i].group == groups;
    }
    if (count > 0)
        qsort(list, count, sizeof *list, compare);
}

bool
players_begin(const struct player_finding *list, size_t row)
{
    return row == 0 || list[row - 1].group != list[row].group;
}

const char *
players_title(const struct player_finding *finding)
{
    return *finding->player ? finding->player : "no player named";
}
