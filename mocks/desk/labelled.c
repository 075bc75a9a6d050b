/* SPDX-License-Identifier: MIT */
#include "labelled.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "display.h"

__attribute__((format(printf, 2, 3))) static void
add(char out[LABELLED_SIZE], const char *format, ...)
{
    size_t used = strlen(out);
    va_list list;

    va_start(list, format);
    vsnprintf(out + used, LABELLED_SIZE - used, format, list);
    va_end(list);
}

/* A double quote inside a name would end it: the desk shows a single one. */
static const char *
quotable(const char *name, char out[DISPLAY_SIZE])
{
    snprintf(out, DISPLAY_SIZE, "%s", name);
    for (char *quote = strpbrk(out, "\"\\"); quote; quote = strpbrk(quote, "\"\\"))
        *quote = '\'';
    return out;
}

/* ---- lines ---- */

void
labelled_line(const struct labelled *labelled, char out[LABELLED_SIZE])
{
    size_t number = 0;

    out[0] = '\0';
    for (size_t i = 0; i < labelled->index_count; i++)
        add(out, "%sn%zu=%s", i > 0 ? "; " : "", i + 1, labelled->indices[i]);
    for (size_t i = labelled->count; i-- > 0;) { /* in no order that anybody should rely on */
        const struct item *item = &labelled->items[i];
        char text[DISPLAY_SIZE], name[DISPLAY_SIZE];
        const char *shown = display_value(labelled->state, item->field, item->object, false, text);
        bool is_text = item->field->form == FORM_TEXT;

        add(out, "%s%s", out[0] ? "; " : "", item->field->key);
        if (item->field == labelled->run)
            add(out, "%zu", labelled->count - number++);
        add(out, is_text ? "=\"%s\"" : "=%s", is_text ? quotable(shown, name) : shown);
    }
}

/* ---- JSON ---- */

static void
add_json_value(const struct state *state, const struct item *item, char out[LABELLED_SIZE])
{
    const struct field *field = item->field;
    double number = field->form == FORM_TEXT ? 0 : state_number(state, field, item->object);
    char name[DISPLAY_SIZE];

    if (field->form == FORM_TEXT)
        add(out, "\"%s\"", quotable(state_text(state, field, item->object), name));
    else if (field->form == FORM_WORD)
        add(out, "\"%s\"", field->words[(size_t)number]);
    else if (field->form == FORM_SWITCH)
        add(out, number != 0 ? "true" : "false");
    else if (isinf(number))
        add(out, "\"-inf\"");
    else
        add(out, "%.9g", number);
}

/* The next value; one that stands below the same key as the one before goes on in its object. */
static void
add_json_item(const struct state *state, const struct item *item, const char *before,
              const char *after, char out[LABELLED_SIZE])
{
    const char *key = item->field->key, *dot = strchr(key, '.');
    size_t length = dot ? (size_t)(dot - key) + 1 : 0;

    if (dot && strncmp(before, key, length) != 0)
        add(out, "\"%.*s\":{", (int)length - 1, key);
    add(out, "\"%s\":", dot ? dot + 1 : key);
    add_json_value(state, item, out);
    add(out, dot && strncmp(after, key, length) != 0 ? "}" : "");
}

static void
add_json_run(const struct labelled *labelled, size_t first, char out[LABELLED_SIZE])
{
    add(out, "\"%s\":[", labelled->run->key);
    for (size_t i = first; i < labelled->count; i++) {
        add(out, i > first ? "," : "");
        add_json_value(labelled->state, &labelled->items[i], out);
    }
    add(out, "]");
}

static const char *
key_of(const struct labelled *labelled, size_t i)
{
    return i < labelled->count ? labelled->items[i].field->key : "";
}

void
labelled_json(const struct labelled *labelled, char out[LABELLED_SIZE])
{
    size_t i;

    snprintf(out, LABELLED_SIZE, "{");
    for (i = 0; i < labelled->index_count; i++)
        add(out, "\"%s\":{", labelled->indices[i]);
    for (i = 0; i < labelled->count && labelled->items[i].field != labelled->run; i++) {
        add(out, i > 0 ? "," : "");
        add_json_item(labelled->state, &labelled->items[i], i > 0 ? key_of(labelled, i - 1) : "",
                      key_of(labelled, i + 1), out);
    }
    if (i < labelled->count) {
        add(out, i > 0 ? "," : "");
        add_json_run(labelled, i, out);
    }
    for (i = 0; i <= labelled->index_count; i++)
        add(out, "}");
}
