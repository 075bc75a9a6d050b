#include "state_object.h"

#include "nominal.h"
#include "state_value.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { KEY_SIZE = 96 };

/*
 * A list along a scope's inner index. An element is an object with the scope's keys, or, where the
 * scope has one main field (`shorthand`), just its value.
 */
static void
load_inner(struct Walk *walk, const cJSON *json, struct Place outer, enum Scope scope,
           const char *shorthand)
{
    size_t limit = walk->state->counts[SCOPE_ROWS[scope].inner];
    size_t i = 0;
    const cJSON *element;

    if (!cJSON_IsArray(json) || (size_t)cJSON_GetArraySize(json) > limit) {
        Walk_complain(walk, "must be a list of at most %zu", limit);
        return;
    }
    cJSON_ArrayForEach(element, json)
    {
        size_t object = State_object(walk->state, scope, outer.object, i);
        size_t before = Walk_enter(walk, "[%zu]", i++);

        if (shorthand != NULL)
            StateValue_load(walk, element, Field_find(scope, shorthand), object);
        else
            StateObject_load(walk, element, (struct Place){scope, object});
        Walk_leave(walk, before);
    }
}

/* A 1-based number below a count; 0 after a complaint. */
static size_t
load_index(struct Walk *walk, const cJSON *json, enum Count count)
{
    unsigned limit = walk->state->counts[count];
    double value = cJSON_IsNumber(json) ? json->valuedouble : 0;

    if (value >= 1 && value <= limit && value == floor(value))
        return (size_t)value;
    Walk_complain(walk, "must be a number of \"%s\", 1 to %u", COUNT_ROWS[count].key, limit);
    return 0;
}

static void
load_send(struct Walk *walk, const cJSON *json, size_t input)
{
    const cJSON *mix = cJSON_GetObjectItemCaseSensitive(json, "mix");
    size_t before = Walk_enter_key(walk, "mix");
    size_t number = load_index(walk, mix, COUNT_MIXES);

    Walk_leave(walk, before);
    if (number > 0) {
        size_t object = State_object(walk->state, SCOPE_SEND, input, number - 1);

        StateObject_load(walk, json, (struct Place){SCOPE_SEND, object});
    }
}

static void
load_sends(struct Walk *walk, const cJSON *json, struct Place place)
{
    size_t i = 0;
    const cJSON *element;

    if (!cJSON_IsArray(json))
        Walk_complain(walk, "must be a list");
    cJSON_ArrayForEach(element, json)
    {
        size_t before = Walk_enter(walk, "[%zu]", i++);

        load_send(walk, element, place.object);
        Walk_leave(walk, before);
    }
}

static void
load_send_levels(struct Walk *walk, const cJSON *json, struct Place place)
{
    load_inner(walk, json, place, SCOPE_SEND, "level");
}

static void
load_groups(struct Walk *walk, const cJSON *json, struct Place place)
{
    const struct Field *member = Field_find(SCOPE_INPUT_GROUP, "member");
    const cJSON *element;

    if (!cJSON_IsArray(json))
        Walk_complain(walk, "must be a list");
    cJSON_ArrayForEach(element, json)
    {
        size_t group = load_index(walk, element, COUNT_GROUPS);

        if (group > 0)
            State_set_number(walk->state, member,
                             State_object(walk->state, SCOPE_INPUT_GROUP, place.object, group - 1),
                             1);
    }
}

static void
load_input_bands(struct Walk *walk, const cJSON *json, struct Place place)
{
    load_inner(walk, json, place, SCOPE_INPUT_BAND, NULL);
}

static void
load_mix_bands(struct Walk *walk, const cJSON *json, struct Place place)
{
    load_inner(walk, json, place, SCOPE_MIX_BAND, NULL);
}

static void
load_graphic_bands(struct Walk *walk, const cJSON *json, struct Place place)
{
    load_inner(walk, json, place, SCOPE_GRAPHIC, "gain");
}

static void
load_cut(struct Walk *walk, const cJSON *json, size_t mix)
{
    int band = Nominal_band(walk->state->counts[COUNT_GRAPHIC_BANDS], json->string);

    if (band < 0)
        Walk_complain(walk, "no band of this graphic has that frequency");
    else
        StateValue_load(walk, json, Field_find(SCOPE_GRAPHIC, "gain"),
                        State_object(walk->state, SCOPE_GRAPHIC, mix, (size_t)band));
}

static void
load_cuts(struct Walk *walk, const cJSON *json, struct Place place)
{
    const cJSON *child;

    if (!cJSON_IsObject(json)) {
        Walk_complain(walk, "must be an object of frequency and dB");
        return;
    }
    cJSON_ArrayForEach(child, json)
    {
        size_t before = Walk_enter_key(walk, child->string);

        if (Walk_is_repeated(json, child))
            Walk_complain(walk, "stands here twice");
        load_cut(walk, child, place.object);
        Walk_leave(walk, before);
    }
}

static void
load_nothing(struct Walk *walk, const cJSON *json, struct Place place)
{
    (void)walk;
    (void)json;
    (void)place;
}

struct SpecialKey {
    enum Scope scope;
    const char *key;
    void (*load)(struct Walk *walk, const cJSON *json, struct Place place);
};

static const struct SpecialKey SPECIAL_KEYS[] = {
    {SCOPE_INPUT, "sends", load_sends},      {SCOPE_INPUT, "send_levels", load_send_levels},
    {SCOPE_INPUT, "groups", load_groups},    {SCOPE_INPUT, "eq.bands", load_input_bands},
    {SCOPE_SEND, "mix", load_nothing}, /* read before the send's place was known */
    {SCOPE_MIX, "graphic.cuts", load_cuts},  {SCOPE_MIX, "graphic.bands", load_graphic_bands},
    {SCOPE_MIX, "eq.bands", load_mix_bands},
};

static const struct SpecialKey *
find_special(enum Scope scope, const char *key)
{
    for (size_t i = 0; i < sizeof SPECIAL_KEYS / sizeof SPECIAL_KEYS[0]; i++)
        if (SPECIAL_KEYS[i].scope == scope && strcmp(SPECIAL_KEYS[i].key, key) == 0)
            return &SPECIAL_KEYS[i];
    return NULL;
}

static void load_branch(struct Walk *walk, const cJSON *json, struct Place place,
                        const char *prefix);

static void
load_key(struct Walk *walk, const cJSON *json, struct Place place, const char *key)
{
    const struct Field *field = Field_find(place.scope, key);
    const struct SpecialKey *special = find_special(place.scope, key);

    if (field != NULL)
        StateValue_load(walk, json, field, place.object);
    else if (special != NULL)
        special->load(walk, json, place);
    else if (Field_is_branch(place.scope, key))
        load_branch(walk, json, place, key);
    else
        Walk_complain(walk, "is not a key known here");
}

static void
load_branch(struct Walk *walk, const cJSON *json, struct Place place, const char *prefix)
{
    const cJSON *child;
    char key[KEY_SIZE];

    if (!cJSON_IsObject(json)) {
        Walk_complain(walk, "must be an object");
        return;
    }
    cJSON_ArrayForEach(child, json)
    {
        size_t before = Walk_enter_key(walk, child->string);

        snprintf(key, sizeof key, "%s%s%s", prefix, prefix[0] != '\0' ? "." : "", child->string);
        if (Walk_is_repeated(json, child))
            Walk_complain(walk, "stands here twice");
        else
            load_key(walk, child, place, key);
        Walk_leave(walk, before);
    }
}

void
StateObject_load(struct Walk *walk, const cJSON *json, struct Place place)
{
    load_branch(walk, json, place, "");
}
