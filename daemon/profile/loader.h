/* SPDX-License-Identifier: MIT */
/* What the files that read a profile and make its schema share; nobody else includes it. Readers
 * add what is wrong to the problems of `where` and go on, so that one run lists everything.
 */
#ifndef GAINWARDEN_PROFILE_LOADER_H
#define GAINWARDEN_PROFILE_LOADER_H

#include "base/schema.h"
#include "profile/profile.h"

struct loader {
    struct profile *profile;
    struct law *laws; /* under "laws", law_count of them */
    size_t law_count;
    int first[INDEX_KINDS]; /* the number the desk gives to index 0 */
};

/* The entry in hand. */
struct reading {
    struct loader *loader;
    struct entry *entry;
    enum index_kind band; /* what {band} stands for in it */
    bool question;        /* reading what is sent, not what is answered */
    bool renewal;         /* which nobody answers */
};

/* The index that a placeholder's name stands for; INDEX_NONE when there is none. */
enum index_kind loader_index(const char *name, enum index_kind band);

/* "counts", "first" and "names"; `context` is the loader. And their schemas. */
field_take profile_take_counts, profile_take_first, profile_take_names;
struct json *profile_counts_schema(const struct field *field);
struct json *profile_first_schema(const struct field *field);
struct json *profile_names_schema(const struct field *field);

/* What keeps the name out of an address, or NULL. */
const char *profile_name_unfit(const char *name);

void loader_read_address(const struct reading *reading, struct pattern *pattern,
                         const struct where *where);

/* Takes a text with indexes apart; false, with a problem, when one of them stands for nothing. */
bool loader_read_pieces(const struct reading *reading, const char *at, struct piece **pieces,
                        size_t *count, const struct where *where);

/* A new element at the end of the pattern; NULL with a problem when it has too many. */
struct element *loader_add_element(struct pattern *pattern, const struct where *where);
void loader_read_element(const struct reading *reading, struct element *element,
                         const struct where *where);

/* Whether it is an argument that holds more than one thing; then it was read. */
bool loader_read_packed(const struct reading *reading, struct pattern *pattern,
                        const struct where *where);

/* [address, argument, ...] */
void loader_read_pattern(const struct reading *reading, struct pattern *pattern,
                         const struct where *where);

/* An object that gives a value; its keys have been checked. */
void loader_read_value(struct loader *loader, const struct field *fields, struct element *element,
                       const struct where *where);

/* An entry that is one value, and what an answer holds. */
extern const struct field profile_at_fields[];
extern const struct field profile_value_fields[], profile_blob_fields[], profile_line_fields[];
extern const struct field profile_label_fields[], profile_json_fields[];

/* Keys of both kinds of entry. */
enum { TURN_UNTYPED = FIELD_TURNS, TURN_FIRST };
#define ENTRY_FIRST                                                                                \
    "first", FIELD_WHOLE, "the number that the desk gives to the first",                           \
        .loose = true, .turn = TURN_FIRST, .most = 1, .take = entry_take_first
#define ENTRY_UNTYPED                                                                              \
    "untyped", FIELD_TEXT,                                                                         \
        "the answer comes without a type-tag string; its arguments are read as these types, one "  \
        "letter each",                                                                             \
        .turn = TURN_UNTYPED, .take = entry_take_untyped
field_take entry_take_first, entry_take_untyped;

/* "values"; `context` is the loader. */
field_take profile_take_entries;

/* ---- the schema ---- */

/* It names an index by its placeholder. Every kind of band is called {band}, and they stand last:
 * the placeholders are those from INDEX_INPUT to INDEX_INPUT_EQ_BAND. */

/* The values that a parameter takes, as the profile fixes them or in a table of a law. */
struct json *schema_param_values(enum param_id id, bool in_table);

/* A value that comes as whole frames, and is never asked. */
struct json *schema_spectra(void);

/* Definitions, for schema_ref():
 *   parameter, is.INDEX            names of parameters: all, those that have the index
 *   law, value, each               what makes a value of an argument
 *   address, ask, answer, renewal  messages
 *   brings.INDEX, needs.INDEX      answers that bring the index; those with a value that needs it
 *   gives.INDEX                    arguments whose value has the index
 *   brings.echo                    messages with a "*" */
void schema_define_values(struct json *definitions);
void schema_define_messages(struct json *definitions);

/* Rules and definitions of the whole file. */
struct json *schema_profile_rules(const struct field *field);
struct json *schema_profile_definitions(const struct field *field);

#endif
