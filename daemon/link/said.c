/* SPDX-License-Identifier: MIT */
#include "link/said.h"

#include <stdio.h>

#include "base/escape.h"
#include "core/text.h"
#include "osc/osc.h"

enum { WHILE_MS = 1000 };

/* A desk whose values come is understood, whatever else it says. */
static bool
is_understood(const struct link *link)
{
    int64_t heard_ms = link->figures.last_heard_ms;

    return heard_ms >= 0 && link->packet_ms - heard_ms < WHILE_MS;
}

static void
add_argument(struct text *text, const struct argument *argument)
{
    char clean[LINK_SAID_SIZE];

    switch (argument->kind) {
    case ARGUMENT_TEXT:
        escape_clean(clean, sizeof clean, argument->text);
        text_add(text, " \"%s\"", clean);
        break;
    case ARGUMENT_NUMBER:
        snprintf(clean, sizeof clean, "%g", argument->number);
        text_add(text, " %s", clean);
        break;
    case ARGUMENT_SWITCH:
        text_add(text, argument->number != 0 ? " true" : " false");
        break;
    case ARGUMENT_BLOB:
    case ARGUMENT_OTHER:
        text_add(text, " (%s)", argument->kind == ARGUMENT_BLOB ? "blob" : "other");
        break;
    }
}

void
said_message(struct link *link, const struct osc_message *message)
{
    char clean[LINK_SAID_SIZE];
    struct text text;

    if (is_understood(link))
        return;
    text_init(&text, link->figures.said, sizeof link->figures.said);
    escape_clean(clean, sizeof clean, message->address);
    text_add(&text, "%s", clean);
    for (size_t i = 0; i < message->count && !text.cut; i++)
        add_argument(&text, &message->arguments[i]);
}

void
said_unread(struct link *link, const char *reason, const uint8_t *bytes, size_t length)
{
    char clean[LINK_SAID_SIZE];
    struct text text;

    if (is_understood(link))
        return;
    text_init(&text, link->figures.said, sizeof link->figures.said);
    if (*rejects_outline(bytes, length, clean, sizeof clean))
        text_add(&text, "%s, %s", clean, reason);
    else
        text_add(&text, "%zu bytes that are no OSC, %s", length, reason);
}

const char *
said_why_silent(struct link *link)
{
    if (link->figures.error)
        return link->figures.error;
    if (!*link->figures.said)
        return "no answer";
    snprintf(link->why, sizeof link->why, LINK_SAYS_ONLY "%s", link->figures.said);
    return link->why;
}
