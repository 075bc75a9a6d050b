/* What writing and reading a state share, and nobody else sees. */
#ifndef GAINWARDEN_STATE_PARTS_H
#define GAINWARDEN_STATE_PARTS_H

#include "json.h"
#include "state_file.h"

enum { STATE_DIGEST_SIZE = 17 };

/* Before the digest's digits. */
#define STATE_DIGEST_KEY "\"digest\": \""

/* Fingerprint of the text with zeros in place of the digest's own digits (NULL: it has none), in
 * hexadecimal: it guards against damage and slips, not against malice. */
void state_digest(const char *text, const char *digits, char digest[STATE_DIGEST_SIZE]);

/* "heard", "fixed", "absent": in the order of enum supply, from SUPPLY_HEARD on. */
extern const char *const state_supplies[];

/* Position of the string in the list, or -1 with a problem. */
int state_read_word(const struct json *json, const struct where *where, const char *const words[]);

/* The number, NAN for anything else and for NULL. */
double state_number(const struct json *json);

/* What the file says of one parameter, into the desk. */
void state_read_param(struct desk *desk, enum param_id id, const struct json *json,
                      const struct where *where);

#endif
