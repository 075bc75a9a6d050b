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

static bool
is_of_equaliser(enum param_id id)
{
    return id == PARAM_INPUT_EQ_ON || id == PARAM_MIX_EQ_ON || id == PARAM_MIX_GRAPHIC_ON ||
           params[id].column == INDEX_INPUT_EQ_BAND || params[id].column == INDEX_MIX_EQ_BAND ||
           params[id].column == INDEX_MIX_GRAPHIC_BAND;
}

/* Where everything is to go back, gains do not wait for an equaliser that no card can move. */
static void
go_without_equaliser(struct draft *draft, const struct card_move *sideways)
{
    struct card *card = &draft->card;
    size_t kept = 0;

    draft_short(draft, STOP_SIDEWAYS, sideways->id, sideways->row, sideways->column);
    for (size_t i = 0; i < card->count; i++)
        if (!is_of_equaliser(card->moves[i].id))
            card->moves[kept++] = card->moves[i];
    card->count = kept;
}

/* Whether the first moves of the card leave some frequency louder than before and behind all. */
static bool
is_loud_behind(const struct draft *draft, size_t moves, const struct desk *after)
{
    const struct planner *planner = draft->planner;
    struct desk *between = desk_behind(planner->desk, &draft->card, moves);
    double over_db =
        loud_overshoot_db(planner->desk, between, after, planner->ground.show, draft->card.object);

    desk_free(between);
    return over_db > 0.05;
}

/* Filters that move sideways in several steps can be louder half-way than at either end: no card
 * says to do that. */
static void
look_half_way(struct draft *draft)
{
    struct card *card = &draft->card;
    const struct planner *planner = draft->planner;
    struct desk *after = desk_behind(planner->desk, card, card->count);
    size_t moves = 1;

    while (moves < card->count && (way_of(planner->desk, &card->moves[moves - 1]) != WAY_EITHER ||
                                   !is_loud_behind(draft, moves, after)))
        moves++;
    desk_free(after);
    if (moves >= card->count)
        return;
    if (planner->offsets && is_of_equaliser(card->moves[moves - 1].id)) {
        go_without_equaliser(draft, &card->moves[moves - 1]);
        look_half_way(draft);
        return;
    }
    draft_stop(draft, STOP_SIDEWAYS, card->moves[moves - 1].id, card->moves[moves - 1].row,
               card->moves[moves - 1].column);
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

static void
hold_meters(struct draft *draft)
{
    for (size_t i = 0; i < draft->card.count; i++) {
        const struct card_move *move = &draft->card.moves[i];

        if (move->id == PARAM_INPUT_PREAMP_GAIN && move->to > move->now)
            draft_raise_input(draft, move->row, move->to - move->now);
    }
}

bool
back_end(struct draft *draft)
{
    struct card *card = &draft->card;
    const struct planner *planner = draft->planner;

    hold_meters(draft);
    if (!draft->stopped && card->count > 0) {
        struct desk *after;

        way_order(planner->desk, card->moves, card->count);
        if (way_sideways(planner->desk, card->moves, card->count) > 1)
            look_half_way(draft);
        after = desk_behind(planner->desk, card, card->count);
        card->louder_db = loud_rise_db(planner->desk, after, planner->ground.show, card->object) +
                          limiter_rise_db(card);
        card->gives_db = loud_gain_rise_db(after, planner->desk, card->object);
        desk_free(after);
    }
    return draft_end(draft);
}
