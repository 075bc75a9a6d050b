/* SPDX-License-Identifier: MIT */
#include "screen/ring_view_json.h"

#include <stdbool.h>

#include "base/escape.h"

/* The members by kind; of the lists the first, or the last, so many lines. */
static const char *const texts[] = {"title", "link", "next"}, *const flags[] = {"lost", "urgent"};
static const struct {
    const char *key;
    int most;
    bool last;
} lists[] = {{"figures", RING_VIEW_LINES, false},
             {"care", RING_VIEW_LINES, false},
             {"rings", RING_VIEW_LINES, false},
             {"seen", RING_VIEW_SEEN, true},
             {"large", RING_VIEW_LARGE, false}};

enum {
    TEXTS = sizeof texts / sizeof *texts,
    FLAGS = sizeof flags / sizeof *flags,
    LISTS = sizeof lists / sizeof *lists
};

static void
add_text(struct json *json, const char *key, const char *text)
{
    char clean[VIEW_TEXT_SIZE];

    escape_clean(clean, sizeof clean, text);
    json_add_string(json, key, clean);
}

/* ---- writing ---- */

static struct json *
list_json(const struct ring_view_list *list)
{
    struct json *json = json_new_array();

    for (size_t i = 0; i < list->count; i++)
        add_text(json, NULL, list->texts[i]);
    return json;
}

static struct json *
whole(const struct ring_view *view)
{
    struct json *json = json_new_object(), *large = json_new_array();

    add_text(json, "title", view->title);
    add_text(json, "link", view->link);
    json_add_bool(json, "lost", view->lost);
    add_text(json, "next", view->next);
    json_add_bool(json, "urgent", view->urgent);
    json_add(json, "figures", list_json(&view->figures));
    json_add(json, "care", list_json(&view->care));
    json_add(json, "rings", list_json(&view->rings));
    json_add(json, "seen", list_json(&view->seen));
    for (int i = 0; i < RING_VIEW_LARGE; i++)
        add_text(large, NULL, view->large[i]);
    json_add(json, "large", large);
    return json;
}

struct json *
ring_view_json(const struct ring_view *view)
{
    struct json *all = whole(view), *json = ring_view_clean(all);

    json_free(all);
    return json;
}

/* ---- reading ---- */

static struct json *
lines_of(const struct json *json, int most, bool last)
{
    int skipped = last && json_size(json) > most ? json_size(json) - most : 0, at = 0;
    struct json *lines = json_new_array();

    for (const struct json *one = json_first(json); one; one = json_next(one), at++)
        if (at >= skipped && at < skipped + most && json_kind(one) == JSON_STRING)
            add_text(lines, NULL, json_string(one));
    return lines;
}

static bool
is_view(const struct json *json)
{
    bool good = json && json_kind(json) == JSON_OBJECT;

    for (int i = 0; good && i < TEXTS; i++)
        good = json_get(json, texts[i]) && json_kind(json_get(json, texts[i])) == JSON_STRING;
    for (int i = 0; good && i < FLAGS; i++)
        good = json_get(json, flags[i]) && json_kind(json_get(json, flags[i])) == JSON_BOOL;
    for (int i = 0; good && i < LISTS; i++)
        good =
            json_get(json, lists[i].key) && json_kind(json_get(json, lists[i].key)) == JSON_ARRAY;
    return good;
}

struct json *
ring_view_clean(const struct json *json)
{
    struct json *clean;

    if (!is_view(json))
        return NULL;
    clean = json_new_object();
    for (int i = 0; i < TEXTS; i++)
        add_text(clean, texts[i], json_string_at(json, texts[i]));
    for (int i = 0; i < FLAGS; i++)
        json_add_bool(clean, flags[i], json_bool_at(json, flags[i]));
    for (int i = 0; i < LISTS; i++)
        json_add(clean, lists[i].key,
                 lines_of(json_get(json, lists[i].key), lists[i].most, lists[i].last));
    return clean;
}
