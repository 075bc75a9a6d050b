/* SPDX-License-Identifier: MIT */
#include "change/lately.h"

#include <stdlib.h>

#include "core/need.h"

/* A hand on a fader sends some fifty values a second: those of one value so close together are one. */
enum { TOGETHER_MS = 500, TOGETHER_MOST = 16 };

struct lately {
    struct {
        struct moved moved;
        int64_t at_ms;
    } list[LATELY_MOVES]; /* a ring, `next` behind the newest */
    size_t next, count;
};

struct lately *
lately_new(void)
{
    return need_memory(1, sizeof(struct lately));
}

void
lately_free(struct lately *lately)
{
    free(lately);
}

/* The place of the one so many before the newest. */
static size_t
place_of(const struct lately *lately, size_t back)
{
    return (lately->next + LATELY_MOVES - 1 - back) % LATELY_MOVES;
}

static bool
is_noted(const struct lately *lately, const struct moved *moved, int64_t now_ms)
{
    for (size_t back = 0; back < lately->count && back < TOGETHER_MOST; back++) {
        size_t at = place_of(lately, back);
        const struct moved *one = &lately->list[at].moved;

        if (one->id == moved->id && one->row == moved->row && one->column == moved->column)
            return now_ms - lately->list[at].at_ms < TOGETHER_MS;
    }
    return false;
}

void
lately_note(struct lately *lately, const struct moved *moved, int64_t now_ms)
{
    if (is_noted(lately, moved, now_ms))
        return;
    lately->list[lately->next].moved = *moved;
    lately->list[lately->next].at_ms = now_ms;
    lately->next = (lately->next + 1) % LATELY_MOVES;
    if (lately->count < LATELY_MOVES)
        lately->count++;
}

struct desk *
lately_before(const struct lately *lately, const struct desk *desk, int64_t since_ms)
{
    struct desk *before = NULL;

    for (size_t back = 0; back < lately->count; back++) {
        size_t at = place_of(lately, back);
        struct moved moved = lately->list[at].moved;

        if (lately->list[at].at_ms < since_ms)
            break;
        if (!before)
            before = desk_copy(desk);
        desk_swap(before, moved.id, moved.row, moved.column, &moved.before);
    }
    return before;
}
