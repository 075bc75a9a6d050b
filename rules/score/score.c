/* SPDX-License-Identifier: MIT */
#include "score/score.h"

#include <math.h>
#include <stdlib.h>

#include "core/need.h"
#include "score/judged.h"
#include "score/same_cause.h"

/* ---- the lines ---- */

/* Adds a line for each finding that counts so and that the scheme marks; returns how many. */
static size_t
add_lines(struct score *score, struct engine *engine, const struct plan *plan,
          const struct scheme *scheme, enum judged judged)
{
    const struct finding *const *findings;
    size_t count = engine_findings(engine, &findings), before = score->all_count;

    for (size_t i = 0; i < count; i++) {
        const struct finding *finding = findings[i];
        struct score_line *line = &score->lines[score->all_count];
        const struct scheme_check *check =
            scheme_find(scheme, finding->check->number, &line->group);

        if (score->judged[finding->slot] != judged)
            continue;
        score->unmarked += !check && judged == JUDGED_WRONG;
        if (!check)
            continue;
        line->finding = finding;
        line->card = plan_card_of(plan, finding->check->number, finding->object);
        line->alone_tenths = scheme_cost(check, finding->verdict.severity);
        score->all_count++;
    }
    return score->all_count - before;
}

static void
look_through(struct score *score, struct engine *engine, const struct plan *plan,
             const struct scheme *scheme)
{
    const struct finding *const *findings;
    size_t count = engine_findings(engine, &findings);

    score->lines = need_memory(count + 1, sizeof *score->lines);
    score->wishes = need_memory(count + 1, sizeof *score->wishes);
    for (size_t i = 0; i < count; i++) {
        if (score->judged[findings[i]->slot] == JUDGED_NOT_ASKED)
            score->wishes[score->wish_count++] = findings[i];
        score->stops += findings[i]->accept < 0 && findings[i]->verdict.weight == WEIGHT_STOP;
    }
    score->line_count = add_lines(score, engine, plan, scheme, JUDGED_WRONG);
    add_lines(score, engine, plan, scheme, JUDGED_ACCEPTED);
}

/* ---- one cause, charged once ---- */

/* Of the lines of one cause the dearest is charged, the first of several; no line gives way to one
 * that is accepted, unless it is so itself. */
static const struct finding *
dearer(const struct score *score, const struct desk *desk, size_t at)
{
    const struct score_line *line = &score->lines[at];
    size_t count = at < score->line_count ? score->line_count : score->all_count;

    for (size_t i = 0; i < count; i++) {
        const struct score_line *other = &score->lines[i];

        if (i != at &&
            (other->alone_tenths > line->alone_tenths ||
             (other->alone_tenths == line->alone_tenths && i < at)) &&
            same_cause(desk, line, other))
            return other->finding;
    }
    return NULL;
}

/* ---- what was assessed ---- */

static void
count_judged(struct score *score, const struct engine *engine)
{
    for (size_t slot = 0; slot < engine_slots(engine); slot++)
        score->of[engine_slot(engine, slot)->check->number][score->judged[slot]]++;
}

/* How much of the check's share was assessed, 0 to 1. */
static double
assessed(const size_t of[JUDGED_COUNT])
{
    size_t yes =
        of[JUDGED_RIGHT] + of[JUDGED_WRONG] + of[JUDGED_TOLD_BY_ANOTHER] + of[JUDGED_ACCEPTED];
    size_t no = of[JUDGED_CLOSED] + of[JUDGED_UNTOUCHED] + of[JUDGED_NOT_KNOWN];

    return yes > 0 ? (double)yes / (double)(yes + no) : 0;
}

static int
smaller(int one, int other)
{
    return one < other ? one : other;
}

struct left {
    int of_group[SCHEME_GROUPS];
    int of_check[SCHEME_GROUPS][SCHEME_CHECKS];
};

static void
open_group(struct score *score, const struct scheme_group *marked, int group, struct left *left)
{
    struct score_group *its = &score->groups[group];
    double share = 0, all = 0;

    for (int i = 0; i < marked->check_count; i++) {
        const struct scheme_check *check = &marked->checks[i];

        all += check->most_tenths;
        share += check->most_tenths * assessed(score->of[check->check]);
        left->of_check[group][i] = check->most_tenths;
        for (enum judged judged = 0; judged < JUDGED_COUNT; judged++)
            its->of[judged] += score->of[check->check][judged];
    }
    its->earned_tenths = all > 0 ? (int)lround(marked->marks_tenths * share / all) : 0;
    its->open_tenths = marked->marks_tenths - its->earned_tenths;
    left->of_group[group] = smaller(marked->most_tenths, its->earned_tenths);
}

/* ---- what each costs ---- */

/* Takes the cost off what check and group have left. */
static void
charge(struct score_line *line, int *left_of_check, int *left_of_group)
{
    line->lost_tenths = smaller(line->alone_tenths, smaller(*left_of_check, *left_of_group));
    if (line->lost_tenths < line->alone_tenths)
        line->why = *left_of_check <= *left_of_group ? SCORE_CHECK_FULL : SCORE_GROUP_FULL;
    *left_of_check -= line->lost_tenths;
    *left_of_group -= line->lost_tenths;
}

static void
charge_lines(struct score *score, const struct desk *desk, const struct scheme *scheme,
             struct left *left)
{
    for (size_t i = 0; i < score->all_count; i++) {
        struct score_line *line = &score->lines[i];
        struct score_group *its = &score->groups[line->group];
        const struct scheme_group *group = &scheme->groups[line->group];
        const struct scheme_check *check = scheme_find(scheme, line->finding->check->number, NULL);

        line->cause = dearer(score, desk, i);
        if (line->cause)
            line->why = SCORE_SAME_CAUSE;
        else
            charge(line, &left->of_check[line->group][check - group->checks],
                   &left->of_group[line->group]);
        *(i < score->line_count ? &its->lost_tenths : &its->open_tenths) += line->lost_tenths;
        its->earned_tenths -= line->lost_tenths;
    }
}

static void
add_up(struct score *score, int group_count)
{
    struct score_group *total = &score->total;

    for (int i = 0; i < group_count; i++) {
        total->earned_tenths += score->groups[i].earned_tenths;
        total->lost_tenths += score->groups[i].lost_tenths;
        total->open_tenths += score->groups[i].open_tenths;
        for (enum judged judged = 0; judged < JUDGED_COUNT; judged++)
            total->of[judged] += score->groups[i].of[judged];
    }
}

struct score *
score_new(struct engine *engine, const struct plan *plan, const struct scheme *scheme)
{
    struct score *score = need_memory(1, sizeof *score);
    struct left left;

    score->judged = judged_of(engine);
    count_judged(score, engine);
    look_through(score, engine, plan, scheme);
    for (int group = 0; group < scheme->group_count; group++)
        open_group(score, &scheme->groups[group], group, &left);
    charge_lines(score, engine_desk(engine), scheme, &left);
    add_up(score, scheme->group_count);
    return score;
}

void
score_free(struct score *score)
{
    if (!score)
        return;
    free(score->lines);
    free(score->wishes);
    free(score->judged);
    free(score);
}

/* ---- the mark ---- */

double
score_percent(const struct score_group *group)
{
    int assessed = group->earned_tenths + group->lost_tenths;

    return assessed > 0 ? 100.0 * group->earned_tenths / assessed : NAN;
}

double
score_assessed_percent(const struct score_group *group)
{
    int assessed = group->earned_tenths + group->lost_tenths;

    return assessed > 0 ? 100.0 * assessed / (assessed + group->open_tenths) : 0;
}

unsigned
score_no_pass(const struct score *score, const struct scheme *scheme)
{
    unsigned why = 0;

    if (scheme->stop_forbids_pass && score->stops > 0)
        why |= SCORE_HAS_STOP;
    if (score_assessed_percent(&score->total) < scheme->least_assessed)
        why |= SCORE_TOO_LITTLE;
    return why;
}
