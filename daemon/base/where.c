/* SPDX-License-Identifier: MIT */
#include "base/where.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

/* ---- places ---- */

struct where
where_file(const char *file, const struct json *json, struct problems *problems)
{
    return (struct where){.json = json, .file = file, .problems = problems};
}

struct where
where_key(const struct where *up, const char *key)
{
    return (struct where){json_get(up->json, key), up, key, 0, up->file, up->problems};
}

struct where
where_index(const struct where *up, int index)
{
    return (struct where){NULL, up, NULL, index, up->file, up->problems};
}

static struct where
child_at(const struct where *up, const struct json *json, int index)
{
    return (struct where){json, up, json ? json_key(json) : NULL, index, up->file, up->problems};
}

struct where
where_first(const struct where *up)
{
    return child_at(up, json_first(up->json), 0);
}

void
where_next(struct where *child)
{
    *child = child_at(child->up, json_next(child->json), child->index + 1);
}

/* ---- problems ---- */

/* Writes the path of the place, outermost first; returns the bytes used. */
static size_t
write_path(const struct where *where, char *buffer, size_t size)
{
    size_t used;
    int more;

    if (!where->up)
        return 0;
    used = write_path(where->up, buffer, size);
    if (where->key)
        more = snprintf(buffer + used, size - used, "%s%s", used > 0 ? "." : "", where->key);
    else
        more = snprintf(buffer + used, size - used, "[%d]", where->index);
    used += (size_t)more;
    return used < size ? used : size - 1;
}

void
where_problem(const struct where *where, const char *format, ...)
{
    char path[200] = "";
    char what[600];
    va_list args;

    write_path(where, path, sizeof path);
    va_start(args, format);
    vsnprintf(what, sizeof what, format, args);
    va_end(args);
    problems_add(where->problems, "%s: %s%s%s", where->file, path, *path ? ": " : "", what);
}

/* Levenshtein distance, for names of at most 60 bytes. */
static size_t
distance(const char *one, const char *other)
{
    size_t row[61];
    size_t length = strlen(other);

    if (length > 60 || strlen(one) > 60)
        return 60;
    for (size_t j = 0; j <= length; j++)
        row[j] = j;
    for (size_t i = 1; one[i - 1]; i++) {
        size_t corner = row[0];

        row[0] = i;
        for (size_t j = 1; j <= length; j++) {
            size_t change = corner + (one[i - 1] != other[j - 1]);
            size_t least = row[j] < row[j - 1] ? row[j] + 1 : row[j - 1] + 1;

            corner = row[j];
            row[j] = change < least ? change : least;
        }
    }
    return row[length];
}

const char *
where_nearest(const char *found, const char *(*name_at)(const void *context, size_t i),
              const void *context, size_t count, char buffer[100])
{
    size_t best = strlen(found + strspn(found, "-")) / 3 + 2; /* an option's dashes say nothing */
    const char *nearest = NULL;

    for (size_t i = 0; i < count; i++) {
        const char *name = name_at(context, i);
        size_t far = name ? distance(found, name) : best;

        if (far < best) {
            best = far;
            nearest = name;
        }
    }
    buffer[0] = '\0';
    if (nearest)
        snprintf(buffer, 100, ", did you mean \"%s\"?", nearest);
    return buffer;
}

void
where_unknown_key(const struct where *where, const char *what,
                  const char *(*name_at)(const void *context, size_t i), const void *context,
                  size_t count)
{
    char nearest[100];

    where_problem(where, "unknown %s%s", what,
                  where_nearest(where->key, name_at, context, count, nearest));
}

/* ---- what stands there ---- */

bool
where_is(const struct where *where, enum json_kind kind)
{
    return where->json && json_kind(where->json) == kind;
}

bool
where_need(const struct where *where, enum json_kind kind, bool required)
{
    if (!where->json && required)
        where_problem(where, "is missing; it must be %s", json_kind_name(kind));
    else if (where->json && !where_is(where, kind))
        where_problem(where, "is %s, must be %s", json_kind_name(json_kind(where->json)),
                      json_kind_name(kind));
    return where_is(where, kind);
}

bool
where_pair(const struct where *where, struct where pair[2])
{
    pair[0] = pair[1] = where_first(where);
    where_next(&pair[1]);
    return where_is(where, JSON_ARRAY) && json_size(where->json) == 2;
}

const char *
where_text(const struct where *where)
{
    return where_is(where, JSON_STRING) ? json_string(where->json) : NULL;
}

double
where_number(const struct where *where)
{
    return where_is(where, JSON_NUMBER) ? json_number(where->json) : (double)NAN;
}

double
where_level(const struct where *where)
{
    const char *text = where_text(where);

    return text && strcmp(text, "-inf") == 0 ? -HUGE_VAL : where_number(where);
}

bool
where_take_above(const struct where *where, double most, double *to)
{
    double number = where_number(where);

    if (!(number > 0 && number <= most)) {
        where_problem(where, "must be a number above 0, at most %g", most);
        return false;
    }
    *to = number;
    return true;
}

bool
where_take_whole(const struct where *where, int least, int most, int *to)
{
    double number = where_number(where);

    if (!(number >= least && number <= most) || number != floor(number)) {
        where_problem(where, "must be a whole number from %d to %d", least, most);
        return false;
    }
    *to = (int)number;
    return true;
}

/* The files of this program, by the key that says what one is, and where one belongs. */
static const struct {
    const char *key, *what, *belongs;
} formats[] = {
    {"profile_format", "a profile", "behind --profile, or in a show file under desk.profile"},
    {"show_format", "a show file", "alone, without an option, or behind --show"},
    {"stage_format", "a stage plan", "in a show file under desk.stage"},
    {"scheme_format", "a scheme", "behind --scheme"},
    {"saved_format", "a saved desk", "behind --saved, --reference or --approved"},
    {"proved_format", "a file of proved ceilings", "beside its show file, as SHOW.proved.json"},
    {"recording_format", "a recording", "behind `gainwarden replay`"}};

bool
where_check_kind(const struct where *where, const char *key)
{
    size_t count = sizeof formats / sizeof *formats, wanted = 0;

    while (strcmp(formats[wanted].key, key) != 0)
        wanted++;
    if (json_get(where->json, key))
        return true;
    for (size_t i = 0; i < count; i++) {
        if (!json_get(where->json, formats[i].key))
            continue;
        where_problem(where, "is %s, must be %s; %s stands %s", formats[i].what,
                      formats[wanted].what, formats[i].what, formats[i].belongs);
        return false;
    }
    return true;
}

bool
where_check_format(const struct where *where, const char *key, int format)
{
    struct where here = where_key(where, key);
    double number = where_number(&here);

    if (!where_need(where, JSON_OBJECT, true) || !where_need(&here, JSON_NUMBER, true))
        return false;
    if (number != format)
        where_problem(&here, "is %g; this version reads format %d", number, format);
    return number == format;
}
