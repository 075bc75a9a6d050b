/* SPDX-License-Identifier: MIT */
#include "board/ages.h"

#include <stdio.h>
#include <string.h>

#include "base/fingerprint.h"

static bool
is_age(const char *key)
{
    static const char *const ages[] = {"at_ms", "clock", "heard_ms", "age_s", "for_s"};

    for (size_t i = 0; key && i < sizeof ages / sizeof *ages; i++)
        if (strcmp(key, ages[i]) == 0)
            return true;
    return false;
}

static uint64_t
add(uint64_t print, const struct json *json)
{
    enum json_kind kind = json_kind(json);
    char text[40];

    if (kind == JSON_STRING)
        return fingerprint_add(print, json_string(json));
    snprintf(text, sizeof text, "%d %.17g", (int)kind,
             kind == JSON_NUMBER ? json_number(json)
             : kind == JSON_BOOL ? json_bool(json)
                                 : 0);
    return fingerprint_add(print, text);
}

uint64_t
ages_aside(const struct json *facts)
{
    uint64_t print = add(FINGERPRINT_BEGIN, facts);
    enum json_kind kind = json_kind(facts);

    if (kind != JSON_OBJECT && kind != JSON_ARRAY)
        return print;
    for (const struct json *one = json_first(facts); one; one = json_next(one)) {
        char inside[24];

        if (kind == JSON_OBJECT && is_age(json_key(one)))
            continue;
        if (kind == JSON_OBJECT)
            print = fingerprint_add(print, json_key(one));
        snprintf(inside, sizeof inside, "%llx", (unsigned long long)ages_aside(one));
        print = fingerprint_add(print, inside);
    }
    return print;
}
