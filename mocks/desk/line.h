/* SPDX-License-Identifier: MIT */
/* A text line of many fields. Texts stand in double quotes, so that they may hold the separator. */
#ifndef MOCK_LINE_H
#define MOCK_LINE_H

#include <stdbool.h>
#include <stddef.h>

#include "display.h"
#include "item.h"

enum { LINE_SIZE = 1536 };

struct line {
    const char *separator; /* the caller's */
    size_t length;
    char text[LINE_SIZE]; /* what does not fit is cut off */
};

void line_add_index(struct line *line, const char *index);
void line_add_value(struct line *line, const struct state *state, const struct item *item,
                    bool units);

#endif
