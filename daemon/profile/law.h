/* SPDX-License-Identifier: MIT */
/* Laws turn what a desk sends into dB, Hz, on or off, or a word (gainwarden-profile(5), "laws").
 * Every law is monotonic or a table, and is checked when the profile is loaded.
 */
#ifndef GAINWARDEN_LAW_H
#define GAINWARDEN_LAW_H

#include "base/where.h"
#include "desk/desk.h"

/* The largest value a law or a range may give its control. */
#define LAW_VALUE_MOST 1e6

/* The largest number on the wire: far beyond any control, and small enough that no difference,
 * ratio or product of two leaves the range of a double. */
#define LAW_WIRE_MOST 1e12

enum law_kind {
    LAW_NONE,      /* the wire value is already in the unit */
    LAW_LINE,      /* piecewise linear through points */
    LAW_RATIO,     /* piecewise geometric through points */
    LAW_WORDS,     /* a table */
    LAW_TIMES,     /* a factor */
    LAW_AMPLITUDE, /* 20 log10 of the wire value */
    LAW_ELSE       /* one value for all that the table does not hold */
};

struct law_point {
    double wire;
    double value; /* -HUGE_VAL where the profile says "-inf" */
};

struct law_word {
    char *wire_text; /* owned; NULL when the wire value is a number */
    double wire;
    char *word;   /* owned; NULL when the value is a number, a switch or nothing */
    double value; /* set by law_bind() for words; NAN: it says nothing of the parameter */
};

struct law {
    char *name; /* owned; NULL for a law that has none */
    enum law_kind kind;
    struct law_point *points; /* owned, in order of wire, count of them */
    size_t count;
    struct law_word *words; /* owned: looked up before all else, of whatever kind the law is */
    size_t word_count;
    double factor;
    struct law_word otherwise; /* of ELSE: its value */
};

/* Reads one law. Adds to the problems what is wrong with it; the law is usable only when nothing
 * was added. Release it with law_release() in either case. */
void law_read(struct law *law, const char *name, const struct where *where);
struct json *law_schema(void);
void law_release(struct law *law);

/* A copy of `law` for one parameter, its words looked up. Adds a problem when the law cannot give
 * such a parameter its values. */
bool law_bind(struct law *bound, const struct law *law, enum param_id id,
              const struct where *where);

/* The value for a number on the wire; NAN where it says nothing of the parameter. False when the
 * law has none: beyond its points (a thousandth of their span is forgiven and held to the end), not
 * in its table, or NaN. */
bool law_value(const struct law *law, double wire, double *value);

/* The same for a text: a table's word, a number, or "-inf", which is a value and no wire number that
 * a law could bend. */
bool law_value_of_text(const struct law *law, const char *text, double *value);

/* What the law multiplies any number by, where that is all it does; else NAN. */
double law_factor(const struct law *law);

/* The end stops a law gives its control; NAN where it gives none. An off position does not count.
 */
struct travel law_travel(const struct law *law);

/* A number inside a text: "-12.5", "-12.5 dB", "1.2 kHz", "5 ms", "-inf", "-oo". */
bool law_parse_number(const char *text, double *number);

#endif
