/* Messages to a chat hook: kept in order, sent one at a time, tried again with growing waits.
 * Whatever the hook does, the watch goes on; the hook's address is never shown.
 */
#ifndef GAINWARDEN_CHAT_H
#define GAINWARDEN_CHAT_H

#include <stdbool.h>

#include "loop.h"
#include "show_file.h"

enum { CHAT_KEPT = 64, CHAT_TRIES = 8, CHAT_LONGEST_WAIT_MS = 60000 };

/* Called when delivery begins to fail, is given up, or works again: a line for the terminal. */
typedef void chat_trouble_fn(void *context, const char *line);

struct chat;

/* Opens the hook named by the settings. NULL when it cannot be, with the reason in the problems:
 * the environment variable is unset or holds no web address, or the certificates cannot be read.
 * `settings` must outlive it. */
struct chat *chat_open(struct loop *loop, const struct chat_settings *settings,
                       chat_trouble_fn *trouble, void *context, struct problems *problems);
void chat_close(struct chat *chat);

/* Queues a message; the text is copied. When CHAT_KEPT wait already, the oldest of them is dropped
 * and counted in the next one that goes out. */
void chat_say(struct chat *chat, const char *text);

/* True when nothing waits or is under way. */
bool chat_idle(const struct chat *chat);

#endif
