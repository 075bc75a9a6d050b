/* SPDX-License-Identifier: MIT */
#include "proof/proof.h"

#include <assert.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/need.h"
#include "proof/counted.h"
#include "proof/figures.h"
#include "proof/pair.h"
#include "proof/reads.h"

struct proof {
    const struct desk *now;
    const struct show *show;
    const struct proofs *kept;
    int inputs, mixes, ceilings, pairs; /* pairs: a ceiling each, and what was left */
    struct side now_side, *sides;       /* of the ceilings, and what was left */
    struct pair *to_now;
    struct row *rows;      /* pairs x mixes */
    struct row *left_rows; /* ceilings x mixes: as it was left; NULL: not known */
    enum sure *input_loops, *mix_loops;
    struct figures figures;
    struct proof_mix *of_mixes;
    struct proof_figure of_desk;
    bool *is_worked_out, is_desk_worked_out; /* of_mixes, each, and of_desk are of the rows */

    /* what is to be worked out again */
    bool *input_tones, *mix_tones;
    bool *due; /* pairs x mixes: of the rows */
    enum spot_moved { SPOT_STANDS, SPOT_LEVEL, SPOT_WAY } * spots;
    bool any;
};

/* ---- what can be a loop ---- */

static bool
is_open(const struct proof *proof, int input)
{
    for (int mix = 0; mix < proof->mixes; mix++)
        if (counted_mix(proof->now, proof->show, mix) != SURE_NO &&
            side_spot(&proof->now_side, input, mix)->open != SURE_NO)
            return true;
    return false;
}

bool
proof_guesses_input(const struct proof *proof, int input)
{
    return counted_input(proof->now, proof->show, input) == UNSURE && is_open(proof, input);
}

bool
proof_guesses_mix(const struct proof *proof, int mix)
{
    return counted_mix(proof->now, proof->show, mix) == UNSURE;
}

bool
proof_counts_input(const struct proof *proof, int input)
{
    return counted_input(proof->now, proof->show, input) != SURE_NO;
}

/* Labels tell it too, and come late: true where what can be a loop of the inputs is another now. */
static bool
find_loops(struct proof *proof)
{
    bool other = false;

    for (int input = 0; input < proof->inputs; input++) {
        enum sure loops = counted_input(proof->now, proof->show, input);

        other |= proof->input_loops[input] != loops;
        proof->input_loops[input] = loops;
    }
    for (int mix = 0; mix < proof->mixes; mix++)
        proof->mix_loops[mix] = counted_mix(proof->now, proof->show, mix);
    return other;
}

/* ---- beginning ---- */

static struct row *
row_at(const struct proof *proof, struct row *rows, int pair, int mix)
{
    return &rows[(size_t)pair * (size_t)proof->mixes + (size_t)mix];
}

static void
take_sides(struct proof *proof)
{
    side_take(&proof->now_side, proof->now);
    proof->sides = need_memory((size_t)proof->pairs, sizeof *proof->sides);
    proof->to_now = need_memory((size_t)proof->pairs, sizeof *proof->to_now);
    for (int i = 0; i < proof->pairs; i++) {
        bool proves = i < proof->ceilings;

        side_take(&proof->sides[i], proves ? proof->kept->ceilings[i].desk : proof->kept->left);
        pair_init(&proof->to_now[i], &proof->sides[i], &proof->now_side, proves, proof->to_now, i);
    }
}

/* How the ceilings stood over the desk as it was left. Neither moves, but what counts as a loop
 * may. */
static void
take_left(struct proof *proof)
{
    if (!proof->left_rows)
        return;
    for (int i = 0; i < proof->ceilings; i++) {
        struct pair pair;

        pair_init(&pair, &proof->sides[i], &proof->sides[proof->ceilings], true, NULL, 0);
        for (int mix = 0; mix < proof->mixes; mix++)
            *row_at(proof, proof->left_rows, i, mix) = pair_row(&pair, mix, proof->input_loops);
        pair_release(&pair);
    }
}

static void
make_marks(struct proof *proof)
{
    size_t inputs = (size_t)proof->inputs, mixes = (size_t)proof->mixes;

    proof->input_tones = need_memory(inputs, sizeof *proof->input_tones);
    proof->mix_tones = need_memory(mixes, sizeof *proof->mix_tones);
    proof->spots = need_memory(inputs * mixes, sizeof *proof->spots);
    proof->due = need_memory((size_t)proof->pairs * mixes, sizeof *proof->due);
    memset(proof->due, true, (size_t)proof->pairs * mixes * sizeof *proof->due);
    proof->any = true;
}

static void
make_figures(struct proof *proof)
{
    proof->of_mixes = need_memory((size_t)proof->mixes, sizeof *proof->of_mixes);
    proof->is_worked_out = need_memory((size_t)proof->mixes, sizeof *proof->is_worked_out);
    proof->figures = (struct figures){
        .ceilings = proof->ceilings,
        .mixes = proof->mixes,
        .kept = proof->kept->ceilings,
        .loops = proof->mix_loops,
        .now = proof->rows,
        .left = proof->left_rows,
        .since = proof->left_rows ? row_at(proof, proof->rows, proof->ceilings, 0) : NULL};
}

struct proof *
proof_new(const struct desk *now, const struct show *show, const struct proofs *proofs)
{
    struct proof *proof = need_memory(1, sizeof *proof);

    assert(proofs->ceiling_count > 0 && proofs->ceiling_count <= PROOFS_MOST);
    proof->now = now;
    proof->show = show;
    proof->kept = proofs;
    proof->inputs = desk_count(now, INDEX_INPUT);
    proof->mixes = desk_count(now, INDEX_MIX);
    proof->ceilings = proofs->ceiling_count;
    proof->pairs = proofs->ceiling_count + (proofs->left ? 1 : 0);
    proof->input_loops = need_memory((size_t)proof->inputs, sizeof *proof->input_loops);
    proof->mix_loops = need_memory((size_t)proof->mixes, sizeof *proof->mix_loops);
    proof->rows = need_memory((size_t)proof->pairs * (size_t)proof->mixes, sizeof *proof->rows);
    if (proofs->left)
        proof->left_rows =
            need_memory((size_t)proof->ceilings * (size_t)proof->mixes, sizeof *proof->left_rows);
    find_loops(proof);
    take_sides(proof);
    take_left(proof);
    make_marks(proof);
    make_figures(proof);
    return proof;
}

void
proof_free(struct proof *proof)
{
    if (!proof)
        return;
    for (int i = 0; i < proof->pairs; i++) {
        pair_release(&proof->to_now[i]);
        side_release(&proof->sides[i]);
    }
    side_release(&proof->now_side);
    free(proof->sides);
    free(proof->to_now);
    free(proof->rows);
    free(proof->left_rows);
    free(proof->input_loops);
    free(proof->mix_loops);
    free(proof->of_mixes);
    free(proof->is_worked_out);
    free(proof->input_tones);
    free(proof->mix_tones);
    free(proof->spots);
    free(proof->due);
    free(proof);
}

const struct proofs *
proof_kept(const struct proof *proof)
{
    return proof->kept;
}

const struct desk *
proof_desk(const struct proof *proof)
{
    return proof->now;
}

/* ---- what moved ---- */

static bool
is_in(const enum param_id *list, enum param_id id)
{
    while (*list != PARAMS && *list != id)
        list++;
    return *list == id;
}

static void
mark_spot(struct proof *proof, int input, int mix, enum spot_moved moved)
{
    enum spot_moved *spot = &proof->spots[input * proof->mixes + mix];

    *spot = moved > *spot ? moved : *spot;
}

/* Every path that has the index; -1: all of a kind. */
static void
mark_spots(struct proof *proof, int input, int mix, enum spot_moved moved)
{
    int last_input = input < 0 ? proof->inputs - 1 : input;
    int last_mix = mix < 0 ? proof->mixes - 1 : mix;

    for (int i = input < 0 ? 0 : input; i <= last_input; i++)
        for (int m = mix < 0 ? 0 : mix; m <= last_mix; m++)
            mark_spot(proof, i, m, moved);
}

bool
proof_moved(struct proof *proof, enum param_id id, int row, int column)
{
    static const enum param_id reads[] = {PROOF_READS, PARAMS};
    static const enum param_id of_input[] = {TONE_INPUT_READS, PARAMS};
    static const enum param_id of_mix[] = {TONE_MIX_READS, PARAMS};
    static const enum param_id of_way[] = {PAIR_READS, PARAM_INPUT_NAME, PARAM_MIX_NAME, PARAMS};
    enum spot_moved moved = is_in(of_way, id) ? SPOT_WAY : SPOT_LEVEL;

    if (!is_in(reads, id))
        return false;
    proof->any = true;
    if (is_in(of_input, id))
        proof->input_tones[row] = true;
    else if (is_in(of_mix, id))
        proof->mix_tones[row] = true;
    else if (params[id].column == INDEX_MIX)
        mark_spots(proof, row, column, moved);
    else if (params[id].row == INDEX_MIX)
        mark_spots(proof, -1, row, moved);
    else
        mark_spots(proof, params[id].row == INDEX_INPUT ? row : -1, -1, moved);
    return true;
}

/* ---- working out ---- */

static void
mark_row(struct proof *proof, int pair, int mix)
{
    proof->due[(size_t)pair * (size_t)proof->mixes + (size_t)mix] = true;
}

static bool
is_row_due(const struct proof *proof, int pair, int mix)
{
    return proof->due[(size_t)pair * (size_t)proof->mixes + (size_t)mix];
}

static void
renew_tones(struct proof *proof)
{
    for (int input = 0; input < proof->inputs; input++) {
        if (!proof->input_tones[input])
            continue;
        if (tone_of_input(&proof->now_side.input_tones[input], proof->now, input))
            mark_spots(proof, input, -1, SPOT_WAY);
        for (int i = 0; i < proof->pairs; i++)
            pair_input_moved(&proof->to_now[i], input);
        memset(proof->due, true, (size_t)proof->pairs * (size_t)proof->mixes * sizeof *proof->due);
    }
    for (int mix = 0; mix < proof->mixes; mix++) {
        if (!proof->mix_tones[mix])
            continue;
        if (tone_of_mix(&proof->now_side.mix_tones[mix], proof->now, mix))
            mark_spots(proof, -1, mix, SPOT_WAY);
        for (int i = 0; i < proof->pairs; i++) {
            pair_mix_moved(&proof->to_now[i], mix);
            mark_row(proof, i, mix);
        }
    }
}

static void
renew_spot(struct proof *proof, int input, int mix, enum spot_moved moved)
{
    bool way = side_take_spot(&proof->now_side, input, mix) || moved == SPOT_WAY;

    for (int i = 0; i < proof->pairs; i++) {
        struct pair *pair = &proof->to_now[i];

        if (way)
            pair_spot_moved(pair, input, mix);
        if (way || (!pair_level_moved(pair, input, mix, row_at(proof, proof->rows, i, mix)) &&
                    proof->input_loops[input] != SURE_NO))
            mark_row(proof, i, mix);
    }
}

static void
renew_spots(struct proof *proof)
{
    for (int input = 0; input < proof->inputs; input++)
        for (int mix = 0; mix < proof->mixes; mix++)
            if (proof->spots[input * proof->mixes + mix] != SPOT_STANDS)
                renew_spot(proof, input, mix, proof->spots[input * proof->mixes + mix]);
}

/* Whether any was due. */
static bool
renew_rows(struct proof *proof)
{
    bool any = false;

    for (int i = 0; i < proof->pairs; i++)
        for (int mix = 0; mix < proof->mixes; mix++) {
            if (!is_row_due(proof, i, mix))
                continue;
            *row_at(proof, proof->rows, i, mix) =
                pair_row(&proof->to_now[i], mix, proof->input_loops);
            any = true;
        }
    return any;
}

static void
unmark(struct proof *proof)
{
    size_t inputs = (size_t)proof->inputs, mixes = (size_t)proof->mixes;

    memset(proof->input_tones, false, inputs * sizeof *proof->input_tones);
    memset(proof->mix_tones, false, mixes * sizeof *proof->mix_tones);
    memset(proof->spots, SPOT_STANDS, inputs * mixes * sizeof *proof->spots);
    memset(proof->due, false, (size_t)proof->pairs * mixes * sizeof *proof->due);
    proof->any = false;
}

static void
renew(struct proof *proof)
{
    bool other;

    if (!proof->any)
        return;
    if (find_loops(proof))
        take_left(proof);
    renew_tones(proof);
    renew_spots(proof);
    other = renew_rows(proof);
    unmark(proof);
    if (!other)
        return;
    figures_renew(&proof->figures);
    memset(proof->is_worked_out, false, (size_t)proof->mixes * sizeof *proof->is_worked_out);
    proof->is_desk_worked_out = false;
}

const struct proof_mix *
proof_of_mix(struct proof *proof, int mix)
{
    renew(proof);
    if (!proof->is_worked_out[mix])
        proof->of_mixes[mix] = figures_of_mix(&proof->figures, mix);
    proof->is_worked_out[mix] = true;
    return &proof->of_mixes[mix];
}

const struct proof_figure *
proof_of_desk(struct proof *proof)
{
    renew(proof);
    if (!proof->is_desk_worked_out)
        proof->of_desk = figures_of_desk(&proof->figures);
    proof->is_desk_worked_out = true;
    return &proof->of_desk;
}

static struct since_end
end_of(const struct side *side, int input, int mix)
{
    return (struct since_end){side->desk, &side->input_tones[input], &side->mix_tones[mix]};
}

struct since
proof_since(struct proof *proof, int input, int mix, double hz)
{
    struct since_end left, now;

    renew(proof);
    if (!proof->kept->left)
        return (struct since){0};
    left = end_of(&proof->sides[proof->ceilings], input, mix);
    now = end_of(&proof->now_side, input, mix);
    return since_of(&left, &now, input, mix, hz);
}

double
proof_below_ring_db(struct proof *proof, int ring)
{
    const struct proof_ring *at = &proof->kept->rings[ring];
    const struct side *now = &proof->now_side;
    double gain_db = 0;

    renew(proof);
    if (at->input < 0 || side_spot(now, at->input, at->mix)->open != SURE_YES ||
        !now->mix_tones[at->mix].known)
        return NAN;
    if (side_spot(now, at->input, at->mix)->tap != TAP_PRE_EQ) {
        if (!now->input_tones[at->input].known)
            return NAN;
        gain_db = tone_db(&now->input_tones[at->input], at->hz);
    }
    gain_db +=
        side_spot(now, at->input, at->mix)->level_db + tone_db(&now->mix_tones[at->mix], at->hz);
    return at->gain_db - gain_db;
}

/* ---- what is not known ---- */

static void
miss_path(struct look *look, int input, int mix)
{
    static const enum param_id of_input[] = {PARAM_INPUT_MUTE, PARAM_INPUT_POLARITY,
                                             PARAM_INPUT_DELAY, PARAM_INPUT_PREAMP};
    struct path_level level;
    struct filters filters;

    for (size_t i = 0; i < sizeof of_input / sizeof *of_input; i++)
        if (of_input[i] != PARAM_INPUT_PREAMP ||
            desk_supplied(look->desk, of_input[i]) != SUPPLY_NONE)
            look_value(look, of_input[i], input, 0);
    path_level(look, input, mix, &level);
    path_input_filters(look, input, &filters);
}

struct misses
proof_missing(const struct proof *proof, int mix)
{
    static const enum param_id reads[] = {PROOF_READS, PARAMS};
    struct verdict aside;
    struct look look = look_reader(proof->now, proof->show, reads, &aside);
    struct filters filters;

    look_value(&look, PARAM_MIX_MUTE, mix, 0);
    look_value(&look, PARAM_MIX_DELAY, mix, 0);
    path_mix_filters(&look, mix, &filters);
    for (int input = 0; input < proof->inputs; input++)
        if (proof->input_loops[input] != SURE_NO &&
            side_spot(&proof->now_side, input, mix)->open != SURE_NO)
            miss_path(&look, input, mix);
    return look_missing(&look);
}
