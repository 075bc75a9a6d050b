/* SPDX-License-Identifier: MIT */
#include "board/feed.h"

#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/need.h"

enum { HEAD_SIZE = 60 };

/* Of who holds it the last frees it. */
struct event {
    int holders;
    size_t length;
    char bytes[];
};

struct newest {
    struct event *event; /* NULL: there was none yet */
    uint64_t number;     /* from 1 on */
};

struct feed {
    struct newest newest[FEED_KINDS];
    int readers;
};

struct feed_reader {
    struct feed *feed;
    struct event *now; /* being taken; NULL: none */
    size_t taken;
    uint64_t had[FEED_KINDS];
};

struct feed *
feed_new(void)
{
    return need_memory(1, sizeof(struct feed));
}

static void
let_go(struct event *event)
{
    if (event && --event->holders == 0)
        free(event);
}

void
feed_free(struct feed *feed)
{
    for (int kind = 0; kind < FEED_KINDS; kind++)
        let_go(feed->newest[kind].event);
    free(feed);
}

/* Only the facts are numbered: who comes back has missed nothing by a beat. */
static struct event *
make_event(enum feed_kind kind, uint64_t number, const char *data)
{
    char head[HEAD_SIZE];
    size_t size = strlen(data) + HEAD_SIZE + 3;
    struct event *event = need_memory(1, sizeof *event + size);

    if (kind == FEED_FACTS)
        snprintf(head, sizeof head, "event: facts\nid: %" PRIu64 "\n", number);
    else
        snprintf(head, sizeof head, "event: beat\n");
    event->holders = 1;
    event->length = (size_t)snprintf(event->bytes, size, "%sdata: %s\n\n", head, data);
    return event;
}

void
feed_publish(struct feed *feed, enum feed_kind kind, const char *data)
{
    struct newest *newest = &feed->newest[kind];

    let_go(newest->event);
    newest->event = make_event(kind, ++newest->number, data);
}

/* The facts are of now, but the newest beat is of when somebody looked last: a page takes what is
 * older than what came before it for late, and begins anew. */
struct feed_reader *
feed_reader_new(struct feed *feed)
{
    struct feed_reader *reader = need_memory(1, sizeof *reader);

    reader->feed = feed;
    reader->had[FEED_BEAT] = feed->newest[FEED_BEAT].number;
    feed->readers++;
    return reader;
}

void
feed_reader_free(struct feed_reader *reader)
{
    reader->feed->readers--;
    let_go(reader->now);
    free(reader);
}

int
feed_readers(const struct feed *feed)
{
    return feed->readers;
}

/* The kind that he has not had the newest of; FEED_KINDS: none. */
static int
kind_to_take(const struct feed_reader *reader)
{
    int kind = 0;

    while (kind < FEED_KINDS && reader->had[kind] == reader->feed->newest[kind].number)
        kind++;
    return kind;
}

static void
take_next(struct feed_reader *reader)
{
    int kind = kind_to_take(reader);

    let_go(reader->now);
    reader->now = NULL;
    reader->taken = 0;
    if (kind == FEED_KINDS)
        return;
    reader->had[kind] = reader->feed->newest[kind].number;
    reader->now = reader->feed->newest[kind].event;
    reader->now->holders++;
}

size_t
feed_take(struct feed_reader *reader, char *to, size_t most)
{
    size_t left;

    if (!reader->now || reader->taken == reader->now->length)
        take_next(reader);
    if (!reader->now)
        return 0;
    left = reader->now->length - reader->taken;
    if (left > most)
        left = most;
    memcpy(to, reader->now->bytes + reader->taken, left);
    reader->taken += left;
    return left;
}

bool
feed_has_more(const struct feed_reader *reader)
{
    return (reader->now && reader->taken < reader->now->length) ||
           kind_to_take(reader) < FEED_KINDS;
}
