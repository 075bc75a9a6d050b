/* SPDX-License-Identifier: MIT */
#include "base/json.h"

#include <assert.h>
#include <cjson/cJSON.h>
#include <errno.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/json_check.h"
#include "base/no_memory.h"
#include "base/where.h"
#include "base/whole_file.h"
#include "core/need.h"

/* struct json is cJSON under another name, so that no other file sees the library. */
static const cJSON *
in(const struct json *json)
{
    return (const cJSON *)(const void *)json;
}

static cJSON *
node_of(struct json *json)
{
    return (cJSON *)(void *)json;
}

static struct json *
out(cJSON *node)
{
    return need_made(node);
}

static const struct json *
out_const(const cJSON *node)
{
    return (const struct json *)(const void *)node;
}

static void *
need_bytes(size_t size)
{
    return need_made(malloc(size));
}

void
json_init(void)
{
    cJSON_InitHooks(&(cJSON_Hooks){need_bytes, free});
}

/* ---- reading ---- */

static void
check_duplicates(const struct where *where)
{
    for (struct where one = where_first(where); one.json; where_next(&one)) {
        /* the first of that name */
        if (one.key && json_get(where->json, one.key) != one.json)
            where_problem(&one, "this key stands twice");
        check_duplicates(&one);
    }
}

struct json *
json_parse(const char *text, size_t length, const char *name, struct problems *problems)
{
    size_t before = problems->count;
    struct where where = where_file(name, NULL, problems);
    struct json_fault fault;
    cJSON *node;

    if (!json_check(text, length, &fault)) {
        struct json_place place = json_place(text, fault.at);

        problems_add(problems, "%s:%d:%d: %s", name, place.line, place.column, fault.says);
        return NULL;
    }
    node = cJSON_ParseWithLength(text, length + 1);
    assert(node); /* it follows what the check lets pass */
    where.json = out(node);
    check_duplicates(&where);
    if (problems->count > before) {
        cJSON_Delete(node);
        return NULL;
    }
    return out(node);
}

struct json *
json_parse_quietly(const char *text)
{
    return (struct json *)(void *)cJSON_ParseWithOpts(text, NULL, true);
}

char *
json_read_text(const char *path, int most, const char *what, size_t *length,
               struct problems *problems)
{
    char *text = whole_file_read(path, (size_t)most, length);

    if (!text && errno == EFBIG)
        problems_add(problems, "%s: larger than %d MiB, which no %s", path, most / 1024 / 1024,
                     what);
    else if (!text)
        problems_add(problems, "%s: cannot read: %s", path, whole_file_why(errno));
    return text;
}

struct json *
json_read(const char *path, struct problems *problems)
{
    size_t length = 0;
    char *text =
        json_read_text(path, JSON_FILE_LIMIT, "profile or show file needs", &length, problems);
    struct json *json = text ? json_parse(text, length, path, problems) : NULL;

    free(text);
    return json;
}

void
json_free(struct json *json)
{
    cJSON_Delete(node_of(json));
}

enum json_kind
json_kind(const struct json *json)
{
    const cJSON *node = in(json);

    if (cJSON_IsObject(node))
        return JSON_OBJECT;
    if (cJSON_IsArray(node))
        return JSON_ARRAY;
    if (cJSON_IsString(node))
        return JSON_STRING;
    if (cJSON_IsNumber(node))
        return JSON_NUMBER;
    return cJSON_IsBool(node) ? JSON_BOOL : JSON_NULL;
}

const char *
json_kind_name(enum json_kind kind)
{
    static const char *const names[] = {"null",     "true or false", "a number",
                                        "a string", "an array",      "an object"};

    return names[kind];
}

const struct json *
json_first(const struct json *json)
{
    return json ? out_const(in(json)->child) : NULL;
}

const struct json *
json_next(const struct json *json)
{
    return json ? out_const(in(json)->next) : NULL;
}

const char *
json_key(const struct json *json)
{
    return in(json)->string;
}

int
json_size(const struct json *json)
{
    return cJSON_GetArraySize(in(json));
}

const struct json *
json_get(const struct json *json, const char *key)
{
    return out_const(cJSON_GetObjectItemCaseSensitive(in(json), key));
}

double
json_number(const struct json *json)
{
    return in(json)->valuedouble;
}

bool
json_bool(const struct json *json)
{
    return cJSON_IsTrue(in(json));
}

const char *
json_string(const struct json *json)
{
    return in(json)->valuestring;
}

static const struct json *
find(const struct json *json, const char *key, enum json_kind kind)
{
    const struct json *found = json_get(json, key);

    return found && json_kind(found) == kind ? found : NULL;
}

double
json_number_at(const struct json *json, const char *key, double otherwise)
{
    const struct json *number = find(json, key, JSON_NUMBER);

    return number ? json_number(number) : otherwise;
}

const char *
json_string_at(const struct json *json, const char *key)
{
    const struct json *string = find(json, key, JSON_STRING);

    return string ? json_string(string) : "";
}

bool
json_bool_at(const struct json *json, const char *key)
{
    const struct json *flag = find(json, key, JSON_BOOL);

    return flag && json_bool(flag);
}

const struct json *
json_first_at(const struct json *json, const char *key)
{
    const struct json *list = find(json, key, JSON_ARRAY);

    return list ? json_first(list) : NULL;
}

/* ---- building ---- */

struct json *
json_new_object(void)
{
    return out(cJSON_CreateObject());
}

struct json *
json_new_array(void)
{
    return out(cJSON_CreateArray());
}

struct json *
json_new_string(const char *string)
{
    return out(cJSON_CreateString(string));
}

/* JSON has no infinities. */
struct json *
json_new_number(double number)
{
    return out(isfinite(number) ? cJSON_CreateNumber(number) : cJSON_CreateNull());
}

struct json *
json_new_bool(bool value)
{
    return out(cJSON_CreateBool(value));
}

struct json *
json_list_of(struct json *const *nodes)
{
    struct json *list = json_new_array();

    for (; *nodes; nodes++)
        json_add(list, NULL, *nodes);
    return list;
}

struct json *
json_words_of(const char *const *words)
{
    struct json *list = json_new_array();

    for (; *words; words++)
        json_add_string(list, NULL, *words);
    return list;
}

void
json_add(struct json *parent, const char *key, struct json *child)
{
    if (key)
        cJSON_AddItemToObject(node_of(parent), key, node_of(child));
    else
        cJSON_AddItemToArray(node_of(parent), node_of(child));
}

void
json_add_number(struct json *parent, const char *key, double number)
{
    json_add(parent, key, json_new_number(number));
}

void
json_add_string(struct json *parent, const char *key, const char *string)
{
    json_add(parent, key, json_new_string(string));
}

void
json_add_bool(struct json *parent, const char *key, bool value)
{
    json_add(parent, key, json_new_bool(value));
}

struct json *
json_get_mutable(struct json *json, const char *key)
{
    return (struct json *)(void *)cJSON_GetObjectItemCaseSensitive(node_of(json), key);
}

void
json_remove(struct json *json, const char *key)
{
    cJSON_DeleteItemFromObjectCaseSensitive(node_of(json), key);
}

char *
json_print(const struct json *json, bool indented)
{
    return need_made(indented ? cJSON_Print(in(json)) : cJSON_PrintUnformatted(in(json)));
}

void
json_put(const struct json *json)
{
    char *text = json_print(json, true);

    puts(text);
    free(text);
}

/* What a template's marks stand for. */
struct filling {
    const char *text, *id;
};

/* What the mark at the beginning of `at` stands for, with its length; NULL: there is none. */
static const char *
filling_at(const struct filling *filling, const char *at, size_t *length)
{
    static const char text[] = "${text}", id[] = "${id}";

    if (strncmp(at, text, *length = sizeof text - 1) == 0)
        return filling->text;
    if (strncmp(at, id, *length = sizeof id - 1) == 0)
        return filling->id;
    return NULL;
}

/* The string with its marks replaced; for free(). What is put in is not looked at again. */
static char *
filled(const char *string, const struct filling *filling)
{
    char *text;
    size_t size, length;
    FILE *to = no_memory_stream(&text, &size);

    while (*string) {
        const char *with = filling_at(filling, string, &length);

        if (with)
            fputs(with, to);
        else
            fputc(*string, to);
        string += with ? length : 1;
    }
    no_memory_stream_end(to);
    return text;
}

static void
fill_node(cJSON *node, const struct filling *filling)
{
    for (cJSON *child = node->child; child; child = child->next)
        fill_node(child, filling);
    if (cJSON_IsString(node)) {
        char *text = filled(node->valuestring, filling);

        cJSON_free(node->valuestring);
        node->valuestring = text;
    }
}

struct json *
json_copy(const struct json *json)
{
    return out(cJSON_Duplicate(in(json), true));
}

struct json *
json_fill(const struct json *json, const char *text, const char *id)
{
    struct json *copy = json_copy(json);
    struct filling filling = {text, id};

    fill_node(node_of(copy), &filling);
    return copy;
}
