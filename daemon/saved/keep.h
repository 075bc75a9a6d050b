/* SPDX-License-Identifier: MIT */
/* What one watch keeps on disk across restarts: an append-only file of JSON lines. The first line
 * names the format; each other line is one batch that happened together, and is there as a whole or
 * not at all. Whoever opens the file gets the batches back in their order and makes of them what
 * they mean; keep.c knows only lines.
 *
 *   {"keep_format":1}
 *   {"told":[...],"messages":[{"id":"...","weight":"fix","text":"..."}]}
 *   {"ended":["..."]}
 *
 * The owner queues each of `messages` again whose identity is in no later `ended`.
 *
 * A last line that is torn is what a crash in the middle of a write leaves, and is dropped. Damage
 * before it is told, and the file is set aside: it may hold what nobody wants to lose. The lock
 * (flock) is on the file itself and moves to the one that keep_compact() puts in its place.
 */
#ifndef GAINWARDEN_KEEP_H
#define GAINWARDEN_KEEP_H

#include "base/json.h"

enum { KEEP_FORMAT = 1 };

struct keep;

typedef void keep_record_fn(void *context, const struct json *record);

/* Opens the file, or makes it, for this process alone, and reads it back. NULL, with the reason in
 * the problems, when another watch has it, it cannot be read or written, or its format is a newer
 * one. What was only odd (a file set aside) is told on `notes`. */
struct keep *keep_open(const char *path, keep_record_fn *each, void *context,
                       struct problems *problems, FILE *notes);
void keep_close(struct keep *keep);

/* Appends one batch and waits until the disk has it. False when it is not there: then the file is
 * as it was, and keep_error() says why. */
bool keep_write(struct keep *keep, const struct json *record);

/* Replaces all batches by one that says the same. False when that failed; then they are as they
 * were. */
bool keep_compact(struct keep *keep, const struct json *record);

/* Worth compacting: it has grown to twice what it was after the last time, and that is not little.
 */
bool keep_is_long(const struct keep *keep);

/* The text of the last error. */
const char *keep_error(const struct keep *keep);

#endif
