/* SPDX-License-Identifier: MIT */
/* Reads a profile into a new object. Every problem is collected; with one or more, nothing is
 * loaded.
 */
#include "profile/loader.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/fingerprint.h"
#include "core/need.h"
#include "profile/read_only.h"
#include "profile/schema_parts.h"
#include "sound/path.h"

_Static_assert(2 * BAND_LIMIT <= FILTERS_MOST, "a mix has a graphic and a parametric equaliser");

/* ---- renew ---- */

static void
take_send(const struct field_given *given)
{
    struct renewal *renewal = given->into;
    struct entry none = {0};
    struct reading reading = {.loader = given->context, .entry = &none, .question = true};

    loader_read_pattern(&reading, &renewal->send, given->json, given->where);
    if (none.variable_count > 0)
        where_problem(given->where, "a renewal may not hold an index");
}

static struct json *
renewal_ref(const struct field *field)
{
    (void)field;
    return schema_ref("renewal", NULL);
}

static const struct field renewal_keys[] = {
    {"send", FIELD_LIST, NULL, .need = FIELD_MUST, .take = take_send, .schema = renewal_ref},
    {"every_s", FIELD_NUMBER, "how often it is sent", FIELD_AT(struct renewal, every_s),
     .need = FIELD_MUST, .least = RENEWAL_LEAST_S, .most = 3600},
    {"this_only_asks", FIELD_SWITCH,
     "true: it carries more than an address, or reaches one that answers, and is no move on this "
     "desk",
     FIELD_AT(struct renewal, this_only_asks)},
    {0},
};

static const struct fields renewal_fields = {.rows = renewal_keys};

static void
take_renewals(const struct field_given *given)
{
    struct profile *profile = given->into;

    profile->renewals = need_memory((size_t)json_size(given->json), sizeof *profile->renewals);
    for (const struct json *item = json_first(given->json); item; item = json_next(item)) {
        struct where here = where_index(given->where, (int)profile->renewal_count);

        fields_read(&renewal_fields, item, &here, &profile->renewals[profile->renewal_count++],
                    given->context);
    }
}

/* ---- laws and what is fixed ---- */

static void
take_laws(const struct field_given *given)
{
    struct loader *loader = given->context;

    loader->laws = need_memory((size_t)json_size(given->json), sizeof *loader->laws);
    for (const struct json *item = json_first(given->json); item; item = json_next(item)) {
        struct where here = where_key(given->where, json_key(item));

        law_read(&loader->laws[loader->law_count++], json_key(item), item, &here);
    }
}

static struct json *
laws_schema(const struct field *field)
{
    struct json *schema = schema_type("object", field->help);

    json_add(schema, "additionalProperties", schema_ref("law", NULL));
    return schema;
}

static bool
is_valued(const struct profile *profile, enum param_id id)
{
    for (size_t i = 0; i < profile->entry_count; i++)
        for (size_t j = 0; j < profile->entries[i].answer.count; j++)
            if (profile->entries[i].answer.elements[j].kind == ELEMENT_VALUE &&
                profile->entries[i].answer.elements[j].param == id)
                return true;
    return false;
}

static double
fixed_number(const struct json *json, enum param_id id)
{
    switch (json_kind(json)) {
    case JSON_NUMBER:
        return json_number(json);
    case JSON_BOOL:
        return params[id].unit == UNIT_SWITCH ? json_bool(json) : NAN;
    case JSON_STRING:
        if (strcmp(json_string(json), "-inf") == 0)
            return -HUGE_VAL;
        return param_word(id, json_string(json)) >= 0 ? (double)param_word(id, json_string(json))
                                                      : (double)NAN;
    case JSON_NULL:
    case JSON_ARRAY:
    case JSON_OBJECT:
        break;
    }
    return NAN;
}

static void
take_fixed(const struct field_given *given)
{
    struct profile *profile = given->into;

    profile->fixed = need_memory((size_t)json_size(given->json), sizeof *profile->fixed);
    for (const struct json *item = json_first(given->json); item; item = json_next(item)) {
        struct where here = where_key(given->where, json_key(item));
        enum param_id id = param_find(json_key(item));
        char nearest[100];
        double number;

        if (id == PARAMS) {
            where_problem(&here, "unknown parameter%s",
                          where_nearest(json_key(item), loader_param_name, NULL, PARAMS, nearest));
            continue;
        }
        if (is_valued(profile, id))
            where_problem(&here, "is also read from the desk; it cannot be fixed besides");
        number = fixed_number(item, id);
        if (params[id].unit == UNIT_TEXT || !param_accepts(id, number))
            where_problem(&here, "is no value of %s, which is %s", params[id].name,
                          unit_name(params[id].unit));
        else
            profile->fixed[profile->fixed_count++] = (struct fixed){id, number};
    }
}

static struct json *
fixed_schema(const struct field *field)
{
    struct schema_keys keys = schema_keys(field->help);

    for (int i = 0; i < PARAMS; i++) {
        struct json *schema;

        if (params[i].unit == UNIT_TEXT)
            continue;
        schema = schema_param_values((enum param_id)i, false);
        schema_describe(schema, params[i].help);
        schema_may(&keys, params[i].name, schema);
    }
    return keys.schema;
}

/* ---- the whole ---- */

static void
take_values(const struct field_given *given)
{
    loader_read_entries(given->context, given->json, given->where);
}

static struct json *
values_schema(const struct field *field)
{
    return schema_list(schema_ref("entry", NULL), 1, field->help);
}

/* The kinds of all first; then what values rest on, the values, and what they leave. */
static const struct field profile_keys[] = {
    {"$schema", FIELD_TEXT, "where an editor finds the schema of this file", .turn = 2},
    FIELD_FILE_FORMAT("profile_format", 1),
    {"desk", FIELD_TEXT, "what you call the desk", FIELD_AT(struct profile, desk),
     .need = FIELD_MUST, .turn = 1},
    {"link", FIELD_OBJECT, "how the desk is reached", FIELD_AT(struct profile, link),
     .need = FIELD_MUST, .turn = 1, .then = 3, .take = profile_take_link,
     .schema = profile_link_schema},
    {"pace", FIELD_OBJECT, NULL, FIELD_AT(struct profile, pace), .turn = 1, .then = 3,
     .object = &profile_pace_fields},
    {"renew", FIELD_LIST, "messages the desk wants every so often to keep sending changes",
     .turn = 1, .then = 4, .object = &renewal_fields, .take = take_renewals},
    {"counts", FIELD_BY_NAME, "how many the desk has of each", FIELD_AT(struct profile, counts),
     .need = FIELD_MUST, .turn = 1, .then = 3, .take = profile_take_counts,
     .schema = profile_counts_schema},
    {"first", FIELD_BY_NAME, "the number that the desk gives to the first of each", .turn = 1,
     .then = 3, .take = profile_take_first, .schema = profile_first_schema},
    {"laws", FIELD_BY_NAME, "laws by a name of your own", .turn = 1, .then = 3, .take = take_laws,
     .schema = laws_schema},
    {"filters", FIELD_OBJECT, NULL, FIELD_AT(struct profile, filters), .turn = 1, .then = 3,
     .object = &profile_filter_fields},
    {"values", FIELD_LIST, "what can be asked of the desk", .need = FIELD_MUST, .turn = 1,
     .then = 4, .take = take_values, .schema = values_schema},
    {"fixed", FIELD_BY_NAME, "what the desk does not publish but you know", .turn = 1, .then = 4,
     .take = take_fixed, .schema = fixed_schema},
    {"allOf", FIELD_RULE, NULL, .schema = schema_profile_rules},
    {"definitions", FIELD_RULE, NULL, .schema = schema_profile_definitions},
    {0},
};

const struct fields profile_fields = {
    .title = "gainwarden profile", .help = "how one desk speaks OSC", .rows = profile_keys};

struct profile *
profile_from_json(const struct json *json, const char *path, struct problems *problems)
{
    struct where where = where_file(path, problems);
    size_t before = problems->count;
    struct loader loader = {.profile = need_memory(1, sizeof *loader.profile)};

    for (int kind = 0; kind < INDEX_KINDS; kind++)
        loader.first[kind] = 1;
    loader.profile->counts.of[INDEX_NONE] = 1;
    fields_preset(&profile_fields, loader.profile);
    if (json_check_kind(json, &where, "profile_format"))
        fields_read(&profile_fields, json, &where, loader.profile, &loader);
    if (problems->count == before)
        read_only_check(loader.profile, &where);
    for (size_t i = 0; i < loader.law_count; i++)
        law_release(&loader.laws[i]);
    free(loader.laws);
    if (problems->count == before)
        return loader.profile;
    profile_free(loader.profile);
    return NULL;
}

static uint64_t
fingerprint_of(const struct json *json)
{
    char *text = json_print(json, false);
    uint64_t fingerprint = fingerprint_add(FINGERPRINT_BEGIN, text);

    free(text);
    return fingerprint;
}

struct profile *
profile_load(const char *path, struct problems *problems)
{
    struct json *json = json_read(path, problems);
    struct profile *profile;

    if (!json)
        return NULL;
    profile = profile_from_json(json, path, problems);
    if (profile) {
        profile->fingerprint = fingerprint_of(json);
        profile->json = json;
    } else {
        json_free(json);
    }
    return profile;
}
