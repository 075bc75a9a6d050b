/* SPDX-License-Identifier: MIT */
#include "advice/scale.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/need.h"

#define SLACK_DB 0.05 /* 6 dB on the desk is a little less, or more, on the wire */

struct scale {
    struct ground ground; /* beside today's desk with one value put back */
    const struct check_set *set;
    const struct offsets *offsets;
    struct desk *back;
    struct show show; /* in which an in-ear mix without a limiter is told by protection-lost */
};

struct scale *
scale_new(const struct ground *ground, const struct check_set *set, const struct offsets *offsets)
{
    struct scale *scale = need_memory(1, sizeof *scale);

    *scale = (struct scale){.ground = {.desk = ground->desk, .show = ground->show},
                            .set = set,
                            .offsets = offsets,
                            .back = desk_copy(ground->desk),
                            .show = *ground->show};
    scale->ground.approved = scale->ground.anchor = scale->back;
    scale->show.checks = need_memory(CHECKS, sizeof *scale->show.checks);
    memcpy(scale->show.checks, ground->show->checks, CHECKS * sizeof *scale->show.checks);
    scale->show.checks[CHECK_EARS_UNPROTECTED].off = true;
    return scale;
}

void
scale_free(struct scale *scale)
{
    free(scale->show.checks);
    desk_free(scale->back);
    free(scale);
}

/* ---- what the checks say ---- */

static enum weight
heavier(const struct scale *scale, int check, struct object object, enum weight weight)
{
    const struct check *row = scale->set->of[check];
    struct ground ground = scale->ground;
    struct verdict verdict;

    if (!row || ground.show->checks[check].off)
        return weight;
    if (object.mix >= 0 && !ground.show->mixes[object.mix].limited_elsewhere)
        ground.show = &scale->show;
    check_run(row, &ground, CHECK_AFRESH, object, &verdict, NULL);
    return verdict.outcome == OUTCOME_FINDING && verdict.weight > weight ? verdict.weight : weight;
}

static enum weight
as_checked(struct scale *scale, enum param_id id, int row, int column)
{
    struct object object = {params[id].row == INDEX_INPUT ? row : -1,
                            params[id].row == INDEX_MIX ? row : -1};
    enum weight weight = WEIGHT_NOTE;

    if (object.input < 0 && object.mix < 0)
        return weight;
    desk_carry_value(scale->back, scale->offsets->before, id, row, column);
    weight = heavier(scale, CHECK_MOVED_FROM_APPROVED, object, weight);
    weight = heavier(scale, CHECK_PROTECTION_LOST, object, weight);
    desk_carry_value(scale->back, scale->ground.desk, id, row, column);
    return weight;
}

/* ---- up is not down ---- */

static double
setting_of(const struct show *show, int check, const char *name)
{
    const struct setting *settings = check_set_all.of[check]->settings;
    int i = 0;

    while (strcmp(settings[i].name, name) != 0)
        i++;
    return show->checks[check].settings[i];
}

/* From how many dB louder a move counts: what hands ride, from where it is told as a jump. */
static double
least_db(const struct show *show, enum param_id id)
{
    if (params[id].class != DIFFERENCE_LEVEL)
        return setting_of(show, CHECK_MOVED_FROM_APPROVED, "note_db");
    return setting_of(show, CHECK_VALUE_JUMPED, id == PARAM_MIX_FADER ? "master_db" : "fader_db");
}

/* A mix of which nothing tells what it feeds may be a wedge. */
static bool
is_heard(const struct scale *scale, int mix)
{
    static const enum param_id reads[] = {PARAM_MIX_NAME, PARAMS};
    struct verdict verdict;
    struct look look = look_reader(scale->ground.desk, scale->ground.show, reads, &verdict);

    return look_feeds(&look, mix) != FEEDS_UNUSED;
}

static bool
goes_up(const struct scale *scale, enum param_id id, int row, int column)
{
    double least = least_db(scale->ground.show, id) - SLACK_DB;

    for (int mix = 0; mix < scale->offsets->mixes; mix++)
        if (effect_in(scale->offsets, id, row, column, mix).louder_db >= least &&
            is_heard(scale, mix))
            return true;
    return false;
}

enum weight
scale_weigh(struct scale *scale, enum param_id id, int row, int column)
{
    enum weight weight = as_checked(scale, id, row, column);

    return goes_up(scale, id, row, column) ? weight_up(weight) : weight;
}
