/* SPDX-License-Identifier: MIT */
#include "core/text.h"

#include <assert.h>
#include <math.h>
#include <stdarg.h>
#include <string.h>

void
text_init(struct text *text, char *buffer, size_t size)
{
    assert(size >= 4);
    *text = (struct text){.at = buffer, .size = size};
    buffer[0] = '\0';
}

/* The buffer is full, and more was to come. */
static void
cut(struct text *text)
{
    size_t end = text->size - 4;

    while (end > 0 && ((unsigned char)text->at[end] & 0xc0) == 0x80)
        end--; /* the dots do not stand inside a UTF-8 sequence */
    memcpy(text->at + end, "...", 3);
    memset(text->at + end + 3, 0, text->size - end - 3);
    text->cut = true;
}

void
text_wrote(struct text *text, size_t length)
{
    size_t room = text->size - 1 - text->used;

    text->used += length <= room ? length : room;
    text->at[text->used] = '\0';
    if (length > room)
        cut(text);
}

static void
add_bytes(struct text *text, const char *bytes, size_t length)
{
    size_t room = text->size - 1 - text->used;

    if (text->cut)
        return;
    memcpy(text->at + text->used, bytes, length <= room ? length : room);
    text_wrote(text, length);
}

static void
add_count(struct text *text, size_t count)
{
    char digits[24];
    size_t at = sizeof digits;

    do {
        digits[--at] = (char)('0' + count % 10);
        count /= 10;
    } while (count > 0);
    add_bytes(text, digits + at, sizeof digits - at);
}

static void
add_whole(struct text *text, long number)
{
    if (number < 0)
        add_bytes(text, "-", 1);
    add_count(text, number < 0 ? 0 - (size_t)number : (size_t)number);
}

void
text_add_number(struct text *text, double number, int decimals)
{
    long unit = decimals == 1 ? 10 : decimals == 2 ? 100 : 1000;
    long parts, rest;

    if (number == -HUGE_VAL) {
        add_bytes(text, "off", 3);
        return;
    }
    assert(fabs(number) < 1e9);
    parts = lround(number * (double)unit);
    if (parts < 0)
        add_bytes(text, "-", 1);
    parts = parts < 0 ? -parts : parts;
    add_whole(text, parts / unit);
    rest = parts - parts / unit * unit;
    if (rest == 0)
        return;
    add_bytes(text, ".", 1);
    for (; rest != 0; rest = rest * 10 % unit)
        add_whole(text, rest * 10 / unit);
}

void
text_add(struct text *text, const char *format, ...)
{
    va_list args;

    va_start(args, format);
    for (const char *at = format; *at; at++) {
        size_t plain = strcspn(at, "%");
        const char *string;

        add_bytes(text, at, plain);
        at += plain;
        if (!*at)
            break;
        switch (*++at) {
        case 'd':
            add_whole(text, va_arg(args, int));
            break;
        case 'z':
            assert(at[1] == 'u');
            at++;
            add_count(text, va_arg(args, size_t));
            break;
        case 's':
            string = va_arg(args, const char *);
            add_bytes(text, string, strlen(string));
            break;
        case 'f':
        case 'g':
            text_add_number(text, va_arg(args, double), *at == 'f' ? 1 : 2);
            break;
        default:
            assert(*at == '%');
            add_bytes(text, "%", 1);
        }
    }
    va_end(args);
}
