/* SPDX-License-Identifier: MIT */
#include "state_file.h"

#include <math.h>
#include <string.h>

#include "json_text.h"
#include "state_object.h"

struct top_key {
    const char *key;
    enum scope scope; /* what the key lists or sets, SCOPES for neither */
};

static const struct top_key top_keys[] = {
    {"desk_state", SCOPES}, {"about", SCOPES},       {"counts", SCOPES},   {"defaults", SCOPES},
    {"desk", SCOPE_DESK},   {"inputs", SCOPE_INPUT}, {"mixes", SCOPE_MIX}, {"groups", SCOPE_GROUP},
};
static const struct top_key default_keys[] = {
    {"input", SCOPE_INPUT},
    {"send", SCOPE_SEND},
    {"mix", SCOPE_MIX},
    {"group", SCOPE_GROUP},
};
enum {
    TOP_COUNT = sizeof top_keys / sizeof top_keys[0],
    DEFAULT_COUNT = sizeof default_keys / sizeof default_keys[0],
};

static bool
is_listed(const char *key, const struct top_key *rows, size_t count)
{
    for (size_t i = 0; i < count; i++)
        if (strcmp(rows[i].key, key) == 0)
            return true;
    return false;
}

static void
check_keys(struct walk *walk, const cJSON *json, const struct top_key *rows, size_t count)
{
    const cJSON *child;

    if (json && !cJSON_IsObject(json)) {
        walk_complain(walk, "must be an object");
        return;
    }
    cJSON_ArrayForEach(child, json)
    {
        size_t before = walk_enter_key(walk, child->string);

        if (!is_listed(child->string, rows, count))
            walk_complain(walk, "is not a key known here");
        else if (walk_is_repeated(json, child))
            walk_complain(walk, "stands here twice");
        walk_leave(walk, before);
    }
}

static void
load_count(struct walk *walk, const cJSON *json, const struct count_row *row, unsigned *out)
{
    double value = cJSON_IsNumber(json) ? json->valuedouble : -1;
    size_t before = walk_enter_key(walk, row->key);

    if (!json && row->low == 0)
        *out = 0;
    else if (value >= row->low && value <= row->high && value == floor(value))
        *out = (unsigned)value;
    else
        walk_complain(walk, "must be a whole number from %u to %u", row->low, row->high);
    walk_leave(walk, before);
}

static void
load_counts(struct walk *walk, const cJSON *json, unsigned counts[COUNTS])
{
    struct top_key rows[COUNTS];
    size_t before = walk_enter_key(walk, "counts");

    for (size_t i = 0; i < COUNTS; i++) {
        rows[i] = (struct top_key){count_rows[i].key, SCOPES};
        load_count(walk, cJSON_GetObjectItemCaseSensitive(json, count_rows[i].key), &count_rows[i],
                   &counts[i]);
    }
    check_keys(walk, json, rows, COUNTS);
    walk_leave(walk, before);
}

static void
load_default(struct walk *walk, const cJSON *json, enum scope scope)
{
    unsigned errors = walk->errors;

    /* One complaint is enough for a mistake that every object would repeat. */
    for (size_t i = 0; i < state_objects(walk->state, scope) && walk->errors == errors; i++)
        state_object_load(walk, json, (struct place){scope, i});
}

static void
load_defaults(struct walk *walk, const cJSON *json)
{
    size_t before = walk_enter_key(walk, "defaults");

    check_keys(walk, json, default_keys, DEFAULT_COUNT);
    for (size_t i = 0; i < DEFAULT_COUNT; i++) {
        const cJSON *child = cJSON_GetObjectItemCaseSensitive(json, default_keys[i].key);
        size_t inside = walk_enter_key(walk, default_keys[i].key);

        if (child)
            load_default(walk, child, default_keys[i].scope);
        walk_leave(walk, inside);
    }
    walk_leave(walk, before);
}

static void
load_list(struct walk *walk, const cJSON *json, enum scope scope)
{
    size_t limit = state_objects(walk->state, scope);
    size_t i = 0;
    const cJSON *element;

    if (!cJSON_IsArray(json) || (size_t)cJSON_GetArraySize(json) > limit) {
        walk_complain(walk, "must be a list of at most %zu", limit);
        return;
    }
    cJSON_ArrayForEach(element, json)
    {
        size_t before = walk_enter(walk, "[%zu]", i);

        state_object_load(walk, element, (struct place){scope, i++});
        walk_leave(walk, before);
    }
}

static void
load_content(struct walk *walk, const cJSON *root)
{
    const cJSON *defaults = cJSON_GetObjectItemCaseSensitive(root, "defaults");

    if (defaults)
        load_defaults(walk, defaults);
    for (size_t i = 0; i < TOP_COUNT; i++) {
        const cJSON *json = cJSON_GetObjectItemCaseSensitive(root, top_keys[i].key);
        size_t before = walk_enter_key(walk, top_keys[i].key);

        if (json && top_keys[i].scope == SCOPE_DESK)
            state_object_load(walk, json, (struct place){SCOPE_DESK, 0});
        else if (json && top_keys[i].scope != SCOPES)
            load_list(walk, json, top_keys[i].scope);
        walk_leave(walk, before);
    }
}

static void
load_root(struct walk *walk, const cJSON *root)
{
    const cJSON *format = cJSON_GetObjectItemCaseSensitive(root, "desk_state");
    unsigned counts[COUNTS] = {0};

    if (!cJSON_IsNumber(format) || format->valuedouble != 1)
        walk_complain(walk, "\"desk_state\" must be 1");
    check_keys(walk, root, top_keys, TOP_COUNT);
    load_counts(walk, cJSON_GetObjectItemCaseSensitive(root, "counts"), counts);
    if (walk->errors > 0)
        return;
    if (state_init(walk->state, counts))
        load_content(walk, root);
    else
        walk_complain(walk, "out of memory");
}

bool
state_file_load(struct state *state, const char *file)
{
    struct walk walk = {.file = file, .state = state};
    cJSON *root = json_text_load(file);

    *state = (struct state){0};
    if (!root)
        return false;
    load_root(&walk, root);
    cJSON_Delete(root);
    return walk.errors == 0;
}
