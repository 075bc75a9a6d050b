/* SPDX-License-Identifier: MIT */
/* Mutations that keep JSON whole, for the targets whose input is one JSON text. Half of the time
 * libFuzzer's own are taken: the reader must also meet what is broken.
 *
 * The text is cut into items: values, and members of objects with their key. One item is replaced
 * by another or by a telling value, removed with its comma, or doubled.
 */
#include <stdbool.h>
#include <string.h>

#include "fuzz.h"

enum { ITEMS_MOST = 2048, DEPTH_MOST = 32, KINDS = 4 };

struct item {
    size_t begin, end; /* end: behind its last byte */
};

struct items {
    const char *text;
    size_t length;
    size_t at;
    struct item list[ITEMS_MOST];
    size_t count;
};

size_t LLVMFuzzerMutate(uint8_t *bytes, size_t length, size_t most);
size_t LLVMFuzzerCustomMutator(uint8_t *bytes, size_t length, size_t most, unsigned seed);

/* ---- reading ---- */

static void
skip_blanks(struct items *items)
{
    while (items->at < items->length && strchr(" \t\r\n", items->text[items->at]))
        items->at++;
}

static bool
is_next(const struct items *items, char wanted)
{
    return items->at < items->length && items->text[items->at] == wanted;
}

static void
skip_string(struct items *items)
{
    items->at++;
    while (items->at < items->length && items->text[items->at] != '"')
        items->at += items->text[items->at] == '\\' ? 2 : 1;
    items->at++;
}

static void
add_item(struct items *items, size_t begin)
{
    if (items->count < ITEMS_MOST && items->at <= items->length)
        items->list[items->count++] = (struct item){begin, items->at};
}

static void read_value(struct items *items, int depth);

/* What stands between brackets or braces, up to the closing one. */
static void
read_inside(struct items *items, char closing, int depth)
{
    items->at++;
    for (skip_blanks(items); items->at < items->length && !is_next(items, closing);
         skip_blanks(items)) {
        size_t begin = items->at;

        read_value(items, depth);
        skip_blanks(items);
        if (is_next(items, ':')) {
            items->at++;
            skip_blanks(items);
            read_value(items, depth);
            add_item(items, begin);
        }
        if (is_next(items, ','))
            items->at++;
        if (items->at == begin)
            items->at++; /* no JSON: go on all the same */
    }
    items->at++;
}

/* One value; depth is bounded, for the text may be anything. */
static void
read_value(struct items *items, int depth)
{
    size_t begin = items->at;

    if (depth == DEPTH_MOST)
        items->at = items->length;
    else if (is_next(items, '"'))
        skip_string(items);
    else if (is_next(items, '{') || is_next(items, '['))
        read_inside(items, items->text[items->at] == '{' ? '}' : ']', depth + 1);
    else
        while (items->at < items->length && !strchr(" \t\r\n,:]}", items->text[items->at]))
            items->at++;
    add_item(items, begin);
}

/* ---- writing ---- */

static const char *const telling[] = {
    "0",      "1",     "-1",       "0.5",   "0.1",         "1e6",        "1e-300",
    "-1e308", "1e999", "512",      "65535", "true",        "null",       "\"\"",
    "[]",     "{}",    "\"-inf\"", "\"*\"", "\"{input}\"", "\"{band}\"",
};

/* Puts `put` in place of the item; the new length, or the old one when there is no room. */
static size_t
replace(uint8_t *bytes, size_t length, size_t most, struct item item, const void *put, size_t size)
{
    size_t rest = length - item.end;

    if (item.begin + size + rest > most)
        return length;
    memmove(bytes + item.begin + size, bytes + item.end, rest);
    memcpy(bytes + item.begin, put, size);
    return item.begin + size + rest;
}

/* The item with the comma behind it or, for the last one, before it. */
static struct item
with_comma(const struct items *items, struct item item)
{
    size_t behind = item.end, before = item.begin;

    while (behind < items->length && strchr(" \t\r\n", items->text[behind]))
        behind++;
    if (behind < items->length && items->text[behind] == ',')
        return (struct item){item.begin, behind + 1};
    while (before > 0 && strchr(" \t\r\n", items->text[before - 1]))
        before--;
    if (before > 0 && items->text[before - 1] == ',')
        return (struct item){before - 1, item.end};
    return item;
}

static size_t
mutate_items(uint8_t *bytes, size_t length, size_t most, const struct items *items, unsigned seed)
{
    struct item item = items->list[seed / KINDS % items->count];
    struct item other = items->list[seed / KINDS / 64 % items->count];
    const char *value = telling[seed / KINDS / 64 % (sizeof telling / sizeof *telling)];
    char copy[1024] = ",";
    size_t size = other.end - other.begin;

    if (seed % KINDS == 0)
        return replace(bytes, length, most, item, value, strlen(value));
    if (seed % KINDS == 1)
        return replace(bytes, length, most, with_comma(items, item), "", 0);
    if (size > sizeof copy - 1)
        return length;
    memcpy(copy + 1, bytes + other.begin, size);
    if (seed % KINDS == 2)
        return replace(bytes, length, most, item, copy + 1, size);
    return replace(bytes, length, most, (struct item){other.end, other.end}, copy, size + 1);
}

size_t
LLVMFuzzerCustomMutator(uint8_t *bytes, size_t length, size_t most, unsigned seed)
{
    static struct items items;

    if (seed % 2 == 0)
        return LLVMFuzzerMutate(bytes, length, most);
    items = (struct items){.text = (const char *)bytes, .length = length};
    skip_blanks(&items);
    read_value(&items, 0);
    if (items.count == 0)
        return LLVMFuzzerMutate(bytes, length, most);
    return mutate_items(bytes, length, most, &items, seed / 2);
}
