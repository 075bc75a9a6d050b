/* SPDX-License-Identifier: MIT */
#include "review/scheme_file.h"

#include <assert.h>
#include <errno.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/embedded.h"
#include "base/sha256.h"
#include "base/whole_file.h"
#include "check/check.h"
#include "core/need.h"

enum { MARKS_MOST = 1000, FIGURE_MOST = 1000000 };

static_assert((int)SCHEME_SHA256_SIZE == SHA256_TEXT_SIZE, "as sha256_text() writes it");

/* ---- small parts ---- */

static const char *
check_at(const void *context, size_t i)
{
    (void)context;
    return check_name((int)i);
}

/* Marks, in tenths. */
static int
tenths_of(const struct where *where)
{
    double tenths = where_number(where) * 10;

    if (tenths >= 0 && tenths <= MARKS_MOST * 10 && fabs(tenths - round(tenths)) < 1e-9)
        return (int)lround(tenths);
    where_problem(where, "must be marks from 0 to %d, with at most one decimal", MARKS_MOST);
    return 0;
}

static void
take_marks(const struct field_given *given)
{
    *(int *)field_place(given) = tenths_of(given->where);
}

static double
read_number(const struct where *where)
{
    double number = where_number(where);

    if (!where_need(where, JSON_NUMBER, true))
        return 0;
    if (!(fabs(number) <= FIGURE_MOST))
        where_problem(where, "must be from %d to %d", -FIGURE_MOST, FIGURE_MOST);
    return number;
}

/* Position of the check, or -1 with a problem. */
static int
find_check(const char *id, const struct where *where)
{
    int check = check_find(id);
    char nearest[100];

    if (check < 0)
        where_problem(where, "no check is called so%s",
                      where_nearest(id, check_at, NULL, CHECKS, nearest));
    else if (check_set_all.of[check]->watch_only)
        where_problem(where, "is a check of the watch alone: a saved desk cannot fail it");
    else
        return check;
    return -1;
}

/* ---- checks ---- */

/* [2, 6] with "from" and "to". */
static void
read_span(struct scheme_check *check, const struct where *costs, const struct where pair[2])
{
    struct where from = where_key(costs->up, "from"), to = where_key(costs->up, "to");
    struct where least = *costs, top = *costs; /* are told of as the pair */

    least.json = pair[0].json;
    top.json = pair[1].json;
    check->least_tenths = tenths_of(&least);
    check->top_tenths = tenths_of(&top);
    check->from = read_number(&from);
    check->to = read_number(&to);
    if (check->least_tenths > check->top_tenths)
        where_problem(costs, "the first must not be the larger one");
    if (from.json && to.json && check->from >= check->to)
        where_problem(costs->up, "\"from\" must be below \"to\"");
}

static void
take_costs(const struct field_given *given)
{
    struct scheme_check *check = given->into;
    const struct json *json = given->where->json;
    struct where costs = where_key(given->where, "costs"), pair[2];

    if (!costs.json)
        return;
    if (where_pair(&costs, pair)) {
        read_span(check, &costs, pair);
    } else if (where_is(&costs, JSON_ARRAY)) {
        where_problem(&costs, "must be marks, or [least, top]");
    } else {
        check->least_tenths = check->top_tenths = tenths_of(&costs);
        if (json_get(json, "from") || json_get(json, "to"))
            where_problem(&costs, "must be [least, top] where \"from\" and \"to\" stand");
    }
}

/* The marks of the group stand in for it, where these are known. */
static void
need_most(const struct field_given *given)
{
    const struct scheme_check *check = given->into;
    struct where here = where_key(given->where, "most");

    if (check->most_tenths < 0)
        where_problem(&here, "is missing");
}

static const struct field check_fields[] = {
    {"costs", FIELD_ANYTHING, NULL, .need = FIELD_MUST},
    {"from", FIELD_ANYTHING, NULL, .turn = 1},
    {"to", FIELD_ANYTHING, NULL, .turn = 1},
    {"most", FIELD_NUMBER, NULL, FIELD_AT(struct scheme_check, most_tenths), .loose = true,
     .turn = 1, .take = take_marks},
    {"span", FIELD_RULE, NULL, .take = take_costs},
    {"bound", FIELD_RULE, NULL, .turn = 1, .take = need_most},
    {0},
};

static void
take_checks(const struct field_given *given)
{
    const struct scheme *scheme = given->context;
    struct scheme_group *group = given->into;

    if (!json_first(given->where->json))
        where_problem(given->where, "names no check");
    for (struct where one = where_first(given->where); one.json; where_next(&one)) {
        struct scheme_check *check = &group->checks[group->check_count];

        if (group->check_count == SCHEME_CHECKS) {
            where_problem(given->where, "names more than %d checks", SCHEME_CHECKS);
            return;
        }
        /* its findings are counted once */
        if (check_find(one.key) >= 0 && scheme_find(scheme, check_find(one.key), NULL)) {
            where_problem(&one, "stands in the scheme already");
            continue;
        }
        check->check = find_check(one.key, &one);
        check->most_tenths = group->marks_tenths;
        group->check_count += fields_read(check_fields, &one, check, NULL);
    }
}

/* ---- groups ---- */

/* A group's name is a column of the table: no other's, and not the sum's. */
static void
take_group_name(const struct field_given *given)
{
    const struct scheme *scheme = given->context;
    const struct scheme_group *group = given->into;
    struct where here = where_key(given->where, "group");

    if (strcmp(group->name, "all") == 0)
        where_problem(&here, "\"all\" is what the table calls the sum of the groups");
    for (int i = 0; &scheme->groups[i] < group; i++)
        if (*group->name && strcmp(scheme->groups[i].name, group->name) == 0)
            where_problem(&here, "is the name of groups[%d] already", i);
}

static void
check_most(const struct field_given *given)
{
    struct scheme_group *group = given->into;
    struct where here = where_key(given->where, "most");

    if (!here.json)
        group->most_tenths = group->marks_tenths;
    if (group->most_tenths < 0)
        where_problem(&here, "is missing");
    if (group->most_tenths > group->marks_tenths)
        where_problem(given->where, "\"most\" must not be more than the marks of the group");
}

static const struct field group_fields[] = {
    {"group", FIELD_COPY, NULL, FIELD_AT(struct scheme_group, name), .need = FIELD_MUST,
     .least = 1},
    {"marks", FIELD_NUMBER, NULL, FIELD_AT(struct scheme_group, marks_tenths), .need = FIELD_MUST,
     .loose = true, .turn = 1, .take = take_marks},
    {"most", FIELD_NUMBER, NULL, FIELD_AT(struct scheme_group, most_tenths), .loose = true,
     .turn = 1, .take = take_marks},
    {"checks", FIELD_BY_NAME, "what is marked", .need = FIELD_MUST, .turn = 3,
     .object = check_fields, .take = take_checks},
    {"name", FIELD_RULE, NULL, .take = take_group_name},
    {"sum", FIELD_RULE, NULL, .turn = 2, .take = check_most},
    {0},
};

static void
take_groups(const struct field_given *given)
{
    struct scheme *scheme = given->into;

    if (!json_first(given->where->json))
        where_problem(given->where, "is empty: a scheme marks something");
    for (struct where one = where_first(given->where); one.json; where_next(&one)) {
        struct scheme_group *group = &scheme->groups[scheme->group_count];

        if (scheme->group_count == SCHEME_GROUPS) {
            where_problem(given->where, "has more than %d groups", SCHEME_GROUPS);
            return;
        }
        group->marks_tenths = -1; /* not said */
        scheme->group_count++;    /* its own checks may not stand twice either */
        if (!fields_read(group_fields, &one, group, scheme))
            scheme->group_count--;
    }
}

static const struct field by_hand_fields[] = {
    {"what", FIELD_COPY, NULL, FIELD_AT(struct scheme_by_hand, what), .need = FIELD_MUST,
     .least = 1},
    {"marks", FIELD_NUMBER, NULL, FIELD_AT(struct scheme_by_hand, marks_tenths), .need = FIELD_MUST,
     .loose = true, .take = take_marks},
    {0},
};

static void
take_by_hand(const struct field_given *given)
{
    struct scheme *scheme = given->into;

    for (struct where one = where_first(given->where); one.json; where_next(&one)) {
        if (scheme->by_hand_count == SCHEME_BY_HAND) {
            where_problem(given->where, "has more than %d lines", SCHEME_BY_HAND);
            return;
        }
        if (!fields_read(by_hand_fields, &one, &scheme->by_hand[scheme->by_hand_count], NULL))
            return;
        scheme->by_hand_count++;
    }
}

/* ---- the whole ---- */

const struct field scheme_fields[] = {
    {"$schema", FIELD_ANYTHING, NULL, .need = FIELD_MAY},
    FIELD_FILE_FORMAT("scheme_format", SCHEME_FORMAT),
    {"scheme", FIELD_COPY, NULL, FIELD_AT(struct scheme, name), .need = FIELD_MUST, .least = 1},
    {"version", FIELD_COPY, NULL, FIELD_AT(struct scheme, version), .need = FIELD_MUST, .least = 1},
    {"stop_forbids_pass", FIELD_SWITCH, NULL, FIELD_AT(struct scheme, stop_forbids_pass)},
    {"least_assessed", FIELD_NUMBER, NULL, FIELD_AT(struct scheme, least_assessed), .most = 100},
    {"groups", FIELD_LIST, NULL, .need = FIELD_MUST, .object = group_fields, .take = take_groups},
    {"by_hand", FIELD_LIST, NULL, .object = by_hand_fields, .take = take_by_hand},
    {.title = "gainwarden scheme"},
};

struct scheme *
scheme_file_parse(const char *text, size_t length, const char *name, struct problems *problems)
{
    size_t before = problems->count;
    struct json *root = json_parse(text, length, name, problems);
    struct where where = where_file(name, root, problems);
    struct scheme *scheme = root ? need_memory(1, sizeof *scheme) : NULL;

    if (!root)
        return NULL;
    if (where_check_kind(&where, "scheme_format") &&
        where_check_format(&where, "scheme_format", SCHEME_FORMAT))
        fields_read(scheme_fields, &where, scheme, NULL);
    json_free(root);
    sha256_text(text, length, scheme->sha256);
    if (problems->count == before)
        return scheme;
    free(scheme);
    return NULL;
}

struct scheme *
scheme_file_read(const char *path, struct problems *problems)
{
    size_t length = 0;
    struct scheme *scheme;
    char *text;

    if (!path)
        return scheme_file_parse(embedded_scheme, strlen(embedded_scheme), "the built-in scheme",
                                 problems);
    text = whole_file_read(path, SCHEME_FILE_LIMIT, &length);
    if (!text) {
        problems_add(problems, "%s: cannot read: %s", path,
                     errno == EFBIG ? "larger than 1 MiB, which no scheme is"
                                    : whole_file_why(errno));
        return NULL;
    }
    scheme = scheme_file_parse(text, length, path, problems);
    free(text);
    return scheme;
}
