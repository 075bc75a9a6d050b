#include "core/text.h"

#include <assert.h>
#include <math.h>
#include <stdarg.h>
#include <string.h>

void
text_init(struct text *text, char *buffer, size_t size)
{
    assert(size >= 4);
    *text = (struct text){buffer, size, 0};
    buffer[0] = '\0';
}

static void
add_bytes(struct text *text, const char *bytes, size_t length)
{
    size_t room = text->size - 1 - text->used;

    if (length <= room) {
        memcpy(text->at + text->used, bytes, length);
        text->used += length;
    } else {
        size_t end = text->size - 4;

        memcpy(text->at + text->used, bytes, room);
        while (end > 0 && ((unsigned char)text->at[end] & 0xc0) == 0x80)
            end--; /* the dots do not stand inside a UTF-8 sequence */
        memcpy(text->at + end, "...", 3);
        text->used = text->size - 1;
        memset(text->at + end + 3, 0, text->size - end - 3);
    }
    text->at[text->used] = '\0';
}

static void
add_whole(struct text *text, long number)
{
    char digits[24];
    size_t at = sizeof digits;
    unsigned long rest = number < 0 ? 0UL - (unsigned long)number : (unsigned long)number;

    do {
        digits[--at] = (char)('0' + rest % 10);
        rest /= 10;
    } while (rest > 0);
    if (number < 0)
        digits[--at] = '-';
    add_bytes(text, digits + at, sizeof digits - at);
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
