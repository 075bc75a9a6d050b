/* SPDX-License-Identifier: MIT */
#include "listen/start.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/need.h"
#include "listen/begun.h"
#include "listen/group.h"

static bool
is_read(const struct listen_row *row)
{
    return !row->unread;
}

/* ---- what the numbers are ---- */

static const struct listen_range *
value_range(const struct group *group)
{
    return &group->range[group->counting < LISTEN_ARGUMENTS ? group->counting : 0];
}

static bool
is_switch(const struct group *group)
{
    const struct listen_range *range = value_range(group);
    char type = group->row->types[group->counting];

    return type == 'T' || type == 'F' || (type == 'i' && range->low >= 0 && range->high <= 1);
}

/* Numbers that can be nothing but the unit's own: dB below 0, a corner beyond a position. */
static bool
is_in_unit(const struct group *group)
{
    const struct param *param = &params[group->param];
    const struct listen_range *range = value_range(group);

    if (!(range->low >= param->least && range->high <= param->most))
        return false;
    return (param->unit == UNIT_DB && range->low <= -2) ||
           (param->unit == UNIT_HZ && range->low >= 16 && range->high > 1023);
}

static const char *
law_of(const struct group *group, struct json *profile)
{
    if (params[group->param].unit == UNIT_TEXT || is_in_unit(group))
        return NULL;
    if (params[group->param].unit == UNIT_SWITCH && is_switch(group)) {
        struct json *laws = json_get_mutable(profile, "laws");

        if (!json_get(laws, "switch")) {
            struct json *off = json_list(json_new_number(0), json_new_bool(false));
            struct json *on = json_list(json_new_number(1), json_new_bool(true));
            struct json *law = json_new_object();

            json_add(law, "words", json_list(off, on));
            json_add(laws, "switch", law);
        }
        return "switch";
    }
    return begun_unknown_law(profile, group->param);
}

/* ---- counts and indexes ---- */

/* Whether the indexes are the parameter's own, each once. */
static bool
fits(const struct group *group)
{
    const struct param *param = &params[group->param];
    int found = 0, wanted = (param->row != INDEX_NONE) + (param->column != INDEX_NONE);

    for (int i = 0; i < group->numbers + group->counting; i++) {
        enum index_kind kind = group->number[i].kind;

        if (kind == INDEX_NONE)
            continue;
        found++;
        if (kind != param->row && kind != param->column)
            return false;
    }
    return found + (group->run && param->column == INDEX_MIX_GRAPHIC_BAND) == wanted;
}

static void
raise_count(struct json *profile, enum index_kind kind, int count)
{
    if (count > begun_count(profile, kind))
        begun_set_count(profile, kind, count);
}

/* Counts as many as were heard; false when it counts from more than one number, or too far. */
static bool
count_in(const struct group *group, struct json *profile, bool *from_0)
{
    int indexes = 0, zeros = 0;

    for (int i = 0; i < group->numbers + group->counting; i++) {
        const struct group_number *number = &group->number[i];

        if (number->kind == INDEX_NONE)
            continue;
        indexes++;
        zeros += number->low == 0;
        if (number->high > (number->kind < INDEX_INPUT_EQ_BAND ? COUNT_LIMIT : BAND_LIMIT))
            return false;
    }
    *from_0 = zeros > 0;
    if (zeros > 0 && zeros < indexes)
        return false;
    for (int i = 0; i < group->numbers + group->counting; i++)
        if (group->number[i].kind != INDEX_NONE)
            raise_count(profile, group->number[i].kind, group->number[i].high + *from_0);
    if (group->run)
        raise_count(profile, INDEX_MIX_GRAPHIC_BAND, (int)group->arguments);
    return true;
}

/* ---- entries ---- */

/* What comes by itself: [address, value], without a question. */
static struct json *
pushed(struct json *entry)
{
    struct json *value, *answer;

    if (!json_get(entry, "at"))
        return entry;
    value = json_new_object();
    for (const struct json *one = json_first(entry); one; one = json_next(one))
        if (strcmp(json_key(one), "at") != 0)
            json_add(value, json_key(one), json_copy(one));
    answer = json_list(json_new_string(json_string_at(entry, "at")), value);
    json_free(entry);
    entry = json_new_object();
    json_add(entry, "answer", answer);
    return entry;
}

static bool
may_be_entry(const struct group *group, const struct json *profile)
{
    return group->param < PARAMS && !group_why_not(group) && !group->row->untyped &&
           !strstr(group->row->types, "...") && fits(group) && !begun_gives(profile, group->param);
}

static bool
add_group(const struct group *group, struct json *profile)
{
    struct json *before = json_copy(profile), *value = json_new_object(), *entry;
    char why[BEGUN_WHY_SIZE];
    const char *law;
    bool from_0 = false, good = count_in(group, profile, &from_0);

    json_add_string(value, "is", params[group->param].name);
    law = law_of(group, profile);
    if (law)
        json_add_string(value, "law", law);
    entry = pushed(group_entry(group, value));
    if (from_0)
        json_add_number(entry, "first", 0);
    if (good)
        good = begun_add(profile, entry, why);
    else
        json_free(entry);
    if (!good)
        begun_put_back(profile, before);
    json_free(before);
    return good;
}

size_t
start_profile(const struct listen_table *table, struct json *profile)
{
    struct group *groups = need_memory(GROUPS_KEPT, sizeof *groups);
    size_t count = groups_of(table, is_read, groups), added = 0;

    raise_count(profile, INDEX_INPUT, 1);
    raise_count(profile, INDEX_MIX, 1);
    for (size_t i = 0; i < count && i < GROUPS_KEPT; i++)
        if (may_be_entry(&groups[i], profile))
            added += add_group(&groups[i], profile);
    free(groups);
    return added;
}
