/* SPDX-License-Identifier: MIT */
#include "walk.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

/* What a file has said may hold anything: other bytes would break the line, or worse. */
static void
print_plainly(const char *text)
{
    for (const unsigned char *c = (const unsigned char *)text; *c; c++)
        fprintf(stderr, *c >= ' ' && *c <= '~' ? "%c" : "\\x%02x", *c);
}

void
walk_complain(struct walk *walk, const char *format, ...)
{
    char text[512];
    va_list list;

    va_start(list, format);
    vsnprintf(text, sizeof text, format, list);
    va_end(list);
    fprintf(stderr, "mock-desk: %s: ", walk->file);
    print_plainly(walk->length > 0 ? walk->path : "top");
    fputs(": ", stderr);
    print_plainly(text);
    fputc('\n', stderr);
    walk->errors++;
}

size_t
walk_enter(struct walk *walk, const char *format, ...)
{
    size_t before = walk->length;
    va_list list;

    va_start(list, format);
    vsnprintf(walk->path + before, WALK_PATH_SIZE - before, format, list);
    va_end(list);
    walk->length = strlen(walk->path);
    return before;
}

size_t
walk_enter_key(struct walk *walk, const char *key)
{
    return walk_enter(walk, "%s%.80s", walk->length > 0 ? "." : "", key);
}

void
walk_leave(struct walk *walk, size_t before)
{
    walk->length = before;
    walk->path[before] = '\0';
}

bool
walk_is_repeated(const cJSON *object, const cJSON *child)
{
    for (const cJSON *other = object->child; other != child; other = other->next)
        if (strcmp(other->string, child->string) == 0)
            return true;
    return false;
}
