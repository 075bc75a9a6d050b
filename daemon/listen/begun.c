/* SPDX-License-Identifier: MIT */
#include "listen/begun.h"

#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/atomic_file.h"
#include "core/need.h"

/* ---- beginning ---- */

static struct json *
link_of(int port, int own_port)
{
    struct json *link = json_new_object();

    json_add_string(link, "transport", "udp");
    json_add_number(link, "port", port);
    json_add_string(link, "answers_from", "any-port");
    if (own_port > 0)
        json_add_number(link, "answer_port", own_port);
    return link;
}

struct json *
begun_new(const char *desk, int port, int own_port, const struct json *renew)
{
    struct json *profile = json_new_object();

    json_add_number(profile, "profile_format", 1);
    json_add_string(profile, "desk", desk);
    json_add(profile, "link", link_of(port, own_port));
    if (json_size(renew) > 0)
        json_add(profile, "renew", json_copy(renew));
    json_add(profile, "counts", json_new_object());
    json_add(profile, "laws", json_new_object());
    json_add(profile, "values", json_new_array());
    return profile;
}

void
begun_set_desk(struct json **profile, const char *desk)
{
    struct json *renamed = json_new_object();

    for (const struct json *one = json_first(*profile); one; one = json_next(one))
        json_add(renamed, json_key(one),
                 strcmp(json_key(one), "desk") == 0 ? json_new_string(desk) : json_copy(one));
    json_free(*profile);
    *profile = renamed;
}

/* A profile has an entry: this one is for an address that nobody sends. */
struct json *
begun_nothing(int own_port, const struct json *renew)
{
    struct json *profile = begun_new("a desk without a profile", BEGUN_NO_PORT, own_port, renew);
    struct json *value = json_new_object(), *entry = json_new_object();

    begun_set_count(profile, INDEX_INPUT, 1);
    begun_set_count(profile, INDEX_MIX, 1);
    json_add_string(value, "is", "desk.scene");
    json_add(entry, "answer", json_list(json_new_string("/gainwarden/nothing"), value));
    json_add(json_get_mutable(profile, "values"), NULL, entry);
    return profile;
}

/* ---- counts ---- */

bool
begun_is_counted(const struct json *profile, enum index_kind kind)
{
    return json_get(json_get(profile, "counts"), index_name(kind)) != NULL;
}

int
begun_count(const struct json *profile, enum index_kind kind)
{
    return (int)json_number_at(json_get(profile, "counts"), index_name(kind), 0);
}

void
begun_set_count(struct json *profile, enum index_kind kind, int count)
{
    struct json *counts = json_get_mutable(profile, "counts");

    json_remove(counts, index_name(kind));
    json_add_number(counts, index_name(kind), count);
}

/* ---- entries ---- */

static bool
gives(const struct json *value, const char *name)
{
    if (json_get(value, "is") && strcmp(json_string_at(value, "is"), name) == 0)
        return true;
    for (const struct json *one = json_first_at(value, "answer"); one; one = json_next(one))
        if (gives(one, name))
            return true;
    for (const struct json *one = json_first_at(value, "fields"); one; one = json_next(one))
        if (gives(one, name))
            return true;
    return false;
}

bool
begun_gives(const struct json *profile, enum param_id id)
{
    for (const struct json *one = json_first_at(profile, "values"); one; one = json_next(one))
        if (gives(one, params[id].name))
            return true;
    return json_get(json_get(profile, "fixed"), params[id].name) != NULL;
}

/* Without the file's name before it. */
static void
say_why(const struct problems *problems, char why[BEGUN_WHY_SIZE])
{
    const char *line = problems->count > 0 ? problems->lines[0] : "it does not load";
    const char *colon = strstr(line, ": ");

    snprintf(why, BEGUN_WHY_SIZE, "%s", colon ? colon + 2 : line);
}

static bool
loads(const struct json *json, char why[BEGUN_WHY_SIZE])
{
    struct problems problems = {0};
    struct profile *profile = profile_from_json(json, "profile", &problems);
    bool good = profile != NULL;

    if (!good)
        say_why(&problems, why);
    problems_release(&problems);
    profile_free(profile);
    return good;
}

/* ---- one message, several values ---- */

/* One of two elements of a message; NULL where both say something, and not the same. */
static const struct json *
either(const struct json *one, const struct json *other)
{
    bool any = json_kind(one) == JSON_STRING && strcmp(json_string(one), "*") == 0;

    if (any || (json_kind(other) == JSON_STRING && strcmp(json_string(other), "*") == 0))
        return any ? other : one;
    if (json_kind(one) != JSON_STRING || json_kind(other) != JSON_STRING ||
        strcmp(json_string(one), json_string(other)) != 0)
        return NULL;
    return one;
}

/* The answer that says what both say; NULL: they are of two messages. */
static struct json *
merged(const struct json *one, const struct json *other)
{
    struct json *answer = json_new_array();
    const struct json *a = json_first(one), *b = json_first(other);

    if (json_size(one) != json_size(other) || json_size(one) < 3) {
        json_free(answer);
        return NULL;
    }
    for (; a && either(a, b); a = json_next(a), b = json_next(b))
        json_add(answer, NULL, json_copy(either(a, b)));
    if (json_size(one) == json_size(answer) && !a)
        return answer;
    json_free(answer);
    return NULL;
}

/* The entries with this one among them, or as part of one. */
static struct json *
values_with(const struct json *profile, const struct json *entry)
{
    struct json *values = json_new_array();
    bool done = false;

    for (const struct json *one = json_first_at(profile, "values"); one; one = json_next(one)) {
        bool alike = !json_get(one, "ask") &&
                     json_number_at(one, "first", -1) == json_number_at(entry, "first", -1);
        struct json *both =
            done || !alike ? NULL : merged(json_get(one, "answer"), json_get(entry, "answer"));
        struct json *copy = json_copy(one);

        if (both) {
            json_remove(copy, "answer");
            json_add(copy, "answer", both);
            done = true;
        }
        json_add(values, NULL, copy);
    }
    if (!done)
        json_add(values, NULL, json_copy(entry));
    return values;
}

struct json *
begun_value(enum param_id id, const char *law, struct travel range)
{
    struct json *value = json_new_object();

    json_add_string(value, "is", params[id].name);
    if (law)
        json_add_string(value, "law", law);
    if (!isnan(range.least))
        json_add(value, "range",
                 json_list(json_new_number(range.least), json_new_number(range.most)));
    return value;
}

static void
set_values(struct json *profile, struct json *values)
{
    json_remove(profile, "values");
    json_add(profile, "values", values);
}

/* "first" of the whole profile is for what its author wrote; what was found counts by itself. */
static void
add_first(const struct json *profile, struct json *entry)
{
    if (json_size(json_get(profile, "first")) > 0 && !json_get(entry, "first"))
        json_add_number(entry, "first", 1);
}

/* The profile calls one of these by name, and an entry that was found has numbers. */
static bool
is_named(const struct json *profile, enum param_id id, char why[BEGUN_WHY_SIZE])
{
    const enum index_kind kinds[] = {params[id].row, params[id].column};

    for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++) {
        if (kinds[i] == INDEX_NONE || !json_get(json_get(profile, "names"), index_name(kinds[i])))
            continue;
        snprintf(why, BEGUN_WHY_SIZE, "names.%s stands in the profile, and these are numbers",
                 index_name(kinds[i]));
        return true;
    }
    return false;
}

bool
begun_add_found(struct json *profile, enum param_id id, struct json *entry,
                char why[BEGUN_WHY_SIZE])
{
    if (!is_named(profile, id, why)) {
        add_first(profile, entry);
        return begun_add(profile, entry, why);
    }
    json_free(entry);
    return false;
}

bool
begun_add(struct json *profile, struct json *entry, char why[BEGUN_WHY_SIZE])
{
    struct json *values = values_with(profile, entry), *tried = json_copy(profile);
    bool good;

    json_free(entry);
    set_values(tried, json_copy(values));
    good = loads(tried, why);
    json_free(tried);
    if (good)
        set_values(profile, values);
    else
        json_free(values);
    return good;
}

/* ---- what is still to be found ---- */

#define TO_BE_FOUND "to be found: "

bool
begun_is_open(const struct json *profile, enum param_id id)
{
    char name[80];

    snprintf(name, sizeof name, TO_BE_FOUND "%s", params[id].name);
    return json_get(json_get(profile, "laws"), name) != NULL;
}

/* The answer with "*" in place of that value; NULL: it gave no other. */
static struct json *
without(const struct json *answer, const char *name)
{
    struct json *rest = json_new_array();
    int values = 0;

    for (const struct json *one = json_first(answer); one; one = json_next(one)) {
        bool taken = gives(one, name);

        values += !taken && json_kind(one) == JSON_OBJECT;
        json_add(rest, NULL, taken ? json_new_string("*") : json_copy(one));
    }
    if (values > 0)
        return rest;
    json_free(rest);
    return NULL;
}

void
begun_drop(struct json *profile, enum param_id id)
{
    struct json *values = json_new_array();

    for (const struct json *one = json_first_at(profile, "values"); one; one = json_next(one)) {
        bool given = gives(one, params[id].name);
        struct json *rest = given ? without(json_get(one, "answer"), params[id].name) : NULL;
        struct json *copy = !given || rest ? json_copy(one) : NULL;

        if (rest) {
            json_remove(copy, "answer");
            json_add(copy, "answer", rest);
        }
        if (copy)
            json_add(values, NULL, copy);
    }
    set_values(profile, values);
}

void
begun_put_back(struct json *profile, const struct json *before)
{
    static const char *const keys[] = {"counts", "laws"};

    for (size_t i = 0; i < sizeof keys / sizeof *keys; i++) {
        json_remove(profile, keys[i]);
        if (json_get(before, keys[i]))
            json_add(profile, keys[i], json_copy(json_get(before, keys[i])));
    }
}

/* ---- laws ---- */

const char *
begun_law_name(const struct json *profile, enum param_id id)
{
    static char name[80];

    snprintf(name, sizeof name, "%s", params[id].name);
    for (int i = 2; json_get(json_get(profile, "laws"), name); i++)
        snprintf(name, sizeof name, "%s %d", params[id].name, i);
    return name;
}

void
begun_set_law(struct json *profile, const char *name, struct json *law)
{
    struct json *laws;

    if (!json_get(profile, "laws"))
        json_add(profile, "laws", json_new_object());
    laws = json_get_mutable(profile, "laws");
    json_remove(laws, name);
    json_add(laws, name, law);
}

/* Any value that the unit has: no wire value is the text, so none becomes it. */
static struct json *
some_value(enum param_id id)
{
    switch (params[id].unit) {
    case UNIT_SWITCH:
        return json_new_bool(false);
    case UNIT_WORD:
        return json_new_string(param_words(id)[0]);
    case UNIT_HZ:
    case UNIT_SLOPE:
        return json_new_number(12);
    case UNIT_FACTOR:
        return json_new_number(1);
    case UNIT_DB:
    case UNIT_MS:
    case UNIT_INDEX:
    case UNIT_TEXT:
        break;
    }
    return json_new_number(0);
}

const char *
begun_unknown_law(struct json *profile, enum param_id id)
{
    static char name[80];
    struct json *law = json_new_object(), *pair;

    snprintf(name, sizeof name, TO_BE_FOUND "%s", params[id].name);
    pair = json_list(json_new_string("what the desk sends"), some_value(id));
    json_add(law, "words", json_list(pair));
    begun_set_law(profile, name, law);
    return name;
}

/* ---- writing ---- */

bool
begun_may_write(const char *path)
{
    const char *slash = strrchr(path, '/');
    char *folder = slash ? need_part(path, (size_t)(slash - path) + 1) : need_text(".");
    bool good = access(folder, W_OK | X_OK) == 0;

    if (!good)
        fprintf(stderr, "gainwarden: %s: cannot write: %s\n", path, strerror(errno));
    free(folder);
    return good;
}

bool
begun_write(const struct json *profile, const char *path)
{
    char *text = json_print(profile, true);
    bool good = atomic_file_write(path, text, strlen(text), 0644);

    if (!good)
        fprintf(stderr, "gainwarden: %s: cannot write: %s\n", path, strerror(errno));
    free(text);
    return good;
}
