/* SPDX-License-Identifier: MIT */
/* What came and could not be read: by reason, address and type tags, as far as there are any. A few
 * are kept; the rest is counted. Pure.
 */
#ifndef GAINWARDEN_LISTEN_UNREAD_H
#define GAINWARDEN_LISTEN_UNREAD_H

#include <stddef.h>
#include <stdint.h>

#include "osc/check.h"

enum { UNREAD_KEPT = 64, UNREAD_TEXT_SIZE = 100 };

struct unread {
    struct unread_row {
        enum osc_reject why;
        char text[UNREAD_TEXT_SIZE]; /* address and tags, made safe to print */
        uint64_t count;
    } rows[UNREAD_KEPT];
    size_t count;
    uint64_t more; /* that found no place */
};

void unread_note(struct unread *unread, enum osc_reject why, const struct osc_outline *outline,
                 size_t length);

#endif
