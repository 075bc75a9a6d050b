#include "state_file.h"

#include "json_text.h"
#include "state_object.h"

#include <math.h>
#include <string.h>

struct TopKey {
    const char *key;
    enum Scope scope; /* what the key lists or sets, SCOPES for neither */
};

static const struct TopKey TOP_KEYS[] = {
    {"desk_state", SCOPES}, {"about", SCOPES},       {"counts", SCOPES},   {"defaults", SCOPES},
    {"desk", SCOPE_DESK},   {"inputs", SCOPE_INPUT}, {"mixes", SCOPE_MIX}, {"groups", SCOPE_GROUP},
};
static const struct TopKey DEFAULT_KEYS[] = {
    {"input", SCOPE_INPUT},
    {"send", SCOPE_SEND},
    {"mix", SCOPE_MIX},
    {"group", SCOPE_GROUP},
};
enum {
    TOP_COUNT = sizeof TOP_KEYS / sizeof TOP_KEYS[0],
    DEFAULT_COUNT = sizeof DEFAULT_KEYS / sizeof DEFAULT_KEYS[0],
};

static bool
is_listed(const char *key, const struct TopKey *rows, size_t count)
{
    for (size_t i = 0; i < count; i++)
        if (strcmp(rows[i].key, key) == 0)
            return true;
    return false;
}

static void
check_keys(struct Walk *walk, const cJSON *json, const struct TopKey *rows, size_t count)
{
    const cJSON *child;

    if (json != NULL && !cJSON_IsObject(json)) {
        Walk_complain(walk, "must be an object");
        return;
    }
    cJSON_ArrayForEach(child, json)
    {
        size_t before = Walk_enter_key(walk, child->string);

        if (!is_listed(child->string, rows, count))
            Walk_complain(walk, "is not a key known here");
        else if (Walk_is_repeated(json, child))
            Walk_complain(walk, "stands here twice");
        Walk_leave(walk, before);
    }
}

static void
load_count(struct Walk *walk, const cJSON *json, const struct CountRow *row, unsigned *out)
{
    double value = cJSON_IsNumber(json) ? json->valuedouble : -1;
    size_t before = Walk_enter_key(walk, row->key);

    if (json == NULL && row->low == 0)
        *out = 0;
    else if (value >= row->low && value <= row->high && value == floor(value))
        *out = (unsigned)value;
    else
        Walk_complain(walk, "must be a whole number from %u to %u", row->low, row->high);
    Walk_leave(walk, before);
}

static void
load_counts(struct Walk *walk, const cJSON *json, unsigned counts[COUNTS])
{
    struct TopKey rows[COUNTS];
    size_t before = Walk_enter_key(walk, "counts");

    for (size_t i = 0; i < COUNTS; i++) {
        rows[i] = (struct TopKey){COUNT_ROWS[i].key, SCOPES};
        load_count(walk, cJSON_GetObjectItemCaseSensitive(json, COUNT_ROWS[i].key), &COUNT_ROWS[i],
                   &counts[i]);
    }
    check_keys(walk, json, rows, COUNTS);
    Walk_leave(walk, before);
}

static void
load_default(struct Walk *walk, const cJSON *json, enum Scope scope)
{
    unsigned errors = walk->errors;

    /* One complaint is enough for a mistake that every object would repeat. */
    for (size_t i = 0; i < State_objects(walk->state, scope) && walk->errors == errors; i++)
        StateObject_load(walk, json, (struct Place){scope, i});
}

static void
load_defaults(struct Walk *walk, const cJSON *json)
{
    size_t before = Walk_enter_key(walk, "defaults");

    check_keys(walk, json, DEFAULT_KEYS, DEFAULT_COUNT);
    for (size_t i = 0; i < DEFAULT_COUNT; i++) {
        const cJSON *child = cJSON_GetObjectItemCaseSensitive(json, DEFAULT_KEYS[i].key);
        size_t inside = Walk_enter_key(walk, DEFAULT_KEYS[i].key);

        if (child != NULL)
            load_default(walk, child, DEFAULT_KEYS[i].scope);
        Walk_leave(walk, inside);
    }
    Walk_leave(walk, before);
}

static void
load_list(struct Walk *walk, const cJSON *json, enum Scope scope)
{
    size_t limit = State_objects(walk->state, scope);
    size_t i = 0;
    const cJSON *element;

    if (!cJSON_IsArray(json) || (size_t)cJSON_GetArraySize(json) > limit) {
        Walk_complain(walk, "must be a list of at most %zu", limit);
        return;
    }
    cJSON_ArrayForEach(element, json)
    {
        size_t before = Walk_enter(walk, "[%zu]", i);

        StateObject_load(walk, element, (struct Place){scope, i++});
        Walk_leave(walk, before);
    }
}

static void
load_content(struct Walk *walk, const cJSON *root)
{
    const cJSON *defaults = cJSON_GetObjectItemCaseSensitive(root, "defaults");

    if (defaults != NULL)
        load_defaults(walk, defaults);
    for (size_t i = 0; i < TOP_COUNT; i++) {
        const cJSON *json = cJSON_GetObjectItemCaseSensitive(root, TOP_KEYS[i].key);
        size_t before = Walk_enter_key(walk, TOP_KEYS[i].key);

        if (json != NULL && TOP_KEYS[i].scope == SCOPE_DESK)
            StateObject_load(walk, json, (struct Place){SCOPE_DESK, 0});
        else if (json != NULL && TOP_KEYS[i].scope != SCOPES)
            load_list(walk, json, TOP_KEYS[i].scope);
        Walk_leave(walk, before);
    }
}

static void
load_root(struct Walk *walk, const cJSON *root)
{
    const cJSON *format = cJSON_GetObjectItemCaseSensitive(root, "desk_state");
    unsigned counts[COUNTS] = {0};

    if (!cJSON_IsNumber(format) || format->valuedouble != 1)
        Walk_complain(walk, "\"desk_state\" must be 1");
    check_keys(walk, root, TOP_KEYS, TOP_COUNT);
    load_counts(walk, cJSON_GetObjectItemCaseSensitive(root, "counts"), counts);
    if (walk->errors > 0)
        return;
    if (State_init(walk->state, counts))
        load_content(walk, root);
    else
        Walk_complain(walk, "out of memory");
}

bool
StateFile_load(struct State *state, const char *file)
{
    struct Walk walk = {.file = file, .state = state};
    cJSON *root = JsonText_load(file);

    *state = (struct State){0};
    if (root == NULL)
        return false;
    load_root(&walk, root);
    cJSON_Delete(root);
    return walk.errors == 0;
}
