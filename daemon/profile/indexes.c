/* SPDX-License-Identifier: MIT */
/* How many inputs, mixes, groups and bands there are, and what the desk calls them: "counts",
 * "first" and "names" of a profile.
 */
#include <math.h>
#include <string.h>

#include "core/need.h"
#include "profile/loader.h"
#include "spectrum/bands.h"

enum { NAME_LIMIT = 63 };

/* ---- counts and first ---- */

static const char *
count_name_at(const void *context, size_t i)
{
    (void)context;
    return index_name((enum index_kind)(INDEX_INPUT + i));
}

/* At most so many of a kind. */
static int
count_most(enum index_kind kind)
{
    return kind < INDEX_INPUT_EQ_BAND ? COUNT_LIMIT
           : kind < INDEX_SPECTRA     ? BAND_LIMIT
                                      : SPECTRUM_BANDS;
}

/* The index that the place's key counts; INDEX_NONE, with a problem, when it counts none. */
static enum index_kind
counted(const struct where *where)
{
    for (enum index_kind kind = INDEX_INPUT; kind < INDEX_KINDS; kind++)
        if (strcmp(index_name(kind), where->key) == 0)
            return kind;
    where_unknown_key(where, "index", count_name_at, NULL, INDEX_KINDS - 1);
    return INDEX_NONE;
}

/* {"input": 24, ...} into one number per index kind. */
static void
read_indexed(const struct where *where, int least, int most, int numbers[INDEX_KINDS])
{
    for (struct where one = where_first(where); one.json; where_next(&one)) {
        enum index_kind kind = counted(&one);

        if (kind != INDEX_NONE)
            where_take_whole(&one, least, most < count_most(kind) ? most : count_most(kind),
                             &numbers[kind]);
    }
}

void
profile_take_counts(const struct field_given *given)
{
    struct desk_counts *counts = field_place(given);
    size_t before = given->where->problems->count;

    read_indexed(given->where, 0, COUNT_LIMIT, counts->of);
    for (enum index_kind kind = INDEX_INPUT; kind <= INDEX_MIX; kind++) {
        struct where here = where_key(given->where, index_name(kind));

        if (given->where->problems->count == before && counts->of[kind] == 0)
            where_problem(&here, "is missing or 0; a desk has at least one");
    }
}

void
profile_take_first(const struct field_given *given)
{
    struct loader *loader = given->context;

    read_indexed(given->where, 0, 1, loader->first);
}

struct json *
profile_counts_schema(const struct field *field)
{
    struct schema_keys keys = schema_keys(field->help);

    for (enum index_kind kind = INDEX_INPUT; kind < INDEX_KINDS; kind++) {
        const char *name = index_name(kind);
        bool must = kind <= INDEX_MIX;
        char help[80];

        snprintf(help, sizeof help, "how many there are; {%s} stands for each",
                 index_placeholder(kind));
        (must ? schema_must : schema_may)(&keys, name, schema_whole(must, count_most(kind), help));
    }
    return keys.schema;
}

struct json *
profile_first_schema(const struct field *field)
{
    struct schema_keys keys = schema_keys(field->help);

    for (enum index_kind kind = INDEX_INPUT; kind < INDEX_KINDS; kind++) {
        struct json *first = schema_whole(0, 1, NULL);

        json_add_number(first, "default", 1);
        schema_may(&keys, index_name(kind), first);
    }
    return keys.schema;
}

/* ---- names in addresses ---- */

static bool
has_odd_segment(const char *name)
{
    for (const char *at = name;; at++) {
        size_t length = strcspn(at, "/");

        if (strspn(at, ".") == length) /* empty, too */
            return true;
        at += length;
        if (!*at)
            return false;
    }
}

const char *
profile_name_unfit(const char *name)
{
    for (const char *at = name; *at; at++)
        if (*at <= ' ' || *at > '~' || strchr("#*?,[]{}%\\", *at))
            return "it holds a character that may not stand there";
    return has_odd_segment(name) ? "a segment of it is empty or nothing but dots" : NULL;
}

/* ---- names ---- */

static bool
read_name(struct index_name *name, const struct where *where)
{
    double number = where_number(where);
    char text[20];

    if (where_text(where)) {
        *name = (struct index_name){need_text(where_text(where)), true, NAN};
        return *name->text && strlen(name->text) <= NAME_LIMIT;
    }
    if (number != floor(number) || !(fabs(number) < 0x1p31))
        return false;
    snprintf(text, sizeof text, "%.0f", number + 0.0);
    *name = (struct index_name){need_text(text), false, number};
    return true;
}

static void
read_list(struct profile *profile, enum index_kind kind, const struct where *where)
{
    struct index_name *names = need_memory((size_t)json_size(where->json) + 1, sizeof *names);
    size_t count = 0;

    profile->names[kind] = names;
    for (struct where one = where_first(where); one.json; where_next(&one)) {
        struct index_name *name = &names[count++];

        if (!read_name(name, &one)) {
            where_problem(&one, "must be a text of 1 to %d bytes, or a whole number of 32 bits",
                          NAME_LIMIT);
            continue;
        }
        for (size_t i = 0; i + 1 < count; i++)
            if (names[i].text && strcmp(names[i].text, name->text) == 0)
                where_problem(&one, "the same name stands twice");
    }
}

static void
take_list(const struct loader *loader, const struct where *where, const struct where *file)
{
    enum index_kind kind = counted(where);
    struct where first = where_key(file, "first");
    int count;

    if (kind == INDEX_NONE)
        return;
    count = loader->profile->counts.of[kind];
    if (!where_is(where, JSON_ARRAY) || json_size(where->json) != count) {
        where_problem(where, "must be an array of %d, as counts.%s says", count, index_name(kind));
        return;
    }
    if (json_get(first.json, index_name(kind)))
        where_problem(where, "stands beside first.%s; give one of them", index_name(kind));
    read_list(loader->profile, kind, where);
}

void
profile_take_names(const struct field_given *given)
{
    for (struct where one = where_first(given->where); one.json; where_next(&one))
        take_list(given->context, &one, given->where->up);
}

struct json *
profile_names_schema(const struct field *field)
{
    struct schema_keys keys = schema_keys(field->help);

    for (enum index_kind kind = INDEX_INPUT; kind < INDEX_KINDS; kind++) {
        struct json *text = schema_type("string", NULL);
        struct json *list;

        json_add_number(text, "minLength", 1);
        json_add_number(text, "maxLength", NAME_LIMIT);
        list = schema_list(schema_either(text, schema_whole(-INT32_MAX, INT32_MAX, NULL)), 0, NULL);
        json_add_bool(list, "uniqueItems", true);
        schema_may(&keys, index_name(kind), list);
    }
    return keys.schema;
}
