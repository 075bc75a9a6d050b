/* SPDX-License-Identifier: MIT */
#include "watch/answer.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>

void
answer_line(const struct answer *answer, const char *format, ...)
{
    char line[ANSWER_LINE_SIZE];
    va_list args;

    va_start(args, format);
    vsnprintf(line, sizeof line, format, args);
    va_end(args);
    json_add_string(answer->lines, NULL, line);
}

double
answer_number(const struct json *request, const char *key, double most)
{
    return fmax(0, fmin(json_number_at(request, key, 0), most));
}
