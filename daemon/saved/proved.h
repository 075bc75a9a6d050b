/* SPDX-License-Identifier: MIT */
/* What ring-outs proved, as a file: the whole desk at each ceiling, so that a later version works
 * the margin out anew; the rings; and the desk as it was left. gainwarden-saved(5) describes it.
 * Read and written like a saved desk: strictly, signed, whole.
 */
#ifndef GAINWARDEN_SAVED_PROVED_H
#define GAINWARDEN_SAVED_PROVED_H

#include "base/fields.h"
#include "proof/kept.h"
#include "saved/file.h"

enum { PROVED_FORMAT = 1 };

struct proved_file {
    char desk_name[SAVED_NAME_SIZE];
    char show[SHOW_NAME_SIZE];
    struct proofs proofs; /* all owned */
};

extern const struct field proved_fields[];

/* NULL with the problems. Free with proved_file_free(). */
struct proved_file *proved_file_read(const char *path, struct problems *problems);

/* The same for text in memory; `name` stands for the file in the messages. */
struct proved_file *proved_file_parse(const char *text, size_t length, const char *name,
                                      struct problems *problems);
void proved_file_free(struct proved_file *file);

/* The file's text, to free(). */
char *proved_file_text(const struct proved_file *file);

/* Replaces the file whole. False with errno set; then the old one is as it was. */
bool proved_file_write(const struct proved_file *file, const char *path);

/* True when it is of a desk with these counts; else a problem for each thing that is not. */
bool proved_file_fits(const struct proved_file *file, const struct desk *desk, const char *path,
                      struct problems *problems);

/* What makes room is told: the ceiling, or the ring and NULL. Valid during the call. */
typedef void proved_dropped_fn(void *context, const struct proof_ceiling *ceiling,
                               const struct proof_ring *ring);

/* Adds what a ring-out proved so far, whose desks stay the caller's, in place of `before`, what was
 * added of it the last time. Its ceilings take away what an earlier ring-out left, for the desk was
 * raised since; what it left itself comes there once that is known. Of more than PROOFS_MOST the
 * oldest go. */
void proved_file_add(struct proved_file *file, const struct proofs *own,
                     const struct proofs *before, proved_dropped_fn *dropped, void *context);

/* No text of it is longer than `most` bytes: the oldest ceilings go, each told, until `least` are left.
 * Of a large desk 64 would be more than the reader takes. */
void proved_file_shrink(struct proved_file *file, size_t most, int least,
                        proved_dropped_fn *dropped, void *context);

/* A copy that owns all it has, and has room for PROOFS_MOST of each; and its end. */
void proofs_copy(struct proofs *to, const struct proofs *from);
void proofs_release(struct proofs *proofs);

/* Takes one out: ceilings count from 1, and rings go on behind them. False: there is no such. */
bool proved_file_forget(struct proved_file *file, int number);

#endif
