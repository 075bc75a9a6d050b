/* SPDX-License-Identifier: MIT */
#include "json_text.h"

#include <errno.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { FILE_LIMIT = 4 * 1024 * 1024 };

static bool
complain(const char *file, const char *what)
{
    fprintf(stderr, "mock-desk: %s: file: %s\n", file, what);
    return false;
}

static bool
read_stream(FILE *stream, const char *file, char *text)
{
    size_t size = fread(text, 1, FILE_LIMIT + 1, stream);

    if (ferror(stream))
        return complain(file, strerror(errno));
    if (size > FILE_LIMIT)
        return complain(file, "larger than 4 MiB");
    if (memchr(text, 0, size))
        return complain(file, "holds a NUL byte");
    text[size] = '\0';
    return true;
}

static bool
read_file(const char *file, char *text)
{
    FILE *stream = fopen(file, "rb");
    bool fine;

    if (!stream)
        return complain(file, strerror(errno));
    fine = read_stream(stream, file, text);
    fclose(stream);
    return fine;
}

static void
complain_at(const char *file, const char *text, const char *end)
{
    unsigned line = 1;
    unsigned column = 1;

    for (; text < end && *text != '\0'; text++) {
        column = *text == '\n' ? 1 : column + 1;
        line += *text == '\n';
    }
    fprintf(stderr, "mock-desk: %s: line %u column %u: not JSON from here on\n", file, line,
            column);
}

cJSON *
json_text_load(const char *file)
{
    char *text = malloc(FILE_LIMIT + 1);
    const char *end = NULL;
    cJSON *root = NULL;

    if (!text) {
        complain(file, "out of memory");
        return NULL;
    }
    if (read_file(file, text)) {
        root = cJSON_ParseWithOpts(text, &end, true);
        if (!root)
            complain_at(file, text, end);
    }
    free(text);
    return root;
}
