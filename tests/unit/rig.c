/* SPDX-License-Identifier: MIT */
#include "rig.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/text.h"
#include "desk/source.h"
#include "proof/proof.h"
#include "stage/estimate.h"
#include "unit.h"

static const struct {
    enum param_id id;
    double number;
} neutral[] = {
    {PARAM_INPUT_PREAMP_GAIN, 30},
    {PARAM_INPUT_PAD, 0},
    {PARAM_INPUT_TRIM, 0},
    {PARAM_INPUT_PHANTOM, 0},
    {PARAM_INPUT_POLARITY, 0},
    {PARAM_INPUT_DELAY, 0},
    {PARAM_INPUT_MUTE, 0},
    {PARAM_INPUT_FADER, 0},
    {PARAM_INPUT_LEVEL, -18},
    {PARAM_INPUT_HIGH_PASS_ON, 1},
    {PARAM_INPUT_HIGH_PASS_FREQ, 100},
    {PARAM_INPUT_HIGH_PASS_SLOPE, 12},
    {PARAM_INPUT_EQ_ON, 1},
    {PARAM_INPUT_EQ_BAND_ON, 1},
    {PARAM_INPUT_EQ_BAND_SHAPE, SHAPE_PEAK},
    {PARAM_INPUT_EQ_BAND_FREQ, 1000},
    {PARAM_INPUT_EQ_BAND_GAIN, 0},
    {PARAM_INPUT_EQ_BAND_Q, 1},
    {PARAM_INPUT_GATE_ON, 0},
    {PARAM_INPUT_COMP_ON, 0},
    {PARAM_INPUT_COMP_THRESHOLD, 0},
    {PARAM_INPUT_COMP_RATIO, 1},
    {PARAM_INPUT_COMP_MAKEUP, 0},
    {PARAM_INPUT_GROUP, 0},
    {PARAM_SEND_ON, 1},
    {PARAM_SEND_LEVEL, -HUGE_VAL},
    {PARAM_SEND_TAP, TAP_PRE_FADER},
    {PARAM_MIX_FADER, 0},
    {PARAM_MIX_MUTE, 0},
    {PARAM_MIX_TRIM, 0},
    {PARAM_MIX_DELAY, 0},
    {PARAM_MIX_LEVEL, -18},
    {PARAM_MIX_GRAPHIC_ON, 1},
    {PARAM_MIX_GRAPHIC_BAND_GAIN, 0},
    {PARAM_MIX_EQ_ON, 1},
    {PARAM_MIX_EQ_BAND_ON, 1},
    {PARAM_MIX_EQ_BAND_SHAPE, SHAPE_PEAK},
    {PARAM_MIX_EQ_BAND_FREQ, 1000},
    {PARAM_MIX_EQ_BAND_GAIN, 0},
    {PARAM_MIX_EQ_BAND_Q, 1},
    {PARAM_MIX_HIGH_PASS_ON, 0},
    {PARAM_MIX_HIGH_PASS_FREQ, 20},
    {PARAM_MIX_HIGH_PASS_SLOPE, 12},
    {PARAM_MIX_LIMITER_ON, 1},
    {PARAM_MIX_LIMITER_THRESHOLD, -6},
    {PARAM_MIX_LIMITER_RATIO, 20},
    {PARAM_GROUP_FADER, 0},
    {PARAM_GROUP_MUTE, 0},
    {PARAM_DESK_TALKBACK, 0},
    {PARAM_DESK_OSCILLATOR, 0},
};

static void
hear_everywhere(struct rig *rig, enum param_id id, double number)
{
    desk_supply(rig->desk, id, SUPPLY_HEARD);
    for (int row = 0; row < desk_rows(rig->desk, id); row++)
        for (int column = 0; column < desk_columns(rig->desk, id); column++)
            rig_set(rig, id, row, column, number);
}

static void
label_everything(struct rig *rig, enum param_id id, const char *word)
{
    desk_supply(rig->desk, id, SUPPLY_HEARD);
    for (int row = 0; row < desk_rows(rig->desk, id); row++) {
        char buffer[32];
        struct text label;

        text_init(&label, buffer, sizeof buffer);
        text_add(&label, "%s %d", word, row + 1);
        rig_set_text(rig, id, row, buffer);
    }
}

int
rig_make(void **state)
{
    *state = calloc(1, sizeof(struct rig));
    return *state ? 0 : -1;
}

int
rig_drop(void **state)
{
    struct rig *rig = *state;

    engine_free(rig->engine);
    free(rig);
    return 0;
}

static void
make_desk_and_show(struct rig *rig, const struct desk_counts *counts, struct check_set set)
{
    engine_free(rig->engine);
    *rig = (struct rig){.now_ms = 1000, .day = 20300101};
    rig->desk = desk_new(counts);
    rig->show = check_set_show(set, counts->of[INDEX_INPUT], counts->of[INDEX_MIX]);
    assert_non_null(rig->desk);
    assert_non_null(rig->show);
}

static void
make_engine(struct rig *rig, struct check_set set)
{
    rig->engine = engine_new(rig->desk, rig->show, set);
    assert_non_null(rig->engine);
    engine_set_day(rig->engine, rig->day);
    for (size_t i = 0; i < sizeof neutral / sizeof *neutral; i++)
        hear_everywhere(rig, neutral[i].id, neutral[i].number);
    label_everything(rig, PARAM_INPUT_NAME, "Line");
    label_everything(rig, PARAM_MIX_NAME, "Mix");
    label_everything(rig, PARAM_DESK_SCENE, "Scene");
}

static void
start(struct rig *rig, const struct desk_counts *counts, struct check_set set,
      const struct accept *accepts, int count)
{
    make_desk_and_show(rig, counts, set);
    rig->show->accepts = calloc((size_t)count + 1, sizeof *accepts);
    rig->show->accept_count = count;
    assert_non_null(rig->show->accepts);
    if (count > 0)
        memcpy(rig->show->accepts, accepts, (size_t)count * sizeof *accepts);
    make_engine(rig, set);
}

void
rig_start_counts(struct rig *rig, const struct desk_counts *counts)
{
    start(rig, counts, check_set_all, NULL, 0);
}

static struct desk_counts
usual_counts(int inputs, int mixes)
{
    return (struct desk_counts){.of = {[INDEX_INPUT] = inputs,
                                       [INDEX_MIX] = mixes,
                                       [INDEX_GROUP] = 2,
                                       [INDEX_INPUT_EQ_BAND] = 4,
                                       [INDEX_MIX_GRAPHIC_BAND] = 31,
                                       [INDEX_MIX_EQ_BAND] = 4}};
}

void
rig_start(struct rig *rig, int inputs, int mixes)
{
    rig_start_set(rig, inputs, mixes, check_set_all);
}

void
rig_start_set(struct rig *rig, int inputs, int mixes, struct check_set set)
{
    const struct desk_counts counts = usual_counts(inputs, mixes);

    start(rig, &counts, set, NULL, 0);
}

void
rig_start_plan(struct rig *rig, int inputs, int mixes, struct stage *stage)
{
    const struct desk_counts counts = usual_counts(inputs, mixes);

    make_desk_and_show(rig, &counts, check_set_all);
    rig->show->stage = stage;
    make_engine(rig, check_set_all);
}

void
rig_start_accepts(struct rig *rig, int inputs, int mixes, const struct accept *accepts, int count)
{
    const struct desk_counts counts = usual_counts(inputs, mixes);

    start(rig, &counts, check_set_all, accepts, count);
}

void
rig_set(struct rig *rig, enum param_id id, int row, int column, double number)
{
    assert_int_not_equal(engine_hear(rig->engine, id, row, column, number, rig->now_ms),
                         CHANGE_REFUSED);
}

void
rig_set_text(struct rig *rig, enum param_id id, int row, const char *text)
{
    assert_int_not_equal(engine_hear_text(rig->engine, id, row, 0, text, rig->now_ms),
                         CHANGE_REFUSED);
}

void
rig_forget(struct rig *rig, enum param_id id, enum supply supply)
{
    desk_supply(rig->desk, id, supply);
}

/* Hears every known value of the parameter again as it is, but for the one left out. */
static void
hear_again(struct rig *rig, enum param_id id, int row_left_out, int column_left_out)
{
    for (int row = 0; row < desk_rows(rig->desk, id); row++)
        for (int column = 0; column < desk_columns(rig->desk, id); column++) {
            const struct value *value = desk_value(rig->desk, id, row, column);
            char text[DESK_TEXT_SIZE];

            if (value->state != VALUE_KNOWN || (row == row_left_out && column == column_left_out))
                continue;
            if (params[id].unit != UNIT_TEXT) {
                rig_set(rig, id, row, column, value_last_heard(value));
                continue;
            }
            memcpy(text, desk_text(rig->desk, id, row, column), sizeof text);
            rig_set_text(rig, id, row, text);
        }
}

void
rig_stale(struct rig *rig, enum param_id id, int row, int column)
{
    rig->now_ms += 60000;
    for (int other = 0; other < PARAMS; other++)
        if (desk_supplied(rig->desk, (enum param_id)other) == SUPPLY_HEARD)
            hear_again(rig, (enum param_id)other, other == (int)id ? row : -1,
                       other == (int)id ? column : -1);
    engine_expire(rig->engine, rig->now_ms);
    assert_int_equal(desk_value(rig->desk, id, row, column)->state, VALUE_STALE);
}

void
rig_remark(struct rig *rig)
{
    engine_set_day(rig->engine, ++rig->day);
}

static void
keep_event(void *context, const struct event *event)
{
    struct rig *rig = context;

    assert_true(rig->event_count < RIG_EVENTS);
    rig->events[rig->event_count++] =
        (struct rig_event){event->kind, event->finding->check->number, event->finding->object,
                           event->finding->verdict, event->lasted_ms};
}

void
rig_run(struct rig *rig)
{
    rig->event_count = 0;
    rig->ran = engine_run(rig->engine, rig->now_ms, keep_event, rig);
}

static int
check_called(const char *id)
{
    int check = check_find(id);

    assert_in_range(check, 0, CHECKS - 1);
    return check;
}

const struct finding *
rig_finding(struct rig *rig, const char *check, int input, int mix)
{
    const struct finding *const *findings;
    size_t count = engine_findings(rig->engine, &findings);

    for (size_t i = 0; i < count; i++)
        if (findings[i]->check->number == check_called(check) &&
            findings[i]->object.input == input && findings[i]->object.mix == mix)
            return findings[i];
    return NULL;
}

void
rig_take_why(struct rig *rig, const struct misses *misses)
{
    struct text why;

    text_init(&why, rig->why, sizeof rig->why);
    misses_add(&why, misses);
}

/* Judges anew, with the words. */
static void
judge_afresh(struct rig *rig, const struct check *check, struct object object)
{
    const struct proofs *proofs = engine_proofs(rig->engine);
    struct proof *proof = proofs ? proof_new(rig->desk, rig->show, proofs) : NULL;
    struct estimate *estimate = rig->show->stage ? estimate_new(rig->desk, rig->show) : NULL;
    const struct ground ground = {.desk = rig->desk,
                                  .show = rig->show,
                                  .approved = engine_approved(rig->engine),
                                  .anchor = engine_anchored(rig->engine),
                                  .proof = proof,
                                  .estimate = estimate,
                                  .suspects = engine_suspects(rig->engine)};
    struct misses misses = {.named = 0};

    check_run(check, &ground, CHECK_AFRESH, object, &rig->verdict, &misses);
    rig_take_why(rig, &misses);
    *rig->words.says = *rig->words.cure = '\0';
    if (rig->verdict.outcome == OUTCOME_FINDING)
        check_say(check, &ground, CHECK_AFRESH, object, &rig->verdict, &rig->words);
    proof_free(proof);
    estimate_free(estimate);
}

static const struct verdict *
judge(struct rig *rig, const char *check, struct object object)
{
    const struct finding *finding;
    struct words words;

    rig_run(rig);
    finding = rig_finding(rig, check, object.input, object.mix);
    judge_afresh(rig, check_set_all.of[check_called(check)], object);
    if (rig->verdict.outcome == OUTCOME_FINDING) {
        assert_non_null(finding);
        assert_false(finding->life.frozen);
        assert_near(finding->verdict.severity, rig->verdict.severity, 0);
        engine_words(rig->engine, finding, &words);
        assert_string_equal(words.says, rig->words.says);
        assert_string_equal(words.cure, rig->words.cure);
    } else if (finding) {
        assert_true(finding->life.frozen);
    }
    assert_true(engine_count(rig->engine, check_called(check), rig->verdict.outcome) > 0);
    return &rig->verdict;
}

const struct verdict *
rig_judge_input(struct rig *rig, const char *check, int input)
{
    return judge(rig, check, (struct object){input, -1});
}

const struct verdict *
rig_judge_mix(struct rig *rig, const char *check, int mix)
{
    return judge(rig, check, (struct object){-1, mix});
}

const struct verdict *
rig_judge_desk(struct rig *rig, const char *check)
{
    return judge(rig, check, (struct object){-1, -1});
}

const struct words *
rig_words_input(struct rig *rig, const char *check, int input)
{
    rig_judge_input(rig, check, input);
    return &rig->words;
}

const struct words *
rig_words_mix(struct rig *rig, const char *check, int mix)
{
    rig_judge_mix(rig, check, mix);
    return &rig->words;
}

const struct words *
rig_words_desk(struct rig *rig, const char *check)
{
    rig_judge_desk(rig, check);
    return &rig->words;
}

int
rig_told(const struct rig *rig, const char *check, enum event_kind kind)
{
    int count = 0;

    for (int i = 0; i < rig->event_count; i++)
        count += rig->events[i].check == check_called(check) && rig->events[i].kind == kind;
    return count;
}

double
rig_figure(const struct verdict *verdict, const char *name)
{
    for (int i = 0; i < verdict->figure_count; i++)
        if (strcmp(verdict->figures[i].name, name) == 0)
            return verdict->figures[i].number;
    print_error("no figure %s\n", name);
    fail();
    return NAN;
}

int
rig_source(const char *id)
{
    for (int i = 0; i < source_count; i++)
        if (strcmp(sources[i].id, id) == 0)
            return i;
    return SOURCE_UNKNOWN;
}
