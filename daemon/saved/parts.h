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

/* "heard", "fixed", "absent": in the order of enum supply, from SUPPLY_HEARD on. */
extern const char *const saved_supplies[];

/* "before-master", "after-master": in the order of enum limiter_place, from the first known one;
 * ended by NULL. */
extern const char *const saved_limiter_places[];

enum { SAVED_WORD_SHOWN = 60 };

/* What the file says of one parameter, into the desk. */
void saved_read_param(struct desk *desk, enum param_id id, const struct where *where);
extern const struct field saved_param_fields[];

/* ---- recordings ---- */

/* Behind a line's own text: its sum, 16 digits, and the end of the object. */
#define RECORDING_SUM ",\"sum\":\""
#define RECORDING_SUM_END "\"}"

enum { RECORDING_DIGITS = 16 };

/* How every recording begins, whatever its format. */
#define RECORDING_BEGIN "{\"recording_format\":"

#endif
