/* SPDX-License-Identifier: MIT */
#include "link/rounds.h"

#include <math.h>
#include <stdlib.h>

#include "core/need.h"
#include "link/ceiling.h"

enum {
    LOOK_US = 100000,  /* at what moved */
    STILL_US = 300000, /* since the last move, */
    LOOKS_MOST = 9,    /* or when it was looked at so often, still within a second */
    LATE_US = 1000000  /* a round that could not keep its time makes up for no more than this */
};

static const uint32_t nothing = UINT32_MAX;

struct round {
    uint32_t *numbers; /* of its questions, in their order */
    size_t count, next;
    double step_us;   /* between two questions, as planned */
    double due_us;    /* the next one */
    int64_t begun_us; /* this one, which may begin anywhere; */
    size_t done;      /* of it */
    int64_t took_us;  /* the one before; 0: there was none */
};

/* What is looked at stands in order of its looks: each is so long after the one before it. */
struct move {
    int64_t last_us, look_us;
    uint32_t next; /* the question looked at after this one */
    uint8_t looks; /* to come, at most; 0: it is not looked at */
};

struct rounds {
    struct round protects, rest;
    struct ceiling budget;
    struct move *moves; /* one for each question */
    uint32_t first_moved, last_moved;
};

static void
fill(struct round *round, const struct layout *layout, bool protects)
{
    round->numbers = need_memory(layout->count + 1, sizeof *round->numbers);
    for (size_t i = 0; i < layout->count; i++)
        if (layout->protects[i] == protects)
            round->numbers[round->count++] = (uint32_t)i;
}

struct rounds *
rounds_new(const struct layout *layout)
{
    struct rounds *rounds = need_memory(1, sizeof *rounds);

    fill(&rounds->protects, layout, true);
    fill(&rounds->rest, layout, false);
    rounds->moves = need_memory(layout->count + 1, sizeof *rounds->moves);
    rounds->first_moved = rounds->last_moved = nothing;
    return rounds;
}

void
rounds_free(struct rounds *rounds)
{
    if (!rounds)
        return;
    free(rounds->protects.numbers);
    free(rounds->rest.numbers);
    free(rounds->moves);
    free(rounds);
}

/* ---- the rounds ---- */

static void
begin(struct round *round, double per_second, int64_t now_us)
{
    round->step_us = round->count > 0 ? 1e6 / per_second : HUGE_VAL;
    round->due_us = (double)now_us + round->step_us;
    round->begun_us = now_us;
    round->done = 0;
    round->took_us = 0;
}

/* Questions a second that the round would like. */
static double
wanted(const struct round *round, int64_t wish_us)
{
    return (double)round->count * 1e6 / (double)wish_us;
}

void
rounds_begin(struct rounds *rounds, double budget, struct round_periods wish, int64_t now_us)
{
    double rest = wanted(&rounds->rest, wish.rest_us);
    double protects =
        fmin(wanted(&rounds->protects, wish.protects_us), fmax(0.75 * budget, budget - rest));

    ceiling_init(&rounds->budget, budget, now_us);
    begin(&rounds->protects, protects, now_us);
    begin(&rounds->rest, fmin(rest, budget - protects), now_us);
}

static struct round *
first_due(struct rounds *rounds)
{
    return rounds->protects.due_us <= rounds->rest.due_us ? &rounds->protects : &rounds->rest;
}

int64_t
rounds_budget_wait_us(struct rounds *rounds, int64_t now_us)
{
    return ceiling_wait_us(&rounds->budget, now_us);
}

int64_t
rounds_wait_us(struct rounds *rounds, int64_t now_us)
{
    double wait_us = fmax(first_due(rounds)->due_us - (double)now_us,
                          (double)rounds_budget_wait_us(rounds, now_us));

    return (int64_t)ceil(fmin(fmax(wait_us, 0), 1e12));
}

/* Neither may fall behind for good: then both are late by less, and keep their proportion. */
static void
forgive(struct rounds *rounds, double late_us)
{
    if (late_us <= LATE_US)
        return;
    rounds->protects.due_us += late_us - LATE_US;
    rounds->rest.due_us += late_us - LATE_US;
}

/* The next question of the round, which is due. */
static size_t
take(struct rounds *rounds, struct round *round, int64_t now_us)
{
    size_t number = round->numbers[round->next];

    round->next = (round->next + 1) % round->count;
    forgive(rounds, (double)now_us - round->due_us);
    round->due_us += round->step_us;
    if (++round->done == round->count) {
        round->done = 0;
        round->took_us = now_us - round->begun_us;
        round->begun_us = now_us;
    }
    return number;
}

bool
rounds_next(struct rounds *rounds, int64_t now_us, size_t *number)
{
    if (rounds_wait_us(rounds, now_us) > 0)
        return false;
    *number = take(rounds, first_due(rounds), now_us);
    return true;
}

int64_t
rounds_protecting_wait_us(const struct rounds *rounds, int64_t now_us)
{
    const struct round *round = &rounds->protects;

    if (round->count == 0 || round->step_us <= 0)
        return -1;
    return (int64_t)ceil(fmin(fmax(round->due_us - (double)now_us, 0), 1e12));
}

bool
rounds_next_protecting(struct rounds *rounds, int64_t now_us, size_t *number)
{
    if (rounds_protecting_wait_us(rounds, now_us) != 0)
        return false;
    *number = take(rounds, &rounds->protects, now_us);
    return true;
}

void
rounds_asked(struct rounds *rounds, int64_t now_us)
{
    ceiling_sent(&rounds->budget, now_us);
}

static int64_t
planned_us(const struct round *round)
{
    return round->count > 0 ? (int64_t)((double)round->count * round->step_us) : 0;
}

struct round_periods
rounds_planned(const struct rounds *rounds)
{
    return (struct round_periods){planned_us(&rounds->protects), planned_us(&rounds->rest)};
}

/* How long the round that goes on will take at its pace up to now; so far where it has just begun. */
static int64_t
expected_us(const struct round *round, int64_t now_us)
{
    int64_t lasts_us = now_us - round->begun_us;

    return round->done > round->count / 8 ? lasts_us * (int64_t)round->count / (int64_t)round->done
                                          : lasts_us;
}

static int64_t
period_us(const struct round *round, int64_t now_us)
{
    int64_t longest_us = expected_us(round, now_us);

    if (round->count == 0)
        return 0;
    longest_us = longest_us > round->took_us ? longest_us : round->took_us;
    return longest_us > planned_us(round) ? longest_us : planned_us(round);
}

struct round_periods
rounds_periods(const struct rounds *rounds, int64_t now_us)
{
    return (struct round_periods){period_us(&rounds->protects, now_us),
                                  period_us(&rounds->rest, now_us)};
}

/* ---- what moved ---- */

static void
append(struct rounds *rounds, uint32_t number, int64_t now_us)
{
    struct move *move = &rounds->moves[number];

    move->look_us = now_us + LOOK_US;
    move->next = nothing;
    if (rounds->first_moved == nothing)
        rounds->first_moved = number;
    else
        rounds->moves[rounds->last_moved].next = number;
    rounds->last_moved = number;
}

bool
rounds_moved(struct rounds *rounds, size_t number, int64_t now_us)
{
    struct move *move = &rounds->moves[number];
    bool first = rounds->first_moved == nothing;

    move->last_us = now_us;
    if (move->looks > 0)
        return false;
    move->looks = LOOKS_MOST;
    append(rounds, (uint32_t)number, now_us);
    return first;
}

bool
rounds_next_moved(struct rounds *rounds, int64_t now_us, size_t *number)
{
    while (rounds->first_moved != nothing) {
        uint32_t first = rounds->first_moved;
        struct move *move = &rounds->moves[first];

        if (move->look_us > now_us)
            return false;
        rounds->first_moved = move->next;
        if (--move->looks == 0 || now_us - move->last_us >= STILL_US) {
            move->looks = 0;
            *number = first;
            return true;
        }
        append(rounds, first, now_us);
    }
    return false;
}

int64_t
rounds_moved_wait_us(const struct rounds *rounds, int64_t now_us)
{
    int64_t wait_us;

    if (rounds->first_moved == nothing)
        return -1;
    wait_us = rounds->moves[rounds->first_moved].look_us - now_us;
    return wait_us > 0 ? wait_us : 0;
}
