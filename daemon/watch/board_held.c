/* SPDX-License-Identifier: MIT */
#include "watch/board_held.h"

#include <stdlib.h>

#include "core/need.h"
#include "core/text.h"
#include "watch/board_text.h"
#include "watch/handles.h"
#include "watch/words.h"
#include "watcher/watcher.h"

/* What one thing holds back, or holds: a quieting hides also what was told before. */
struct holder {
    enum hidden hidden;
    int by;
    size_t of[WEIGHTS];
};

static struct holder *
holder_of(struct holder *holders, size_t *count, enum hidden hidden, int by)
{
    size_t i = 0;

    while (i < *count && (holders[i].hidden != hidden || holders[i].by != by))
        i++;
    if (i == *count) {
        holders[i] = (struct holder){.hidden = hidden, .by = by};
        ++*count;
    }
    return &holders[i];
}

/* INT64_MAX: it does not end by itself. */
static int64_t
until_ms(const struct watch_desk *desk, const struct holder *holder)
{
    const struct quiets *quiets = watcher_quiets(desk->watcher);

    switch (holder->hidden) {
    case HIDDEN_BY_QUIET:
        for (size_t i = 0; i < quiets->count; i++)
            if (quiets->list[i].number == holder->by)
                return quiets->list[i].until_ms;
        break;
    case HIDDEN_BY_RING_OUT:
        return watcher_ring_out_until_ms(desk->watcher);
    case HIDDEN_BY_ROOM:
        return watcher_room_until_ms(desk->watcher);
    case HIDDEN_NOT:
    case HIDDEN_BY_MUTE:
        break;
    }
    return INT64_MAX;
}

static void
add_counts(const size_t of[WEIGHTS], struct text *text)
{
    for (int weight = WEIGHT_STOP; weight >= WEIGHT_NOTE; weight--)
        if (of[weight] > 0)
            text_add(text, "%s%zu %s", text->used > 0 ? ", " : "", of[weight],
                     weight_name((enum weight)weight));
}

static void
add_holder(const struct watch_desk *desk, const struct holder *holder, struct json *list)
{
    int64_t until = until_ms(desk, holder);
    char line[2 * WATCH_WORDS_SIZE], by[WATCH_WORDS_SIZE], at[CLOCK_SIZE];
    struct text text;

    text_init(&text, line, sizeof line);
    add_counts(holder->of, &text);
    text_add(&text, ", held back by %s", watch_hidden_by(desk, holder->hidden, holder->by, by));
    if (until != INT64_MAX)
        text_add(&text, " until %s", board_minute(desk, until, at));
    board_add_text(list, NULL, line);
}

struct json *
board_held(const struct watch_desk *desk, const struct standing *list, size_t count)
{
    struct holder *holders = need_memory(count + 1, sizeof *holders);
    struct json *lines = json_new_array();
    size_t held = 0;

    for (size_t i = 0; i < count; i++) {
        int by = list[i].quieted;
        enum hidden hidden =
            by ? HIDDEN_BY_QUIET : watcher_hidden(desk->watcher, list[i].finding, &by);

        if (hidden != HIDDEN_NOT)
            holder_of(holders, &held, hidden, by)->of[list[i].finding->verdict.weight]++;
    }
    for (size_t i = 0; i < held; i++)
        add_holder(desk, &holders[i], lines);
    free(holders);
    return lines;
}
