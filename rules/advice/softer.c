/* SPDX-License-Identifier: MIT */
/* Cards that take away and give nothing: make-up gain and boosts out of loudspeaker paths, a
 * high-pass where there is none, an unused input closed.
 */
#include <math.h>

#include "advice/draft.h"

static double
number_of(const struct planner *planner, enum param_id id, int row, int column)
{
    return value_number(desk_value(planner->desk, id, row, column));
}

static void
plan_make_up(struct planner *planner, struct object object)
{
    struct verdict verdict;
    struct draft draft;

    if (!planner_finds(planner, CHECK_MAKE_UP_INTO_WEDGE, object, &verdict))
        return;
    draft_begin(&draft, planner, CARD_MAKE_UP, CHECK_MAKE_UP_INTO_WEDGE, object);
    draft.card.gives_db = verdict_figure(&verdict, "makeup_db");
    draft_move(&draft, PARAM_INPUT_COMP_MAKEUP, object.input, 0, 0);
    draft_end(&draft);
}

/* ---- high-passes ---- */

static void
plan_high_pass(struct planner *planner, int check, struct object object)
{
    struct verdict verdict;
    struct draft draft;
    double corner_hz;

    if (!planner_finds(planner, check, object, &verdict))
        return;
    corner_hz = verdict_figure(&verdict, "usual_corner_low_hz");
    if (isnan(corner_hz))
        return;
    draft_begin(&draft, planner, CARD_HIGH_PASS, check, object);
    /* one that is off, but stands higher than the usual corner, is for an ear to bring down */
    if (check == CHECK_HIGH_PASS_LOW ||
        number_of(planner, PARAM_INPUT_HIGH_PASS_FREQ, object.input, 0) < corner_hz)
        draft_move(&draft, PARAM_INPUT_HIGH_PASS_FREQ, object.input, 0,
                   planner_ceil(planner, PARAM_INPUT_HIGH_PASS_FREQ, corner_hz));
    draft_move(&draft, PARAM_INPUT_HIGH_PASS_ON, object.input, 0, 1);
    draft_end(&draft);
}

/* ---- boosts ---- */

/* The bands of one equaliser that may hold a boost. */
struct bands {
    enum index_kind kind;
    enum param_id gain, shape; /* PARAMS: they are all peaks */
};

static const struct bands input_bands[] = {
    {INDEX_INPUT_EQ_BAND, PARAM_INPUT_EQ_BAND_GAIN, PARAM_INPUT_EQ_BAND_SHAPE}};
static const struct bands mix_bands[] = {
    {INDEX_MIX_GRAPHIC_BAND, PARAM_MIX_GRAPHIC_BAND_GAIN, PARAMS},
    {INDEX_MIX_EQ_BAND, PARAM_MIX_EQ_BAND_GAIN, PARAM_MIX_EQ_BAND_SHAPE}};

/* A peak lifts and nothing else; a shelf may dip beside its corner, which would come up with it. */
static bool
is_peak(const struct planner *planner, const struct bands *bands, int row, int band)
{
    return bands->shape == PARAMS || number_of(planner, bands->shape, row, band) == SHAPE_PEAK;
}

/* The largest boost that is left, as a move to 0 dB; false: there is none. */
static bool
largest(const struct planner *planner, const struct bands *bands, size_t count, int row,
        struct card_move *move)
{
    move->now = 0;
    for (size_t i = 0; i < count; i++)
        for (int band = 0; band < desk_count(planner->desk, bands[i].kind); band++) {
            const struct value *gain = desk_value(planner->desk, bands[i].gain, row, band);

            if (value_number(gain) > move->now && is_peak(planner, &bands[i], row, band))
                *move = (struct card_move){bands[i].gain, row, band, value_number(gain), 0};
        }
    return move->now > 0;
}

enum { BOOSTS_MOST = 64 };

/* Takes boosts out, the largest first, until the finding is gone; puts them in again, for the
 * draft to take out. Returns how many. */
static int
find_boosts(struct planner *planner, struct object object, struct card_move moves[BOOSTS_MOST])
{
    bool input = object.input >= 0;
    struct verdict verdict;
    int count = 0;

    while (count < BOOSTS_MOST &&
           planner_finds(planner, CHECK_BOOST_INTO_WEDGE, object, &verdict) &&
           largest(planner, input ? input_bands : mix_bands, input ? 1 : 2,
                   input ? object.input : object.mix, &moves[count])) {
        desk_set(planner->desk, moves[count].id, moves[count].row, moves[count].column, 0,
                 planner->ground.now_ms);
        count++;
    }
    for (int i = 0; i < count; i++)
        desk_set(planner->desk, moves[i].id, moves[i].row, moves[i].column, moves[i].now,
                 planner->ground.now_ms);
    return count;
}

static void
plan_boosts(struct planner *planner, struct object object)
{
    struct card_move moves[BOOSTS_MOST];
    struct verdict verdict;
    struct draft draft;
    int count;

    if (!planner_finds(planner, CHECK_BOOST_INTO_WEDGE, object, &verdict))
        return;
    count = find_boosts(planner, object, moves);
    draft_begin(&draft, planner, CARD_BOOST, CHECK_BOOST_INTO_WEDGE, object);
    draft.card.gives_db = verdict_figure(&verdict, "boost_db");
    for (int i = 0; i < count; i++)
        draft_move(&draft, moves[i].id, moves[i].row, moves[i].column, 0);
    draft_end(&draft);
}

/* ---- unused inputs ---- */

/* A send goes off by its switch where the desk has one, else by its level. */
static void
plan_close(struct planner *planner, struct object object)
{
    bool by_switch = desk_supplied(planner->desk, PARAM_SEND_ON) == SUPPLY_HEARD;
    struct verdict verdict;
    struct draft draft;

    if (!planner_finds(planner, CHECK_OPEN_UNUSED_INPUT, object, &verdict))
        return;
    draft_begin(&draft, planner, CARD_CLOSE, CHECK_OPEN_UNUSED_INPUT, object);
    for (int mix = 0; mix < desk_count(planner->desk, INDEX_MIX); mix++)
        if (number_of(planner, PARAM_SEND_ON, object.input, mix) != 0 &&
            number_of(planner, PARAM_SEND_LEVEL, object.input, mix) > -HUGE_VAL)
            draft_move(&draft, by_switch ? PARAM_SEND_ON : PARAM_SEND_LEVEL, object.input, mix,
                       by_switch ? 0 : -HUGE_VAL);
    draft_end(&draft);
}

void
plan_softer(struct planner *planner)
{
    for (int input = 0; input < desk_count(planner->desk, INDEX_INPUT); input++) {
        struct object object = {input, -1};

        plan_close(planner, object);
        plan_make_up(planner, object);
        plan_boosts(planner, object);
        plan_high_pass(planner, CHECK_HIGH_PASS_MISSING, object);
        plan_high_pass(planner, CHECK_HIGH_PASS_LOW, object);
    }
    for (int mix = 0; mix < desk_count(planner->desk, INDEX_MIX); mix++)
        plan_boosts(planner, (struct object){-1, mix});
}
