/* SPDX-License-Identifier: MIT */
/* What took a proved margin goes back to where the ring-out left it, and what rose before a mix began
 * to ring to where it was within ten seconds before: every level of the paths that rose into the mix,
 * so that each is as it was. Filters stay: what they take or give is said by the finding. The finding is judged on the desk as it stands, before any card; what an earlier card put
 * back is not moved again.
 */
#include <math.h>

#include "advice/back.h"
#include "advice/draft.h"
#include "change/difference.h"
#include "change/suspects.h"
#include "proof/proof.h"
#include "sound/path.h"

static const double moved_db = 0.05;

static bool
rose(const struct planner *planner, const struct desk *left, int input, int mix)
{
    const struct proof *proof = planner->wish->ground->proof;
    struct path_level was, is;

    return (!proof || proof_counts_input(proof, input)) && path_level_on(left, input, mix, &was) &&
           path_level_on(planner->desk, input, mix, &is) && was.sum_db > -HUGE_VAL &&
           is.sum_db > was.sum_db + moved_db;
}

static void
put_back(struct draft *draft, const struct desk *left, enum param_id id, int row, int column)
{
    const struct desk *desk = draft->planner->desk;

    if (desk_supplied(desk, id) == SUPPLY_HEARD &&
        difference_of(left, desk, id, row, column) == OTHER)
        draft_move(draft, id, row, column, value_number(desk_value(left, id, row, column)));
}

static void
put_path_back(struct draft *draft, const struct desk *left, int input, int mix)
{
    static const enum param_id of_input[] = {PARAM_INPUT_PREAMP_GAIN, PARAM_INPUT_PAD,
                                             PARAM_INPUT_TRIM, PARAM_INPUT_COMP_MAKEUP};
    double tap = value_number(desk_value(left, PARAM_SEND_TAP, input, mix));

    for (size_t i = 0; i < sizeof of_input / sizeof *of_input; i++)
        put_back(draft, left, of_input[i], input, 0);
    if (tap == TAP_POST_FADER)
        put_back(draft, left, PARAM_INPUT_FADER, input, 0);
    put_back(draft, left, PARAM_SEND_LEVEL, input, mix);
}

static void
put_mix_back(struct planner *planner, int check, const struct desk *left, int mix)
{
    struct draft draft;
    bool any = false;

    draft_begin(&draft, planner, CARD_PUT_BACK, check, (struct object){-1, mix});
    for (int input = 0; input < desk_count(planner->desk, INDEX_INPUT); input++) {
        if (!rose(planner, left, input, mix))
            continue;
        put_path_back(&draft, left, input, mix);
        any = true;
    }
    if (any) {
        put_back(&draft, left, PARAM_MIX_FADER, mix, 0);
        put_back(&draft, left, PARAM_MIX_TRIM, mix, 0);
    }
    back_end(&draft);
}

/* On the desk as it stands: the planner's own has no proof. */
static bool
is_found(const struct planner *planner, int check, int mix)
{
    const struct plan_wish *wish = planner->wish;
    struct object object = {-1, mix};
    struct verdict verdict;

    if (!wish->set->of[check] || wish->ground->show->checks[check].off)
        return false;
    check_run(wish->set->of[check], wish->ground, CHECK_AFRESH, object, &verdict, NULL);
    return verdict.outcome == OUTCOME_FINDING &&
           !held_covers(wish->ground->show, wish->day, check, object, &verdict);
}

void
plan_margins(struct planner *planner)
{
    const struct proof *proof = planner->wish->ground->proof;
    const struct desk *left = proof ? proof_kept(proof)->left : NULL;

    for (int mix = 0; left && mix < desk_count(planner->desk, INDEX_MIX); mix++)
        if (is_found(planner, CHECK_MARGIN_LEFT, mix))
            put_mix_back(planner, CHECK_MARGIN_LEFT, left, mix);
}

void
plan_rings(struct planner *planner)
{
    const struct suspects *suspects = planner->wish->ground->suspects;

    for (int mix = 0; suspects && mix < desk_count(planner->desk, INDEX_MIX); mix++) {
        const struct desk *before = suspects_of(suspects, mix)->before;

        if (before && is_found(planner, CHECK_MIX_RINGING, mix))
            put_mix_back(planner, CHECK_MIX_RINGING, before, mix);
    }
}
