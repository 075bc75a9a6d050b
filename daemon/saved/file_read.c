/* SPDX-License-Identifier: MIT */
#include "saved/file.h"

#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/schema.h"
#include "base/whole_file.h"
#include "core/need.h"
#include "profile/profile.h"
#include "saved/parts.h"

/* ---- small parts ---- */

/* "2026-06-13T17:04:05+02:00" */
static bool
is_time(const char *text)
{
    static const char form[] = "dddd-dd-ddTdd:dd:ddsdd:dd";
    char day[11];

    if (strlen(text) != sizeof form - 1)
        return false;
    for (size_t i = 0; form[i]; i++)
        if (form[i] == 'd'   ? text[i] < '0' || text[i] > '9'
            : form[i] == 's' ? text[i] != '+' && text[i] != '-'
                             : text[i] != form[i])
            return false;
    snprintf(day, sizeof day, "%.10s", text);
    return clock_parse_day(day) != 0;
}

static void
take_time(const struct field_given *given)
{
    if (is_time(json_string(given->json)))
        snprintf(field_place(given), CLOCK_SIZE, "%s", json_string(given->json));
    else
        where_problem(given->where, "is \"%.40s\"; a time is written 2026-06-13T17:04:05+02:00",
                      json_string(given->json));
}

/* ---- the whole ---- */

static const char *
param_at(const void *context, size_t i)
{
    (void)context;
    return params[i].name;
}

static void
take_params(const struct field_given *given)
{
    struct saved *saved = given->into;
    char nearest[100];

    if (!saved->desk)
        return;
    for (int id = 0; id < PARAMS; id++)
        desk_supply(saved->desk, (enum param_id)id, SUPPLY_NONE);
    for (const struct json *item = json_first(given->json); item; item = json_next(item)) {
        struct where here = where_key(given->where, json_key(item));
        enum param_id id = param_find(json_key(item));

        if (id == PARAMS)
            where_problem(&here, "unknown parameter%s",
                          where_nearest(json_key(item), param_at, NULL, PARAMS, nearest));
        else
            saved_read_param(saved->desk, id, item, &here);
    }
}

/* ---- counts and filters ---- */

struct count_keys {
    struct field rows[INDEX_KINDS];
};

static struct count_keys
count_keys(void)
{
    struct count_keys keys = {.rows = {{0}}};

    for (int kind = INDEX_NONE + 1; kind < INDEX_KINDS; kind++)
        keys.rows[kind - 1] =
            (struct field){index_name((enum index_kind)kind),
                           FIELD_WHOLE,
                           NULL,
                           .at = (size_t)kind * sizeof(int),
                           .size = sizeof(int),
                           .need = FIELD_MUST,
                           .most = kind < INDEX_INPUT_EQ_BAND ? COUNT_LIMIT : BAND_LIMIT};
    return keys;
}

/* The desk, when its counts are good. */
static void
take_counts(const struct field_given *given)
{
    struct saved *saved = given->into;
    struct count_keys keys = count_keys();
    struct fields fields = {.rows = keys.rows};
    struct desk_counts counts = {.of = {0}};
    size_t before = given->where->problems->count;

    if (fields_read(&fields, given->json, given->where, counts.of, NULL) &&
        given->where->problems->count == before)
        saved->desk = desk_new(&counts);
}

static struct json *
counts_schema(const struct field *field)
{
    struct count_keys keys = count_keys();

    return schema_of_fields(&(struct fields){.help = field->help, .rows = keys.rows});
}

static const struct field_words width_words = {.list = (const char *const[]){"q", "octaves", NULL},
                                               .shown = SAVED_WORD_SHOWN};

static const struct field_words limiter_words = {
    .list = saved_limiter_places, .first = LIMITER_BEFORE_MASTER, .shown = SAVED_WORD_SHOWN};

static const struct field filter_keys[] = {
    {"rate_hz", FIELD_NUMBER, NULL, FIELD_AT(struct desk_filters, rate_hz), .need = FIELD_MUST,
     .then = 1, .least = 32000, .most = 400000, .what = "a sample rate", .unit = "Hz"},
    {"width", FIELD_CHOICE, NULL, FIELD_AT(struct desk_filters, width_in_octaves),
     .need = FIELD_MUST, .then = 1, .words = &width_words, .preset = FIELD_PRESET(0)},
    {"graphic_octaves", FIELD_ABOVE, NULL, FIELD_AT(struct desk_filters, graphic_octaves),
     .then = 1, .most = 4},
    {"limiter", FIELD_WORD, NULL, FIELD_AT(struct desk_filters, limiter), .then = 1,
     .words = &limiter_words},
    {0},
};

static const struct fields filter_fields = {.rows = filter_keys};

static void
take_filters(const struct field_given *given)
{
    struct saved *saved = given->into;
    struct desk_filters filters = {0};
    size_t before = given->where->problems->count;

    if (saved->desk && fields_read(&filter_fields, given->json, given->where, &filters, NULL) &&
        given->where->problems->count == before)
        desk_set_filters(saved->desk, filters);
}

/* ---- the whole ---- */

static const struct field approved_keys[] = {
    {"at", FIELD_SPELT, NULL, FIELD_AT(struct saved, approved_at), .need = FIELD_MUST,
     .take = take_time},
    {"by", FIELD_COPY, NULL, FIELD_AT(struct saved, by), .need = FIELD_MUST},
    {"note", FIELD_COPY, NULL, FIELD_AT(struct saved, note), .need = FIELD_MUST},
    {0},
};

static const struct fields approved_fields = {.rows = approved_keys};

static void
take_approved(const struct field_given *given)
{
    struct saved *saved = given->into;

    saved->approved = true;
    fields_read(given->field->object, given->json, given->where, saved, NULL);
}

/* `context` points to the whole text. */
static void
check_digest(const struct field_given *given)
{
    const char *text = *(const char *const *)given->context;
    const char *at = strstr(text, SAVED_DIGEST_KEY);
    char digest[SAVED_DIGEST_SIZE];

    saved_digest(text, at ? at + strlen(SAVED_DIGEST_KEY) : NULL, digest);
    if (strcmp(json_string(given->json), digest) != 0)
        where_problem(given->where,
                      "does not fit the text: the file was damaged or edited since it was "
                      "stored; store the desk anew");
}

/* The counts make the desk that filters and values go to. */
static const struct field saved_keys[] = {
    FIELD_FILE_FORMAT("saved_format", SAVED_FORMAT),
    {"digest", FIELD_SPELT, NULL, .need = FIELD_MUST, .turn = 4, .take = check_digest},
    {"desk", FIELD_COPY, NULL, FIELD_AT(struct saved, desk_name), .need = FIELD_MUST},
    {"show", FIELD_COPY, NULL, FIELD_AT(struct saved, show), .need = FIELD_MUST},
    {"at", FIELD_SPELT, NULL, FIELD_AT(struct saved, at), .need = FIELD_MUST, .take = take_time},
    {"approved", FIELD_OBJECT, NULL, .object = &approved_fields, .take = take_approved},
    {"filters", FIELD_OBJECT, NULL, .need = FIELD_MUST, .turn = 1, .then = 3,
     .object = &filter_fields, .take = take_filters},
    {"counts", FIELD_BY_NAME, "how many it has of each", .need = FIELD_MUST, .then = 2,
     .take = take_counts, .schema = counts_schema},
    {"values", FIELD_BY_NAME, "its parameters by name", .need = FIELD_MUST, .turn = 1, .then = 3,
     .take = take_params, .object = &saved_param_fields},
    {0},
};

const struct fields saved_fields = {.title = "gainwarden saved desk", .rows = saved_keys};

struct saved *
saved_file_parse(const char *text, size_t length, const char *name, struct problems *problems)
{
    struct where where = where_file(name, problems);
    size_t before = problems->count;
    struct json *root = json_parse(text, length, name, problems);
    struct saved *saved;

    if (!root)
        return NULL;
    saved = need_memory(1, sizeof *saved);
    if (json_check_kind(root, &where, "saved_format") &&
        json_check_format(root, &where, "saved_format", SAVED_FORMAT))
        fields_read(&saved_fields, root, &where, saved, &text);
    json_free(root);
    if (problems->count == before)
        return saved;
    saved_free(saved);
    return NULL;
}

struct saved *
saved_file_read(const char *path, struct problems *problems)
{
    size_t length = 0;
    char *text = whole_file_read(path, SAVED_FILE_LIMIT, &length);
    struct saved *saved;

    if (!text) {
        if (errno == EFBIG)
            problems_add(problems, "%s: larger than %d MiB, which no saved desk is", path,
                         SAVED_FILE_LIMIT / 1024 / 1024);
        else
            problems_add(problems, "%s: cannot read: %s", path, whole_file_why(errno));
        return NULL;
    }
    saved = saved_file_parse(text, length, path, problems);
    free(text);
    return saved;
}

bool
saved_file_fits(const struct saved *saved, const struct desk *desk, const char *path,
                struct problems *problems)
{
    struct where where = where_file(path, problems), counts = where_key(&where, "counts");
    size_t before = problems->count;

    for (int kind = INDEX_NONE + 1; kind < INDEX_KINDS; kind++) {
        struct where here = where_key(&counts, index_name((enum index_kind)kind));
        int mine = desk_count(saved->desk, (enum index_kind)kind);
        int other = desk_count(desk, (enum index_kind)kind);

        if (mine != other)
            where_problem(&here,
                          "is %d, but the profile has %d; it is of another desk, or from before "
                          "the profile changed: store the desk anew",
                          mine, other);
    }
    return problems->count == before;
}
