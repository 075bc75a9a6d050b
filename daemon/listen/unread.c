/* SPDX-License-Identifier: MIT */
#include "listen/unread.h"

#include <string.h>

#include "base/escape.h"
#include "core/text.h"

/* What has no address is told by its size. */
static void
describe(const struct osc_outline *outline, size_t length, char *text)
{
    char address[UNREAD_TEXT_SIZE / 2], tags[UNREAD_TEXT_SIZE / 4];
    struct text to;

    text_init(&to, text, UNREAD_TEXT_SIZE);
    if (!outline->address) {
        text_add(&to, "%zu bytes", length);
        return;
    }
    escape_clean(address, sizeof address, outline->address);
    escape_clean(tags, sizeof tags, outline->types ? outline->types : "");
    text_add(&to, "%s %s", address, tags);
}

void
unread_note(struct unread *unread, enum osc_reject why, const struct osc_outline *outline,
            size_t length)
{
    char text[UNREAD_TEXT_SIZE] = "";

    describe(outline, length, text);
    for (size_t i = 0; i < unread->count; i++)
        if (unread->rows[i].why == why && strcmp(unread->rows[i].text, text) == 0) {
            unread->rows[i].count++;
            return;
        }
    if (unread->count == UNREAD_KEPT) {
        unread->more++;
        return;
    }
    unread->rows[unread->count] = (struct unread_row){.why = why, .count = 1};
    memcpy(unread->rows[unread->count++].text, text, sizeof text);
}
