/* SPDX-License-Identifier: MIT */
#include "proof/figures.h"

#include <math.h>
#include <stddef.h>

#include "proof/pushed.h"

static const double rounding_db = 0.005; /* a file keeps so much */
static const double moved_db = 0.05;

static const struct proof_figure no_figure = {.ceiling = -1, .hz = NAN, .input = -1, .mix = -1};

/* The rows under one ceiling. */
static const struct row *
under(const struct figures *figures, const struct row *rows, int ceiling)
{
    return rows + (size_t)ceiling * (size_t)figures->mixes;
}

/* What the ceiling leaves the mix, by its own paths. */
static double
gap_db(const struct figures *figures, const struct row *rows, int ceiling, int mix)
{
    return under(figures, rows, pushed_instead(figures, rows, ceiling, mix))[mix].db;
}

static bool
counts(const struct figures *figures, int mix)
{
    return figures->loops[mix] != SURE_NO;
}

/* Nothing is said of a path that is not known. */
static bool
is_number(const struct row *row)
{
    return row->unknown == 0 && row->input >= 0;
}

/* All that is open has a proof. */
static bool
is_proved(const struct row *row)
{
    return is_number(row) && row->unproved < 0;
}

/* ---- what covers ---- */

struct cover {
    enum sure sure;
    int mix; /* that passed it the furthest; -1: none did */
};

/* What has no proof passed it the furthest. Who is past his own push is past all together, too: the
 * push is believed, and so nothing is proved with him there. */
static double
passed_db(const struct figures *figures, const struct row *rows, int ceiling, int mix)
{
    return under(figures, rows, ceiling)[mix].unproved >= 0 ? -HUGE_VAL
                                                            : gap_db(figures, rows, ceiling, mix);
}

static struct worst
worst_of(const struct figures *figures, const struct row *rows, int ceiling)
{
    struct worst worst = {-1, -1, 0};
    double first_db = 0, second_db = 0;

    for (int mix = 0; mix < figures->mixes; mix++) {
        double db;

        if (!counts(figures, mix))
            continue;
        worst.unknown += under(figures, rows, ceiling)[mix].unknown > 0;
        db = passed_db(figures, rows, ceiling, mix);
        if (worst.first < 0 || db < first_db) {
            worst.second = worst.first;
            second_db = first_db;
            worst.first = mix;
            first_db = db;
        } else if (worst.second < 0 || db < second_db) {
            worst.second = mix;
            second_db = db;
        }
    }
    return worst;
}

void
figures_renew(struct figures *figures)
{
    pushed_find(figures);
    for (int i = 0; i < figures->ceilings; i++) {
        figures->worst_now[i] = worst_of(figures, figures->now, i);
        if (figures->left)
            figures->worst_left[i] = worst_of(figures, figures->left, i);
    }
}

/* Whether a ceiling lies over every path of the other mixes. */
static struct cover
cover_others(const struct figures *figures, const struct worst *worst, const struct row *rows,
             int ceiling, int mix)
{
    int other = worst->first == mix ? worst->second : worst->first;
    bool own = counts(figures, mix) && under(figures, rows, ceiling)[mix].unknown > 0;
    int unknown = worst->unknown - own;

    if (other >= 0 && passed_db(figures, rows, ceiling, other) < -rounding_db)
        return (struct cover){SURE_NO, other};
    return (struct cover){unknown > 0 ? UNSURE : SURE_YES, -1};
}

static struct cover
covers_now(const struct figures *figures, int ceiling, int mix)
{
    return cover_others(figures, &figures->worst_now[ceiling], figures->now, ceiling, mix);
}

/* The ceiling covered the others as they were left. */
static bool
covered_as_left(const struct figures *figures, int ceiling, int mix)
{
    return cover_others(figures, &figures->worst_left[ceiling], figures->left, ceiling, mix).sure ==
           SURE_YES;
}

/* ---- allowances ---- */

/* Adds what moved in the paths of one mix, of which some fell so much more than others. */
static void
add_moves(struct movers *moves, const struct row *row, double fall_db, int mix)
{
    movers_join(moves, &row->moves);
    if (fall_db > moved_db)
        movers_add(moves,
                   fall_db > ALLOWANCE_DOWN_DB + moved_db ? ALLOWANCE_CLOSED : ALLOWANCE_DOWN,
                   row->most_fall_input, mix);
}

/* How far all of them fell; a rise takes nothing away. */
static double
common_fall_db(const struct figures *figures, const struct row *rows)
{
    double least_db = HUGE_VAL;

    for (int mix = 0; mix < figures->mixes; mix++)
        if (counts(figures, mix))
            least_db = fmin(least_db, rows[mix].least_fall_db);
    return fmax(0, least_db);
}

static void
add_own_moves(struct movers *moves, const struct row *row, int mix)
{
    add_moves(moves, row, row->most_fall_db - fmax(0, row->least_fall_db), mix);
}

/* What moved between two desks: what fell more than all did. The paths of `mix` are one, whose own
 * rise is asked for; -1: all are alike. */
static void
add_all_moves(struct movers *moves, const struct figures *figures, const struct row *rows, int mix)
{
    double common_db = common_fall_db(figures, rows);

    for (int other = 0; other < figures->mixes; other++) {
        if (!counts(figures, other))
            continue;
        if (other == mix)
            add_own_moves(moves, &rows[other], mix);
        else
            add_moves(moves, &rows[other], rows[other].most_fall_db - common_db, other);
    }
}

/* Since the ceiling: from what was left on, which is named first, and up to there; or at once. */
static struct movers
moves_since(const struct figures *figures, int ceiling, int mix)
{
    struct movers moves = {0};

    if (figures->left)
        add_all_moves(&moves, figures, figures->since, mix);
    add_all_moves(&moves, figures,
                  under(figures, figures->left ? figures->left : figures->now, ceiling), mix);
    return moves;
}

static struct movers
own_moves_since(const struct figures *figures, int ceiling, int mix)
{
    struct movers moves = {0};

    if (figures->left)
        add_own_moves(&moves, &figures->since[mix], mix);
    add_own_moves(&moves,
                  &under(figures, figures->left ? figures->left : figures->now, ceiling)[mix], mix);
    return moves;
}

/* ---- figures ---- */

/* Without an allowance it would be the better one. */
static bool
may_be_better(const struct proof_figure *best, const struct row *row)
{
    return best->ceiling < 0 || row->db > best->db;
}

/* Keeps the better one. */
static void
offer(struct proof_figure *best, const struct row *row, int ceiling, int mix, struct movers moves)
{
    double allowed_db = allowance_db(moves.kinds);

    if (best->ceiling >= 0 && row->db - allowed_db <= best->db)
        return;
    *best = (struct proof_figure){.ceiling = ceiling,
                                  .db = row->db - allowed_db,
                                  .allowance_db = allowed_db,
                                  .moves = moves,
                                  .hz = row->hz,
                                  .input = row->input,
                                  .mix = mix};
}

static void
find_alone(const struct figures *figures, int mix, struct proof_mix *of)
{
    of->alone = no_figure;
    for (int i = 0; i < figures->ceilings; i++) {
        const struct row *row = &under(figures, figures->now, i)[mix];

        if (is_proved(row) && may_be_better(&of->alone, row))
            offer(&of->alone, row, i, mix, own_moves_since(figures, i, mix));
    }
}

/* Of those that were proved with all together the best for its own paths; -1: there is none. */
static int
best_together(const struct figures *figures, int mix)
{
    int best = -1;

    for (int i = 0; i < figures->ceilings; i++) {
        const struct row *row = &under(figures, figures->now, i)[mix];

        if (figures->kept[i].mix < 0 && is_proved(row) &&
            (best < 0 || row->db > under(figures, figures->now, best)[mix].db))
            best = i;
    }
    return best;
}

static void
name_path(struct proof_mix *of, enum proof_why why, const struct row *rows, int mix)
{
    of->why = why;
    of->mix = mix;
    of->input = mix < 0 ? -1 : rows[mix].unproved >= 0 ? rows[mix].unproved : rows[mix].input;
}

/* Why nothing covers it. */
static void
explain(const struct figures *figures, int mix, struct proof_mix *of)
{
    int best = best_together(figures, mix);
    const struct row *rows = under(figures, figures->now, best < 0 ? figures->ceilings - 1 : best);
    int other = covers_now(figures, best < 0 ? figures->ceilings - 1 : best, mix).mix;

    of->state = PROOF_NONE;
    if (of->alone.ceiling < 0)
        name_path(of, PROOF_OPENED, rows, mix);
    else if (best < 0)
        name_path(of, PROOF_ALONE_ONLY, rows, -1);
    else if (rows[other].unproved < 0)
        name_path(of, PROOF_TAKEN, rows, other);
    else
        name_path(of, PROOF_OTHER_OPENED, rows, other);
}

static void
find_margin(const struct figures *figures, int mix, struct proof_mix *of)
{
    bool unknown = false;

    of->margin = no_figure;
    for (int i = 0; i < figures->ceilings; i++) {
        const struct row *rows = under(figures, figures->now, i);
        enum sure covered = covers_now(figures, i, mix).sure;

        unknown |= rows[mix].unknown > 0 || (covered == UNSURE && rows[mix].unproved < 0);
        if (covered == SURE_YES && is_proved(&rows[mix])) {
            int counted = pushed_instead(figures, figures->now, i, mix);
            const struct row *row = &under(figures, figures->now, counted)[mix];

            if (may_be_better(&of->margin, row))
                offer(&of->margin, row, counted, mix, moves_since(figures, i, mix));
        }
    }
    if (of->margin.ceiling >= 0)
        of->state = PROOF_LEFT;
    else if (unknown)
        of->state = PROOF_NOT_KNOWN;
    else
        explain(figures, mix, of);
}

static bool
is_closed(const struct figures *figures, int mix)
{
    return row_is_closed(&figures->now[mix]);
}

/* The least gap of all paths under each ceiling, the best of them. */
struct proof_figure
figures_of_desk(const struct figures *figures)
{
    struct proof_figure best = no_figure;

    for (int i = 0; i < figures->ceilings; i++) {
        const struct row *rows = under(figures, figures->now, i);
        int least = -1;
        bool known = true;

        for (int mix = 0; mix < figures->mixes; mix++) {
            if (!counts(figures, mix) || is_closed(figures, mix))
                continue;
            known &= is_proved(&rows[mix]);
            if (least < 0 || rows[mix].db < rows[least].db)
                least = mix;
        }
        if (known && least >= 0 && may_be_better(&best, &rows[least]))
            offer(&best, &rows[least], i, least, moves_since(figures, i, -1));
    }
    return best;
}

/* ---- findings ---- */

/* The ceiling says something of every path that was open when the ring-out ended, and so of any rise
 * since; what opened after that has no proof. */
static bool
counts_rises(const struct figures *figures, int ceiling, int mix)
{
    const struct row *now = &under(figures, figures->now, ceiling)[mix];

    return figures->left ? is_proved(&under(figures, figures->left, ceiling)[mix]) && is_number(now)
                         : is_proved(now);
}

/* The best gap of the mix under any such ceiling, whatever the others do. NAN: there is none. */
static double
any_db(const struct figures *figures, int mix)
{
    double best_db = NAN;

    for (int i = 0; i < figures->ceilings; i++)
        if (counts_rises(figures, i, mix))
            best_db = fmax(best_db, gap_db(figures, figures->now, i, mix));
    return best_db;
}

/* The same under those that covered the others as they were left. */
static double
own_db(const struct figures *figures, const struct row *lists, int mix)
{
    double best_db = NAN;

    for (int i = 0; i < figures->ceilings; i++) {
        if (counts_rises(figures, i, mix) && covered_as_left(figures, i, mix))
            best_db = fmax(best_db, gap_db(figures, lists, i, mix));
    }
    return best_db;
}

/* The same under those that cover the others as they stand, or how far the whole desk is past the
 * best, whichever is more. */
static double
standing_db(const struct figures *figures, int mix)
{
    double best_db = NAN, whole_db = NAN;

    for (int i = 0; i < figures->ceilings; i++) {
        const struct row *rows = under(figures, figures->now, i);
        struct cover cover = covers_now(figures, i, mix);

        if (!counts_rises(figures, i, mix) || cover.sure == UNSURE)
            continue;
        if (cover.sure == SURE_YES)
            best_db = fmax(best_db, gap_db(figures, figures->now, i, mix));
        else if (rows[cover.mix].unproved < 0)
            whole_db = fmax(whole_db, fmin(gap_db(figures, figures->now, i, mix),
                                           gap_db(figures, figures->now, i, cover.mix)));
    }
    return fmax(best_db, whole_db);
}

/* What the best ceiling would leave, had no other mix passed it since the ring-out. */
static void
find_taken(const struct figures *figures, int mix, struct proof_mix *of)
{
    double own = own_db(figures, figures->now, mix);
    double taken = own - of->margin.db - of->margin.allowance_db;

    if (of->state != PROOF_LEFT || !(taken > moved_db))
        return;
    for (int i = 0; i < figures->ceilings; i++) {
        struct cover cover = covers_now(figures, i, mix);

        if (gap_db(figures, figures->now, i, mix) == own && cover.mix >= 0 &&
            counts_rises(figures, i, mix) && covered_as_left(figures, i, mix)) {
            of->taken_db = taken;
            of->taken_mix = cover.mix;
        }
    }
}

static double
rise_db(const struct row *since)
{
    if (since->unknown > 0)
        return NAN;
    return since->input < 0 ? 0 : fmax(0, -since->db);
}

/* Among those that rose, those that rose the most answer for what they did together. */
static double
most_rise_db(const struct figures *figures)
{
    double most_db = 0;

    for (int mix = 0; mix < figures->mixes; mix++) {
        double db = counts(figures, mix) ? rise_db(&figures->since[mix]) : 0;

        most_db = fmax(most_db, db);
    }
    return most_db;
}

/* What opened has no figure, and hides none of the others. */
static void
find_rise(const struct figures *figures, int mix, struct proof_mix *of)
{
    double any = any_db(figures, mix), past = any < 0 ? any : NAN;
    double together = standing_db(figures, mix), own;

    if (!figures->since) {
        of->counted_db = of->state == PROOF_LEFT ? together : past;
        return;
    }
    of->opened_input = figures->since[mix].unproved;
    of->rose_db = rise_db(&figures->since[mix]);
    if (!(of->rose_db > moved_db)) { /* the ring-out may have left it past all that did not ring */
        of->counted_db = past < -moved_db ? past : NAN;
        return;
    }
    of->rose_input = figures->since[mix].input;
    of->rose_hz = figures->since[mix].hz;
    own = own_db(figures, figures->now, mix);
    of->counted_db = isnan(own) ? past : own;
    if (of->rose_db > most_rise_db(figures) - moved_db && together < own)
        of->counted_db = together;
    of->lost_db = of->after_db - own;
}

struct proof_mix
figures_of_mix(const struct figures *figures, int mix)
{
    struct proof_mix of = {.margin = no_figure,
                           .alone = no_figure,
                           .input = -1,
                           .mix = -1,
                           .after_db = NAN,
                           .taken_mix = -1,
                           .rose_db = NAN,
                           .rose_hz = NAN,
                           .rose_input = -1,
                           .opened_input = -1,
                           .counted_db = NAN,
                           .lost_db = NAN};

    if (!counts(figures, mix) || is_closed(figures, mix)) {
        of.state = counts(figures, mix) ? PROOF_CLOSED : PROOF_NO_LOOP;
        return of;
    }
    find_alone(figures, mix, &of);
    find_margin(figures, mix, &of);
    if (of.state == PROOF_LEFT)
        of.less_db = pushed_less_db(figures, of.margin.ceiling, mix);
    if (figures->left) {
        of.after_db = own_db(figures, figures->left, mix);
        find_taken(figures, mix, &of);
    }
    if (of.state != PROOF_NOT_KNOWN)
        find_rise(figures, mix, &of);
    return of;
}
