/* SPDX-License-Identifier: MIT */
/* Server-sent events (WHATWG HTML, 9.2) for many who look, and hardly any memory for one who does
 * not keep up.
 *
 * There are two kinds: the facts, whole, and the beat, which says that we live. Of each there is the
 * newest alone, shared by all. Who looks takes one to its end, then whatever is newest: what he was
 * too slow for he never sees, and what is held for him is one event.
 */
#ifndef GAINWARDEN_BOARD_FEED_H
#define GAINWARDEN_BOARD_FEED_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum feed_kind { FEED_FACTS, FEED_BEAT, FEED_KINDS };

struct feed;
struct feed_reader;

struct feed *feed_new(void);
/* Nobody reads any more. */
void feed_free(struct feed *feed);

/* The newest of its kind; `data` is one line. */
void feed_publish(struct feed *feed, enum feed_kind kind, const char *data);

/* Whoever begins to read gets the newest facts, then what comes. */
struct feed_reader *feed_reader_new(struct feed *feed);
void feed_reader_free(struct feed_reader *reader);
int feed_readers(const struct feed *feed);

/* The next bytes, at most `most` of them; 0: he has everything. */
size_t feed_take(struct feed_reader *reader, char *to, size_t most);
bool feed_has_more(const struct feed_reader *reader);

#endif
