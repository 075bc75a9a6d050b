/* SPDX-License-Identifier: MIT */
#include "base/host_port.h"

#include <stdlib.h>
#include <string.h>

#include "core/need.h"

enum { PORT_MOST = 65535 };

static bool
read_port(const char *text, int least, int *port)
{
    char *rest;
    long number = strtol(text, &rest, 10);

    if (rest == text || *rest || number < least || number > PORT_MOST)
        return false;
    *port = (int)number;
    return true;
}

char *
host_port_read(const char *option, const char *text, int least, int *port,
               struct problems *problems)
{
    bool bracket = *text == '[';
    const char *end = bracket ? strchr(text, ']') : strrchr(text, ':');
    const char *digits = NULL;

    if (bracket && end)
        digits = end[1] == ':' ? end + 2 : NULL;
    else if (end && strchr(text, ':') == end)
        digits = end + 1;
    if (bracket && (!end || (end[1] && end[1] != ':'))) {
        problems_add(problems, "%s=%s: an address in brackets ends with ']' or ']:PORT'", option,
                     text);
        return NULL;
    }
    if (digits && !read_port(digits, least, port)) {
        problems_add(problems, "%s=%s: the port must be a whole number from %d to %d", option, text,
                     least, PORT_MOST);
        return NULL;
    }
    return bracket  ? need_part(text + 1, (size_t)(end - text - 1))
           : digits ? need_part(text, (size_t)(end - text))
                    : need_text(text);
}
