/* SPDX-License-Identifier: MIT */
/* Marking schemes: read from a file, or the one that is built in (contrib/scheme/). A scheme is
 * known by its name, its version and the SHA-256 of its file, which every sheet prints.
 */
#ifndef GAINWARDEN_SCHEME_FILE_H
#define GAINWARDEN_SCHEME_FILE_H

#include "base/fields.h"
#include "score/scheme.h"

enum { SCHEME_FORMAT = 1, SCHEME_FILE_LIMIT = 1024 * 1024 };

extern const struct field scheme_fields[];

/* NULL: the one that is built in. NULL with the problems when anything is wrong with it. Free with
 * free(). */
struct scheme *scheme_file_read(const char *path, struct problems *problems);

/* The same for text in memory. */
struct scheme *scheme_file_parse(const char *text, size_t length, const char *name,
                                 struct problems *problems);

#endif
