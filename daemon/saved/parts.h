/* SPDX-License-Identifier: MIT */
/* What writing and reading a saved desk and a recording share, and nobody else sees. */
#ifndef GAINWARDEN_SAVED_PARTS_H
#define GAINWARDEN_SAVED_PARTS_H

#include "saved/file.h"

enum { SAVED_DIGEST_SIZE = 17 };

/* Before the digest's digits. */
#define SAVED_DIGEST_KEY "\"digest\": \""

/* Fingerprint of the text with zeros in place of the digest's own digits (NULL: it has none), in
 * hexadecimal: it guards against damage and slips, not against malice. */
void saved_digest(const char *text, const char *digits, char digest[SAVED_DIGEST_SIZE]);

/* Puts the digest of a whole text, which has one, in its place. */
void saved_sign(char *text);

/* Rows of files that are signed: the digest, for fields_read() with this as context; and times. */
struct saved_signed {
    const char *text; /* the whole file */
    const char *cure; /* of one that is damaged: "store the desk anew" */
};
void saved_check_digest(const struct field_given *given);
void saved_take_time(const struct field_given *given);

/* "heard", "fixed", "absent": in the order of enum supply, from SUPPLY_HEARD on. */
extern const char *const saved_supplies[];

/* "before-master", "after-master": in the order of enum limiter_place, from the first known one;
 * ended by NULL. */
extern const char *const saved_limiter_places[];

enum { SAVED_WORD_SHOWN = 60 };

/* What the file says of one parameter, into the desk. */
void saved_read_param(struct desk *desk, enum param_id id, const struct where *where);
extern const struct field saved_param_fields[];

/* The desk itself: what it computes with, its counts and its values, without the braces around
 * them; and its rows, which are read into a struct saved. */
void saved_write_desk(FILE *to, const struct saved *saved);
extern const struct field saved_desk_fields[];

/* `before`, and what JSON has for it. */
void saved_write_string(FILE *to, const char *before, const char *text);
void saved_write_number(FILE *to, const char *before, double number);

/* Whether the kept desk has the counts of the other; a problem for each that differs. */
bool saved_counts_fit(const struct desk *kept, const struct desk *desk, const struct where *where);

/* ---- recordings ---- */

/* Behind a line's own text: its sum, 16 digits, and the end of the object. */
#define RECORDING_SUM ",\"sum\":\""
#define RECORDING_SUM_END "\"}"

enum { RECORDING_DIGITS = 16 };

/* How every recording begins, whatever its format. */
#define RECORDING_BEGIN "{\"recording_format\":"

#endif
