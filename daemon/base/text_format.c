/* SPDX-License-Identifier: MIT */
#include "base/text_format.h"

#include <stdio.h>

#include "core/need.h"

void
text_format(struct text *text, const char *format, ...)
{
    va_list args;
    int length;

    if (text->cut)
        return;
    va_start(args, format);
    length = vsnprintf(text->at + text->used, text->size - text->used, format, args);
    va_end(args);
    text_wrote(text, length > 0 ? (size_t)length : 0);
}

char *
text_vprinted(const char *format, va_list args)
{
    va_list again;
    char *text;
    int length;

    va_copy(again, args);
    length = vsnprintf(NULL, 0, format, again);
    va_end(again);
    text = need_memory((size_t)length + 1, 1);
    vsnprintf(text, (size_t)length + 1, format, args);
    return text;
}

char *
text_printed(const char *format, ...)
{
    va_list args;
    char *text;

    va_start(args, format);
    text = text_vprinted(format, args);
    va_end(args);
    return text;
}
