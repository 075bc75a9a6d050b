/* SPDX-License-Identifier: MIT */
/* Tells of what was turned down without letting anybody fill the terminal: the first one at once,
 * then at most one line a minute, with how many went untold.
 */
#ifndef GAINWARDEN_REJECT_LOG_H
#define GAINWARDEN_REJECT_LOG_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { REJECT_LINE_SIZE = 500, REJECT_LOG_MS = 60 * 1000 };

struct reject_log {
    bool began;
    int64_t told_ms;
    uint64_t untold; /* since then */
};

/* Notes one. True when `line` is to be printed: reason, size, and the first bytes, of which those
 * that are no printable ASCII come out as \xNN. */
bool reject_log_note(struct reject_log *log, int64_t now_ms, const char *reason,
                     const uint8_t *bytes, size_t length, char line[REJECT_LINE_SIZE]);

#endif
