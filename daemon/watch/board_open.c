/* SPDX-License-Identifier: MIT */
#include "watch/board_open.h"

#include <stdio.h>

#include "base/clock.h"
#include "base/places.h"
#include "board/board.h"
#include "watch/handles.h"
#include "watch/saying.h"

static struct json *
desk_facts(const struct watch_desk *desk)
{
    struct link_figures figures = link_figures(desk->link);
    struct json *facts = json_new_object(), *link = json_new_object();

    if (figures.last_heard_ms >= 0)
        json_add_number(link, "heard_ms", (double)(watch_now_ms(desk) - figures.last_heard_ms));
    json_add_bool(link, "lost", link_state(desk->link) == LINK_LOST);
    json_add(facts, "link", link);
    return facts;
}

static struct json *
make_facts(void *context)
{
    const struct board_desks *all = context;
    struct json *facts = json_new_object(), *list = json_new_array();

    json_add_number(facts, "version", 1);
    json_add_number(facts, "at_ms", clock_now_s() * 1000);
    for (int i = 0; i < all->count; i++)
        json_add(list, NULL, desk_facts(all->desks[i]));
    json_add(facts, "desks", list);
    return facts;
}

static struct json *
make_mix(void *context, int desk, int mix)
{
    (void)context;
    (void)desk;
    (void)mix;
    return NULL;
}

static const char *
press(void *context, const struct board_press *press, char *error)
{
    (void)context;
    (void)press;
    (void)error;
    return "there is no such finding";
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

bool
watch_board_open(struct watch_shared *shared, const struct board_desks *desks)
{
    struct board_source source = {make_facts, make_mix, press, (void *)desks};
    struct problems problems = {0};
    char path[PLACES_SIZE];

    if (!shared->options->board)
        return true;
    if (kept_links(shared, path, &problems))
        shared->board =
            board_open(shared->loop, &(struct board_settings){shared->options->board, path}, source,
                       &problems);
    problems_tell(&problems);
    if (shared->board)
        say_where(shared, desks->desks[0]);
    return shared->board != NULL;
}

void
watch_board_close(struct watch_shared *shared)
{
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
