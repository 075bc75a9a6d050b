/* SPDX-License-Identifier: MIT */
/* A profile under way: begun with nothing, or with what stands in a file, it grows entry by entry,
 * and each entry stays only where the whole still loads. So what is written is a profile at any
 * time, but for one that has no entry yet.
 */
#ifndef GAINWARDEN_LISTEN_BEGUN_H
#define GAINWARDEN_LISTEN_BEGUN_H

#include "base/json.h"
#include "profile/profile.h"

/* The desk's port where nobody said it: discard, RFC 863. */
enum { BEGUN_WHY_SIZE = 200, BEGUN_NO_PORT = 9 };

/* How the desk is reached: over UDP, at this port, answering to ours where that is not 0. `renew`
 * is copied; NULL: none. For json_free(). */
struct json *begun_new(const char *desk, int port, int own_port, const struct json *renew);

/* A profile that loads and waits for nothing: what somebody listens with who has none. For
 * json_free(). */
struct json *begun_nothing(int own_port, const struct json *renew);

/* What the desk is called. */
void begun_set_desk(struct json **profile, const char *desk);

/* How many of them there are; 0 where the profile does not say. */
bool begun_is_counted(const struct json *profile, enum index_kind kind);
int begun_count(const struct json *profile, enum index_kind kind);
void begun_set_count(struct json *profile, enum index_kind kind, int count);

/* Whether some entry gives the parameter. */
bool begun_gives(const struct json *profile, enum param_id id);

/* Whether its law is still to be found; and it is taken out of the entry that gives
 * it, with the entry where it gives no other. */
bool begun_is_open(const struct json *profile, enum param_id id);
void begun_drop(struct json *profile, enum param_id id);

/* A name for the parameter's law that no law of the profile has which something may use. */
const char *begun_law_name(const struct json *profile, enum param_id id);

/* Puts it among the laws, under that name; it belongs to the profile then. */
void begun_set_law(struct json *profile, const char *name, struct json *law);

/* {"is": the parameter}, with its law and end stops where they are given (NULL, NAN: not). */
struct json *begun_value(enum param_id id, const char *law, struct travel range);

/* Takes the entry, which belongs to the profile then; false, with the reason, where it is not good:
 * it is freed. One for a message that has an entry becomes part of that. */
bool begun_add(struct json *profile, struct json *entry, char why[BEGUN_WHY_SIZE]);

/* The same for one that was found by numbers, counted from 1 or as its "first" says. */
bool begun_add_found(struct json *profile, enum param_id id, struct json *entry,
                     char why[BEGUN_WHY_SIZE]);

/* What was tried leaves counts and laws as they were before. */
void begun_put_back(struct json *profile, const struct json *before);

/* The name of a law that takes nothing: for a value whose law is still to be found. It stays not
 * known until somebody writes what its numbers stand for. */
const char *begun_unknown_law(struct json *profile, enum param_id id);

/* Whether a file can be made there, as far as its folder tells; false, told, where it cannot. */
bool begun_may_write(const char *path);

/* Writes it there in one step; false, told on standard error, where that fails. */
bool begun_write(const struct json *profile, const char *path);

#endif
