/* SPDX-License-Identifier: MIT */
/*
 * The one table of what this desk publishes. Addresses, answers, moves, dialects and the keys of
 * the state file are all loops over it; a new parameter is a new row.
 */
#ifndef MOCK_FIELDS_H
#define MOCK_FIELDS_H

#include <stdbool.h>
#include <stddef.h>

#include "laws.h"

enum count {
    COUNT_INPUTS,
    COUNT_MIXES,
    COUNT_INPUT_EQ_BANDS,
    COUNT_GRAPHIC_BANDS,
    COUNT_MIX_EQ_BANDS,
    COUNT_GROUPS,
    COUNTS, /* as an index kind: not indexed */
};

struct count_row {
    const char *key; /* in the state file's "counts" */
    unsigned low;
    unsigned high;
};

/* What a field belongs to: none, one or two indices. */
enum scope {
    SCOPE_DESK,
    SCOPE_GROUP,
    SCOPE_INPUT,
    SCOPE_INPUT_GROUP,
    SCOPE_INPUT_BAND,
    SCOPE_SEND,
    SCOPE_MIX,
    SCOPE_MIX_BAND,
    SCOPE_GRAPHIC,
    SCOPES,
};

struct scope_row {
    enum count outer;
    enum count inner;
};

enum form {
    FORM_TEXT,
    FORM_SWITCH, /* true or false in the state file, 1 or 0 on the wire */
    FORM_WHOLE,
    FORM_WORD, /* one of `words`; the wire carries its place or the word itself, by `tag` */
    FORM_REAL,
};

/* What a number is in, where the desk writes it out. */
enum unit { UNIT_NONE, UNIT_DB, UNIT_HZ };

struct field {
    enum scope scope;
    enum form form;
    const char *address; /* '#' stands for an index; NULL: moved only by a band message */
    const char *key;     /* path inside its object in the state file */
    char tag;            /* i, f or s: how it travels */
    enum law law;
    enum unit unit;
    double low; /* legal range in human units; a fader law also allows -inf */
    double high;
    double initial;
    const char *const *words; /* NULL-terminated */
};

extern const struct count_row count_rows[COUNTS];
extern const struct scope_row scope_rows[SCOPES];
extern const struct field all_fields[];
extern const size_t fields_count;

/* The row with this key, or NULL. */
const struct field *field_find(enum scope scope, const char *key);

/* True when some row's key lies below `key`, as "high_pass.on" does below "high_pass". */
bool field_is_branch(enum scope scope, const char *key);

size_t field_index(const struct field *field);

#endif
