/* SPDX-License-Identifier: MIT */
#include "core/need.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

static void (*end_program)(void) = abort;

void
need_fails_by(void (*end)(void))
{
    end_program = end;
}

void
need_fails(void)
{
    end_program();
    abort();
}

void *
need_made(void *made)
{
    if (!made)
        need_fails();
    return made;
}

void *
need_memory(size_t count, size_t size)
{
    return need_made(calloc(count > 0 ? count : 1, size));
}

void *
need_more(void *memory, size_t count, size_t size)
{
    if (count > SIZE_MAX / size)
        need_fails();
    return need_made(realloc(memory, count * size));
}

char *
need_part(const char *text, size_t length)
{
    char *part = need_memory(length + 1, 1);

    memcpy(part, text, length);
    return part;
}

char *
need_text(const char *text)
{
    return text ? need_part(text, strlen(text)) : NULL;
}
