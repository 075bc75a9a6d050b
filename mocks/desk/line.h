/* A text line of many fields. Texts stand in double quotes, so that they may hold the separator. */
#ifndef MOCK_LINE_H
#define MOCK_LINE_H

#include "display.h"
#include "item.h"

#include <stdbool.h>
#include <stdint.h>

enum { LINE_SIZE = 1536 };

struct Line {
    const char *separator; /* the caller's */
    size_t length;
    char text[LINE_SIZE]; /* what does not fit is cut off */
};

void Line_add_index(struct Line *line, int32_t index);
void Line_add_value(struct Line *line, const struct State *state, const struct Item *item,
                    bool units);

#endif
