/* SPDX-License-Identifier: MIT */
#include "score/score.h"

#include <math.h>
#include <stdlib.h>

#include "core/need.h"

/* ---- one cause, counted once ---- */

/* The mix a finding is about or shows in, or -1. */
static int
mix_of(const struct finding *finding)
{
    return finding->object.mix >= 0 ? finding->object.mix : finding->verdict.mix;
}

static bool
is_same_place(const struct finding *one, const struct finding *other)
{
    if (one->object.input >= 0 && other->object.input >= 0)
        return one->object.input == other->object.input;
    return mix_of(one) >= 0 && mix_of(one) == mix_of(other);
}

/* The finding that tells the same cause, or NULL. */
static const struct finding *
cause_of(const struct scheme_check *check, const struct finding *finding,
         const struct finding *const *findings, size_t count)
{
    for (size_t i = 0; i < count; i++)
        for (int j = 0; j < check->not_with_count; j++)
            if (findings[i]->check->number == check->not_with[j] && findings[i]->accept < 0 &&
                is_same_place(finding, findings[i]))
                return findings[i];
    return NULL;
}

/* ---- what each costs ---- */

static int
smaller(int one, int other)
{
    return one < other ? one : other;
}

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

struct left {
    int of_group[SCHEME_GROUPS];
    int of_check[SCHEME_GROUPS][SCHEME_CHECKS];
};

static struct left
begin(const struct scheme *scheme)
{
    struct left left = {.of_group = {0}};

    for (int group = 0; group < scheme->group_count; group++) {
        left.of_group[group] = scheme->groups[group].most_tenths;
        for (int i = 0; i < scheme->groups[group].check_count; i++)
            left.of_check[group][i] = scheme->groups[group].checks[i].most_tenths;
    }
    return left;
}

static void
add_line(struct score *score, const struct scheme *scheme, struct left *left,
         const struct finding *const *findings, size_t count, const struct finding *finding)
{
    struct score_line *line = &score->lines[score->line_count];
    const struct scheme_check *check = scheme_find(scheme, finding->check->number, &line->group);

    if (!check) {
        score->unmarked += finding->accept < 0;
        return;
    }
    score->line_count++;
    line->finding = finding;
    line->alone_tenths = scheme_cost(check, finding->verdict.severity);
    line->cause = cause_of(check, finding, findings, count);
    if (finding->accept >= 0)
        line->why = SCORE_ACCEPTED;
    else if (line->cause)
        line->why = SCORE_SAME_CAUSE;
    else
        charge(line, &left->of_check[line->group][check - scheme->groups[line->group].checks],
               &left->of_group[line->group]);
    score->groups[line->group].lost_tenths += line->lost_tenths;
}

/* ---- what is not known ---- */

/* How many objects of the check were judged, in whatever way. */
static size_t
judged(const struct engine *engine, int check)
{
    return engine_count(engine, check, OUTCOME_PASS) +
           engine_count(engine, check, OUTCOME_FINDING) +
           engine_count(engine, check, OUTCOME_FOLDED);
}

/* What the check might still have cost: by what is not known, and all of it where nothing was there
 * to be judged. */
static int
open_of(const struct engine *engine, const struct scheme_check *check, int left)
{
    size_t unknown = engine_count(engine, check->check, OUTCOME_NOT_KNOWN);

    if (unknown == 0)
        return judged(engine, check->check) == 0 ? left : 0;
    return (int)fmin((double)unknown * check->top_tenths, left);
}

static void
close_group(struct score *score, const struct engine *engine, const struct scheme *scheme,
            const struct left *left, int number)
{
    const struct scheme_group *marked = &scheme->groups[number];
    struct score_group *group = &score->groups[number];
    int open = 0;
    size_t seen = 0;

    for (int i = 0; i < marked->check_count; i++) {
        int check = marked->checks[i].check;

        seen += judged(engine, check);
        group->passed += engine_count(engine, check, OUTCOME_PASS);
        group->unknown += engine_count(engine, check, OUTCOME_NOT_KNOWN);
        group->closed += engine_count(engine, check, OUTCOME_CLOSED);
        open += open_of(engine, &marked->checks[i], left->of_check[number][i]);
    }
    group->open_tenths = seen == 0 ? marked->marks_tenths - group->lost_tenths
                                   : smaller(open, left->of_group[number]);
    group->earned_tenths = marked->marks_tenths - group->lost_tenths - group->open_tenths;
}

static void
add_up(struct score *score, int group_count)
{
    for (int i = 0; i < group_count; i++) {
        score->total.earned_tenths += score->groups[i].earned_tenths;
        score->total.lost_tenths += score->groups[i].lost_tenths;
        score->total.open_tenths += score->groups[i].open_tenths;
        score->total.passed += score->groups[i].passed;
        score->total.unknown += score->groups[i].unknown;
        score->total.closed += score->groups[i].closed;
    }
}

struct score *
score_new(struct engine *engine, const struct scheme *scheme)
{
    const struct finding *const *findings;
    size_t count = engine_findings(engine, &findings);
    struct score *score = need_memory(1, sizeof *score);
    struct left left = begin(scheme);

    score->lines = need_memory(count + 1, sizeof *score->lines);
    for (size_t i = 0; i < count; i++)
        add_line(score, scheme, &left, findings, count, findings[i]);
    for (int group = 0; group < scheme->group_count; group++)
        close_group(score, engine, scheme, &left, group);
    add_up(score, scheme->group_count);
    return score;
}

void
score_free(struct score *score)
{
    if (!score)
        return;
    free(score->lines);
    free(score);
}
