/* SPDX-License-Identifier: MIT */
#include "base/json.h"

#include <cjson/cJSON.h>
#include <errno.h>
#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "base/escape.h"
#include "base/whole_file.h"
#include "core/need.h"

/* struct json is cJSON under another name, so that no other file sees the library. */
static const cJSON *
in(const struct json *json)
{
    return (const cJSON *)(const void *)json;
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
problem_at(const char *text, size_t at, const char *name, struct problems *problems,
           const char *what)
{
    int line = 1, column = 1;

    for (size_t i = 0; i < at; i++) {
        column = text[i] == '\n' ? 1 : column + ((text[i] & 0xc0) != 0x80);
        line += text[i] == '\n';
    }
    problems_add(problems, "%s:%d:%d: %s", name, line, column, what);
}

/* What cJSON would let pass: bytes that are no UTF-8, NUL bytes, and \u0000, which cuts a string.
 */
static bool
check_bytes(const char *text, size_t length, const char *name, struct problems *problems)
{
    for (size_t at = 0; at < length;) {
        size_t bytes = text[at] ? escape_character(text + at) : 0;

        if (bytes == 0) {
            problem_at(text, at, name, problems, text[at] ? "not UTF-8 text" : "a NUL byte");
            return false;
        }
        if (text[at] == '\\') {
            if (strncmp(text + at, "\\u0000", 6) == 0) {
                problem_at(text, at, name, problems, "\\u0000 is not allowed in a string");
                return false;
            }
            bytes += at + 1 < length && text[at + 1] == '\\';
        }
        at += bytes;
    }
    return true;
}

static void
check_duplicates(const cJSON *node, const struct where *where)
{
    const cJSON *child;
    int index = 0;

    cJSON_ArrayForEach(child, node)
    {
        struct where here =
            child->string ? where_key(where, child->string) : where_index(where, index++);

        if (child->string)
            for (const cJSON *other = node->child; other != child; other = other->next)
                if (strcmp(other->string, child->string) == 0) {
                    where_problem(&here, "this key stands twice");
                    break;
                }
        check_duplicates(child, &here);
    }
}

/* Where the text stops being JSON. cJSON points one past the quote of a string that never ends, and
 * one past what stands where a key should. */
static size_t
error_place(const char *text, size_t at)
{
    size_t before = at > 0 ? at - 1 : 0;

    if (at > 0 && text[before] == '"' && !strchr(text + at, '"'))
        return strlen(text);
    while (before > 0 && strchr(" \t\r\n", text[before - 1]))
        before--;
    /* at the very end it may also be a value that was cut short */
    if (at > 0 && before > 0 && strchr(",{", text[before - 1]) &&
        !strchr(" \t\r\n\"", text[at - 1]) && (text[at] || strchr("}],:", text[at - 1])))
        return at - 1;
    return at;
}

struct json *
json_parse(const char *text, size_t length, const char *name, struct problems *problems)
{
    struct where where = where_file(name, problems);
    size_t before = problems->count;
    const char *end = NULL;
    cJSON *node;

    if (!check_bytes(text, length, name, problems))
        return NULL;
    node = cJSON_ParseWithLengthOpts(text, length + 1, &end, false);
    if (!node) {
        size_t at = end ? error_place(text, (size_t)(end - text)) : 0;

        problem_at(text, at < length ? at : length, name, problems,
                   at < length ? "this is not JSON" : "the file ends in the middle of a value");
        return NULL;
    }
    while (*end == ' ' || *end == '\t' || *end == '\r' || *end == '\n')
        end++;
    if (*end)
        problem_at(text, (size_t)(end - text), name, problems, "something follows the value");
    check_duplicates(node, &where);
    if (problems->count > before) {
        cJSON_Delete(node);
        return NULL;
    }
    return out(node);
}

struct json *
json_read(const char *path, struct problems *problems)
{
    size_t length = 0;
    char *text = whole_file_read(path, JSON_FILE_LIMIT, &length);
    struct json *json;

    if (!text) {
        if (errno == EFBIG)
            problems_add(problems, "%s: larger than %d MiB, which no profile or show file needs",
                         path, JSON_FILE_LIMIT / 1024 / 1024);
        else
            problems_add(problems, "%s: cannot read: %s", path, whole_file_why(errno));
        return NULL;
    }
    json = json_parse(text, length, path, problems);
    free(text);
    return json;
}

void
json_free(struct json *json)
{
    cJSON_Delete((cJSON *)(void *)json);
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
    return out_const(in(json)->child);
}

const struct json *
json_next(const struct json *json)
{
    return out_const(in(json)->next);
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

static const char *
key_at(const void *keys, size_t i)
{
    return ((const char *const *)keys)[i];
}

static bool
check_object(const struct json *json, const struct where *where)
{
    if (json_kind(json) == JSON_OBJECT)
        return true;
    where_problem(where, "is %s, must be an object", json_kind_name(json_kind(json)));
    return false;
}

bool
json_check_keys(const struct json *json, const struct where *where, const char *const *keys)
{
    char nearest[100];
    size_t count = 0;

    if (!check_object(json, where))
        return false;
    while (keys[count])
        count++;
    for (const struct json *child = json_first(json); child; child = json_next(child)) {
        struct where here = where_key(where, json_key(child));
        size_t i = 0;

        while (i < count && strcmp(keys[i], json_key(child)) != 0)
            i++;
        if (i == count)
            where_problem(&here, "unknown key%s",
                          where_nearest(json_key(child), key_at, keys, count, nearest));
    }
    return true;
}

const struct json *
json_need(const struct json *json, const struct where *where, const char *key, enum json_kind kind,
          bool required)
{
    const struct json *child = json_get(json, key);
    struct where here = where_key(where, key);

    if (!child) {
        if (required)
            where_problem(&here, "is missing; it must be %s", json_kind_name(kind));
        return NULL;
    }
    if (json_kind(child) != kind) {
        where_problem(&here, "is %s, must be %s", json_kind_name(json_kind(child)),
                      json_kind_name(kind));
        return NULL;
    }
    return child;
}

static double
number_of(const struct json *json)
{
    return json_kind(json) == JSON_NUMBER ? json_number(json) : (double)NAN;
}

bool
json_take_above(const struct json *json, const struct where *where, double most, double *to)
{
    double number = number_of(json);

    if (!(number > 0 && number <= most)) {
        where_problem(where, "must be a number above 0, at most %g", most);
        return false;
    }
    *to = number;
    return true;
}

bool
json_take_whole(const struct json *json, const struct where *where, int least, int most, int *to)
{
    double number = number_of(json);

    if (!(number >= least && number <= most) || number != floor(number)) {
        where_problem(where, "must be a whole number from %d to %d", least, most);
        return false;
    }
    *to = (int)number;
    return true;
}

/* The files of this program, by the key that says what one is. */
static const char *const formats[][2] = {{"profile_format", "a profile"},
                                         {"show_format", "a show file"},
                                         {"scheme_format", "a scheme"},
                                         {"saved_format", "a saved desk"},
                                         {"recording_format", "a recording"}};

bool
json_check_kind(const struct json *json, const struct where *where, const char *key)
{
    size_t count = sizeof formats / sizeof *formats, wanted = 0;

    while (strcmp(formats[wanted][0], key) != 0)
        wanted++;
    if (json_kind(json) != JSON_OBJECT || json_get(json, key))
        return true;
    for (size_t i = 0; i < count; i++) {
        if (!json_get(json, formats[i][0]))
            continue;
        where_problem(where, "is %s, must be %s", formats[i][1], formats[wanted][1]);
        return false;
    }
    return true;
}

bool
json_check_format(const struct json *json, const struct where *where, const char *key, int format)
{
    const struct json *number =
        check_object(json, where) ? json_need(json, where, key, JSON_NUMBER, true) : NULL;
    struct where here = where_key(where, key);

    if (number && json_number(number) != format)
        where_problem(&here, "is %g; this version reads format %d", json_number(number), format);
    return number && json_number(number) == format;
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

struct json *
json_new_number(double number)
{
    return out(isfinite(number) ? cJSON_CreateNumber(number) : cJSON_CreateNull());
}

void
json_add(struct json *parent, const char *key, struct json *child)
{
    cJSON *to = (cJSON *)(void *)parent;
    cJSON *node = (cJSON *)(void *)child;

    if (key)
        cJSON_AddItemToObject(to, key, node);
    else
        cJSON_AddItemToArray(to, node);
}

/* JSON has no infinities. */
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
    json_add(parent, key, out(cJSON_CreateBool(value)));
}

struct json *
json_get_mutable(struct json *json, const char *key)
{
    cJSON *node = (cJSON *)(void *)json;

    return (struct json *)(void *)cJSON_GetObjectItemCaseSensitive(node, key);
}

void
json_remove(struct json *json, const char *key)
{
    cJSON_DeleteItemFromObjectCaseSensitive((cJSON *)(void *)json, key);
}

char *
json_print(const struct json *json, bool indented)
{
    return need_made(indented ? cJSON_Print(in(json)) : cJSON_PrintUnformatted(in(json)));
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

/* Writes the string with its marks replaced to `to`, or only measures it when that is NULL. What is
 * put in is not looked at again. */
static size_t
fill_into(char *to, const char *string, const struct filling *filling)
{
    size_t used = 0, length;

    while (*string) {
        const char *text = filling_at(filling, string, &length);

        if (!text) {
            text = string;
            length = 1;
        }
        string += length;
        length = text == string - 1 ? 1 : strlen(text);
        if (to)
            memcpy(to + used, text, length);
        used += length;
    }
    if (to)
        to[used] = '\0';
    return used;
}

static void
fill_node(cJSON *node, const struct filling *filling)
{
    for (cJSON *child = node->child; child; child = child->next)
        fill_node(child, filling);
    if (cJSON_IsString(node)) {
        char *filled = need_memory(fill_into(NULL, node->valuestring, filling) + 1, 1);

        fill_into(filled, node->valuestring, filling);
        cJSON_free(node->valuestring);
        node->valuestring = filled;
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

    fill_node((cJSON *)(void *)copy, &filling);
    return copy;
}
