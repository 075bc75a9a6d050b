/* SPDX-License-Identifier: MIT */
#include "record.h"

#include <stdbool.h>
#include <string.h>
#include <time.h>

/* How many bytes a UTF-8 character has by its first byte; 0 for a byte that cannot begin one. */
static size_t
length_by_lead(unsigned char lead)
{
    if (lead < 0x80)
        return 1;
    if (lead >= 0xC2 && lead < 0xE0)
        return 2;
    if (lead >= 0xE0 && lead < 0xF0)
        return 3;
    return lead >= 0xF0 && lead < 0xF5 ? 4 : 0;
}

/* The second byte decides overlong forms, surrogates and what lies beyond U+10FFFF. */
static bool
is_second_fine(unsigned char lead, unsigned char second)
{
    switch (lead) {
    case 0xE0:
        return second >= 0xA0;
    case 0xED:
        return second < 0xA0;
    case 0xF0:
        return second >= 0x90;
    case 0xF4:
        return second < 0x90;
    default:
        return true;
    }
}

/* The size of the well-formed character at `text`, or 0. */
static size_t
character_size(const unsigned char *text, size_t left)
{
    size_t size = length_by_lead(text[0]);

    if (size == 0 || size > left || (size > 1 && !is_second_fine(text[0], text[1])))
        return 0;
    for (size_t i = 1; i < size; i++)
        if ((text[i] & 0xC0) != 0x80)
            return 0;
    return size;
}

static void
put_string(FILE *file, const char *bytes, size_t size)
{
    const unsigned char *text = (const unsigned char *)bytes;

    putc('"', file);
    for (size_t at = 0; at < size;) {
        size_t step = character_size(text + at, size - at);

        if (step == 0)
            fputs("\\ufffd", file);
        else if (text[at] < 0x20)
            fprintf(file, "\\u%04x", (unsigned)text[at]);
        else if (text[at] == '"' || text[at] == '\\')
            fprintf(file, "\\%c", text[at]);
        else
            fwrite(text + at, 1, step, file);
        at += step > 0 ? step : 1;
    }
    putc('"', file);
}

static void
put_member(FILE *file, const char *key, const char *text)
{
    fprintf(file, ",\"%s\":", key);
    if (text)
        put_string(file, text, strlen(text));
    else
        fputs("null", file);
}

static void
put_time(FILE *file)
{
    struct timespec now;
    struct tm utc;
    char text[24];

    clock_gettime(CLOCK_REALTIME, &now);
    gmtime_r(&now.tv_sec, &utc);
    strftime(text, sizeof text, "%Y-%m-%dT%H:%M:%S", &utc);
    fprintf(file, "\"time\":\"%s.%03ldZ\"", text, now.tv_nsec / 1000000);
}

void
record_add(FILE *file, const struct request *request)
{
    putc('{', file);
    put_time(file);
    put_member(file, "method", request->method);
    put_member(file, "path", request->path);
    put_member(file, "content_type", request->content_type);
    put_member(file, "identity", request->identity);
    fputs(",\"body\":", file);
    put_string(file, request->body, request->body_size);
    fputs("}\n", file);
    fflush(file);
}
