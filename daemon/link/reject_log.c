/* SPDX-License-Identifier: MIT */
#include "link/reject_log.h"

#include <stdio.h>

#include "base/clock.h"
#include "base/text_format.h"

enum { BYTES_SHOWN = 64 };

static void
add_bytes(struct text *text, const uint8_t *bytes, size_t length)
{
    for (size_t i = 0; i < length && i < BYTES_SHOWN; i++) {
        bool plain = bytes[i] > ' ' && bytes[i] <= '~' && bytes[i] != '\\';

        text_format(text, plain ? "%c" : "\\x%02x", bytes[i]);
    }
    if (length > BYTES_SHOWN)
        text_add(text, "...");
}

bool
reject_log_note(struct reject_log *log, int64_t now_ms, const char *reason, const uint8_t *bytes,
                size_t length, char line[REJECT_LINE_SIZE])
{
    char shown[4 * BYTES_SHOWN + 4], span[CLOCK_SIZE], more[100] = "";
    struct text text;

    if (log->began && now_ms - log->told_ms < REJECT_LOG_MS) {
        log->untold++;
        return false;
    }
    if (log->untold > 0)
        snprintf(more, sizeof more, " (%llu more in the last %s)", (unsigned long long)log->untold,
                 clock_span(now_ms - log->told_ms, span));
    text_init(&text, shown, sizeof shown);
    add_bytes(&text, bytes, length);
    snprintf(line, REJECT_LINE_SIZE, "turned down: %s, %zu bytes%s: %s", reason, length, more,
             shown);
    *log = (struct reject_log){.began = true, .told_ms = now_ms};
    return true;
}
