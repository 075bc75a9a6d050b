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
problems_release(struct problems *problems)
{
    for (size_t i = 0; i < problems->count && i < PROBLEMS_KEPT; i++)
        free(problems->lines[i]);
    free(problems->lines);
    *problems = (struct problems){0};
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
problems_lead(struct problems *problems, size_t from, const char *format, ...)
{
    char lead[PROBLEM_SIZE], line[2 * PROBLEM_SIZE];
    va_list args;

    va_start(args, format);
    vsnprintf(lead, sizeof lead, format, args);
    va_end(args);
    for (size_t i = from; i < problems->count && i < PROBLEMS_KEPT; i++) {
        snprintf(line, sizeof line, "%s%s", lead, problems->lines[i]);
        free(problems->lines[i]);
        problems->lines[i] = need_text(line);
    }
}

/* Two files with the same mistake in a third, say. */
static bool
stands_before(const struct problems *problems, size_t line)
{
    for (size_t i = 0; i < line; i++)
        if (strcmp(problems->lines[i], problems->lines[line]) == 0)
            return true;
    return false;
}

void
problems_print(const struct problems *problems, FILE *to)
{
    for (size_t i = 0; i < problems->count && i < PROBLEMS_KEPT; i++) {
        char named[2 * PROBLEM_SIZE + 20];

        if (stands_before(problems, i))
            continue;
        snprintf(named, sizeof named, "gainwarden: %s", problems->lines[i]);
        output_line(to, 4, named, NULL);
    }
    if (problems->count > PROBLEMS_KEPT)
        fprintf(to, "gainwarden: and %zu more\n", problems->count - PROBLEMS_KEPT);
}

bool
problems_tell(struct problems *problems)
{
    bool none = problems->count == 0;

    problems_print(problems, stderr);
    problems_release(problems);
    return none;
}
