/* SPDX-License-Identifier: MIT */
#include "engine/journal.h"

#include <stdlib.h>

#include "core/need.h"

enum { ROOM_FIRST = 32, ROOM_KEPT = 256 };

bool
journal_note(struct journal *journal, const struct moved *moved)
{
    if (journal->ended)
        return true;
    if (journal->count == journal->room) {
        journal->room = journal->room ? 2 * journal->room : ROOM_FIRST;
        journal->list = need_more(journal->list, journal->room, sizeof *journal->list);
    }
    journal->list[journal->count++] = *moved;
    journal->ended = journal->count == JOURNAL_MOST;
    return !journal->ended;
}

static void
swap(struct moved *moved, struct desk *desk)
{
    desk_swap(desk, moved->id, moved->row, moved->column, &moved->before);
}

void
journal_back(struct journal *journal, struct desk *desk)
{
    for (size_t i = journal->count; i > 0; i--)
        swap(&journal->list[i - 1], desk);
}

void
journal_forth(struct journal *journal, struct desk *desk)
{
    for (size_t i = 0; i < journal->count; i++)
        swap(&journal->list[i], desk);
}

/* What a reading of the whole desk took is given back. */
void
journal_clear(struct journal *journal)
{
    if (journal->room > ROOM_KEPT)
        journal_release(journal);
    journal->count = 0;
    journal->ended = false;
}

void
journal_release(struct journal *journal)
{
    free(journal->list);
    *journal = (struct journal){.list = NULL};
}
