/* SPDX-License-Identifier: MIT */
#include "listen/place.h"

#include <inttypes.h>
#include <stdio.h>
#include <string.h>

#include "base/text_format.h"

/* What is being found out. */
struct search {
    const struct place_of *of;
    const struct place_object *objects;
    struct place *place;
    struct text why;
    bool row, column, first; /* found */
};

static enum index_kind
row_kind(const struct search *search)
{
    return params[search->of->param].row;
}

static enum index_kind
column_kind(const struct search *search)
{
    return params[search->of->param].column;
}

/* ---- which to turn ---- */

static int
other_than(int count, int taken)
{
    int wanted = taken == 2 ? 1 : 2;

    if (count > wanted)
        return wanted;
    return count > 1 ? 1 : 0;
}

void
place_objects(const struct place_of *of, struct place_object objects[2])
{
    const struct param *param = &params[of->param];
    int rows = of->counts.of[param->row], columns = of->counts.of[param->column];

    objects[0] = (struct place_object){param->row == INDEX_NONE ? -1 : 0,
                                       param->column == INDEX_NONE ? -1 : 0};
    objects[1] = objects[0];
    if (param->row != INDEX_NONE)
        objects[1].row = other_than(rows, param->column != INDEX_NONE && columns == 2 ? 1 : 0);
    if (param->column != INDEX_NONE)
        objects[1].column = other_than(columns, objects[1].row);
}

/* ---- which index a number is ---- */

/* Two numbers of the two messages; INDEX_NONE, with the reason, where they fit no index. */
static enum index_kind
index_of(struct search *search, int one, int other)
{
    const struct place_object *objects = search->objects;
    int rows = objects[1].row - objects[0].row, columns = objects[1].column - objects[0].column;
    int64_t apart = (int64_t)other - one; /* a desk may send any two numbers of 32 bits */
    bool is_row = rows != 0 && apart == rows && (!search->row || columns != rows);
    bool is_column = !is_row && columns != 0 && apart == columns;
    int64_t first = (int64_t)one - (is_row ? objects[0].row : objects[0].column);

    if (!is_row && !is_column) {
        text_format(&search->why,
                    "a number goes from %d to %d, and that is not how far apart they are", one,
                    other);
        return INDEX_NONE;
    }
    if ((first != 0 && first != 1) || (search->first && first != search->place->first)) {
        text_format(&search->why,
                    "the first would be number %" PRId64 "; a desk counts from 0 or 1", first);
        return INDEX_NONE;
    }
    search->first = true;
    search->place->first = (int)first;
    search->row |= is_row;
    search->column |= is_column;
    return is_row ? row_kind(search) : column_kind(search);
}

/* ---- the address ---- */

static void
add_placeholder(struct text *text, enum index_kind kind, size_t width)
{
    if (width > 0)
        text_format(text, "{%s:%zu}", index_placeholder(kind), width);
    else
        text_format(text, "{%s}", index_placeholder(kind));
}

static bool
find_in_address(struct search *search, const char *one, const char *other)
{
    struct address_number here[ADDRESS_NUMBERS], there[ADDRESS_NUMBERS];
    int count = address_numbers(one, here);
    struct text text;
    size_t at = 0;

    text_init(&text, search->place->address, sizeof search->place->address);
    if (!address_alike(one, other) || count < 0 || address_numbers(other, there) < 0) {
        text_format(&search->why, "%s and %s differ in more than numbers", one, other);
        return false;
    }
    for (int i = 0; i < count; i++) {
        bool zeros = one[here[i].at] == '0' && here[i].digits > 1;
        enum index_kind kind;

        if (here[i].value == there[i].value)
            continue;
        kind = index_of(search, here[i].value, there[i].value);
        if (kind == INDEX_NONE)
            return false;
        text_format(&text, "%.*s", (int)(here[i].at - at), one + at);
        add_placeholder(&text, kind, zeros ? here[i].digits : 0);
        at = here[i].at + here[i].digits;
    }
    text_add(&text, "%s", one + at);
    return true;
}

/* A desk that has only one of them: its number is the last one that may be a first. */
static bool
find_only(struct search *search, enum index_kind kind)
{
    struct place *place = search->place;
    struct address_number numbers[ADDRESS_NUMBERS];
    int count = address_numbers(place->address, numbers);
    char whole[sizeof place->address];
    struct text text;

    while (count > 0 && numbers[count - 1].value > 1)
        count--;
    if (count <= 0)
        return false;
    memcpy(whole, place->address, sizeof whole);
    text_init(&text, place->address, sizeof place->address);
    text_format(&text, "%.*s", (int)numbers[count - 1].at, whole);
    add_placeholder(&text, kind, 0);
    text_add(&text, "%s", whole + numbers[count - 1].at + numbers[count - 1].digits);
    place->first = numbers[count - 1].value;
    return true;
}

/* ---- the arguments ---- */

static bool
find_in_keys(struct search *search, const struct stirring_at at[2])
{
    for (int i = 0; i < at[0].key_count; i++) {
        search->place->keys[i] = INDEX_NONE;
        if (i == at[0].argument || at[0].keys[i] == at[1].keys[i])
            continue;
        search->place->keys[i] = index_of(search, at[0].keys[i], at[1].keys[i]);
        if (search->place->keys[i] == INDEX_NONE)
            return false;
    }
    return true;
}

/* The value stands further behind where the index is larger: a run. */
static bool
find_run(struct search *search, const struct stirring_at at[2])
{
    const struct place_object *objects = search->objects;
    int apart = at[1].argument - at[0].argument;
    bool columns = !search->column && apart == objects[1].column - objects[0].column;
    enum index_kind kind = columns ? column_kind(search) : row_kind(search);
    int begin = at[0].argument - (columns ? objects[0].column : objects[0].row);
    int count = search->of->counts.of[kind];

    if (apart == 0)
        return true;
    if ((!columns && (search->row || apart != objects[1].row - objects[0].row)) || begin < 0 ||
        at[0].count != at[1].count || (int)at[0].count - begin != count) {
        text_format(&search->why,
                    "the value stands in another place of %zu arguments, and is no run of %d",
                    at[1].count, count);
        return false;
    }
    search->place->each = kind;
    search->place->argument = begin;
    search->row |= !columns;
    search->column |= columns;
    return true;
}

/* ---- all of it ---- */

static bool
has_index(struct search *search, enum index_kind kind, bool found)
{
    if (kind == INDEX_NONE || found ||
        (search->of->counts.of[kind] == 1 && find_only(search, kind)))
        return true;
    text_format(&search->why, "nothing in what came says which %s it is", index_placeholder(kind));
    return false;
}

bool
place_find(const struct place_of *of, const struct stirring_at at[2],
           const struct place_object objects[2], struct place *place)
{
    struct search search = {.of = of, .objects = objects, .place = place};

    *place = (struct place){.at = at[0], .argument = at[0].argument, .first = 1};
    text_init(&search.why, place->why, sizeof place->why);
    if (at[0].count != at[1].count || at[0].key_count != at[1].key_count) {
        text_add(&search.why, "they bring other arguments");
        return false;
    }
    return find_in_address(&search, at[0].address, at[1].address) && find_in_keys(&search, at) &&
           find_run(&search, at) && has_index(&search, row_kind(&search), search.row) &&
           has_index(&search, column_kind(&search), search.column);
}

/* ---- the entry ---- */

static void
add_all(struct json *to, struct json *from)
{
    for (const struct json *one = json_first(from); one; one = json_next(one))
        json_add(to, json_key(one), json_copy(one));
    json_free(from);
}

static struct json *
answer_of(const struct place *place, struct json *value)
{
    struct json *answer = json_list(json_new_string(place->address));
    int count = place->each != INDEX_NONE ? place->argument + 1 : (int)place->at.count;

    for (int i = 0; i < count; i++) {
        char index[20];

        if (i == place->argument) {
            json_add(answer, NULL, value);
        } else if (i < place->at.key_count && place->keys[i] != INDEX_NONE) {
            snprintf(index, sizeof index, "{%s}", index_placeholder(place->keys[i]));
            json_add_string(answer, NULL, index);
        } else {
            json_add_string(answer, NULL, "*");
        }
    }
    return answer;
}

bool
place_may_be_asked(const struct place *place)
{
    return place->argument == 0 && (place->each != INDEX_NONE || place->at.count == 1);
}

struct json *
place_entry(const struct place *place, struct json *value, bool asks)
{
    struct json *entry = json_new_object();

    if (place->each != INDEX_NONE)
        json_add_string(value, "each", index_placeholder(place->each));
    if (asks && place_may_be_asked(place)) {
        json_add_string(entry, "at", place->address);
        add_all(entry, value);
    } else {
        json_add(entry, "answer", answer_of(place, value));
    }
    if (place->first == 0)
        json_add_number(entry, "first", 0);
    if (place->at.untyped)
        json_add_string(entry, "untyped", (char[]){place->at.type, '\0'});
    return entry;
}
