/* SPDX-License-Identifier: MIT */
/*
 * One kind of message of a dialect, and the question that brings it. There is one such message for
 * each object of `scope`. A '#' in an address stands for an index; where an address has none, the
 * indices travel before the values: as int32 arguments, or as the first fields of a text line.
 */
#ifndef MOCK_PHRASE_H
#define MOCK_PHRASE_H

#include <stdbool.h>
#include <stddef.h>

#include "addresses.h"
#include "state.h"
#include "wire.h"

enum style {
    STYLE_TYPED,      /* one argument for each value, by its tag and law */
    STYLE_UNITS,      /* one text for each value */
    STYLE_LINE,       /* one text with all values, parted by a blank */
    STYLE_LINE_UNITS, /* one text with all values and their units, parted by a comma and a blank */
    STYLE_BLOB,       /* one blob with all values as numbers of `form` */
    STYLE_LABELS,     /* one text with all values behind their keys, "gain=12.0; pad=no" */
    STYLE_JSON,  /* one text with all values as JSON by their keys, within the object's numbers */
    STYLE_MIXED, /* as TYPED, but numbers in their unit, and a level that is off as "off" */
};

/* The forms of numbers in blobs, and which byte comes first. */
enum blob_form {
    BLOB_INT16_BE,
    BLOB_INT16_LE,
    BLOB_INT32_BE,
    BLOB_INT32_LE,
    BLOB_FLOAT32_BE,
    BLOB_FLOAT32_LE,
};

/* What holds for every message of a dialect. */
struct manner {
    unsigned first;     /* the number of the first object, where indices are no part of addresses */
    enum naming naming; /* of objects, in addresses and besides */
    const char *ask_at; /* NULL, or the one address of all questions: what would be theirs is a */
    const char *tell_at;  /* text, their first argument. The same of all answers */
    const char *reply_at; /* NULL, or the one address of answers. They bring the number back that */
    const int32_t *number; /* ended the question, and no indices. NULL: nobody asked */
};

struct phrase {
    enum scope scope;
    const char *ask; /* NULL: nobody can ask for it */
    const char *answer;
    bool whole;           /* it holds every field of the scope, in the table's order */
    const char *run_key;  /* NULL, or: then a run of this field of `run_scope`, ... */
    enum scope run_scope; /* ... over all its objects that belong to the one object of `scope` */
    enum style style;
    enum blob_form form;
    size_t skip;              /* bytes of a blob before its first number: a count, then zeros */
    const struct field *only; /* the one field it holds; NULL by `whole` and `run` */
    const struct field *run;  /* what `run_key` names */
    const char *pair_key; /* NULL, or a filter of the scope: then one number, its corner in Hz */
    const struct field *pair[2]; /* or 0 where it is off. Its fields: on and freq */
};

/* True when the phrase tells of `field`; then `object` of the field becomes that of the phrase. */
bool phrase_holds(const struct phrase *phrase, const struct state *state, const struct field *field,
                  size_t *object);

/*
 * Drafts the message for one object. The draft keeps pointing at `address`, where the answer's
 * address is written.
 */
void phrase_write(const struct phrase *phrase, const struct state *state, size_t object,
                  const struct manner *manner, char address[ADDRESS_SIZE], struct draft *draft);

#endif
