/*
 * The one table of what this desk publishes. Addresses, answers, moves, dialects and the keys of
 * the state file are all loops over it; a new parameter is a new row.
 */
#ifndef MOCK_FIELDS_H
#define MOCK_FIELDS_H

#include "laws.h"

#include <stdbool.h>
#include <stddef.h>

enum Count {
    COUNT_INPUTS,
    COUNT_MIXES,
    COUNT_INPUT_EQ_BANDS,
    COUNT_GRAPHIC_BANDS,
    COUNT_MIX_EQ_BANDS,
    COUNT_GROUPS,
    COUNTS, /* as an index kind: not indexed */
};

struct CountRow {
    const char *key; /* in the state file's "counts" */
    unsigned low;
    unsigned high;
};

/* What a field belongs to: none, one or two indices. */
enum Scope {
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

struct ScopeRow {
    enum Count outer;
    enum Count inner;
};

enum Form {
    FORM_TEXT,
    FORM_SWITCH, /* true or false in the state file, 1 or 0 on the wire */
    FORM_WHOLE,
    FORM_WORD, /* one of `words`; the wire carries its place or the word itself, by `tag` */
    FORM_REAL,
};

/* What a number is in, where the desk writes it out. */
enum Unit { UNIT_NONE, UNIT_DB, UNIT_HZ };

struct Field {
    enum Scope scope;
    enum Form form;
    const char *address; /* '#' stands for an index; NULL: moved only by a band message */
    const char *key;     /* path inside its object in the state file */
    char tag;            /* i, f or s: how it travels */
    enum Law law;
    enum Unit unit;
    double low; /* legal range in human units; a fader law also allows -inf */
    double high;
    double initial;
    const char *const *words; /* NULL-terminated */
};

extern const struct CountRow COUNT_ROWS[COUNTS];
extern const struct ScopeRow SCOPE_ROWS[SCOPES];
extern const struct Field FIELDS[];
extern const size_t FIELDS_COUNT;

/* The row with this key, or NULL. */
const struct Field *Field_find(enum Scope scope, const char *key);

/* True when some row's key lies below `key`, as "high_pass.on" does below "high_pass". */
bool Field_is_branch(enum Scope scope, const char *key);

size_t Field_index(const struct Field *field);

#endif
