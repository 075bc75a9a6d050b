/* SPDX-License-Identifier: MIT */
/* Addresses and arguments of a profile: what is sent, and what is waited for. */
#include "profile/loader.h"

#include <ctype.h>
#include <float.h>
#include <math.h>
#include <string.h>

#include "core/need.h"

enum { ADDRESS_LIMIT = 200, ELEMENT_LIMIT = 64 };

static const char *
law_name_at(const void *context, size_t i)
{
    return ((const struct loader *)context)->laws[i].name;
}

const char *
loader_param_name(const void *context, size_t i)
{
    (void)context;
    return params[i].name;
}

static const char *const placeholder_names[] = {"input", "mix", "group", "band"};

static const char *
placeholder_name_at(const void *context, size_t i)
{
    (void)context;
    return placeholder_names[i];
}

/* ---- addresses ---- */

/* The kind that a placeholder's name stands for in this entry; INDEX_NONE when there is none. */
static enum index_kind
placeholder_kind(const char *name, enum index_kind band)
{
    if (strcmp(name, "band") == 0)
        return band;
    for (int kind = INDEX_INPUT; kind <= INDEX_GROUP; kind++)
        if (strcmp(index_placeholder((enum index_kind)kind), name) == 0)
            return (enum index_kind)kind;
    return INDEX_NONE;
}

/* The entry's variable of the kind, added when it is new; -1 with a problem when it cannot be. */
static int
entry_variable(const struct reading *reading, const char *name, const struct where *where)
{
    enum index_kind kind = placeholder_kind(name, reading->band);
    struct entry *entry = reading->entry;
    char nearest[100];

    if (kind == INDEX_NONE && strcmp(name, "band") == 0) {
        where_problem(where, "{band} stands for nothing here: no value of this entry has bands");
        return -1;
    }
    if (kind == INDEX_NONE) {
        where_problem(where, "unknown index {%s}%s", name,
                      where_nearest(name, placeholder_name_at, NULL, 4, nearest));
        return -1;
    }
    for (int i = 0; i < entry->variable_count; i++)
        if (entry->variables[i].kind == kind)
            return i;
    if (entry->variable_count == ENTRY_VARIABLES) {
        where_problem(where, "more than %d indexes in one entry", ENTRY_VARIABLES);
        return -1;
    }
    if (reading->loader->profile->counts.of[kind] == 0) {
        where_problem(where, "{%s} is used, but counts.%s is missing", name, index_name(kind));
        return -1;
    }
    entry->variables[entry->variable_count] = (struct variable){kind, reading->loader->first[kind]};
    return entry->variable_count++;
}

/* "{input}" or "{input:2}" at `text`: its length, name and width; 0 when it is no placeholder. */
static size_t
scan_placeholder(const char *text, char name[20], int *width)
{
    size_t length = text[0] == '{' ? strcspn(text + 1, ":},") : 0;
    const char *end = text + 1 + length;

    if (length == 0 || length >= 20)
        return 0;
    memcpy(name, text + 1, length);
    name[length] = '\0';
    *width = 0;
    if (*end == ':' && isdigit((unsigned char)end[1])) {
        *width = end[1] - '0';
        end += 2;
    }
    return *end == '}' ? (size_t)(end + 1 - text) : 0;
}

/* Length of plain text at `at`, up to the next placeholder. */
static size_t
plain_length(const char *at)
{
    char name[20];
    size_t length = 0;
    int width;

    while (at[length] && scan_placeholder(at + length, name, &width) == 0)
        length++;
    return length;
}

static bool
check_address(const char *address, bool wildcards, const struct where *where)
{
    if (!address[0] || address[0] == ',' || strcmp(address, "/") == 0) {
        where_problem(where, "an address begins with '/' or a name, found \"%s\"", address);
        return false;
    }
    if (strlen(address) > ADDRESS_LIMIT) {
        where_problem(where, "the address is longer than %d bytes", ADDRESS_LIMIT);
        return false;
    }
    for (const char *at = address; *at; at++) {
        char name[20];
        int width;
        size_t skip = scan_placeholder(at, name, &width);

        if (skip > 0) {
            at += skip - 1;
            continue;
        }
        if (*at <= ' ' || *at > '~' || *at == '#' || (!wildcards && strchr("*?,[]{}", *at))) {
            where_problem(where, "the character '%c' may not stand in this address", *at);
            return false;
        }
    }
    return true;
}

void
loader_read_address(const struct reading *reading, struct pattern *pattern, const struct json *json,
                    const struct where *where)
{
    const char *at;

    if (json_kind(json) != JSON_STRING) {
        where_problem(where, "is %s, must be an address", json_kind_name(json_kind(json)));
        return;
    }
    at = json_string(json);
    if (!check_address(at, reading->question, where))
        return;
    pattern->address = need_memory(strlen(at), sizeof *pattern->address);
    while (*at) {
        struct piece *piece = &pattern->address[pattern->pieces];
        char name[20];
        size_t length = scan_placeholder(at, name, &piece->width);

        if (length > 0) {
            piece->variable = entry_variable(reading, name, where);
            if (piece->variable < 0)
                return;
        } else {
            length = plain_length(at);
            piece->text = need_part(at, length);
        }
        pattern->pieces++;
        at += length;
    }
}

/* ---- elements ---- */

/* As it travels: what is listed for a person to agree to is what is sent. */
static void
read_number(struct argument *literal, double number, const struct where *where)
{
    bool whole = number == floor(number) && fabs(number) < 0x1p31;

    if (!whole && (!(fabs(number) <= FLT_MAX) || fabs(number) < FLT_MIN))
        where_problem(where, "%g is no number of 32 bits, as messages carry them", number);
    else
        *literal = (struct argument){ARGUMENT_NUMBER, whole ? 'i' : 'f', number, NULL};
}

static void
read_literal(struct element *element, const struct json *json, const struct where *where)
{
    struct argument *literal = &element->literal;

    element->kind = ELEMENT_LITERAL;
    if (json_kind(json) == JSON_STRING) {
        *literal = (struct argument){ARGUMENT_TEXT, 's', 0, need_text(json_string(json))};
    } else if (json_kind(json) == JSON_BOOL) {
        *literal =
            (struct argument){ARGUMENT_SWITCH, json_bool(json) ? 'T' : 'F', json_bool(json), NULL};
    } else {
        read_number(literal, json_number(json), where);
    }
}

static void
read_range(struct element *element, const struct json *json, const struct where *where)
{
    const struct json *least =
        json_kind(json) == JSON_ARRAY && json_size(json) == 2 ? json_first(json) : NULL;
    const struct json *most = least ? json_next(least) : NULL;

    if (!most || json_kind(least) != JSON_NUMBER || json_kind(most) != JSON_NUMBER ||
        !(json_number(least) < json_number(most)) || !(json_number(least) >= -LAW_VALUE_MOST) ||
        !(json_number(most) <= LAW_VALUE_MOST)) {
        where_problem(where, "must be [least, most], two rising numbers");
        return;
    }
    element->range = (struct travel){json_number(least), json_number(most)};
}

static void
read_law(const struct loader *loader, struct element *element, const struct json *json,
         const struct where *where)
{
    struct law own = {0};
    const struct law *law = &own;
    char nearest[100];
    size_t before = where->problems->count;

    if (json_kind(json) == JSON_STRING) {
        size_t i = 0;

        while (i < loader->law_count && strcmp(loader->laws[i].name, json_string(json)) != 0)
            i++;
        if (i == loader->law_count) {
            where_problem(
                where, "no law \"%s\" under \"laws\"%s", json_string(json),
                where_nearest(json_string(json), law_name_at, loader, loader->law_count, nearest));
            return;
        }
        law = &loader->laws[i];
    } else {
        law_read(&own, NULL, json, where);
    }
    if (where->problems->count == before)
        law_bind(&element->law, law, element->param, where);
    law_release(&own);
}

/* The parameter a value names, or PARAMS with a problem. */
static enum param_id
read_param(const struct json *json, const struct where *where)
{
    char nearest[100];
    enum param_id id = param_find(json_string(json));

    if (id == PARAMS)
        where_problem(where,
                      "unknown parameter \"%s\"%s; `gainwarden explain parameters` lists them",
                      json_string(json),
                      where_nearest(json_string(json), loader_param_name, NULL, PARAMS, nearest));
    return id;
}

/* What {band} stands for in a value; INDEX_NONE where it has no bands. */
static enum index_kind
band_of_param(enum param_id id)
{
    return params[id].column >= INDEX_INPUT_EQ_BAND ? params[id].column : INDEX_NONE;
}

/* `is`, `law`, `range` and `each` of an object that gives a value. */
void
loader_read_value(const struct loader *loader, struct element *element, const struct json *json,
                  const struct where *where)
{
    const struct json *is = json_need(json, where, "is", JSON_STRING, true);
    const struct json *each = json_need(json, where, "each", JSON_STRING, false);
    const struct json *law = json_get(json, "law");
    const struct json *range = json_get(json, "range");
    const struct json *step = json_get(json, "step");
    struct where here;

    element->kind = ELEMENT_VALUE;
    element->range = (struct travel){NAN, NAN};
    element->param = PARAMS;
    if (!is)
        return;
    here = where_key(where, "is");
    element->param = read_param(is, &here);
    if (element->param == PARAMS)
        return;
    here = where_key(where, "law");
    if (law)
        read_law(loader, element, law, &here);
    else if (params[element->param].unit == UNIT_WORD)
        where_problem(&here,
                      "is missing: %s takes words, so a \"words\" table must say what the desk "
                      "sends for each",
                      params[element->param].name);
    here = where_key(where, "range");
    if (range)
        read_range(element, range, &here);
    here = where_key(where, "step");
    if (step)
        json_take_above(step, &here, 20, &element->step);
    if (!each)
        return;
    here = where_key(where, "each");
    element->each = placeholder_kind(json_string(each), band_of_param(element->param));
    if (element->each == INDEX_NONE || (element->each != params[element->param].row &&
                                        element->each != params[element->param].column))
        where_problem(&here, "%s has no index \"%s\" to run along", params[element->param].name,
                      json_string(each));
    else if (loader->profile->counts.of[element->each] == 0)
        where_problem(&here, "{%s} is used, but counts.%s is missing", json_string(each),
                      index_name(element->each));
}

static const struct blob_name {
    const char *name;
    enum blob_form form;
    bool little_endian;
} blob_names[] = {
    {"int16be", BLOB_INT16, false},     {"int16le", BLOB_INT16, true},
    {"int32be", BLOB_INT32, false},     {"int32le", BLOB_INT32, true},
    {"float32be", BLOB_FLOAT32, false}, {"float32le", BLOB_FLOAT32, true},
};

enum { BLOB_NAMES = sizeof blob_names / sizeof *blob_names };

static const char *
blob_name_at(const void *context, size_t i)
{
    (void)context;
    return blob_names[i].name;
}

/* `blob` and `skip`, besides what every value has. */
static void
read_blob(const struct reading *reading, struct element *element, const struct json *json,
          const struct where *where)
{
    const struct json *blob = json_need(json, where, "blob", JSON_STRING, true);
    const struct json *skip = json_need(json, where, "skip", JSON_NUMBER, false);
    struct where here = where_key(where, "blob");
    char nearest[100];
    int bytes = 0, i = 0;

    while (blob && i < BLOB_NAMES && strcmp(blob_names[i].name, json_string(blob)) != 0)
        i++;
    if (i == BLOB_NAMES)
        where_problem(&here,
                      "unknown numbers \"%s\"%s; int16, int32 and float32, each with be or le",
                      json_string(blob),
                      where_nearest(json_string(blob), blob_name_at, NULL, BLOB_NAMES, nearest));
    else if (blob) {
        element->blob = blob_names[i].form;
        element->little_endian = blob_names[i].little_endian;
    }
    here = where_key(where, "skip");
    if (skip && json_take_whole(skip, &here, 0, 1024, &bytes))
        element->skip = (size_t)bytes;
    here = where_key(where, "each");
    if (!json_get(json, "each"))
        where_problem(&here, "is missing: a blob is a run along one index");
    loader_read_value(reading->loader, element, json, where);
}

static void
read_element(const struct reading *reading, struct element *element, const struct json *json,
             const struct where *where)
{
    bool answer = !reading->question;
    enum json_kind kind = json_kind(json);
    char name[20];
    int width;

    element->param = PARAMS;
    if (kind == JSON_OBJECT && answer && (json_get(json, "blob") || json_get(json, "skip"))) {
        if (fields_check_keys(&profile_blob_fields, json, where))
            read_blob(reading, element, json, where);
    } else if (kind == JSON_OBJECT && answer) {
        if (fields_check_keys(&profile_value_fields, json, where))
            loader_read_value(reading->loader, element, json, where);
    } else if (kind == JSON_OBJECT) {
        where_problem(where,
                      "a question may carry only literals and indexes; a value here would be a "
                      "move");
    } else if (kind == JSON_STRING &&
               scan_placeholder(json_string(json), name, &width) == strlen(json_string(json)) &&
               *json_string(json)) {
        element->kind = ELEMENT_INDEX;
        element->variable = entry_variable(reading, name, where);
    } else if (kind == JSON_STRING && answer && strcmp(json_string(json), "*") == 0) {
        element->kind = ELEMENT_ANY;
    } else if (kind == JSON_STRING || kind == JSON_NUMBER || kind == JSON_BOOL) {
        read_literal(element, json, where);
    } else {
        where_problem(where, "is %s; allowed are a number, text, true, false, an {index}%s",
                      json_kind_name(kind), answer ? ", \"*\" or a value" : "");
    }
}

/* A new element at the end of the pattern; NULL with a problem when it has too many. */
static struct element *
add_element(struct pattern *pattern, const struct where *where)
{
    if (pattern->count < ELEMENT_LIMIT - 1)
        return &pattern->elements[pattern->count++];
    where_problem(where, "more than %d arguments and fields", ELEMENT_LIMIT - 1);
    return NULL;
}

static const struct json *
json_get_in(const struct json *json, const char *key)
{
    return json_kind(json) == JSON_OBJECT ? json_get(json, key) : NULL;
}

/* { "text": " ", "fields": [ ... ] }: the fields become elements of the pattern. */
static void
read_line(const struct reading *reading, struct pattern *pattern, const struct json *json,
          const struct where *where)
{
    const struct json *text = json_need(json, where, "text", JSON_STRING, true);
    const struct json *fields = json_need(json, where, "fields", JSON_ARRAY, true);
    struct where here = where_key(where, "text"), field;
    int index = 0;

    if (!fields_check_keys(&profile_line_fields, json, where) || !text || !fields)
        return;
    if (strlen(json_string(text)) != 1 || *json_string(text) == '"' ||
        (!isprint((unsigned char)*json_string(text)) && *json_string(text) != '\t'))
        where_problem(&here, "must be the one character that parts the fields");
    here = where_key(where, "fields");
    if (json_size(fields) == 0)
        where_problem(&here, "is empty");
    for (const struct json *item = json_first(fields); item; item = json_next(item)) {
        struct element *element;

        field = where_index(&here, index);
        element = add_element(pattern, &field);
        if (!element)
            return;
        if (json_kind(item) == JSON_BOOL)
            where_problem(&field, "is a switch; a field is text");
        else if (json_get_in(item, "text") || json_get_in(item, "fields") ||
                 json_get_in(item, "blob"))
            where_problem(&field, "a field holds neither a blob nor another text");
        else
            read_element(reading, element, item, &field);
        element->separator = *json_string(text);
        element->goes_on = index++ > 0;
    }
    reading->entry->unfolds = true;
}

static void
read_argument(const struct reading *reading, struct pattern *pattern, const struct json *json,
              const struct where *where)
{
    struct element *element;

    if (json_kind(json) == JSON_OBJECT && !reading->question &&
        (json_get(json, "text") || json_get(json, "fields"))) {
        read_line(reading, pattern, json, where);
        return;
    }
    element = add_element(pattern, where);
    if (!element)
        return;
    read_element(reading, element, json, where);
    reading->entry->unfolds |= element->blob != BLOB_NONE;
}

/* [address, argument, ...] */
void
loader_read_pattern(const struct reading *reading, struct pattern *pattern, const struct json *json,
                    const struct where *where)
{
    const struct json *item;
    struct where here;
    int index = 0;

    if (json_kind(json) != JSON_ARRAY || json_size(json) < 1) {
        where_problem(where, "must be an array: the address, then at most %d arguments",
                      ELEMENT_LIMIT - 1);
        return;
    }
    item = json_first(json);
    here = where_index(where, index);
    loader_read_address(reading, pattern, item, &here);
    pattern->elements = need_memory(ELEMENT_LIMIT, sizeof *pattern->elements);
    while ((item = json_next(item))) {
        here = where_index(where, ++index);
        read_argument(reading, pattern, item, &here);
    }
}
