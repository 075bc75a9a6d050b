/* SPDX-License-Identifier: MIT */
#include "line.h"

#include <stdio.h>
#include <string.h>

static void
add(struct line *line, const char *text, const char *quote)
{
    size_t room = LINE_SIZE - line->length;
    int size = snprintf(line->text + line->length, room, "%s%s%s%s",
                        line->length > 0 ? line->separator : "", quote, text, quote);

    line->length += (size_t)size < room ? (size_t)size : room - 1;
}

void
line_add_index(struct line *line, const char *index)
{
    add(line, index, "");
}

/* A double quote inside a name would end it: the desk shows a single one. */
static void
add_name(struct line *line, const char *name)
{
    char text[DISPLAY_SIZE];

    snprintf(text, sizeof text, "%s", name);
    for (char *quote = strchr(text, '"'); quote; quote = strchr(quote, '"'))
        *quote = '\'';
    add(line, text, "\"");
}

void
line_add_value(struct line *line, const struct state *state, const struct item *item, bool units)
{
    char text[DISPLAY_SIZE];
    const char *shown = display_value(state, item->field, item->object, units, text);

    if (item->field->form == FORM_TEXT)
        add_name(line, shown);
    else
        add(line, shown, "");
}
