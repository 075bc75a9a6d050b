/* SPDX-License-Identifier: MIT */
#include "delay_line.h"

#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

static bool
is_before(const struct held *a, const struct held *b)
{
    return a->due_us < b->due_us || (a->due_us == b->due_us && a->order < b->order);
}

static bool
make_room(struct delay_line *line)
{
    size_t capacity = line->capacity > 0 ? line->capacity * 2 : 64;
    struct held **heap;

    if (line->count < line->capacity)
        return true;
    if (capacity > DELAY_LINE_LIMIT)
        return false;
    heap = realloc(line->heap, capacity * sizeof *heap);
    if (!heap)
        return false;
    line->heap = heap;
    line->capacity = capacity;
    return true;
}

static void
rise(struct delay_line *line, struct held *held)
{
    size_t at = line->count++;

    while (at > 0 && is_before(held, line->heap[(at - 1) / 2])) {
        line->heap[at] = line->heap[(at - 1) / 2];
        at = (at - 1) / 2;
    }
    line->heap[at] = held;
}

static void
sink(struct delay_line *line, struct held *held)
{
    size_t at = 0;

    for (;;) {
        size_t child = 2 * at + 1;

        if (child + 1 < line->count && is_before(line->heap[child + 1], line->heap[child]))
            child++;
        if (child >= line->count || !is_before(line->heap[child], held))
            break;
        line->heap[at] = line->heap[child];
        at = child;
    }
    line->heap[at] = held;
}

void
delay_line_put(struct delay_line *line, const struct peer *to, const uint8_t *data, size_t size,
               int64_t due_us)
{
    struct held *held = make_room(line) ? malloc(sizeof *held + size) : NULL;

    if (!held)
        return;
    held->due_us = due_us;
    held->order = line->arrived++;
    held->peer = *to;
    held->size = size;
    memcpy(held->data, data, size);
    rise(line, held);
}

int64_t
delay_line_next_us(const struct delay_line *line)
{
    return line->count > 0 ? line->heap[0]->due_us : INT64_MAX;
}

struct held *
delay_line_take(struct delay_line *line, int64_t now_us)
{
    struct held *first;

    if (delay_line_next_us(line) > now_us)
        return NULL;
    first = line->heap[0];
    line->count--;
    if (line->count > 0)
        sink(line, line->heap[line->count]);
    return first;
}

void
delay_line_release(struct delay_line *line)
{
    for (size_t i = 0; i < line->count; i++)
        free(line->heap[i]);
    free(line->heap);
    *line = (struct delay_line){0};
}
