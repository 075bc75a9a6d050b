/* SPDX-License-Identifier: MIT */
#include "link/labels.h"

#include <stdio.h>
#include <string.h>

#include "base/json.h"
#include "link/unfold.h"

enum { DEPTH_MOST = 16, PATH_SIZE = LABELS_PATH };

/* A copy among the texts; NULL when there is no room. */
static const char *
keep(struct labels *labels, const char *text)
{
    size_t size = strlen(text) + 1;
    char *to = labels->texts + labels->used;

    if (size > LABELS_TEXT - labels->used)
        return NULL;
    memcpy(to, text, size);
    labels->used += size;
    return to;
}

static bool
add(struct labels *labels, const char *label, struct argument argument)
{
    if (labels->count == LABELS_MOST)
        return false;
    labels->all[labels->count++] = (struct labelled){label, argument};
    return true;
}

/* ---- lines ---- */

/* Without blanks around it. */
static char *
trimmed(char *text)
{
    char *end;

    text += strspn(text, " \t");
    for (end = text + strlen(text); end > text && (end[-1] == ' ' || end[-1] == '\t'); end--)
        end[-1] = '\0';
    return text;
}

/* "gain=12": what stands before the first '=', and behind it. A field without one is of no interest.
 */
static bool
add_field(struct labels *labels, char *field, char label)
{
    char *behind, *value;
    size_t length;

    field += strspn(field, " \t");
    behind = strchr(field, label);
    if (!behind)
        return true;
    *behind = '\0';
    value = trimmed(behind + 1);
    length = strlen(value);
    if (length > 1 && value[0] == '"' && value[length - 1] == '"') {
        value[length - 1] = '\0';
        value++;
    }
    return add(labels, trimmed(field), (struct argument){ARGUMENT_TEXT, 's', 0, value});
}

/* Where the field that begins here ends: at the separator, but not within double quotes. */
static char *
field_end(char *at, char separator)
{
    bool quoted = false;

    for (; *at && (quoted || *at != separator); at++)
        quoted ^= *at == '"';
    return at;
}

static bool
read_line(struct labels *labels, const struct element *element, const char *text)
{
    char *at = (char *)(uintptr_t)keep(labels, text);

    while (at && *at) {
        char *end = field_end(at, element->separator);
        bool last = !*end;

        *end = '\0';
        if (!add_field(labels, at, element->label_end))
            return false;
        at = last ? end : end + 1;
    }
    return at != NULL;
}

/* ---- JSON ---- */

static struct argument
leaf(struct labels *labels, const struct json *json)
{
    switch (json_kind(json)) {
    case JSON_NUMBER:
        return (struct argument){ARGUMENT_NUMBER, 'd', json_number(json), NULL};
    case JSON_BOOL:
        return (struct argument){ARGUMENT_SWITCH, json_bool(json) ? 'T' : 'F', json_bool(json),
                                 NULL};
    case JSON_STRING:
        return (struct argument){ARGUMENT_TEXT, 's', 0, keep(labels, json_string(json))};
    case JSON_NULL:
    case JSON_ARRAY:
    case JSON_OBJECT:
        break;
    }
    return (struct argument){ARGUMENT_OTHER, 'N', 0, NULL};
}

static bool
add_leaf(struct labels *labels, const char *path, const struct json *json)
{
    struct argument argument = leaf(labels, json);
    const char *label = keep(labels, path);

    return label && (argument.kind != ARGUMENT_TEXT || argument.text) &&
           add(labels, label, argument);
}

/* The leaves below, each with its path from the top; an element of an array is called by its
 * number, from 0. */
static bool
walk(struct labels *labels, const struct json *json, char path[PATH_SIZE], int depth)
{
    size_t length = strlen(path);
    int number = 0;

    if (json_kind(json) == JSON_NULL) /* says nothing */
        return true;
    if (json_kind(json) != JSON_OBJECT && json_kind(json) != JSON_ARRAY)
        return add_leaf(labels, path, json);
    if (depth == DEPTH_MOST)
        return false;
    for (const struct json *one = json_first(json); one; one = json_next(one), number++) {
        const char *slash = length > 0 ? "/" : "";
        int more = json_kind(json) == JSON_OBJECT
                       ? snprintf(path + length, PATH_SIZE - length, "%s%s", slash, json_key(one))
                       : snprintf(path + length, PATH_SIZE - length, "%s%d", slash, number);

        if (more >= (int)(PATH_SIZE - length) || !walk(labels, one, path, depth + 1))
            return false;
        path[length] = '\0';
    }
    return true;
}

static bool
read_json(struct labels *labels, const char *text)
{
    struct json *json = json_parse_quietly(text);
    char path[PATH_SIZE] = "";
    bool good = json && walk(labels, json, path, 0);

    json_free(json);
    return good;
}

bool
labels_read(struct labels *labels, const struct element *element, const char *text)
{
    labels->count = labels->used = 0;
    return element->form == LABELS_JSON ? read_json(labels, text)
                                        : read_line(labels, element, text);
}
