/* SPDX-License-Identifier: MIT */
#include "saved/file.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/schema.h"
#include "core/need.h"
#include "profile/profile.h"
#include "saved/parts.h"

/* ---- small parts ---- */

/* "2026-06-13T17:04:05+02:00" */
static bool
is_time(const char *text)
{
    char day[11];

    snprintf(day, sizeof day, "%.10s", text);
    return clock_has_form(text, "dddd-dd-ddTdd:dd:ddsdd:dd") && clock_parse_day(day) != 0;
}

void
saved_take_time(const struct field_given *given)
{
    const char *text = where_text(given->where);

    if (is_time(text))
        snprintf(field_place(given), CLOCK_SIZE, "%s", text);
    else
        where_problem(given->where, "is \"%.40s\"; a time is written 2026-06-13T17:04:05+02:00",
                      text);
}

/* ---- the whole ---- */

static void
take_params(const struct field_given *given)
{
    struct saved *saved = given->into;

    if (!saved->desk)
        return;
    for (enum param_id id = 0; id < PARAMS; id++)
        desk_supply(saved->desk, id, SUPPLY_NONE);
    for (struct where one = where_first(given->where); one.json; where_next(&one)) {
        enum param_id id = profile_param(&one);

        if (id != PARAMS)
            saved_read_param(saved->desk, id, &one);
    }
}

/* ---- counts and filters ---- */

/* A row for each index; the number goes to its place in struct desk_counts. */
static void
make_count_fields(struct field rows[INDEX_SPECTRA], const char *help)
{
    for (enum index_kind kind = INDEX_NONE + 1; kind < INDEX_SPECTRA; kind++)
        *rows++ = (struct field){index_name(kind),
                                 FIELD_WHOLE,
                                 NULL,
                                 .at = (size_t)kind * sizeof(int),
                                 .size = sizeof(int),
                                 .need = FIELD_MUST,
                                 .most = kind < INDEX_INPUT_EQ_BAND ? COUNT_LIMIT : BAND_LIMIT};
    *rows = (struct field){.help = help};
}

/* The desk, when its counts are good. */
static void
take_counts(const struct field_given *given)
{
    struct saved *saved = given->into;
    struct field fields[INDEX_SPECTRA];
    struct desk_counts counts = {.of = {0}};
    size_t before = given->where->problems->count;

    make_count_fields(fields, NULL);
    if (fields_read(fields, given->where, counts.of, NULL) &&
        given->where->problems->count == before)
        saved->desk = desk_new(&counts);
}

static struct json *
counts_schema(const struct field *field)
{
    struct field fields[INDEX_SPECTRA];

    make_count_fields(fields, field->help);
    return schema_of_fields(fields);
}

static const struct field_words width_words = {.list = (const char *const[]){"q", "octaves", NULL},
                                               .shown = SAVED_WORD_SHOWN};

static const struct field_words limiter_words = {
    .list = saved_limiter_places, .first = LIMITER_BEFORE_MASTER, .shown = SAVED_WORD_SHOWN};

static const struct field filter_fields[] = {
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

static void
take_filters(const struct field_given *given)
{
    struct saved *saved = given->into;
    struct desk_filters filters = {0};
    size_t before = given->where->problems->count;

    if (saved->desk && fields_read(filter_fields, given->where, &filters, NULL) &&
        given->where->problems->count == before)
        desk_set_filters(saved->desk, filters);
}

/* ---- the whole ---- */

static const struct field approved_fields[] = {
    {"at", FIELD_SPELT, NULL, FIELD_AT(struct saved, approved_at), .need = FIELD_MUST,
     .take = saved_take_time},
    {"by", FIELD_COPY, NULL, FIELD_AT(struct saved, by), .need = FIELD_MUST},
    {"note", FIELD_COPY, NULL, FIELD_AT(struct saved, note), .need = FIELD_MUST},
    {0},
};

static void
take_approved(const struct field_given *given)
{
    struct saved *saved = given->into;

    saved->approved = true;
    fields_read(given->field->object, given->where, saved, NULL);
}

void
saved_check_digest(const struct field_given *given)
{
    const struct saved_signed *file = given->context;
    const char *text = file->text, *at = strstr(text, SAVED_DIGEST_KEY);
    char digest[SAVED_DIGEST_SIZE];

    saved_digest(text, at ? at + strlen(SAVED_DIGEST_KEY) : NULL, digest);
    if (strcmp(where_text(given->where), digest) != 0)
        where_problem(given->where,
                      "does not fit the text: the file was damaged or edited since it was "
                      "stored; %s",
                      file->cure);
}

/* The counts make the desk that filters and values go to. */
#define SAVED_DESK_ROWS                                                                            \
    {"filters",                                                                                    \
     FIELD_OBJECT,                                                                                 \
     NULL,                                                                                         \
     .need = FIELD_MUST,                                                                           \
     .turn = 1,                                                                                    \
     .then = 3,                                                                                    \
     .object = filter_fields,                                                                      \
     .take = take_filters},                                                                        \
        {"counts",  FIELD_BY_NAME,       "how many it has of each", .need = FIELD_MUST,            \
         .then = 2, .take = take_counts, .schema = counts_schema},                                 \
    {                                                                                              \
        "values", FIELD_BY_NAME, "its parameters by name", .need = FIELD_MUST, .turn = 1,          \
                                                           .then = 3, .take = take_params,         \
                                                           .object = saved_param_fields            \
    }

const struct field saved_desk_fields[] = {SAVED_DESK_ROWS, {0}};

const struct field saved_fields[] = {
    FIELD_FILE_FORMAT("saved_format", SAVED_FORMAT),
    {"digest", FIELD_SPELT, NULL, .need = FIELD_MUST, .turn = 4, .take = saved_check_digest},
    {"desk", FIELD_COPY, NULL, FIELD_AT(struct saved, desk_name), .need = FIELD_MUST},
    {"show", FIELD_COPY, NULL, FIELD_AT(struct saved, show), .need = FIELD_MUST},
    {"at", FIELD_SPELT, NULL, FIELD_AT(struct saved, at), .need = FIELD_MUST,
     .take = saved_take_time},
    {"approved", FIELD_OBJECT, NULL, .object = approved_fields, .take = take_approved},
    SAVED_DESK_ROWS,
    {.title = "gainwarden saved desk"},
};

struct saved *
saved_file_parse(const char *text, size_t length, const char *name, struct problems *problems)
{
    struct saved_signed file = {text, "store the desk anew"};
    size_t before = problems->count;
    struct json *root = json_parse(text, length, name, problems);
    struct where where = where_file(name, root, problems);
    struct saved *saved;

    if (!root)
        return NULL;
    saved = need_memory(1, sizeof *saved);
    if (where_check_kind(&where, "saved_format") &&
        where_check_format(&where, "saved_format", SAVED_FORMAT))
        fields_read(saved_fields, &where, saved, &file);
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
    char *text = json_read_text(path, SAVED_FILE_LIMIT, "saved desk is", &length, problems);
    struct saved *saved = text ? saved_file_parse(text, length, path, problems) : NULL;

    free(text);
    return saved;
}

bool
saved_counts_fit(const struct desk *kept, const struct desk *desk, const struct where *where)
{
    struct where counts = where_key(where, "counts");
    size_t before = where->problems->count;

    for (enum index_kind kind = INDEX_NONE + 1; kind < INDEX_SPECTRA; kind++) {
        struct where here = where_key(&counts, index_name(kind));
        int mine = desk_count(kept, kind);
        int other = desk_count(desk, kind);

        if (mine != other)
            where_problem(&here,
                          "is %d, but the profile has %d; it is of another desk, or from before "
                          "the profile changed: store the desk anew",
                          mine, other);
    }
    return where->problems->count == before;
}

bool
saved_file_fits(const struct saved *saved, const struct desk *desk, const char *path,
                struct problems *problems)
{
    struct where where = where_file(path, NULL, problems);

    return saved_counts_fit(saved->desk, desk, &where);
}
