/* SPDX-License-Identifier: MIT */
/* The proved margin for tests in other languages: lines on standard input, answers on standard
 * output. Every input is a voice and every mix a wedge; what is not set is neutral.
 *
 *   desk INPUTS MIXES             a desk, and nothing is proved of it
 *   set NAME ROW COLUMN NUMBER    the name of the parameter; counted from 0
 *   ceiling MIX                   the desk as it stands did not ring; -1: all together
 *   left                          so the ring-out left it
 *   ask                           a line for each mix, then one for the desk as a whole:
 *                                     STATE DB ALLOWANCE MOVES CEILING ALONE FINDING
 *                                 `nan` where there is no such number; MOVES: bits of enum allowance;
 *                                 FINDING: - when margin-left has none, else its weight
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "check/check.h"
#include "desk/source.h"
#include "proof/proof.h"

enum { INPUT_BANDS = 4, MIX_BANDS = 8, GRAPHIC_BANDS = 31 };

static const struct {
    enum param_id id;
    double number;
} neutral[] = {
    {PARAM_INPUT_PREAMP_GAIN, 0},
    {PARAM_INPUT_PAD, 0},
    {PARAM_INPUT_TRIM, 0},
    {PARAM_INPUT_POLARITY, 0},
    {PARAM_INPUT_MUTE, 0},
    {PARAM_INPUT_FADER, 0},
    {PARAM_INPUT_HIGH_PASS_ON, 0},
    {PARAM_INPUT_HIGH_PASS_FREQ, 100},
    {PARAM_INPUT_HIGH_PASS_SLOPE, 18},
    {PARAM_INPUT_EQ_ON, 1},
    {PARAM_INPUT_EQ_BAND_ON, 1},
    {PARAM_INPUT_EQ_BAND_SHAPE, SHAPE_PEAK},
    {PARAM_INPUT_EQ_BAND_FREQ, 1000},
    {PARAM_INPUT_EQ_BAND_GAIN, 0},
    {PARAM_INPUT_EQ_BAND_Q, 2},
    {PARAM_INPUT_GATE_ON, 0},
    {PARAM_INPUT_COMP_ON, 0},
    {PARAM_INPUT_COMP_MAKEUP, 0},
    {PARAM_SEND_ON, 1},
    {PARAM_SEND_LEVEL, 0},
    {PARAM_SEND_TAP, TAP_PRE_FADER},
    {PARAM_MIX_FADER, 0},
    {PARAM_MIX_MUTE, 0},
    {PARAM_MIX_TRIM, 0},
    {PARAM_MIX_GRAPHIC_ON, 1},
    {PARAM_MIX_GRAPHIC_BAND_GAIN, 0},
    {PARAM_MIX_EQ_ON, 1},
    {PARAM_MIX_EQ_BAND_ON, 1},
    {PARAM_MIX_EQ_BAND_SHAPE, SHAPE_PEAK},
    {PARAM_MIX_EQ_BAND_FREQ, 1000},
    {PARAM_MIX_EQ_BAND_GAIN, 0},
    {PARAM_MIX_EQ_BAND_Q, 4},
    {PARAM_MIX_HIGH_PASS_ON, 0},
    {PARAM_MIX_HIGH_PASS_FREQ, 80},
    {PARAM_MIX_HIGH_PASS_SLOPE, 18},
};

enum { NEUTRAL = sizeof neutral / sizeof *neutral };

struct stage {
    struct desk *desk;
    struct show *show;
    struct proof_ceiling ceilings[PROOFS_MOST];
    struct proofs kept;
    struct proof *proof; /* made when it is asked for */
};

static void
need(bool good, const char *what)
{
    if (good)
        return;
    fprintf(stderr, "proof_probe: %s\n", what);
    exit(2);
}

static void
forget_proof(struct stage *stage)
{
    proof_free(stage->proof);
    stage->proof = NULL;
}

static void
clear(struct stage *stage)
{
    forget_proof(stage);
    for (int i = 0; i < stage->kept.ceiling_count; i++)
        desk_free(stage->ceilings[i].desk);
    desk_free(stage->kept.left);
    desk_free(stage->desk);
    show_free(stage->show);
    *stage = (struct stage){.kept = {.ceilings = stage->ceilings}};
}

static void
set_neutral(struct desk *desk)
{
    for (int i = 0; i < NEUTRAL; i++) {
        enum param_id id = neutral[i].id;

        desk_supply(desk, id, SUPPLY_HEARD);
        for (int row = 0; row < desk_rows(desk, id); row++)
            for (int column = 0; column < desk_columns(desk, id); column++)
                desk_set(desk, id, row, column, neutral[i].number, 1);
    }
}

static int
voice(void)
{
    int source = 0;

    while (strcmp(sources[source].id, "lead-vocal") != 0)
        source++;
    return source;
}

static void
begin(struct stage *stage, int inputs, int mixes)
{
    struct desk_counts counts = {.of = {[INDEX_INPUT] = inputs,
                                        [INDEX_MIX] = mixes,
                                        [INDEX_INPUT_EQ_BAND] = INPUT_BANDS,
                                        [INDEX_MIX_EQ_BAND] = MIX_BANDS,
                                        [INDEX_MIX_GRAPHIC_BAND] = GRAPHIC_BANDS}};

    clear(stage);
    stage->desk = desk_new(&counts);
    set_neutral(stage->desk);
    stage->show = check_set_show(check_set_all, inputs, mixes);
    for (int input = 0; input < inputs; input++)
        stage->show->inputs[input].source = voice();
    for (int mix = 0; mix < mixes; mix++)
        stage->show->mixes[mix].feeds = FEEDS_WEDGE;
}

static void
set(struct stage *stage, const char *name, int row, int column, double number)
{
    enum param_id id = param_find(name);

    need(id != PARAMS && stage->desk, name);
    need(row >= 0 && row < desk_rows(stage->desk, id) && column >= 0 &&
             column < desk_columns(stage->desk, id),
         name);
    need(desk_set(stage->desk, id, row, column, number, 1) != CHANGE_REFUSED, name);
    if (stage->proof)
        proof_moved(stage->proof, id, row, column);
}

static void
add_ceiling(struct stage *stage, int mix)
{
    need(stage->desk && stage->kept.ceiling_count < PROOFS_MOST, "too many ceilings");
    forget_proof(stage);
    stage->ceilings[stage->kept.ceiling_count++] =
        (struct proof_ceiling){.desk = desk_copy(stage->desk), .mix = mix};
}

static void
leave(struct stage *stage)
{
    need(stage->desk, "there is no desk");
    forget_proof(stage);
    desk_free(stage->kept.left);
    stage->kept.left = desk_copy(stage->desk);
}

static void
print_figure(const char *state, const struct proof_figure *figure, double alone_db,
             const char *finding)
{
    bool any = figure->ceiling >= 0;

    printf("%s %.6f %.6f %u %d %.6f %s\n", state, any ? figure->db : (double)NAN,
           any ? figure->allowance_db : (double)NAN, figure->moves.kinds, figure->ceiling, alone_db,
           finding);
}

static const char *
finding(const struct stage *stage, int mix)
{
    static const char *const weights[WEIGHTS] = {"note", "fix", "stop"};
    struct ground ground = {.desk = stage->desk, .show = stage->show, .proof = stage->proof};
    struct verdict verdict;

    check_run(check_set_all.of[CHECK_MARGIN_LEFT], &ground, CHECK_AFRESH, (struct object){-1, mix},
              &verdict, NULL);
    return verdict.outcome == OUTCOME_FINDING ? weights[verdict.weight] : "-";
}

static void
answer(struct stage *stage)
{
    need(stage->kept.ceiling_count > 0, "nothing is proved");
    if (!stage->proof)
        stage->proof = proof_new(stage->desk, stage->show, &stage->kept);
    for (int mix = 0; mix < desk_count(stage->desk, INDEX_MIX); mix++) {
        const struct proof_mix *of = proof_of_mix(stage->proof, mix);

        print_figure(proof_state_name(of->state), &of->margin,
                     of->alone.ceiling >= 0 ? of->alone.db : (double)NAN, finding(stage, mix));
    }
    print_figure("desk", proof_of_desk(stage->proof), NAN, "-");
    fflush(stdout);
}

static void
obey(struct stage *stage, const char *line)
{
    char name[64];
    int one, two;
    double number;

    if (sscanf(line, "desk %d %d", &one, &two) == 2)
        begin(stage, one, two);
    else if (sscanf(line, "set %63s %d %d %lf", name, &one, &two, &number) == 4)
        set(stage, name, one, two, number);
    else if (sscanf(line, "ceiling %d", &one) == 1)
        add_ceiling(stage, one);
    else if (strcmp(line, "left\n") == 0)
        leave(stage);
    else if (strcmp(line, "ask\n") == 0)
        answer(stage);
    else
        need(false, line);
}

int
main(void)
{
    struct stage stage = {.kept = {.ceilings = stage.ceilings}};
    char line[200];

    while (fgets(line, sizeof line, stdin))
        obey(&stage, line);
    clear(&stage);
    return 0;
}
