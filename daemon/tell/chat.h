/* SPDX-License-Identifier: MIT */
/* Messages to a chat hook: kept in order, sent one at a time, tried again with growing waits for as
 * long as it takes. Whatever the hook does, the watch goes on; the hook's address is never shown.
 *
 * Each message has an identity, which travels with it in the header Idempotency-Key
 * (draft-ietf-httpapi-idempotency-key-header) and is the same at each try, also after a restart, so
 * that a receiver can tell a repetition from a second message. What is on disk is the owner's
 * concern: it is told what became of each message. From the first try on the body is the same too:
 * the draft has receivers refuse (422) an identity that comes back with another payload.
 *
 * An answer 408, 429 or 5xx, or none, is tried again, after growing waits that no two watches
 * share, or when the hook asked for it (Retry-After, RFC 9110). Any other answer but a 2xx says
 * that the hook will never take it as it is: delivery stops as a whole, for the next message would
 * be lost the same way; what waits is kept, and chat_resume() begins again.
 */
#ifndef GAINWARDEN_CHAT_H
#define GAINWARDEN_CHAT_H

#include <stdbool.h>

#include "loop/loop.h"
#include "show/file.h"

enum { CHAT_KEPT = 512, CHAT_ID_SIZE = 33, CHAT_TEXT_SIZE = 4000 };

/* Called when delivery begins to fail, stops, or works again, and when messages are dropped: a line
 * for the terminal. */
typedef void chat_trouble_fn(void *context, const char *line);

enum chat_end { CHAT_DELIVERED, CHAT_DROPPED };

/* Called when a message needs to be kept no more. `id` is valid during the call. */
typedef void chat_end_fn(void *context, const char *id, enum chat_end end);

struct chat_owner {
    chat_trouble_fn *trouble;
    chat_end_fn *ended;
    void *context;
};

/* How long it waits: first and longest between two tries, and at most when the hook asks for it.
 * What comes on top, by chance, is up to a quarter of a wait; where the hook asked, up to a quarter
 * of the first. */
struct chat_waits {
    int64_t first_ms, longest_ms, asked_ms;
};
extern const struct chat_waits chat_waits;

struct chat;

/* Opens the hook named by the settings. NULL when it cannot be, with the reason in the problems:
 * the hook's address is nowhere (chat_url.h), or the certificates cannot be read.
 * `settings` must outlive it. */
struct chat *chat_open(struct loop *loop, const struct chat_settings *settings,
                       struct chat_waits waits, struct chat_owner owner, struct problems *problems);
void chat_close(struct chat *chat);

/* A new identity: 32 hexadecimal digits. */
const char *chat_new_id(char id[CHAT_ID_SIZE]);

/* Queues a message; all is copied. When CHAT_KEPT wait already, the oldest of the least weight
 * goes, but never the one under way; how many went is said in the next one that goes out. */
void chat_say(struct chat *chat, enum weight weight, const char *id, const char *text);

/* How many wait, the one under way among them. */
int chat_waiting(const struct chat *chat);

/* How delivery stands, for people. */
struct chat_state {
    int waiting;         /* as chat_waiting() */
    int64_t waited_ms;   /* for how long the oldest does, in this watch; 0: nothing waits */
    int64_t next_try_ms; /* from now on; -1: no try is planned, since one is under way, nothing
                            waits, or delivery stopped */
};
struct chat_state chat_state(const struct chat *chat);

/* Delivery stopped, because the hook will never take a message as it is. */
bool chat_has_stopped(const struct chat *chat);

/* Begins again, at once. */
void chat_resume(struct chat *chat);

/* The last answer's status; 0: there was none. */
int chat_last_status(const struct chat *chat);

/* Why the last try failed: "the hook answered 404"; "" when it did not. */
const char *chat_why(const struct chat *chat);

#endif
