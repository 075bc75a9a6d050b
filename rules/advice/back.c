/* SPDX-License-Identifier: MIT */
#include "advice/back.h"

#include <math.h>

#include "advice/loud.h"
#include "advice/way.h"

/* The desk with the first moves of a card made. */
static struct desk *
desk_behind(const struct desk *desk, const struct card *card, size_t moves)
{
    struct desk *behind = desk_copy(desk);

    for (size_t i = 0; i < moves; i++)
        desk_set(behind, card->moves[i].id, card->moves[i].row, card->moves[i].column,
                 card->moves[i].to, 0);
    return behind;
}

/* Filters that move sideways in several steps can be louder half-way than at either end: no card
 * says to do that. */
static void
look_half_way(struct draft *draft, const struct desk *after)
{
    struct card *card = &draft->card;
    const struct planner *planner = draft->planner;

    for (size_t i = 1; i < card->count && !draft->stopped; i++) {
        struct desk *between;

        if (way_of(planner->desk, &card->moves[i - 1]) != WAY_EITHER)
            continue;
        between = desk_behind(planner->desk, card, i);
        if (loud_overshoot_db(planner->desk, between, after, planner->ground.show, card->object) >
            0.05)
            draft_stop(draft, STOP_SIDEWAYS, card->moves[i - 1].id, card->moves[i - 1].row,
                       card->moves[i - 1].column);
        desk_free(between);
    }
}

/* What a limiter held back comes up by no more than its threshold does. */
static double
limiter_rise_db(const struct card *card)
{
    double rise_db = 0;

    for (size_t i = 0; i < card->count; i++)
        if (card->moves[i].id == PARAM_MIX_LIMITER_THRESHOLD)
            rise_db = fmax(rise_db, card->moves[i].to - card->moves[i].now);
    return rise_db;
}

bool
back_end(struct draft *draft)
{
    struct card *card = &draft->card;
    const struct planner *planner = draft->planner;

    if (!draft->stopped && card->count > 0) {
        struct desk *after;

        way_order(planner->desk, card->moves, card->count);
        after = desk_behind(planner->desk, card, card->count);
        card->louder_db = loud_rise_db(planner->desk, after, planner->ground.show, card->object) +
                          limiter_rise_db(card);
        if (way_sideways(planner->desk, card->moves, card->count) > 1)
            look_half_way(draft, after);
        desk_free(after);
    }
    return draft_end(draft);
}
