/* SPDX-License-Identifier: MIT */
#include "base/text_format.h"

#include <stdarg.h>
#include <stdio.h>

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
