#include "review/scheme_file.h"

#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/embedded.h"
#include "base/json.h"
#include "base/whole_file.h"
#include "check/check.h"

enum { MARKS_MOST = 1000, FIGURE_MOST = 1000000 };

const char *
scheme_marks(char buffer[SCHEME_MARKS_SIZE], int tenths)
{
    snprintf(buffer, SCHEME_MARKS_SIZE, tenths % 10 == 0 ? "%d" : "%d.%d", tenths / 10,
             abs(tenths % 10));
    return buffer;
}

/* ---- small parts ---- */

static const char *
check_at(const void *context, size_t i)
{
    (void)context;
    return checks[i]->id;
}

/* Marks, in tenths. */
static int
tenths_of(const struct json *json, const struct where *where)
{
    double tenths = json_kind(json) == JSON_NUMBER ? json_number(json) * 10 : NAN;

    if (tenths >= 0 && tenths <= MARKS_MOST * 10 && fabs(tenths - round(tenths)) < 1e-9)
        return (int)lround(tenths);
    where_problem(where, "must be marks from 0 to %d, with at most one decimal", MARKS_MOST);
    return 0;
}

static int
read_marks(const struct json *json, const struct where *where, const char *key, int otherwise)
{
    const struct json *marks = json_get(json, key);
    struct where here = where_key(where, key);

    if (marks)
        return tenths_of(marks, &here);
    if (otherwise < 0)
        where_problem(&here, "is missing");
    return otherwise;
}

static double
read_number(const struct json *json, const struct where *where, const char *key)
{
    const struct json *number = json_need(json, where, key, JSON_NUMBER, true);
    struct where here = where_key(where, key);

    if (number && !(fabs(json_number(number)) <= FIGURE_MOST))
        where_problem(&here, "must be from %d to %d", -FIGURE_MOST, FIGURE_MOST);
    return number ? json_number(number) : 0;
}

/* Position of the check, or -1 with a problem. */
static int
find_check(const char *id, const struct where *where)
{
    int check = check_find(id);
    char nearest[100];

    if (check < 0)
        where_problem(where, "no check is called so%s",
                      where_nearest(id, check_at, NULL, (size_t)CHECKS, nearest));
    else if (checks[check]->watch_only)
        where_problem(where, "is a check of the watch alone: a saved desk cannot fail it");
    else
        return check;
    return -1;
}

/* ---- checks ---- */

/* "costs": 3, or [2, 6] with "from" and "to". */
static void
read_costs(struct scheme_check *check, const struct json *json, const struct where *where)
{
    const struct json *costs = json_get(json, "costs");
    struct where here = where_key(where, "costs");

    if (!costs) {
        where_problem(&here, "is missing");
        return;
    }
    if (json_kind(costs) != JSON_ARRAY) {
        check->least_tenths = check->top_tenths = tenths_of(costs, &here);
        if (json_get(json, "from") || json_get(json, "to"))
            where_problem(&here, "must be [least, top] where \"from\" and \"to\" stand");
        return;
    }
    if (json_size(costs) != 2) {
        where_problem(&here, "must be marks, or [least, top]");
        return;
    }
    check->least_tenths = tenths_of(json_first(costs), &here);
    check->top_tenths = tenths_of(json_next(json_first(costs)), &here);
    check->from = read_number(json, where, "from");
    check->to = read_number(json, where, "to");
    if (check->least_tenths > check->top_tenths)
        where_problem(&here, "the first must not be the larger one");
    if (json_get(json, "from") && json_get(json, "to") && check->from >= check->to)
        where_problem(where, "\"from\" must be below \"to\"");
}

static void
read_not_with(struct scheme_check *check, const struct json *json, const struct where *where)
{
    const struct json *list = json_need(json, where, "not_with", JSON_ARRAY, false);
    struct where at = where_key(where, "not_with");
    int i = 0;

    for (const struct json *one = list ? json_first(list) : NULL; one; one = json_next(one), i++) {
        struct where here = where_index(&at, i);

        if (i == SCHEME_NOT_WITH)
            where_problem(&at, "names more than %d checks", SCHEME_NOT_WITH);
        if (i >= SCHEME_NOT_WITH)
            return;
        if (json_kind(one) != JSON_STRING)
            where_problem(&here, "must be the id of a check");
        else if ((check->not_with[i] = find_check(json_string(one), &here)) == check->check)
            where_problem(&here, "is the check itself");
    }
    check->not_with_count = i;
}

static void
read_check(struct scheme_group *group, const struct json *json, const struct where *where)
{
    static const char *const keys[] = {"costs", "from", "to", "most", "not_with", NULL};
    struct scheme_check *check = &group->checks[group->check_count];

    check->check = find_check(json_key(json), where);
    if (!json_check_keys(json, where, keys))
        return;
    read_costs(check, json, where);
    check->most_tenths = read_marks(json, where, "most", group->marks_tenths);
    read_not_with(check, json, where);
    group->check_count++;
}

static void
read_checks(struct scheme *scheme, struct scheme_group *group, const struct json *list,
            const struct where *where)
{
    if (!json_first(list))
        where_problem(where, "names no check");
    for (const struct json *one = json_first(list); one; one = json_next(one)) {
        struct where here = where_key(where, json_key(one));

        if (group->check_count == SCHEME_CHECKS) {
            where_problem(where, "names more than %d checks", SCHEME_CHECKS);
            return;
        }
        /* its findings are counted once */
        if (check_find(json_key(one)) >= 0 && scheme_find(scheme, check_find(json_key(one)), NULL))
            where_problem(&here, "stands in the scheme already");
        else
            read_check(group, one, &here);
    }
}

/* ---- one cause, counted once ---- */

/* Whether `check` costs nothing beside `other`, or beside one that costs nothing beside `other`. */
static bool
gives_way(const struct scheme *scheme, int check, int other, bool *seen)
{
    const struct scheme_check *rule = scheme_find(scheme, check, NULL);

    if (seen[check] || !rule)
        return false;
    seen[check] = true;
    for (int i = 0; i < rule->not_with_count; i++)
        if (rule->not_with[i] == other || gives_way(scheme, rule->not_with[i], other, seen))
            return true;
    return false;
}

/* A cause that two checks tell must still cost something once. */
static void
check_cause(const struct scheme *scheme, const struct scheme_check *rule, const struct where *where)
{
    struct where here = where_key(where, checks[rule->check]->id),
                 list = where_key(&here, "not_with");

    for (int i = 0; i < rule->not_with_count; i++) {
        struct where at = where_index(&list, i);
        bool *seen = calloc((size_t)CHECKS, sizeof *seen);

        if (!seen)
            abort();
        if (!scheme_find(scheme, rule->not_with[i], NULL))
            where_problem(&at, "the scheme does not mark %s: what both tell would cost nothing",
                          checks[rule->not_with[i]]->id);
        else if (gives_way(scheme, rule->not_with[i], rule->check, seen))
            where_problem(&at,
                          "%s is not counted beside %s either: what both tell would cost nothing",
                          checks[rule->not_with[i]]->id, checks[rule->check]->id);
        free(seen);
    }
}

static void
check_causes(const struct scheme *scheme, const struct where *root)
{
    struct where groups = where_key(root, "groups");

    for (int group = 0; group < scheme->group_count; group++) {
        struct where here = where_index(&groups, group), list = where_key(&here, "checks");

        for (int i = 0; i < scheme->groups[group].check_count; i++)
            check_cause(scheme, &scheme->groups[group].checks[i], &list);
    }
}

/* ---- groups ---- */

/* A group's name is a column of the table: no other's, and not the sum's. */
static void
check_name(const struct scheme *scheme, const char *name, const struct where *where)
{
    struct where here = where_key(where, "group");

    if (strcmp(name, "all") == 0)
        where_problem(&here, "\"all\" is what the table calls the sum of the groups");
    for (int i = 0; i < scheme->group_count; i++)
        if (*name && strcmp(scheme->groups[i].name, name) == 0)
            where_problem(&here, "is the name of groups[%d] already", i);
}

static void
read_group(struct scheme *scheme, const struct json *json, const struct where *where)
{
    static const char *const keys[] = {"group", "marks", "most", "checks", NULL};
    struct scheme_group *group = &scheme->groups[scheme->group_count];
    const struct json *list;
    struct where here = where_key(where, "checks");

    if (!json_check_keys(json, where, keys))
        return;
    json_take_text(json, where, "group", 1, sizeof group->name, group->name);
    check_name(scheme, group->name, where);
    group->marks_tenths = read_marks(json, where, "marks", -1);
    group->most_tenths = read_marks(json, where, "most", group->marks_tenths);
    if (group->most_tenths > group->marks_tenths)
        where_problem(where, "\"most\" must not be more than the marks of the group");
    scheme->group_count++;
    list = json_need(json, where, "checks", JSON_OBJECT, true);
    if (list)
        read_checks(scheme, group, list, &here);
}

static void
read_groups(struct scheme *scheme, const struct json *root, const struct where *where)
{
    const struct json *list = json_need(root, where, "groups", JSON_ARRAY, true);
    struct where at = where_key(where, "groups");
    int i = 0;

    if (list && !json_first(list))
        where_problem(&at, "is empty: a scheme marks something");
    for (const struct json *one = list ? json_first(list) : NULL; one; one = json_next(one)) {
        struct where here = where_index(&at, i++);

        if (scheme->group_count == SCHEME_GROUPS) {
            where_problem(&at, "has more than %d groups", SCHEME_GROUPS);
            return;
        }
        read_group(scheme, one, &here);
    }
}

static void
read_by_hand(struct scheme *scheme, const struct json *root, const struct where *where)
{
    static const char *const keys[] = {"what", "marks", NULL};
    const struct json *list = json_need(root, where, "by_hand", JSON_ARRAY, false);
    struct where at = where_key(where, "by_hand");

    for (const struct json *one = list ? json_first(list) : NULL; one; one = json_next(one)) {
        struct where here = where_index(&at, scheme->by_hand_count);
        struct scheme_by_hand *row = &scheme->by_hand[scheme->by_hand_count];

        if (scheme->by_hand_count == SCHEME_BY_HAND) {
            where_problem(&at, "has more than %d lines", SCHEME_BY_HAND);
            return;
        }
        if (!json_check_keys(one, &here, keys))
            return;
        json_take_text(one, &here, "what", 1, sizeof row->what, row->what);
        row->marks_tenths = read_marks(one, &here, "marks", -1);
        scheme->by_hand_count++;
    }
}

/* ---- the whole ---- */

static void
read_root(struct scheme *scheme, const struct json *root, const struct where *where)
{
    static const char *const keys[] = {"$schema", "scheme_format", "scheme", "version",
                                       "groups",  "by_hand",       NULL};

    json_check_keys(root, where, keys);
    json_take_text(root, where, "scheme", 1, sizeof scheme->name, scheme->name);
    json_take_text(root, where, "version", 1, sizeof scheme->version, scheme->version);
    read_groups(scheme, root, where);
    read_by_hand(scheme, root, where);
}

struct scheme_file *
scheme_file_parse(const char *text, size_t length, const char *name, struct problems *problems)
{
    struct where where = where_file(name, problems);
    size_t before = problems->count;
    struct json *root = json_parse(text, length, name, problems);
    struct scheme_file *file = root ? calloc(1, sizeof *file) : NULL;

    if (!root)
        return NULL;
    if (!file)
        abort();
    if (json_check_kind(root, &where, "scheme_format") &&
        json_check_format(root, &where, "scheme_format", SCHEME_FORMAT))
        read_root(&file->scheme, root, &where);
    if (problems->count == before)
        check_causes(&file->scheme, &where);
    json_free(root);
    sha256_text(text, length, file->sha256);
    if (problems->count == before)
        return file;
    free(file);
    return NULL;
}

struct scheme_file *
scheme_file_read(const char *path, struct problems *problems)
{
    size_t length = 0;
    char *text;
    struct scheme_file *file;

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
    file = scheme_file_parse(text, length, path, problems);
    free(text);
    return file;
}
