/* SPDX-License-Identifier: MIT */
/* What is said of a recall: at most RECALLED_LINES lines at once, and as many when it has settled.
 */
#ifndef GAINWARDEN_RECALLED_H
#define GAINWARDEN_RECALLED_H

#include "tell/message.h"

enum { RECALLED_LINES = 5 };

/* As it is known to be one: what changed, what protects no longer, the largest leaps upwards. */
void recalled_begins(const struct message *message, const struct engine *engine,
                     message_line_fn *each, void *context);

/* What protects no longer since, and what does again: a line each. */
void recalled_later(const struct message *message, const struct engine *engine,
                    message_line_fn *each, void *context);

/* What followed, the worst first. */
void recalled_settled(const struct message *message, const struct engine *engine,
                      message_line_fn *each, void *context);

#endif
