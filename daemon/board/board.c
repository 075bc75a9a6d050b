/* SPDX-License-Identifier: MIT */
#include "board/board.h"

#include <stdlib.h>

#include "core/need.h"

struct board {
    struct board_source source;
};

const char BOARD_AGAIN[] = "press again: it is of weight stop";

struct board *
board_open(struct loop *loop, const struct board_settings *settings, struct board_source source,
           struct problems *problems)
{
    struct board *board = need_memory(1, sizeof *board);

    (void)loop;
    (void)settings;
    (void)problems;
    board->source = source;
    return board;
}

void
board_news(struct board *board)
{
    (void)board;
}

const char *
board_link(const struct board *board, bool operates, char link[BOARD_LINK_SIZE])
{
    (void)board;
    (void)operates;
    link[0] = '\0';
    return link;
}

void
board_close(struct board *board)
{
    free(board);
}
