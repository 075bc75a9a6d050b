/* SPDX-License-Identifier: MIT */
#include "rig.h"

#include <assert.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/escape.h"
#include "look/look.h"

struct profile *
rig_small_desk(void)
{
    struct problems problems = {0};
    struct profile *profile;

    profile = profile_load(FUZZ_SMALL_DESK, NULL, &problems);
    problems_print(&problems, stderr);
    problems_release(&problems);
    if (!profile)
        exit(2);
    return profile;
}

FILE *
rig_nowhere(void)
{
    static FILE *nowhere;

    if (!nowhere)
        nowhere = fopen("/dev/null", "w");
    assert(nowhere);
    return nowhere;
}

struct engine *
rig_engine(const struct profile *profile, struct show *show)
{
    struct desk *desk = profile_desk(profile);
    struct engine *engine;

    if (!show)
        show = check_set_show(check_set_all, profile->counts.of[INDEX_INPUT],
                              profile->counts.of[INDEX_MIX]);
    assert(desk && show);
    engine = engine_new(desk, show, check_set_all);
    assert(engine);
    engine_set_day(engine, 20300101);
    return engine;
}

/* ---- filling ---- */

static const struct {
    enum param_id id;
    double number;
} usual[] = {
    {PARAM_INPUT_PREAMP_GAIN, 40},
    {PARAM_INPUT_LEVEL, -12},
    {PARAM_INPUT_HIGH_PASS_ON, 1},
    {PARAM_INPUT_EQ_BAND_ON, 1},
    {PARAM_INPUT_EQ_BAND_GAIN, 4},
    {PARAM_INPUT_COMP_MAKEUP, 3},
    {PARAM_SEND_ON, 1},
    {PARAM_SEND_LEVEL, -15},
    {PARAM_MIX_FADER, -8},
    {PARAM_MIX_GRAPHIC_BAND_GAIN, -6},
};

static double
usual_number(enum param_id id)
{
    for (size_t i = 0; i < sizeof usual / sizeof *usual; i++)
        if (usual[i].id == id)
            return usual[i].number;
    if (params[id].unit == UNIT_HZ)
        return 1000;
    return params[id].unit == UNIT_FACTOR || params[id].unit == UNIT_SLOPE ? 12 : 0;
}

static double
number_for(const struct desk *desk, enum param_id id, enum rig_values values)
{
    struct travel travel = desk_travel(desk, id);
    double number = usual_number(id);

    if (values == RIG_LEAST)
        number = isnan(travel.least) ? params[id].least : travel.least;
    else if (values == RIG_MOST)
        number = isnan(travel.most) ? params[id].most : travel.most;
    number = fmin(fmax(number, params[id].least), params[id].most);
    return params[id].unit == UNIT_DB || params[id].unit == UNIT_HZ ? number : floor(number);
}

void
rig_fill(struct engine *engine, enum rig_values values, int64_t now_ms)
{
    const struct desk *desk = engine_desk(engine);

    for (int id = 0; id < PARAMS; id++) {
        enum param_id param = (enum param_id)id;

        if (desk_supplied(desk, param) != SUPPLY_HEARD)
            continue;
        for (int row = 0; row < desk_rows(desk, param); row++)
            for (int column = 0; column < desk_columns(desk, param); column++)
                if (params[id].unit == UNIT_TEXT)
                    engine_hear_text(engine, param, row, column,
                                     id == PARAM_MIX_NAME ? "Ld Vox wedge" : "BV 2", now_ms);
                else
                    engine_hear(engine, param, row, column, number_for(desk, param, values),
                                now_ms);
    }
}

/* ---- the desk ---- */

/* Worked out here and not by param_accepts(), which is what is being tried. */
static void
check_number(enum param_id id, double number)
{
    const struct param *param = &params[id];

    assert(!isnan(number));
    if (number == -HUGE_VAL)
        assert(param->unit == UNIT_DB && param->least <= -200);
    else
        assert(number >= param->least && number <= param->most);
    if (param->unit == UNIT_SWITCH || param->unit == UNIT_WORD || param->unit == UNIT_INDEX)
        assert(number == floor(number));
}

static void
check_text(const char *text)
{
    assert(strnlen(text, DESK_TEXT_SIZE) < DESK_TEXT_SIZE);
    while (*text) {
        size_t length = escape_character(text);

        assert(length > 0);
        assert((unsigned char)*text >= 0x20 && *text != 0x7f);
        text += length;
    }
}

void
rig_check_desk(const struct desk *desk)
{
    for (int id = 0; id < PARAMS; id++) {
        enum param_id param = (enum param_id)id;

        for (int row = 0; row < desk_rows(desk, param); row++)
            for (int column = 0; column < desk_columns(desk, param); column++) {
                const struct value *value = desk_value(desk, param, row, column);

                if (value->state == VALUE_UNKNOWN)
                    continue;
                if (params[id].unit == UNIT_TEXT)
                    check_text(desk_text(desk, param, row, column));
                else
                    check_number(param, value_last_heard(value));
            }
    }
}

static void
check_range(const struct desk *desk, const struct element *element)
{
    if (element->kind != ELEMENT_VALUE || isnan(element->range.least))
        return;
    for (int row = 0; row < desk_rows(desk, element->param); row++)
        for (int column = 0; column < desk_columns(desk, element->param); column++) {
            const struct value *value = desk_value(desk, element->param, row, column);

            assert(value->state == VALUE_UNKNOWN || value_last_heard(value) == -HUGE_VAL ||
                   (value_last_heard(value) >= element->range.least &&
                    value_last_heard(value) <= element->range.most));
        }
}

void
rig_check_ranges(const struct profile *profile, const struct desk *desk)
{
    for (size_t i = 0; i < profile->entry_count; i++)
        for (size_t j = 0; j < profile->entries[i].answer.count; j++)
            check_range(desk, &profile->entries[i].answer.elements[j]);
}

/* ---- the engine ---- */

static void
check_finding(const struct engine *engine, const struct finding *finding)
{
    const struct verdict *verdict = &finding->verdict;
    struct words words;

    assert(finding->check && check_set_all.of[finding->check->number] == finding->check);
    assert(verdict->outcome == OUTCOME_FINDING && verdict->weight < WEIGHTS);
    assert(!isnan(verdict->severity));
    engine_words(engine, finding, &words);
    assert(*words.says && strnlen(words.says, sizeof words.says) < sizeof words.says);
    assert(*words.cure && strnlen(words.cure, sizeof words.cure) < sizeof words.cure);
    for (int i = 0; i < verdict->figure_count; i++)
        assert(verdict->figures[i].name && !isnan(verdict->figures[i].number));
}

struct judging {
    const struct engine *engine;
    size_t events;
};

static void
check_event(void *context, const struct event *event)
{
    struct judging *judging = context;

    judging->events++;
    assert(event->lasted_ms >= 0);
    check_finding(judging->engine, event->finding);
}

static void
count_anew(const struct engine *engine, int check, struct object object, size_t counts[OUTCOMES])
{
    struct verdict verdict;

    check_run(check_set_all.of[check],
              &(struct ground){.desk = engine_desk(engine), .show = engine_show(engine)},
              CHECK_AFRESH, object, &verdict, NULL);
    counts[verdict.outcome]++;
}

static void
check_outcomes(const struct engine *engine, int check)
{
    size_t counts[OUTCOMES] = {0};
    unsigned objects = check_set_all.of[check]->objects;

    if (objects & OBJECT_DESK)
        count_anew(engine, check, (struct object){-1, -1}, counts);
    for (int i = 0; objects & OBJECT_INPUT && i < engine_show(engine)->input_count; i++)
        count_anew(engine, check, (struct object){i, -1}, counts);
    for (int i = 0; objects & OBJECT_MIX && i < engine_show(engine)->mix_count; i++)
        count_anew(engine, check, (struct object){-1, i}, counts);
    for (int outcome = 0; outcome < OUTCOMES; outcome++)
        assert(engine_count(engine, check, (enum outcome)outcome) == counts[outcome]);
}

void
rig_check_marks(const struct engine *engine)
{
    assert(engine_marked(engine) == 0);
    for (int check = 0; check < CHECKS; check++)
        if (!engine_show(engine)->checks[check].off)
            check_outcomes(engine, check);
}

size_t
rig_run(struct engine *engine, int64_t now_ms)
{
    const struct finding *const *findings;
    struct judging judging = {.engine = engine};
    size_t count;

    engine_run(engine, now_ms, check_event, &judging);
    count = engine_findings(engine, &findings);
    for (size_t i = 0; i < count; i++)
        check_finding(engine, findings[i]);
    return judging.events;
}
