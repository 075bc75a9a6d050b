/* SPDX-License-Identifier: MIT */
#include "watch/lately.h"

#include <math.h>

#include "base/clock.h"
#include "base/escape.h"

static struct lately_line *
next(struct lately *lately)
{
    return &lately->lines[lately->count++ % LATELY_KEPT];
}

const struct lately_line *
lately_add(struct lately *lately, const char *says)
{
    struct lately_line *line = next(lately);

    line->at_s = clock_now_s();
    escape_clean(line->says, sizeof line->says, says);
    return line;
}

const struct lately_line *
lately_at(const struct lately *lately, size_t back)
{
    if (back >= LATELY_KEPT || back >= lately->count)
        return NULL;
    return &lately->lines[(lately->count - 1 - back) % LATELY_KEPT];
}

struct json *
lately_line_json(const struct lately_line *line)
{
    struct json *json = json_new_object();

    json_add_number(json, "at_s", round(line->at_s * 1000) / 1000);
    json_add_string(json, "says", line->says);
    return json;
}

void
lately_had(struct lately *lately, const struct json *json)
{
    double at_s = json_number_at(json, "at_s", NAN);
    struct lately_line *line;

    if (!(fabs(at_s) < 1e12))
        return;
    line = next(lately);
    line->at_s = at_s;
    escape_clean(line->says, sizeof line->says, json_string_at(json, "says"));
}
