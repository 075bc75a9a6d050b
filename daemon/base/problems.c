/* SPDX-License-Identifier: MIT */
#include "base/problems.h"

#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

#include "base/escape.h"
#include "base/output.h"
#include "core/need.h"

enum { PROBLEM_SIZE = 1000 };

void
problems_init(struct problems *problems)
{
    *problems = (struct problems){0};
}

void
problems_release(struct problems *problems)
{
    for (size_t i = 0; i < problems->count && i < PROBLEMS_KEPT; i++)
        free(problems->lines[i]);
    free(problems->lines);
    problems_init(problems);
}

static void
keep(struct problems *problems, const char *line)
{
    if (!problems->lines)
        problems->lines = need_memory(PROBLEMS_KEPT, sizeof *problems->lines);
    if (problems->count < PROBLEMS_KEPT)
        problems->lines[problems->count] = need_text(line);
    problems->count++;
}

void
problems_add(struct problems *problems, const char *format, ...)
{
    char line[PROBLEM_SIZE];
    va_list args;

    va_start(args, format);
    vsnprintf(line, sizeof line, format, args);
    va_end(args);
    keep(problems, line);
}

void
problems_print(const struct problems *problems, FILE *to)
{
    for (size_t i = 0; i < problems->count && i < PROBLEMS_KEPT; i++) {
        char named[PROBLEM_SIZE + 20];

        snprintf(named, sizeof named, "gainwarden: %s", problems->lines[i]);
        output_line(to, 4, named, NULL);
    }
    if (problems->count > PROBLEMS_KEPT)
        fprintf(to, "gainwarden: and %zu more\n", problems->count - PROBLEMS_KEPT);
}

struct where
where_file(const char *file, struct problems *problems)
{
    return (struct where){.file = file, .problems = problems};
}

struct where
where_key(const struct where *up, const char *key)
{
    return (struct where){up, key, 0, up->file, up->problems};
}

struct where
where_index(const struct where *up, int index)
{
    return (struct where){up, NULL, index, up->file, up->problems};
}

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
    size_t best = strlen(found) / 3 + 2;
    const char *nearest = NULL;

    for (size_t i = 0; i < count; i++) {
        const char *name = name_at(context, i);
        size_t far = distance(found, name);

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
