/* SPDX-License-Identifier: MIT */
#include "state_object.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "nominal.h"
#include "state_value.h"

enum { KEY_SIZE = 96 };

/*
 * A list along a scope's inner index. An element is an object with the scope's keys, or, where the
 * scope has one main field (`shorthand`), just its value.
 */
static void
load_inner(struct walk *walk, const cJSON *json, struct place outer, enum scope scope,
           const char *shorthand)
{
    size_t limit = walk->state->counts[scope_rows[scope].inner];
    size_t i = 0;
    const cJSON *element;

    if (!cJSON_IsArray(json) || (size_t)cJSON_GetArraySize(json) > limit) {
        walk_complain(walk, "must be a list of at most %zu", limit);
        return;
    }
    cJSON_ArrayForEach(element, json)
    {
        size_t object = state_object(walk->state, scope, outer.object, i);
        size_t before = walk_enter(walk, "[%zu]", i++);

        if (shorthand)
            state_value_load(walk, element, field_find(scope, shorthand), object);
        else
            state_object_load(walk, element, (struct place){scope, object});
        walk_leave(walk, before);
    }
}

/* A 1-based number below a count; 0 after a complaint. */
static size_t
load_index(struct walk *walk, const cJSON *json, enum count count)
{
    unsigned limit = walk->state->counts[count];
    double value = cJSON_IsNumber(json) ? json->valuedouble : 0;

    if (value >= 1 && value <= limit && value == floor(value))
        return (size_t)value;
    walk_complain(walk, "must be a number of \"%s\", 1 to %u", count_rows[count].key, limit);
    return 0;
}

static void
load_send(struct walk *walk, const cJSON *json, size_t input)
{
    const cJSON *mix = cJSON_GetObjectItemCaseSensitive(json, "mix");
    size_t before = walk_enter_key(walk, "mix");
    size_t number = load_index(walk, mix, COUNT_MIXES);

    walk_leave(walk, before);
    if (number > 0) {
        size_t object = state_object(walk->state, SCOPE_SEND, input, number - 1);

        state_object_load(walk, json, (struct place){SCOPE_SEND, object});
    }
}

static void
load_sends(struct walk *walk, const cJSON *json, struct place place)
{
    size_t i = 0;
    const cJSON *element;

    if (!cJSON_IsArray(json))
        walk_complain(walk, "must be a list");
    cJSON_ArrayForEach(element, json)
    {
        size_t before = walk_enter(walk, "[%zu]", i++);

        load_send(walk, element, place.object);
        walk_leave(walk, before);
    }
}

static void
load_send_levels(struct walk *walk, const cJSON *json, struct place place)
{
    load_inner(walk, json, place, SCOPE_SEND, "level");
}

static void
load_groups(struct walk *walk, const cJSON *json, struct place place)
{
    const struct field *member = field_find(SCOPE_INPUT_GROUP, "member");
    const cJSON *element;

    if (!cJSON_IsArray(json))
        walk_complain(walk, "must be a list");
    cJSON_ArrayForEach(element, json)
    {
        size_t group = load_index(walk, element, COUNT_GROUPS);

        if (group > 0)
            state_set_number(walk->state, member,
                             state_object(walk->state, SCOPE_INPUT_GROUP, place.object, group - 1),
                             1);
    }
}

static void
load_input_bands(struct walk *walk, const cJSON *json, struct place place)
{
    load_inner(walk, json, place, SCOPE_INPUT_BAND, NULL);
}

static void
load_mix_bands(struct walk *walk, const cJSON *json, struct place place)
{
    load_inner(walk, json, place, SCOPE_MIX_BAND, NULL);
}

static void
load_graphic_bands(struct walk *walk, const cJSON *json, struct place place)
{
    load_inner(walk, json, place, SCOPE_GRAPHIC, "gain");
}

static void
load_cut(struct walk *walk, const cJSON *json, size_t mix)
{
    int band = nominal_band(walk->state->counts[COUNT_GRAPHIC_BANDS], json->string);

    if (band < 0)
        walk_complain(walk, "no band of this graphic has that frequency");
    else
        state_value_load(walk, json, field_find(SCOPE_GRAPHIC, "gain"),
                         state_object(walk->state, SCOPE_GRAPHIC, mix, (size_t)band));
}

static void
load_cuts(struct walk *walk, const cJSON *json, struct place place)
{
    const cJSON *child;

    if (!cJSON_IsObject(json)) {
        walk_complain(walk, "must be an object of frequency and dB");
        return;
    }
    cJSON_ArrayForEach(child, json)
    {
        size_t before = walk_enter_key(walk, child->string);

        if (walk_is_repeated(json, child))
            walk_complain(walk, "stands here twice");
        load_cut(walk, child, place.object);
        walk_leave(walk, before);
    }
}

static void
load_nothing(struct walk *walk, const cJSON *json, struct place place)
{
    (void)walk;
    (void)json;
    (void)place;
}

struct special_key {
    enum scope scope;
    const char *key;
    void (*load)(struct walk *walk, const cJSON *json, struct place place);
};

static const struct special_key special_keys[] = {
    {SCOPE_INPUT, "sends", load_sends},      {SCOPE_INPUT, "send_levels", load_send_levels},
    {SCOPE_INPUT, "groups", load_groups},    {SCOPE_INPUT, "eq.bands", load_input_bands},
    {SCOPE_SEND, "mix", load_nothing}, /* read before the send's place was known */
    {SCOPE_MIX, "graphic.cuts", load_cuts},  {SCOPE_MIX, "graphic.bands", load_graphic_bands},
    {SCOPE_MIX, "eq.bands", load_mix_bands},
};

static const struct special_key *
find_special(enum scope scope, const char *key)
{
    for (size_t i = 0; i < sizeof special_keys / sizeof special_keys[0]; i++)
        if (special_keys[i].scope == scope && strcmp(special_keys[i].key, key) == 0)
            return &special_keys[i];
    return NULL;
}

static void load_branch(struct walk *walk, const cJSON *json, struct place place,
                        const char *prefix);

static void
load_key(struct walk *walk, const cJSON *json, struct place place, const char *key)
{
    const struct field *field = field_find(place.scope, key);
    const struct special_key *special = find_special(place.scope, key);

    if (field)
        state_value_load(walk, json, field, place.object);
    else if (special)
        special->load(walk, json, place);
    else if (field_is_branch(place.scope, key))
        load_branch(walk, json, place, key);
    else
        walk_complain(walk, "is not a key known here");
}

static void
load_branch(struct walk *walk, const cJSON *json, struct place place, const char *prefix)
{
    const cJSON *child;
    char key[KEY_SIZE];

    if (!cJSON_IsObject(json)) {
        walk_complain(walk, "must be an object");
        return;
    }
    cJSON_ArrayForEach(child, json)
    {
        size_t before = walk_enter_key(walk, child->string);

        snprintf(key, sizeof key, "%s%s%s", prefix, prefix[0] != '\0' ? "." : "", child->string);
        if (walk_is_repeated(json, child))
            walk_complain(walk, "stands here twice");
        else
            load_key(walk, child, place, key);
        walk_leave(walk, before);
    }
}

void
state_object_load(struct walk *walk, const cJSON *json, struct place place)
{
    load_branch(walk, json, place, "");
}
