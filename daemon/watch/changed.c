/* SPDX-License-Identifier: MIT */
#include "watch/changed.h"

#include <stdlib.h>
#include <string.h>

#include "change/difference.h"
#include "core/need.h"
#include "watch/handles.h"

enum { FOLLOW_EVERY_MS = 1000 };

/* In the order of difference_all(), so that two lists are compared in one walk. */
struct list {
    struct shift *of;
    size_t count, places;
};

struct changed {
    const struct desk *meant; /* NULL: nobody looked yet, or nothing is meant */
    struct list now;
    struct shift back[CHANGED_BACK]; /* a ring */
    size_t back_count;
    int64_t next_ms;
};

struct changed *
changed_new(void)
{
    return need_memory(1, sizeof(struct changed));
}

void
changed_free(struct changed *changed)
{
    if (changed)
        free(changed->now.of);
    free(changed);
}

/* ---- looking ---- */

struct walk {
    const struct desk *meant, *desk;
    struct list found;
};

static void
add(struct list *list, const struct shift *change)
{
    if (list->count == list->places) {
        list->places = list->places ? 2 * list->places : 16;
        list->of = need_more(list->of, list->places, sizeof *list->of);
    }
    list->of[list->count++] = *change;
}

static void
on_difference(void *context, enum difference_class kind, enum param_id id, int row, int column)
{
    struct walk *walk = context;
    struct shift change = {.id = id,
                           .row = row,
                           .column = column,
                           .from = value_number(desk_value(walk->meant, id, row, column)),
                           .to = value_number(desk_value(walk->desk, id, row, column)),
                           .at_ms = INT64_MIN,
                           .back_ms = INT64_MAX};

    if (kind != DIFFERENCE_LABEL)
        add(&walk->found, &change);
}

/* As difference_all() comes by. */
static int
order(const struct shift *one, const struct shift *other)
{
    int left[] = {(int)params[one->id].class, (int)one->id, one->row, one->column};
    int right[] = {(int)params[other->id].class, (int)other->id, other->row, other->column};
    size_t i = 0;

    while (i < 3 && left[i] == right[i])
        i++;
    return left[i] - right[i];
}

/* It was there, and is not found: it is back, or not known now, or it is meant to be where it is. */
static void
take_missing(struct changed *changed, struct list *into, const struct shift *was,
             const struct walk *walk, int64_t now_ms)
{
    struct shift back = *was;

    if (difference_of(walk->meant, walk->desk, was->id, was->row, was->column) == SAME_NOT_KNOWN) {
        add(into, was);
        return;
    }
    if (!value_is(desk_value(walk->meant, was->id, was->row, was->column), was->from))
        return;
    back.back_ms = now_ms;
    changed->back[changed->back_count++ % CHANGED_BACK] = back;
}

/* Both lists in one walk: what was there goes on, what is new began now. */
static struct list
merge(struct changed *changed, const struct walk *walk, int64_t now_ms)
{
    const struct list *was = &changed->now, *is = &walk->found;
    struct list merged = {NULL, 0, 0};
    size_t i = 0, j = 0;

    while (i < was->count || j < is->count) {
        int way = i == was->count ? 1 : j == is->count ? -1 : order(&was->of[i], &is->of[j]);
        struct shift change;

        if (way < 0) {
            take_missing(changed, &merged, &was->of[i++], walk, now_ms);
            continue;
        }
        change = is->of[j++];
        change.at_ms = way == 0 && was->of[i].to == change.to ? was->of[i].at_ms : now_ms;
        i += way == 0;
        add(&merged, &change);
    }
    return merged;
}

static const struct desk *
meant_of(const struct engine *engine)
{
    const struct desk *approved = engine_approved(engine);

    return approved ? approved : engine_anchored(engine);
}

/* Another desk is meant from now on: nobody knows since when what is other now is so. */
static void
begin(struct changed *changed, const struct walk *walk)
{
    changed->meant = walk->meant;
    free(changed->now.of);
    changed->now = walk->found;
    changed->back_count = 0;
}

void
changed_look(struct changed *changed, const struct watch_desk *desk)
{
    const struct engine *engine = desk->session->engine;
    struct walk walk = {meant_of(engine), engine_desk(engine), {NULL, 0, 0}};
    struct list merged;

    if (walk.meant)
        difference_all(walk.meant, walk.desk, on_difference, &walk);
    if (changed->meant != walk.meant) {
        begin(changed, &walk);
        return;
    }
    merged = merge(changed, &walk, watch_now_ms(desk));
    free(walk.found.of);
    free(changed->now.of);
    changed->now = merged;
}

void
changed_follow(struct changed *changed, const struct watch_desk *desk)
{
    if (watch_now_ms(desk) < changed->next_ms)
        return;
    changed->next_ms = watch_now_ms(desk) + FOLLOW_EVERY_MS;
    changed_look(changed, desk);
}

void
changed_forget(struct changed *changed)
{
    changed->meant = NULL;
    changed->now.count = changed->back_count = 0;
}

/* ---- telling ---- */

static int64_t
news_ms(const struct shift *change)
{
    return change->back_ms == INT64_MAX ? change->at_ms : change->back_ms;
}

static int
by_news(const void *left, const void *right)
{
    const struct shift *a = *(const struct shift *const *)left;
    const struct shift *b = *(const struct shift *const *)right;

    if (news_ms(a) != news_ms(b))
        return news_ms(a) > news_ms(b) ? -1 : 1;
    return order(a, b);
}

static size_t
back_kept(const struct changed *changed)
{
    return changed->back_count < CHANGED_BACK ? changed->back_count : CHANGED_BACK;
}

void
changed_each(const struct changed *changed, changed_fn *each, void *context)
{
    size_t back = back_kept(changed), count = changed->now.count + back, i = 0;
    const struct shift **list = need_memory(count + 1, sizeof *list);

    for (size_t at = 0; at < changed->now.count; at++)
        list[at] = &changed->now.of[at];
    for (size_t at = 0; at < back; at++)
        list[changed->now.count + at] = &changed->back[at];
    qsort(list, count, sizeof *list, by_news);
    while (i < count && each(context, list[i]))
        i++;
    free(list);
}

const struct shift *
changed_of(const struct changed *changed, enum param_id id, int row, int column)
{
    struct shift sought = {.id = id, .row = row, .column = column};
    size_t low = 0, high = changed->now.count;

    while (low < high) {
        size_t middle = (low + high) / 2;
        int way = order(&sought, &changed->now.of[middle]);

        if (way == 0)
            return &changed->now.of[middle];
        if (way < 0)
            high = middle;
        else
            low = middle + 1;
    }
    return NULL;
}

size_t
changed_levels(const struct changed *changed, int64_t since_ms)
{
    size_t back = back_kept(changed), count = 0;

    for (size_t i = 0; i < changed->now.count; i++)
        count += params[changed->now.of[i].id].class == DIFFERENCE_LEVEL &&
                 changed->now.of[i].at_ms >= since_ms;
    for (size_t i = 0; i < back; i++)
        count += params[changed->back[i].id].class == DIFFERENCE_LEVEL &&
                 changed->back[i].back_ms >= since_ms;
    return count;
}
