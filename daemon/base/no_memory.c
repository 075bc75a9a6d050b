/* SPDX-License-Identifier: MIT */
#include "base/no_memory.h"

#include <unistd.h>

#include "base/options.h"
#include "core/need.h"

static void (*before)(void);

/* Buffers of standard output are not flushed: half a report would stand there. */
static void
end(void)
{
    static const char words[] = "gainwarden: out of memory\n";
    ssize_t written;

    if (before)
        before();
    written = write(STDERR_FILENO, words, sizeof words - 1);
    (void)written; /* whom could it be told to? */
    _exit(EXIT_NO_MEMORY);
}

void
no_memory_init(void)
{
    need_fails_by(end);
}

void
no_memory_before(void (*leave)(void))
{
    before = leave;
}

FILE *
no_memory_stream(char **text, size_t *length)
{
    return need_made(open_memstream(text, length));
}

void
no_memory_stream_end(FILE *stream)
{
    if (fclose(stream) != 0)
        need_fails();
}
