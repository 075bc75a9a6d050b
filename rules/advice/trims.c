/* SPDX-License-Identifier: MIT */
/* Re-trims: preamp p down by x, its thresholds with it, and every send of it up by x:
 *
 *   p - x ... + s + x = the path gain as it was, and x dB of headroom come back
 *
 * x makes the loudest use of the preamp unity: of its sends with all that lies behind them, and on a
 * house desk of the fader that carries it to the house. Below 0 the preamp comes up, for a player
 * whose own send stands above 0 dB.
 */
#include <math.h>

#include "advice/draft.h"
#include "sound/path.h"

static const enum param_id reads[] = {PATH_LEVEL_READS, PARAMS};

/* One preamp and what hangs on it. */
struct trim {
    struct draft draft;
    int first;         /* the first of its inputs */
    double loudest_db; /* behind the preamp; -HUGE_VAL: nothing is open */
    double top_db;     /* the highest send that goes up, alone and with a fader that it follows */
    double down_db;    /* x */
    bool dead;         /* an open send goes into a master that is off: nobody knows what is used */
};

static double
number_of(const struct planner *planner, enum param_id id, int row, int column)
{
    return value_number(desk_value(planner->desk, id, row, column));
}

static bool
is_known(const struct planner *planner, enum param_id id, int row, int column)
{
    return desk_value(planner->desk, id, row, column)->state == VALUE_KNOWN;
}

static bool
is_house(const struct planner *planner)
{
    return planner->ground.show->role == ROLE_HOUSE;
}

static bool
is_of(const struct trim *trim, int input)
{
    return trim->draft.planner->preamps[input] == trim->first;
}

/* Whether the send of an input goes up with this re-trim: it is open, and no fader goes up for it. */
static bool
moves_send(const struct planner *planner, int input, int mix)
{
    return number_of(planner, PARAM_SEND_ON, input, mix) != 0 &&
           number_of(planner, PARAM_SEND_LEVEL, input, mix) > -HUGE_VAL &&
           !(is_house(planner) && number_of(planner, PARAM_SEND_TAP, input, mix) == TAP_POST_FADER);
}

/* ---- what it is used for ---- */

/* Level of the house path behind the preamp: trim, make-up, fader and groups. */
static void
add_house(struct trim *trim, int input)
{
    struct planner *planner = trim->draft.planner;
    double level_db;

    if (!is_known(planner, PARAM_INPUT_FADER, input, 0) ||
        !is_known(planner, PARAM_INPUT_TRIM, input, 0)) {
        draft_stop(&trim->draft, STOP_NOT_KNOWN, PARAM_INPUT_FADER, input, 0);
        return;
    }
    level_db = number_of(planner, PARAM_INPUT_TRIM, input, 0) +
               number_of(planner, PARAM_INPUT_FADER, input, 0);
    if (number_of(planner, PARAM_INPUT_COMP_ON, input, 0) != 0)
        level_db += number_of(planner, PARAM_INPUT_COMP_MAKEUP, input, 0);
    for (int group = 0; group < desk_count(planner->desk, INDEX_GROUP); group++)
        if (number_of(planner, PARAM_INPUT_GROUP, input, group) != 0)
            level_db += number_of(planner, PARAM_GROUP_FADER, group, 0);
    trim->loudest_db = fmax(trim->loudest_db, level_db);
}

static void
add_path(struct trim *trim, struct look *look, int input, int mix, bool muted)
{
    struct path_level level;

    if (!path_level(look, input, mix, &level)) {
        draft_stop(&trim->draft, STOP_NOT_KNOWN, PARAM_SEND_LEVEL, input, mix);
        return;
    }
    if (level.send_db == -HUGE_VAL)
        return;
    trim->dead |= level.master_db == -HUGE_VAL;
    if (moves_send(trim->draft.planner, input, mix))
        trim->top_db = fmax(trim->top_db, level.send_db + fmax(0, level.fader_db));
    if (!muted)
        trim->loudest_db = fmax(trim->loudest_db, level.sum_db - level.preamp_db + level.pad_db);
}

static void
add_input(struct trim *trim, int input)
{
    struct planner *planner = trim->draft.planner;
    const struct show_input *show = &planner->ground.show->inputs[input];
    struct verdict verdict;
    struct look look = look_reader(planner->desk, planner->ground.show, reads, &verdict);
    bool muted = number_of(planner, PARAM_INPUT_MUTE, input, 0) != 0;

    if (!is_known(planner, PARAM_INPUT_MUTE, input, 0))
        draft_stop(&trim->draft, STOP_NOT_KNOWN, PARAM_INPUT_MUTE, input, 0);
    if (show->house_preamp)
        draft_stop(&trim->draft, STOP_OWNED, PARAM_INPUT_PREAMP_GAIN, input, 0);
    if (show->also_feeds)
        draft_stop(&trim->draft, STOP_ALSO_FEEDS, PARAM_INPUT_PREAMP_GAIN, input, 0);
    if (is_house(planner) && !muted)
        add_house(trim, input);
    for (int mix = 0; mix < desk_count(planner->desk, INDEX_MIX); mix++)
        add_path(trim, &look, input, mix, muted);
}

/* ---- how far it can go ---- */

/* Holds x to what one control allows that goes up with it, or down. Says what stops it. */
static void
hold(struct trim *trim, enum param_id id, int row, int column, bool up)
{
    struct planner *planner = trim->draft.planner;
    struct travel travel = desk_travel(planner->desk, id);
    double now = number_of(planner, id, row, column), x = trim->down_db;
    double ends = (x > 0) == up ? travel.most : travel.least;

    if (now == -HUGE_VAL || isnan(ends) || fabs(x) <= fabs(ends - now))
        return;
    trim->down_db = copysign(fabs(ends - now), x);
    draft_short(&trim->draft, STOP_END, id, row, column);
}

/* A preamp that stops short of what the card says would leave the sends too loud, so how far down it
 * goes must be known. */
static void
hold_preamp(struct trim *trim)
{
    struct planner *planner = trim->draft.planner;

    if (trim->down_db > 0 && isnan(desk_travel(planner->desk, PARAM_INPUT_PREAMP_GAIN).least))
        draft_stop(&trim->draft, STOP_NO_END, PARAM_INPUT_PREAMP_GAIN, trim->first, 0);
    hold(trim, PARAM_INPUT_PREAMP_GAIN, trim->first, 0, false);
}

/* Sends come up to 0 dB and no further, alone or with a fader that they follow: beyond it is where
 * own-send-off-unity begins. */
static void
hold_sends(struct trim *trim)
{
    if (trim->down_db > 0)
        trim->down_db = fmin(trim->down_db, fmax(0, -trim->top_db));
}

static const struct {
    enum param_id on, threshold;
} dynamics[] = {{PARAM_INPUT_COMP_ON, PARAM_INPUT_COMP_THRESHOLD},
                {PARAM_INPUT_GATE_ON, PARAM_INPUT_GATE_THRESHOLD}};

enum { DYNAMICS = (int)(sizeof dynamics / sizeof *dynamics) };

static void
hold_dynamics(struct trim *trim, int input)
{
    struct planner *planner = trim->draft.planner;

    for (int i = 0; i < DYNAMICS; i++) {
        if (!is_known(planner, dynamics[i].on, input, 0))
            draft_stop(&trim->draft, STOP_NOT_KNOWN, dynamics[i].on, input, 0);
        else if (number_of(planner, dynamics[i].on, input, 0) == 0)
            continue;
        else if (!is_known(planner, dynamics[i].threshold, input, 0))
            draft_stop(&trim->draft, STOP_NOT_KNOWN, dynamics[i].threshold, input, 0);
        else
            hold(trim, dynamics[i].threshold, input, 0, false);
    }
}

static void
hold_input(struct trim *trim, int input)
{
    struct planner *planner = trim->draft.planner;

    for (int mix = 0; mix < desk_count(planner->desk, INDEX_MIX); mix++)
        if (moves_send(planner, input, mix))
            hold(trim, PARAM_SEND_LEVEL, input, mix, true);
    if (is_house(planner))
        hold(trim, PARAM_INPUT_FADER, input, 0, true);
    hold_dynamics(trim, input);
}

/* A preamp that comes up brings its peaks up. */
static void
hold_meter(struct trim *trim, int input)
{
    if (trim->down_db < 0)
        draft_raise_input(&trim->draft, input, -trim->down_db);
}

/* ---- the card ---- */

static void
move_input(struct trim *trim, int input)
{
    struct planner *planner = trim->draft.planner;
    double x = trim->down_db;

    for (int i = 0; i < DYNAMICS; i++) {
        enum param_id id = dynamics[i].threshold;
        double to = number_of(planner, id, input, 0) - x;

        draft_expect(&trim->draft, dynamics[i].on, input, 0);
        /* a compressor that begins lower and a gate that opens higher are the softer side */
        if (number_of(planner, dynamics[i].on, input, 0) != 0)
            draft_move(&trim->draft, id, input, 0,
                       id == PARAM_INPUT_GATE_THRESHOLD ? planner_ceil(planner, id, to)
                                                        : planner_floor(planner, id, to));
    }
    if (is_house(planner) && number_of(planner, PARAM_INPUT_FADER, input, 0) > -HUGE_VAL)
        draft_move(&trim->draft, PARAM_INPUT_FADER, input, 0,
                   planner_floor(planner, PARAM_INPUT_FADER,
                                 number_of(planner, PARAM_INPUT_FADER, input, 0) + x));
    for (int mix = 0; mix < desk_count(planner->desk, INDEX_MIX); mix++) {
        draft_expect(&trim->draft, PARAM_SEND_ON, input, mix);
        draft_expect(&trim->draft, PARAM_SEND_TAP, input, mix);
        if (!moves_send(planner, input, mix))
            draft_expect(&trim->draft, PARAM_SEND_LEVEL, input, mix);
        else
            draft_move(&trim->draft, PARAM_SEND_LEVEL, input, mix,
                       planner_floor(planner, PARAM_SEND_LEVEL,
                                     number_of(planner, PARAM_SEND_LEVEL, input, mix) + x));
    }
}

static void
each_input(struct trim *trim, void (*each)(struct trim *trim, int input))
{
    for (int input = trim->first; input < desk_count(trim->draft.planner->desk, INDEX_INPUT);
         input++)
        if (is_of(trim, input))
            each(trim, input);
}

/* The preamp keeps to its grid, on the near side. */
static void
set_preamp(struct trim *trim)
{
    struct planner *planner = trim->draft.planner;
    double step = desk_step(planner->desk, PARAM_INPUT_PREAMP_GAIN);

    if (step > 0)
        trim->down_db = trunc(trim->down_db / step + copysign(1e-6, trim->down_db)) * step;
    trim->draft.card.gives_db = fabs(trim->down_db);
    draft_move(&trim->draft, PARAM_INPUT_PREAMP_GAIN, trim->first, 0,
               number_of(planner, PARAM_INPUT_PREAMP_GAIN, trim->first, 0) - trim->down_db);
}

/* Nothing else is asked of whoever has not said whether the house hears the preamp too. */
static bool
may_move(struct planner *planner)
{
    if (planner->ground.show->role != ROLE_UNKNOWN)
        return true;
    planner->plan->asks_role = true;
    return false;
}

/* An own send above 0 dB comes down to it; else the loudest use does come up. */
static void
make(struct planner *planner, int check, int input, double own_send_db)
{
    struct trim trim = {
        .first = planner->preamps[input], .loudest_db = -HUGE_VAL, .top_db = -HUGE_VAL};

    if (!may_move(planner))
        return;
    draft_begin(&trim.draft, planner, CARD_TRIM, check, (struct object){input, -1});
    if (trim.draft.stopped) /* it led to something new */
        return;
    if (trim.first < 0) {
        draft_stop(&trim.draft, STOP_NOT_KNOWN, PARAM_INPUT_PREAMP, input, 0);
        draft_end(&trim.draft);
        return;
    }
    each_input(&trim, add_input);
    trim.down_db = own_send_db > 0 ? -own_send_db : -trim.loudest_db;
    trim.draft.stopped |= trim.dead || !isfinite(trim.loudest_db) ||
                          (trim.down_db < 0) != (own_send_db > 0) || trim.down_db == 0;
    if (!trim.draft.stopped) {
        hold_preamp(&trim);
        hold_sends(&trim);
        each_input(&trim, hold_input);
        each_input(&trim, hold_meter);
        set_preamp(&trim);
        each_input(&trim, move_input);
    }
    draft_end(&trim.draft);
}

void
plan_trims(struct planner *planner)
{
    struct verdict verdict;

    for (int input = 0; input < desk_count(planner->desk, INDEX_INPUT); input++) {
        struct object object = {input, -1};

        if (planner_finds(planner, CHECK_UNUSED_PREAMP_GAIN, object, &verdict))
            make(planner, CHECK_UNUSED_PREAMP_GAIN, input, 0);
        else if (planner_finds(planner, CHECK_OWN_SEND_OFF_UNITY, object, &verdict) &&
                 verdict_figure(&verdict, "own_send_db") > 0 &&
                 moves_send(planner, input, verdict.mix))
            make(planner, CHECK_OWN_SEND_OFF_UNITY, input, verdict_figure(&verdict, "own_send_db"));
    }
}
