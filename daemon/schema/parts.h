/* The pieces that the schema of profiles is made of; only the files that build it include this. */
#ifndef GAINWARDEN_SCHEMA_PARTS_H
#define GAINWARDEN_SCHEMA_PARTS_H

#include "base/schema.h"
#include "desk/param.h"
#include "schema/profile.h"

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
