/* SPDX-License-Identifier: MIT */
/* The lists (sending.h) that were agreed to, by their hash: those of the profiles that ship, which
 * are built in, and those that somebody said yes to, kept in one file beside the watch's:
 *
 *   FOLDER/agreed.json   { "agreed_format": 1, "agreed": [ { "hash", "desk", "at" }, ... ] }
 *
 * A file that is damaged, or that others can write to, proves nothing: then nothing in it counts,
 * and that is told.
 */
#ifndef GAINWARDEN_AGREED_H
#define GAINWARDEN_AGREED_H

#include <stdbool.h>

#include "base/sha256.h"

/* Whether the text is such a hash. */
bool agreed_is_hash(const char *text);

/* Whether a profile in contrib/ sends this. */
bool agreed_ships(const char hash[SHA256_TEXT_SIZE]);

/* Whether the file names it. `keep`: as in places_kept(). What is odd is told on standard error. */
bool agreed_is_kept(const char *keep, const char hash[SHA256_TEXT_SIZE]);

/* Adds it to the file; of more than AGREED_MOST the oldest goes. That it cannot be kept is told on
 * standard error: it is asked again then. */
enum { AGREED_MOST = 200 };
void agreed_keep(const char *keep, const char hash[SHA256_TEXT_SIZE], const char *desk);

#endif
