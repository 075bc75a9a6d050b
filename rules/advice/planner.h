/* SPDX-License-Identifier: MIT */
/* What the makers of cards share: the desk as the cards so far leave it. */
#ifndef GAINWARDEN_RULES_PLANNER_H
#define GAINWARDEN_RULES_PLANNER_H

#include "advice/held.h"
#include "advice/plan.h"
#include "change/offset.h"

struct planner {
    const struct plan_wish *wish;
    struct desk *desk;    /* as the cards so far leave it */
    struct desk *base;    /* as the slips that are put back leave it */
    struct ground ground; /* the wish's, with that desk */
    struct plan *plan;
    struct offsets *offsets; /* PLAN_ALL_BACK: from the approved desk to where this pass began */
    int *own_mixes;          /* by input: in which its own send is found, -1: it is not */
    int *preamps;            /* the first input of each input's preamp; -1: not known */
    uint64_t *moved; /* by mix: parameters that cards move there, a bit each; behind them, of all */
    bool *old;       /* by check and object: what is known to have failed before any card */
    double *base_loudest_db, *approved_loudest_db; /* as ground.loudest_db, of those desks */
    struct ban *bans;                              /* cards that led to something new */
    size_t ban_count;
    size_t *movers[PARAMS]; /* of each control of a parameter: 1 + the last card that moves it */
};

struct ban {
    enum card_kind kind;
    struct object object;
    int brings; /* the finding: its check, */
    struct object on;
};

/* Whether the check finds something on the desk as it stands that is not accepted. */
bool planner_finds(const struct planner *planner, int check, struct object object,
                   struct verdict *verdict);

/* Whether the check, which the set has, fails on another desk, if only for a cause that another
 * finding tells. */
bool planner_fails_on(const struct planner *planner, const struct desk *desk, int check,
                      struct object object);

/* Whether an accept covers a finding that stands there now, and whose cure would move the control. */
bool planner_accepts(const struct planner *planner, enum param_id id, int row, int column);

/* Whether what the accept covers up to a figure stands at the control now, and is past it. */
bool planner_outgrew(const struct planner *planner, const struct accept *accept, enum param_id id,
                     int row, int column);

/* The desk has moved: how loud its mixes are is another. */
void planner_forget_loudest(struct planner *planner);

/* What is remembered of the loudest paths of the base or the approved desk; NULL for any other. */
double *planner_loudest(const struct planner *planner, const struct desk *desk);

/* Makes the moves of a card on the planner's desk. */
void planner_make_moves(struct planner *planner, const struct card *card);

/* Puts back on the base, too, what came to light behind other cards; nothing before there is one. */
void planner_move_base(struct planner *planner, const struct card *card);

/* Takes them back, the last first. */
void planner_take_back(struct planner *planner, const struct card *card);

/* 1 + the last card that moves the control, 0: none does. */
size_t *planner_mover(struct planner *planner, enum param_id id, int row, int column);

/* Notes the card at the place as the last that moves its controls, and on which others it rests. */
void planner_note_movers(struct planner *planner, struct card *card, size_t place);
void planner_forget_movers(struct planner *planner);

/* The nearest place on the control's grid that is not above; and not below. */
double planner_floor(const struct planner *planner, enum param_id id, double number);
double planner_ceil(const struct planner *planner, enum param_id id, double number);

/* Readies what else it holds, with the desk in place; and frees all that is not the caller's. */
void planner_open(struct planner *planner);
void planner_close(struct planner *planner);

#endif
