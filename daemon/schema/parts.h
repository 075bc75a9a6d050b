/* The pieces that both schemas are made of; only the files that build them include this. A schema
 * is a JSON object of the dialect called draft 7, the one that editors know best. `help` may be
 * NULL.
 */
#ifndef GAINWARDEN_SCHEMA_PARTS_H
#define GAINWARDEN_SCHEMA_PARTS_H

#include "desk/param.h"
#include "schema/schema.h"

/* {keyword: value} */
struct json *schema_of(const char *keyword, struct json *value);
void schema_describe(struct json *schema, const char *help);

/* What stands in for a key that is not given, for editors and the man pages' test; the schema. */
struct json *schema_preset(struct json *schema, double number);
struct json *schema_preset_word(struct json *schema, const char *word);
struct json *schema_preset_switch(struct json *schema, bool on);

struct json *schema_type(const char *type, const char *help);
struct json *schema_number(double least, double most, const char *help);
struct json *schema_whole(int least, int most, const char *help);
struct json *schema_above_zero(double most, const char *help);
struct json *schema_pattern(const char *pattern, const char *help);
struct json *schema_word(const char *word, const char *help); /* this one */

/* A text that is kept in `size` bytes. */
struct json *schema_name(size_t size, const char *help);

/* One of the words, ended by NULL. */
struct json *schema_words(const char *const *words, const char *help);

struct json *schema_list(struct json *items, int least, const char *help);
struct json *schema_pair(struct json *first, struct json *second, const char *help);

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

/* The keys of a whole file: "$schema" and the number of its format among them. */
struct schema_keys schema_root(const char *title, const char *help, const char *format);

/* The values that a parameter takes, as the profile fixes them or in a table of a law. */
struct json *schema_param_values(enum param_id id, bool in_table);

/* What {index} and "each" may be: "input", ..., "band"; NULL at the end. */
const char *schema_placeholder(int number);

/* Adds `is`, `law`, `range` and `step`. The rules say which law goes with which `is`, and which
 * "each". */
void schema_value_keys(struct schema_keys *keys);
struct json *schema_value_rules(void);

/* Definitions, for schema_ref():
 *   parameter, is.INDEX            names of parameters: all, those that have the index
 *   law, value, each               what makes a value of an argument
 *   address, ask, answer, renewal  messages
 *   brings.INDEX, gives.INDEX      answers that bring the index; arguments whose value has it */
void schema_define_values(struct json *definitions);
void schema_define_messages(struct json *definitions);

#endif
