/* SPDX-License-Identifier: MIT */
#include "keys.h"

#include <math.h>
#include <string.h>

static const double COORDINATE_MOST = 200; /* metres */

/* False after a complaint. */
bool
keys_number(struct walk *walk, const cJSON *json, double low, double high, double *out)
{
    if (!cJSON_IsNumber(json))
        walk_complain(walk, "must be a number");
    else if (!(json->valuedouble >= low && json->valuedouble <= high))
        walk_complain(walk, "%g is outside %g to %g", json->valuedouble, low, high);
    else {
        *out = json->valuedouble;
        return true;
    }
    return false;
}

bool
keys_whole(struct walk *walk, const cJSON *json, unsigned low, unsigned high, unsigned *out)
{
    double value;

    if (!keys_number(walk, json, low, high, &value))
        return false;
    if (value != floor(value))
        walk_complain(walk, "%g is not a whole number", value);
    *out = (unsigned)value;
    return value == floor(value);
}

bool
keys_is_word(const cJSON *json, const char *word)
{
    return cJSON_IsString(json) && strcmp(json->valuestring, word) == 0;
}

static const struct key *
find_key(const struct key *keys, size_t count, const char *name)
{
    for (size_t i = 0; i < count; i++)
        if (strcmp(keys[i].name, name) == 0)
            return &keys[i];
    return NULL;
}

static void
read_key(struct walk *walk, const cJSON *json, const struct key *key, void *object)
{
    double *field = (double *)(void *)((char *)object + key->offset);
    double value;

    if (key->read)
        key->read(walk, json, object);
    else if (keys_number(walk, json, key->low, key->high, &value))
        *field = value * key->scale;
}

static void
miss_keys(struct walk *walk, const cJSON *json, const struct key *keys, size_t count)
{
    for (size_t i = 0; i < count; i++)
        if (keys[i].needed && !cJSON_GetObjectItemCaseSensitive(json, keys[i].name))
            walk_complain(walk, "\"%s\" is missing", keys[i].name);
}

void
keys_object(struct walk *walk, const cJSON *json, const struct key *keys, size_t count,
            void *object)
{
    const cJSON *child;

    if (!cJSON_IsObject(json)) {
        walk_complain(walk, "must be an object");
        return;
    }
    miss_keys(walk, json, keys, count);
    cJSON_ArrayForEach(child, json)
    {
        size_t before = walk_enter_key(walk, child->string);
        const struct key *key = find_key(keys, count, child->string);

        if (!key)
            walk_complain(walk, "is not a key known here");
        else if (walk_is_repeated(json, child))
            walk_complain(walk, "stands here twice");
        else
            read_key(walk, child, key, object);
        walk_leave(walk, before);
    }
}

bool
keys_is_list(struct walk *walk, const cJSON *json, size_t least, size_t most)
{
    size_t size = cJSON_IsArray(json) ? (size_t)cJSON_GetArraySize(json) : most + 1;

    if (size >= least && size <= most)
        return true;
    if (least == most)
        walk_complain(walk, "must be a list of %zu", most);
    else
        walk_complain(walk, "must be a list of %zu to %zu", least, most);
    return false;
}

/* Numbers of a list, each with its bounds. */
void
keys_run(struct walk *walk, const cJSON *json, const double bounds[][2], size_t count, double *out)
{
    const cJSON *element;
    size_t i = 0;

    if (!keys_is_list(walk, json, count, count))
        return;
    cJSON_ArrayForEach(element, json)
    {
        size_t before = walk_enter(walk, "[%zu]", i);

        keys_number(walk, element, bounds[i][0], bounds[i][1], &out[i]);
        walk_leave(walk, before);
        i++;
    }
}

void
keys_vector(struct walk *walk, const cJSON *json, struct vector *out)
{
    const double bounds[3][2] = {{-COORDINATE_MOST, COORDINATE_MOST},
                                 {-COORDINATE_MOST, COORDINATE_MOST},
                                 {-COORDINATE_MOST, COORDINATE_MOST}};
    double at[3] = {out->x, out->y, out->z};

    keys_run(walk, json, bounds, 3, at);
    *out = (struct vector){at[0], at[1], at[2]};
}
