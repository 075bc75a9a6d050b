/* SPDX-License-Identifier: MIT */
#include "profile/law.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "core/need.h"
#include "profile/loader.h"

/* ---- reading ---- */

/* A point's value: a number, or "-inf" for the first point of a level. */
static bool
read_point_value(const struct json *json, double *value)
{
    if (json_kind(json) == JSON_STRING && strcmp(json_string(json), "-inf") == 0) {
        *value = -HUGE_VAL;
        return true;
    }
    *value = json_kind(json) == JSON_NUMBER ? json_number(json) : NAN;
    return fabs(*value) <= LAW_VALUE_MOST;
}

static bool
read_point(struct law_point *point, const struct json *json)
{
    const struct json *wire, *value;

    if (json_kind(json) != JSON_ARRAY || json_size(json) != 2)
        return false;
    wire = json_first(json);
    value = json_next(wire);
    if (json_kind(wire) != JSON_NUMBER || !(fabs(json_number(wire)) <= LAW_WIRE_MOST))
        return false;
    point->wire = json_number(wire);
    return read_point_value(value, &point->value);
}

/* Wire values rise; values rise or fall throughout; "-inf" only at the end of the travel. */
static void
check_points(const struct law *law, const struct where *where)
{
    double sign = 0;

    for (size_t i = 0; i < law->count; i++) {
        const struct law_point *point = &law->points[i];
        struct where here = where_index(where, (int)i);

        if (point->value == -HUGE_VAL && i != 0 && i != law->count - 1)
            where_problem(&here, "\"-inf\" may stand only in the first or last point");
        if (law->kind == LAW_RATIO && point->value <= 0)
            where_problem(&here, "a ratio law needs values above 0");
        if (i == 0)
            continue;
        if (point->wire <= point[-1].wire)
            where_problem(&here, "the wire value %g does not rise above %g", point->wire,
                          point[-1].wire);
        if (i == 1)
            sign = point->value > point[-1].value ? 1 : -1;
        if (!(sign * point->value > sign * point[-1].value))
            where_problem(&here, "the law turns back at %g; values must rise or fall throughout",
                          point->value);
    }
}

static void
read_points(struct law *law, const struct json *json, const struct where *where)
{
    int index = 0;
    bool good = true;

    if (json_kind(json) != JSON_ARRAY || json_size(json) < 2) {
        where_problem(where, "must be an array of at least two [wire, value] points");
        return;
    }
    law->points = need_memory((size_t)json_size(json), sizeof *law->points);
    law->count = (size_t)json_size(json);
    for (const struct json *item = json_first(json); item; item = json_next(item), index++) {
        struct where here = where_index(where, index);

        if (read_point(&law->points[index], item))
            continue;
        where_problem(&here, "must be [wire, value]: two numbers, or \"-inf\" as the value");
        good = false;
    }
    if (good)
        check_points(law, where);
}

static bool
read_word(struct law_word *word, const struct json *json)
{
    const struct json *wire, *value;

    if (json_kind(json) != JSON_ARRAY || json_size(json) != 2)
        return false;
    wire = json_first(json);
    value = json_next(wire);
    if (json_kind(wire) == JSON_STRING)
        word->wire_text = need_text(json_string(wire));
    else if ((json_kind(wire) == JSON_NUMBER && fabs(json_number(wire)) <= LAW_WIRE_MOST) ||
             json_kind(wire) == JSON_BOOL)
        word->wire = json_kind(wire) == JSON_BOOL ? json_bool(wire) : json_number(wire);
    else
        return false;
    if (json_kind(value) == JSON_BOOL)
        word->value = json_bool(value);
    else if (json_kind(value) == JSON_STRING && strcmp(json_string(value), "-inf") != 0)
        word->word = need_text(json_string(value));
    else
        return read_point_value(value, &word->value);
    return true;
}

static bool
same_wire(const struct law_word *one, const struct law_word *other)
{
    if (one->wire_text || other->wire_text)
        return one->wire_text && other->wire_text && strcmp(one->wire_text, other->wire_text) == 0;
    return one->wire == other->wire;
}

static void
read_words(struct law *law, const struct json *json, const struct where *where)
{
    int index = 0;

    if (json_kind(json) != JSON_ARRAY || json_size(json) < 1) {
        where_problem(where, "must be an array of [wire, value] pairs");
        return;
    }
    law->words = need_memory((size_t)json_size(json), sizeof *law->words);
    law->count = (size_t)json_size(json);
    for (const struct json *item = json_first(json); item; item = json_next(item), index++) {
        struct where here = where_index(where, index);

        if (!read_word(&law->words[index], item)) {
            where_problem(&here, "must be [wire, value]: a number or text, and true, false, a "
                                 "number, \"-inf\" or a word");
            continue;
        }
        for (int other = 0; other < index; other++)
            if (same_wire(&law->words[index], &law->words[other]))
                where_problem(&here, "the same wire value stands twice");
    }
}

void
law_read(struct law *law, const char *name, const struct json *json, const struct where *where)
{
    const struct json *rule;
    struct where here;

    *law = (struct law){.name = need_text(name)};
    if (!fields_check_keys(&profile_law_fields, json, where))
        return;
    if (json_size(json) != 1) {
        where_problem(where, "must hold exactly one of line, ratio, words, times, amplitude");
        return;
    }
    rule = json_first(json);
    here = where_key(where, json_key(rule));
    for (int i = 0; profile_law_fields.rows[i].key; i++)
        if (strcmp(profile_law_fields.rows[i].key, json_key(rule)) == 0)
            law->kind = (enum law_kind)(LAW_LINE + i);
    if (law->kind == LAW_LINE || law->kind == LAW_RATIO) {
        read_points(law, rule, &here);
    } else if (law->kind == LAW_WORDS) {
        read_words(law, rule, &here);
    } else if (law->kind == LAW_TIMES) {
        law->factor = json_kind(rule) == JSON_NUMBER ? json_number(rule) : 0;
        if (!(fabs(law->factor) <= LAW_WIRE_MOST) || law->factor == 0)
            where_problem(&here, "must be a number other than 0");
    } else if (law->kind == LAW_AMPLITUDE && !json_bool(rule)) {
        where_problem(&here, "must be true");
    }
}

void
law_release(struct law *law)
{
    for (size_t i = 0; law->words && i < law->count; i++) {
        free(law->words[i].wire_text);
        free(law->words[i].word);
    }
    free(law->words);
    free(law->points);
    free(law->name);
    *law = (struct law){0};
}

/* ---- binding ---- */

static void
copy_law(struct law *to, const struct law *from)
{
    *to = *from;
    to->name = need_text(from->name);
    to->points = NULL;
    to->words = NULL;
    if (from->points) {
        to->points = need_memory(from->count, sizeof *to->points);
        memcpy(to->points, from->points, from->count * sizeof *to->points);
    }
    if (from->words) {
        to->words = need_memory(from->count, sizeof *to->words);
        for (size_t i = 0; i < from->count; i++) {
            to->words[i] = from->words[i];
            to->words[i].wire_text = need_text(from->words[i].wire_text);
            to->words[i].word = need_text(from->words[i].word);
        }
    }
}

static bool
bind_word(struct law_word *word, enum param_id id, const struct where *where)
{
    if (word->word && param_words(id)) {
        int found = param_word(id, word->word);

        if (found < 0) {
            where_problem(where, "\"%s\" is no word of %s", word->word, params[id].name);
            return false;
        }
        word->value = found;
    } else if (word->word || !param_accepts(id, word->value)) {
        where_problem(where, "%s%s%s is no value of %s, which is %s", word->word ? "\"" : "",
                      word->word ? word->word : "the table's value", word->word ? "\"" : "",
                      params[id].name, unit_name(params[id].unit));
        return false;
    }
    return true;
}

bool
law_bind(struct law *bound, const struct law *law, enum param_id id, const struct where *where)
{
    copy_law(bound, law);
    if (params[id].unit == UNIT_TEXT && law->kind != LAW_NONE) {
        where_problem(where, "%s is text and takes no law", params[id].name);
        return false;
    }
    if (params[id].unit == UNIT_WORD && law->kind != LAW_NONE && law->kind != LAW_WORDS) {
        where_problem(where, "%s takes words; its law must be a \"words\" table", params[id].name);
        return false;
    }
    for (size_t i = 0; bound->words && i < bound->count; i++)
        if (!bind_word(&bound->words[i], id, where))
            return false;
    return true;
}

/* ---- values ---- */

/* Between two points; -inf reaches up to, not including, its neighbour. */
static double
between(const struct law *law, const struct law_point *left, double wire)
{
    const struct law_point *right = left + 1;
    double part = (wire - left->wire) / (right->wire - left->wire);
    double value;

    if (left->value == -HUGE_VAL)
        return part <= 0 ? -HUGE_VAL : right->value;
    if (right->value == -HUGE_VAL)
        return part >= 1 ? -HUGE_VAL : left->value;
    if (law->kind == LAW_RATIO)
        value = left->value * pow(right->value / left->value, part);
    else
        value = left->value + part * (right->value - left->value);
    /* rounding may pass a point by a bit, and the last one is an end stop */
    return fmin(fmax(value, fmin(left->value, right->value)), fmax(left->value, right->value));
}

static bool
points_value(const struct law *law, double wire, double *value)
{
    const struct law_point *first = &law->points[0];
    const struct law_point *last = &law->points[law->count - 1];
    double slack = (last->wire - first->wire) / 1000;
    size_t i = 0;

    if (!(wire >= first->wire - slack && wire <= last->wire + slack))
        return false;
    wire = fmin(fmax(wire, first->wire), last->wire);
    while (i + 2 < law->count && wire > law->points[i + 1].wire)
        i++;
    *value = between(law, &law->points[i], wire);
    return true;
}

bool
law_value(const struct law *law, double wire, double *value)
{
    if (!isfinite(wire))
        return false;
    switch (law->kind) {
    case LAW_LINE:
    case LAW_RATIO:
        return points_value(law, wire, value);
    case LAW_WORDS:
        for (size_t i = 0; i < law->count; i++)
            if (!law->words[i].wire_text && law->words[i].wire == wire) {
                *value = law->words[i].value;
                return true;
            }
        return false;
    case LAW_TIMES:
        *value = wire * law->factor;
        return isfinite(*value);
    case LAW_AMPLITUDE:
        *value = wire > 0 ? 20 * log10(wire) : -HUGE_VAL;
        return wire >= 0 && isfinite(wire);
    case LAW_NONE:
        break;
    }
    *value = wire;
    return true;
}

bool
law_value_of_text(const struct law *law, const char *text, double *value)
{
    for (size_t i = 0; law->words && i < law->count; i++)
        if (law->words[i].wire_text && strcmp(law->words[i].wire_text, text) == 0) {
            *value = law->words[i].value;
            return true;
        }
    return false;
}

struct travel
law_travel(const struct law *law)
{
    struct travel travel = {NAN, NAN};

    for (size_t i = 0; law->points && i < law->count; i++) {
        double value = law->points[i].value;

        if (value == -HUGE_VAL)
            continue;
        travel.least = isnan(travel.least) || value < travel.least ? value : travel.least;
        travel.most = isnan(travel.most) || value > travel.most ? value : travel.most;
    }
    return travel;
}

bool
law_parse_number(const char *text, double *number)
{
    char *end;

    while (*text == ' ')
        text++;
    if (strcasecmp(text, "-inf") == 0 || strcmp(text, "-oo") == 0 ||
        strcasecmp(text, "-inf dB") == 0 || strcasecmp(text, "-oo dB") == 0) {
        *number = -HUGE_VAL;
        return true;
    }
    if (!strchr("+-.0123456789", *text) || !*text || strpbrk(text, "xX"))
        return false;
    *number = strtod(text, &end); /* the program never leaves the "C" locale */
    if (end == text || !isfinite(*number))
        return false;
    while (*end == ' ')
        end++;
    if (strcmp(end, "kHz") == 0)
        *number *= 1000;
    else if (*end && strcasecmp(end, "dB") != 0 && strcasecmp(end, "Hz") != 0 &&
             strcmp(end, "ms") != 0)
        return false;
    return isfinite(*number);
}
