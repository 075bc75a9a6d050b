/* SPDX-License-Identifier: MIT */
/* Bytes as a marking scheme. It is read or its problems are told, never both; with one that is read
 * a desk is marked, and its marks are earned, lost or not assessed, each once.
 */
#include <assert.h>
#include <stdlib.h>
#include <string.h>

#include "fuzz.h"
#include "review/scheme_file.h"
#include "rig.h"
#include "score/score.h"

static struct profile *profile;
static struct engine *engines[2]; /* with findings, and with nothing known */
static struct plan *plans[2];

int
LLVMFuzzerInitialize(int *argc, char ***argv)
{
    (void)argc;
    (void)argv;
    profile = rig_small_desk();
    for (int i = 0; i < 2; i++) {
        engines[i] = rig_engine(profile, NULL);
        if (i == 0)
            rig_fill(engines[i], RIG_MOST, 1);
        rig_run(engines[i], 1);
        plans[i] = engine_advise(engines[i], 0);
    }
    return 0;
}

static void
check_group(const struct score_group *group, int marks_tenths)
{
    assert(group->earned_tenths >= 0 && group->lost_tenths >= 0 && group->open_tenths >= 0);
    assert(group->earned_tenths + group->lost_tenths + group->open_tenths == marks_tenths);
}

static void
mark(struct engine *engine, const struct plan *plan, const struct scheme *scheme)
{
    struct score *score = score_new(engine, plan, scheme);
    int lost[SCHEME_GROUPS] = {0}, marks = 0;

    assert(score);
    for (size_t i = 0; i < score->line_count; i++) {
        const struct score_line *line = &score->lines[i];

        assert(line->lost_tenths >= 0 && line->lost_tenths <= line->alone_tenths);
        assert(line->why == SCORE_COSTS ? line->lost_tenths == line->alone_tenths
                                        : line->lost_tenths <= line->alone_tenths);
        assert((line->cause != NULL) >= (line->why == SCORE_SAME_CAUSE));
        lost[line->group] += line->lost_tenths;
    }
    for (int i = 0; i < scheme->group_count; i++) {
        assert(score->groups[i].lost_tenths == lost[i] && lost[i] <= scheme->groups[i].most_tenths);
        check_group(&score->groups[i], scheme->groups[i].marks_tenths);
        marks += scheme->groups[i].marks_tenths;
    }
    check_group(&score->total, marks);
    score_free(score);
}

int
LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length)
{
    char *text = malloc(length + 1);
    struct problems problems = {0};
    struct scheme *file;

    if (!text)
        abort();
    memcpy(text, bytes, length);
    text[length] = '\0';
    file = scheme_file_parse(text, length, "scheme", &problems);
    assert((file != NULL) == (problems.count == 0));
    problems_print(&problems, rig_nowhere());
    problems_release(&problems);
    for (int i = 0; file && i < 2; i++)
        mark(engines[i], plans[i], file);
    free(file);
    free(text);
    return 0;
}
