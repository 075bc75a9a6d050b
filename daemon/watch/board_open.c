/* SPDX-License-Identifier: MIT */
#include "watch/board_open.h"

#include <stdio.h>

#include "base/clock.h"
#include "base/places.h"
#include "board/board.h"
#include "watch/board_facts.h"
#include "watch/board_mix.h"
#include "watch/handles.h"
#include "watch/press.h"
#include "watch/saying.h"

enum { AGAIN_MS = 5000 };

static struct json *
make_facts(void *context)
{
    const struct board_desks *all = context;

    return board_facts(all->desks, all->count, all->boot);
}

static struct json *
make_mix(void *context, int desk, int mix)
{
    const struct board_desks *all = context;

    return desk >= 0 && desk < all->count ? board_mix(all->desks[desk], mix) : NULL;
}

static const char *
press(void *context, const struct board_press *press, char *error)
{
    const struct board_desks *all = context;
    const char *said;

    if (press->desk < 0 || press->desk >= all->count)
        return "the watch has no such desk";
    said = press_button(all->desks[press->desk], press, error);
    board_news(all->board); /* who looks now is not told of before */
    return said;
}

/* Two watches do not begin in the same millisecond. */
static void
name_boot(struct board_desks *desks)
{
    snprintf(desks->boot, sizeof desks->boot, "%llx", (unsigned long long)(clock_now_s() * 1000));
}

static void
on_again(void *context)
{
    const struct board_desks *all = context;

    board_news(all->board);
}

static bool
kept_links(const struct watch_shared *shared, char path[PLACES_SIZE], struct problems *problems)
{
    const struct options *options = shared->options;
    char name[80];

    places_name(options->words[0], options->profile, options->desk, name);
    return places_kept(options->keep, name, "board.json", path, problems);
}

/* Without the links: a line is kept in journals. */
static void
say_where(const struct watch_shared *shared, const struct watch_desk *desk)
{
    char line[BOARD_LINK_SIZE + 100], address[BOARD_LINK_SIZE];

    snprintf(line, sizeof line, "the board is at %s; `gainwarden board SHOW` prints its links",
             board_address(shared->board, address));
    saying_outside(desk->saying, line);
}

static void
begin(struct board_desks *all, struct watch_shared *shared)
{
    all->board = shared->board;
    all->again = loop_timer_open(shared->loop, on_again, all);
    loop_timer_start(all->again, AGAIN_MS, AGAIN_MS);
    say_where(shared, all->desks[0]);
}

bool
watch_board_open(struct watch_shared *shared, struct board_desks *desks)
{
    struct board_source source = {make_facts, make_mix, press, desks};
    struct problems problems = {0};
    char path[PLACES_SIZE];

    if (!shared->options->board)
        return true;
    name_boot(desks);
    if (kept_links(shared, path, &problems))
        shared->board =
            board_open(shared->loop, &(struct board_settings){shared->options->board, path}, source,
                       &problems);
    problems_tell(&problems);
    if (shared->board)
        begin(desks, shared);
    return shared->board != NULL;
}

void
watch_board_close(struct watch_shared *shared, struct board_desks *desks)
{
    loop_timer_close(desks->again);
    if (shared->board)
        board_close(shared->board);
    shared->board = NULL;
}

void
watch_board_news(const struct watch_shared *shared)
{
    if (shared->board)
        board_news(shared->board);
}
