/* SPDX-License-Identifier: MIT */
/* One table for each JSON object that a user writes: a row (struct field) for each key, with its
 * kind, limits, default and help. What reads the object (fields_read), its schema (schema_of_fields
 * in base/schema.h) and, from that, the key lists of the man pages' test all walk the same rows, so
 * a key is typed once.
 *
 * Where a value goes: FIELD_AT(struct, member) says offset and size in the struct that is filled;
 * without it the value is looked at and not kept. What the row's kind would not put there, `take`
 * does instead: lists, numbered objects, texts of a form of their own.
 *
 * What is told: the walker adds each problem to the `where` it is given, in the words of where.h
 * for a key that is unknown, missing or of the wrong kind, and in those of the row's kind for a
 * value beyond its limits. An object is read in turns: in each, its rows in the order of the table,
 * a row's kind first and then its value. A row of a later `turn` waits for the earlier ones; with
 * `then` only its value does. So the order of problems does not hang on the order of the schema,
 * and a rule can stand between two values. A rule (FIELD_RULE) is a row for several keys at once:
 * its `take` gets the whole object, its key is the keyword under which its schema stands.
 *
 * Presets are set by fields_preset() before the object is read; fields_release() frees what it
 * took. Where a kind or a limit cannot say what the schema should, `schema` builds it.
 *
 *     static const struct field lamp_fields[] = {
 *         {"name", FIELD_NAME, "what it is called", FIELD_AT(struct lamp, name),
 *          .need = FIELD_MUST, .least = 1},
 *         {"watts", FIELD_NUMBER, "how bright it is", FIELD_AT(struct lamp, watts), .most = 2000,
 *          .preset = FIELD_PRESET(60)},
 *         {.help = "one lamp"},
 *     };
 */
#ifndef GAINWARDEN_FIELDS_H
#define GAINWARDEN_FIELDS_H

#include "base/where.h"

/* Beside each what FIELD_AT() names; `least` and `most` limit it, when they differ. */
enum field_kind {
    FIELD_FORMAT,   /* nothing: the number of the file's format, `least` */
    FIELD_TEXT,     /* char *, owned */
    FIELD_SPELT,    /* taken by `take`: a text of a form of its own */
    FIELD_NAME,     /* char[]: fewer bytes, at least `least`, cleaned for the terminal */
    FIELD_COPY,     /* char[]: the same as it stands in the file */
    FIELD_NUMBER,   /* double */
    FIELD_ABOVE,    /* double, above 0 and at most `most` */
    FIELD_WHOLE,    /* int */
    FIELD_SWITCH,   /* bool: whether it is not the preset (false when there is none) */
    FIELD_WORD,     /* int or an enum: one of `words` */
    FIELD_CHOICE,   /* bool: one of `words`, whether it is not the preset */
    FIELD_OBJECT,   /* the struct that `object` fills */
    FIELD_LIST,     /* taken by `take`: objects, `least` to `most` of them; 0: any number */
    FIELD_NUMBERED, /* taken by `take`: objects under numbers from 1 */
    FIELD_BY_NAME,  /* taken by `take`: objects, or what else, under names of their own */
    FIELD_ANYTHING, /* struct json *, owned: a copy */
    FIELD_RULE,     /* no key of the object, but a rule for several */
    FIELD_KINDS
};

enum field_need {
    FIELD_MAY,
    FIELD_TOLD, /* it must be there, and a rule says when it is not */
    FIELD_MUST,
    FIELD_GATE /* it must be there, and without it nothing behind it is read */
};

struct field;

/* What stands under a key. */
struct field_given {
    const struct field *field;
    const struct where *where; /* something of the row's kind; of a rule: the whole object */
    void *into;                /* the struct of the row's object */
    void *context;             /* what fields_read() was given */
};

/* Takes it, or adds to the problems. */
typedef void field_take(const struct field_given *given);

/* The words that a text may be, and what is said of another:
 *     UNKNOWN "x", did you mean "y"?; allowed are a, b, c                                       */
struct field_words {
    const char *const *list;       /* ended by NULL; or */
    const char *(*word)(size_t i); /* NULL behind the last one */
    int first;                     /* what the first word stands for; the others follow */
    const char *unknown;           /* NULL: "is" */
    bool nearest;                  /* the nearest one is suggested */
    bool quoted;                   /* allowed are "a", "b" and "c" */
    int shown;                     /* so many bytes of the other are told; 0: all */
    const char *look;              /* said in place of "allowed are ..."; NULL: nothing */
    /* What one word means, for the schema; NULL: they need no help. */
    const char *(*help)(size_t i, char buffer[200]);
};

struct field {
    const char *key; /* NULL: behind the last row, whose help is the object's */
    enum field_kind kind;
    const char *help;
    size_t at, size; /* FIELD_AT() */
    enum field_need need;
    double least, most;
    const char *what, *unit; /* "must be WHAT from 10 to 5000 UNIT"; NULL: "a number", none */
    bool loose;              /* a number that is none is told by its limits alone */
    const double *preset;    /* of a number, or which word; NULL: none */
    const char *preset_text; /* of a text; NULL: none */
    const char *pattern;     /* of a text, for the schema alone */
    const struct field_words *words;
    const struct field *object; /* of the object, or of those of a list, under numbers or names */
    int turn, then;
    field_take *take;
    const char *title; /* behind the last row, of a whole file */
    /* Definitions, in place of the schema and of the schema of what it holds. */
    const char *defined, *holds;
    struct json *(*schema)(const struct field *field);
};

#define FIELD_AT(type, member) .at = offsetof(type, member), .size = sizeof(((type *)0)->member)

#define FIELD_PRESET(number)                                                                       \
    &(const double)                                                                                \
    {                                                                                              \
        number                                                                                     \
    }

/* The rows that a whole file begins with. */
#define FIELD_EDITORS                                                                              \
    {                                                                                              \
        "$schema", FIELD_TEXT, "where an editor finds the schema of this file", .need = FIELD_MAY  \
    }
#define FIELD_FILE_FORMAT(name, number)                                                            \
    {                                                                                              \
        name, FIELD_FORMAT, "says what this file is", .need = FIELD_MUST, .least = (number)        \
    }

/* Turns from FIELD_TURNS on are read by fields_read_turn() alone. */
enum { FIELD_TURNS = 5 };

/* Reads the object into the struct. False when it is none, or lacks a gate. */
bool fields_read(const struct field *fields, const struct where *where, void *into, void *context);

/* One turn of it; what is unknown has been told. */
bool fields_read_turn(const struct field *fields, int turn, const struct where *where, void *into,
                      void *context);

/* One value, as its row says. */
void field_read(const struct field_given *given);

/* Adds a problem for each key of the object that has no row; false, with one, when it is none. */
bool fields_check_keys(const struct field *fields, const struct where *where);

/* The key's row, NULL when there is none. */
const struct field *fields_find(const struct field *fields, const char *key);

/* What stands behind the last row. */
const struct field *fields_last(const struct field *fields);

/* Into the struct and those within: the presets; what is owned is freed. */
void fields_preset(const struct field *fields, void *into);
void fields_release(const struct field *fields, void *into);

/* The i-th word, NULL behind the last one. */
const char *field_word(const struct field_words *words, size_t i);

/* Which of them the text there is; -1, with a problem, when it is none. */
int field_find_word(const struct field_words *words, const struct where *where);

/* What is said of a text that is none of them. */
void field_refuse_word(const struct field_words *words, const char *found,
                       const struct where *where);

/* Where the row's value goes. */
void *field_place(const struct field_given *given);

#endif
