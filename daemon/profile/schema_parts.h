/* SPDX-License-Identifier: MIT */
/* The pieces that the schema of profiles is made of; only the files that build it include this. */
#ifndef GAINWARDEN_PROFILE_SCHEMA_PARTS_H
#define GAINWARDEN_PROFILE_SCHEMA_PARTS_H

#include "base/schema.h"
#include "desk/param.h"

/* The values that a parameter takes, as the profile fixes them or in a table of a law. */
struct json *schema_param_values(enum param_id id, bool in_table);

/* What {index} and "each" may be: "input", ..., "band"; NULL at the end. */
const char *schema_placeholder(int number);

/* What every value has. The rules (a definition) say which law goes with which `is`, and which
 * "each". */
#define SCHEMA_VALUE_KEYS                                                                          \
    {"is", FIELD_TEXT, NULL, .need = FIELD_MUST, .schema = schema_parameter_ref},                  \
        {"law", FIELD_ANYTHING, NULL, .schema = schema_value_law},                                 \
        {"range", FIELD_LIST, "[least, most]: the end stops of the control, in its unit",          \
         .schema = schema_range},                                                                  \
    {                                                                                              \
        "step", FIELD_ABOVE, "the control's smallest move, in its unit", .most = 20                \
    }
struct json *schema_parameter_ref(const struct field *field);
struct json *schema_value_law(const struct field *field);
struct json *schema_range(const struct field *field);
struct json *schema_each_ref(const struct field *field);

/* Definitions, for schema_ref():
 *   parameter, is.INDEX            names of parameters: all, those that have the index
 *   law, value, each               what makes a value of an argument
 *   address, ask, answer, renewal  messages
 *   brings.INDEX, gives.INDEX      answers that bring the index; arguments whose value has it */
void schema_define_values(struct json *definitions);
void schema_define_messages(struct json *definitions);

/* Rules and definitions of the whole file. */
struct json *schema_profile_rules(const struct field *field);
struct json *schema_profile_definitions(const struct field *field);

#endif
