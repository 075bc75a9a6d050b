/* SPDX-License-Identifier: MIT */
#include "board/board.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "board/ages.h"
#include "board/answers.h"
#include "board/links.h"
#include "board/listen_at.h"
#include "board/server.h"
#include "core/need.h"

enum {
    FACTS_EVERY_MS = 100, /* at most */
    BEAT_MS = 1000
};

struct board {
    struct loop *loop;
    struct board_source source;
    struct listen_at at;
    struct board_links links;
    struct feed *feed;
    struct server *server;
    struct answers *answers;
    struct loop_timer *soon, *beat;
    uint64_t told;   /* the facts that were told last, without their ages */
    int64_t told_ms; /* and when */
    bool changed;    /* since then */
    bool waits;      /* `soon` runs */
    bool beats;
};

const char BOARD_AGAIN[] = "press again: it is of weight stop";

/* ---- the feed ---- */

static void
publish(struct board *board, enum feed_kind kind, const struct json *data)
{
    char *text = json_print(data, false);

    feed_publish(board->feed, kind, text);
    free(text);
}

static void
tell(struct board *board, const struct json *facts)
{
    publish(board, FEED_FACTS, facts);
    board->told = ages_aside(facts);
    board->told_ms = loop_now_ms(board->loop);
    board->changed = false;
}

static void
tell_facts(struct board *board)
{
    struct json *facts = board->source.facts(board->source.context);

    tell(board, facts);
    json_free(facts);
}

static void
on_soon(void *context)
{
    struct board *board = context;

    board->waits = false;
    tell_facts(board);
    server_wake(board->server);
}

/* Nothing is made while nobody looks. */
void
board_news(struct board *board)
{
    int64_t wait_ms = board->told_ms + FACTS_EVERY_MS - loop_now_ms(board->loop);

    board->changed = true;
    if (board->waits || feed_readers(board->feed) == 0)
        return;
    board->waits = wait_ms > 0;
    if (board->waits)
        loop_timer_start(board->soon, wait_ms, 0);
    else
        on_soon(board);
}

/* Not all that changes is news: a figure that grew, or a level that is no finding, comes now. */
static void
tell_beat(struct board *board)
{
    struct json *facts = board->source.facts(board->source.context);
    struct json *beat = answers_beat(board->answers, facts);

    if (ages_aside(facts) != board->told)
        tell(board, facts);
    publish(board, FEED_BEAT, beat);
    json_free(beat);
    json_free(facts);
}

static void
on_beat(void *context)
{
    struct board *board = context;

    board->beats = feed_readers(board->feed) > 0;
    if (!board->beats) {
        loop_timer_stop(board->beat);
        return;
    }
    tell_beat(board);
    server_wake(board->server);
}

/* He gets what is known now. */
static struct feed_reader *
begin_stream(void *context)
{
    struct board *board = context;
    int64_t age_ms = loop_now_ms(board->loop) - board->told_ms;

    if (board->changed || feed_readers(board->feed) == 0 || age_ms > BEAT_MS)
        tell_facts(board);
    if (!board->beats)
        loop_timer_start(board->beat, BEAT_MS, BEAT_MS);
    board->beats = true;
    return feed_reader_new(board->feed);
}

/* ---- the board ---- */

struct board *
board_open(struct loop *loop, const struct board_settings *settings, struct board_source source,
           struct problems *problems)
{
    struct board *board = need_memory(1, sizeof *board);
    struct answers_owner owner = {begin_stream, board};

    if (!board_links_open(&board->links, settings->kept, problems) ||
        !listen_at_open(&board->at, settings->at, problems)) {
        free(board);
        return NULL;
    }
    board->loop = loop;
    board->source = source;
    board->changed = true;
    board->feed = feed_new();
    board->soon = loop_timer_open(loop, on_soon, board);
    board->beat = loop_timer_open(loop, on_beat, board);
    board->answers = answers_new(loop, &board->source, &board->links, &board->at, owner);
    board->server = server_open(loop, board->at.fd, answers_server(board->answers));
    return board;
}

const char *
board_address(const struct board *board, char link[BOARD_LINK_SIZE])
{
    bool bracket = strchr(board->at.host, ':') != NULL;

    snprintf(link, BOARD_LINK_SIZE, "http://%s%s%s:%d/", bracket ? "[" : "", board->at.host,
             bracket ? "]" : "", board->at.port);
    return link;
}

const char *
board_link(const struct board *board, bool operates, char link[BOARD_LINK_SIZE])
{
    size_t length = strlen(board_address(board, link));

    snprintf(link + length, BOARD_LINK_SIZE - length, "#%s",
             board->links.token[operates ? RIGHT_OPERATE : RIGHT_LOOK]);
    return link;
}

void
board_close(struct board *board)
{
    server_close(board->server);
    answers_free(board->answers);
    feed_free(board->feed);
    loop_timer_close(board->soon);
    loop_timer_close(board->beat);
    free(board);
}
