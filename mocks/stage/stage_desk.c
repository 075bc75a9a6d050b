/* SPDX-License-Identifier: MIT */
/*
 * The desk of a stage that nobody else has: read from a state file, or made as large as the scene;
 * and its settings by name.
 */
#include <math.h>
#include <string.h>

#include "stage_inside.h"
#include "state_file.h"

static const struct {
    const char *name;
    enum scope scope;
} scopes[] = {
    {"desk", SCOPE_DESK},
    {"group", SCOPE_GROUP},
    {"input", SCOPE_INPUT},
    {"input-group", SCOPE_INPUT_GROUP},
    {"input-band", SCOPE_INPUT_BAND},
    {"send", SCOPE_SEND},
    {"mix", SCOPE_MIX},
    {"mix-band", SCOPE_MIX_BAND},
    {"graphic", SCOPE_GRAPHIC},
};

static void
set_plain(struct state *state, enum scope scope, const char *key, double value)
{
    const struct field *field = field_find(scope, key);

    for (size_t i = 0; i < state_objects(state, scope); i++)
        state_set_number(state, field, i, value);
}

static void
set_sends(struct state *state)
{
    const struct field *level = field_find(SCOPE_SEND, "level");
    size_t mixes = state->counts[COUNT_MIXES];

    set_plain(state, SCOPE_SEND, "level", -12);
    for (size_t input = 0; input < state->counts[COUNT_INPUTS]; input++)
        state_set_number(state, level, state_object(state, SCOPE_SEND, input, input % mixes), 0);
}

/* As large as the scene asks for. */
static bool
make_desk(struct state *state, const struct scene *scene)
{
    unsigned counts[COUNTS] = {1, 1, 4, 31, 4, 0};

    for (size_t i = 0; i < scene->microphone_count; i++)
        if (scene->microphones[i].socket > counts[COUNT_INPUTS])
            counts[COUNT_INPUTS] = scene->microphones[i].socket;
    for (size_t i = 0; i < scene->loudspeaker_count; i++)
        if (scene->loudspeakers[i].mix > counts[COUNT_MIXES])
            counts[COUNT_MIXES] = scene->loudspeakers[i].mix;
    if (counts[COUNT_INPUTS] > count_rows[COUNT_INPUTS].high)
        counts[COUNT_INPUTS] = count_rows[COUNT_INPUTS].high;
    if (!state_init(state, counts))
        return false;
    set_plain(state, SCOPE_INPUT, "gain", 10);
    set_plain(state, SCOPE_INPUT, "high_pass.on", 1);
    set_plain(state, SCOPE_INPUT, "high_pass.freq", 100);
    set_plain(state, SCOPE_INPUT, "high_pass.slope", 18);
    set_sends(state);
    return true;
}

struct stage *
stage_open(const char *desk, const char *name)
{
    struct stage *stage = stage_begin(name);
    bool fine;

    if (!stage)
        return NULL;
    stage->desk = &stage->own;
    fine = desk ? state_file_load(&stage->own, desk) : make_desk(&stage->own, &stage->scene);
    if (fine)
        return stage_finish(stage, name);
    if (!desk)
        fprintf(stderr, "mock-desk: %s: stage: out of memory\n", name);
    stage_close(stage);
    return NULL;
}

int
stage_inputs(const struct stage *stage)
{
    return (int)stage->desk->counts[COUNT_INPUTS];
}

int
stage_mixes(const struct stage *stage)
{
    return (int)stage->desk->counts[COUNT_MIXES];
}

/* A number of one index, from 1; 0 where the scope has none. */
static bool
is_within(const struct stage *stage, enum count kind, int number)
{
    if (kind == COUNTS)
        return number == 0;
    return number >= 1 && (unsigned)number <= stage->desk->counts[kind];
}

/* The field, and which object; NULL: no such thing, or a text. */
static const struct field *
find(const struct stage *stage, const char *scope_name, const char *key, const int numbers[2],
     size_t *object)
{
    for (size_t i = 0; i < sizeof scopes / sizeof scopes[0]; i++) {
        enum scope scope = scopes[i].scope;
        const struct field *field = field_find(scope, key);

        if (strcmp(scopes[i].name, scope_name) != 0)
            continue;
        if (!field || field->form == FORM_TEXT ||
            !is_within(stage, scope_rows[scope].outer, numbers[0]) ||
            !is_within(stage, scope_rows[scope].inner, numbers[1]))
            return NULL;
        *object = state_object(stage->desk, scope, numbers[0] > 0 ? (size_t)numbers[0] - 1 : 0,
                               numbers[1] > 0 ? (size_t)numbers[1] - 1 : 0);
        return field;
    }
    return NULL;
}

static bool
is_legal(const struct field *field, double value)
{
    if (field->law == LAW_FADER && value == (double)-INFINITY)
        return true;
    if (field->form != FORM_REAL && value != floor(value))
        return false;
    return value >= field->low && value <= field->high;
}

bool
stage_set(struct stage *stage, const char *scope, const char *key, int first, int second,
          double value)
{
    size_t object;
    const struct field *field = find(stage, scope, key, (const int[2]){first, second}, &object);

    if (!field || stage->desk != &stage->own || !is_legal(field, value))
        return false;
    state_set_number(&stage->own, field, object, value);
    stage_desk_moved(stage);
    return true;
}

double
stage_get(const struct stage *stage, const char *scope, const char *key, int first, int second)
{
    size_t object;
    const struct field *field = find(stage, scope, key, (const int[2]){first, second}, &object);

    return field ? state_number(stage->desk, field, object) : (double)NAN;
}
