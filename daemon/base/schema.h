/* SPDX-License-Identifier: MIT */
/* JSON Schemas of what users write, for editors and validators: made from the tables of
 * base/fields.h, and of these pieces where a table cannot say it. A schema is a JSON object of the
 * dialect called draft 7, the one that editors know best; free it with json_free(). `help` may be
 * NULL.
 *
 * A schema refuses nothing that the program takes. What it cannot say (that a law exists, that wire
 * values rise, that the desk has such an input) is left to the readers; the test of the schemas
 * lists it all.
 */
#ifndef GAINWARDEN_SCHEMA_H
#define GAINWARDEN_SCHEMA_H

#include "base/fields.h"

/* The object: a whole file when it has a title. */
struct json *schema_of_fields(const struct field *fields);

/* {keyword: value} */
struct json *schema_of(const char *keyword, struct json *value);

/* The schema with this said of it. */
struct json *schema_describe(struct json *schema, const char *help);

struct json *schema_type(const char *type, const char *help);
struct json *schema_number(double least, double most, const char *help);
struct json *schema_whole(int least, int most, const char *help);
struct json *schema_pattern(const char *pattern, const char *help);
struct json *schema_word(const char *word, const char *help); /* this one */

/* One of the words, ended by NULL. */
struct json *schema_words(const char *const *words, const char *help);

struct json *schema_list(struct json *items, int least, const char *help);
struct json *schema_pair(struct json *one, struct json *other, const char *help);

/* Definitions have a name and may have an index besides, or NULL. */
struct json *schema_ref(const char *name, const char *index);
void schema_define(struct json *definitions, const char *name, const char *index,
                   struct json *schema);

/* {"anyOf": [one, other]} */
struct json *schema_either(struct json *one, struct json *other);

/* {"if": condition, "then": then} */
struct json *schema_if(struct json *condition, struct json *then);

/* An object that has the key, with a value as the schema says. */
struct json *schema_has(const char *key, struct json *schema);

/* An object whose keys are all known. The schema belongs to what it is added to. */
struct schema_keys {
    struct json *schema, *properties;
    struct json *required; /* NULL: no key is */
};

struct schema_keys schema_keys(const char *help);
void schema_may(struct schema_keys *keys, const char *key, struct json *schema);
void schema_must(struct schema_keys *keys, const char *key, struct json *schema);

#endif
