/* SPDX-License-Identifier: MIT */
/* A message of the watch as lines for people. */
#ifndef GAINWARDEN_MESSAGE_H
#define GAINWARDEN_MESSAGE_H

#include "watcher/watcher.h"

enum { MESSAGE_LINES = 9, MESSAGE_LINE_SIZE = 1400 };

/* What a message says beside its edges: of a desk that is back, say. */
struct message_more {
    const char *head; /* in place of the line that names the cause; NULL: as the cause is */
    const struct quiets *quiets;
};

/* Calls `each` with one line after the other: what happened, what follows from it, at most
 * MESSAGE_LINES lines of findings, and how many more. `chat`: the line is for the chat, too. */
typedef void message_line_fn(void *context, const char *line, bool chat);
void message_lines(const struct message *message, const struct engine *engine,
                   const struct message_more *more, message_line_fn *each, void *context);

/* The message in one row that may be cut at its end, the figure first: "raised fix +23 dB  Ld Vox ->
 * 1 Ld Vox wedge: put it back to -13". False where its first line says it as well. */
bool message_brief(const struct message *message, const struct engine *engine,
                   char line[MESSAGE_LINE_SIZE]);

/* Where the weight and "do:" stand in a line that ends with one of these; -1: no such line. */
void message_strong(const char *line, int strong[2]);

#endif
