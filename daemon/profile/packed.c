/* SPDX-License-Identifier: MIT */
/* Arguments of an answer that hold more than one thing: values that share one, and texts of several
 * fields, by their order or by their labels.
 */
#include <ctype.h>
#include <string.h>

#include "profile/loader.h"

/* Of several values that one argument or field says. */
static bool
is_value(const struct where *value)
{
    bool plain = where_is(value, JSON_OBJECT) && !json_get(value->json, "blob") &&
                 !json_get(value->json, "each") && !json_get(value->json, "fields");

    if (!plain)
        where_problem(value, "must be a value that is no run; one argument is shared by them");
    return plain;
}

/* [ value, value ]: one argument or field says several things. */
static void
read_shared(const struct reading *reading, struct pattern *pattern, char separator,
            const struct where *where)
{
    if (json_size(where->json) < 2)
        where_problem(where, "must hold two values of one argument, or more");
    for (struct where value = where_first(where); value.json; where_next(&value)) {
        struct element *element = loader_add_element(pattern, &value);

        if (!element)
            return;
        element->param = PARAMS;
        element->separator = separator;
        element->shares = value.index > 0;
        element->goes_on = separator && element->shares;
        if (is_value(&value))
            loader_read_element(reading, element, &value);
    }
}

static bool
is_separator(char letter)
{
    return letter != '"' && (isprint((unsigned char)letter) || letter == '\t');
}

/* { "text": " ", "fields": [ ... ] }: the fields become elements of the pattern. */
static void
read_line(const struct reading *reading, struct pattern *pattern, const struct where *where)
{
    struct where text = where_key(where, "text"), fields = where_key(where, "fields");
    bool has_text = where_need(&text, JSON_STRING, true);
    bool has_fields = where_need(&fields, JSON_ARRAY, true);

    if (!fields_check_keys(profile_line_fields, where) || !has_text || !has_fields)
        return;
    if (strlen(where_text(&text)) != 1 || !is_separator(*where_text(&text)))
        where_problem(&text, "must be the one character that parts the fields");
    if (json_size(fields.json) == 0)
        where_problem(&fields, "is empty");
    for (struct where field = where_first(&fields); field.json; where_next(&field)) {
        size_t first = pattern->count;
        struct element *element;

        if (where_is(&field, JSON_ARRAY)) {
            read_shared(reading, pattern, *where_text(&text), &field);
            pattern->elements[first].goes_on = field.index > 0;
            continue;
        }
        element = loader_add_element(pattern, &field);
        if (!element)
            return;
        if (where_is(&field, JSON_BOOL))
            where_problem(&field, "is a switch; a field is text");
        else if (json_get(field.json, "text") || json_get(field.json, "fields") ||
                 json_get(field.json, "blob"))
            where_problem(&field, "a field holds neither a blob nor another text");
        else
            loader_read_element(reading, element, &field);
        element->separator = *where_text(&text);
        element->goes_on = field.index > 0;
    }
}

/* ---- fields with labels ---- */

/* What the field is found by. */
static void
read_label(const struct reading *reading, struct element *element, const struct where *field)
{
    if (!*field->key)
        where_problem(field, "a label is empty");
    if (!loader_read_pieces(reading, field->key, &element->label, &element->label_pieces, field))
        return;
    for (size_t i = 0; i < element->label_pieces; i++)
        element->roves |= !element->label[i].text;
}

/* A run is an array of JSON. */
static bool
is_packed(const struct where *where, enum label_form form)
{
    static const char *const keys[] = {"text", "fields", "labels", "json", "blob", NULL};

    if (form == LABELS_LINE && json_get(where->json, "each"))
        return true;
    for (const char *const *key = keys; *key; key++)
        if (json_get(where->json, *key))
            return true;
    return false;
}

/* One element of a label; several values may have the same. */
static void
read_labelled(const struct reading *reading, struct pattern *pattern, const struct element *how,
              const struct where *label, const struct where *value)
{
    struct element *element = loader_add_element(pattern, value);

    if (!element)
        return;
    *element = *how;
    if (is_packed(value, how->form))
        where_problem(value, "what a label stands for is one value, and neither a run nor packed");
    else
        loader_read_element(reading, element, value);
    read_label(reading, element, label);
    if (element->roves && (element->kind != ELEMENT_VALUE || element->each != INDEX_NONE))
        where_problem(value, "an {index} in a label finds single values alone");
}

/* The first is an argument, and those behind it go on in the same. */
static void
read_labels(const struct reading *reading, struct pattern *pattern, struct element how,
            const struct where *labels)
{
    if (json_size(labels->json) == 0)
        where_problem(labels, "is empty");
    for (size_t i = 0; i < pattern->count; i++)
        if (pattern->elements[i].form != LABELS_NONE && !pattern->elements[i].goes_on)
            where_problem(labels, "is the second text with labels in this answer");
    for (struct where one = where_first(labels); one.json; where_next(&one)) {
        if (where_is(&one, JSON_ARRAY) && json_size(one.json) < 2)
            where_problem(&one, "must hold two values of one argument, or more");
        if (!where_is(&one, JSON_ARRAY)) {
            read_labelled(reading, pattern, &how, &one, &one);
            how.goes_on = true;
        }
        for (struct where value = where_is(&one, JSON_ARRAY) ? where_first(&one)
                                                             : (struct where){0};
             value.json; where_next(&value)) {
            if (is_value(&value))
                read_labelled(reading, pattern, &how, &one, &value);
            how.goes_on = true;
        }
    }
}

/* { "text": ";", "label": "=", "labels": { "gain": ... } } */
static void
read_label_line(const struct reading *reading, struct pattern *pattern, const struct where *where)
{
    struct where text = where_key(where, "text"), label = where_key(where, "label");
    struct where labels = where_key(where, "labels");
    bool has_text = where_need(&text, JSON_STRING, true);
    bool has_label = where_need(&label, JSON_STRING, true);
    struct element how = {.form = LABELS_LINE};

    if (!fields_check_keys(profile_label_fields, where) || !has_text || !has_label ||
        !where_need(&labels, JSON_OBJECT, true))
        return;
    how.separator = *where_text(&text);
    how.label_end = *where_text(&label);
    if (strlen(where_text(&text)) != 1 || !is_separator(how.separator))
        where_problem(&text, "must be the one character that parts the fields");
    if (strlen(where_text(&label)) != 1 || !is_separator(how.label_end) ||
        how.label_end == how.separator)
        where_problem(&label, "must be the one character between a label and its value");
    read_labels(reading, pattern, how, &labels);
}

/* { "json": { "in/{input}/gain": ... } } */
static void
read_json_text(const struct reading *reading, struct pattern *pattern, const struct where *where)
{
    struct where paths = where_key(where, "json");

    if (fields_check_keys(profile_json_fields, where) && where_need(&paths, JSON_OBJECT, true))
        read_labels(reading, pattern, (struct element){.form = LABELS_JSON}, &paths);
}

bool
loader_read_packed(const struct reading *reading, struct pattern *pattern,
                   const struct where *where)
{
    if (where_is(where, JSON_ARRAY))
        read_shared(reading, pattern, '\0', where);
    else if (json_get(where->json, "json"))
        read_json_text(reading, pattern, where);
    else if (json_get(where->json, "labels") || json_get(where->json, "label"))
        read_label_line(reading, pattern, where);
    else if (json_get(where->json, "text") || json_get(where->json, "fields"))
        read_line(reading, pattern, where);
    else
        return false;
    return true;
}
