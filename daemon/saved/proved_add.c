/* SPDX-License-Identifier: MIT */
/* What a file of proofs gains and loses: a ring-out that goes on adds what it proved, again and
 * again, and whoever looks at the list takes one out. The lists are in the order of time.
 */
#include "saved/proved.h"

#include <stdlib.h>
#include <string.h>

#include "core/need.h"

static void
close_gap(void *list, size_t size, int at, int *count)
{
    char *place = (char *)list + size * (size_t)at;

    memmove(place, place + size, size * (size_t)(*count - at - 1));
    --*count;
}

static void
take_ceiling_out(struct proofs *proofs, int at)
{
    desk_free(proofs->ceilings[at].desk);
    close_gap(proofs->ceilings, sizeof *proofs->ceilings, at, &proofs->ceiling_count);
}

static void
take_ring_out(struct proofs *proofs, int at)
{
    close_gap(proofs->rings, sizeof *proofs->rings, at, &proofs->ring_count);
}

bool
proved_file_forget(struct proved_file *file, int number)
{
    struct proofs *proofs = &file->proofs;
    int ring = number - 1 - proofs->ceiling_count;

    if (number < 1 || ring >= proofs->ring_count)
        return false;
    if (ring >= 0)
        take_ring_out(proofs, ring);
    else
        take_ceiling_out(proofs, number - 1);
    return true;
}

/* ---- copies ---- */

void
proofs_copy(struct proofs *to, const struct proofs *from)
{
    *to = *from;
    to->ceilings = need_memory(PROOFS_MOST, sizeof *to->ceilings);
    to->rings = need_memory(PROOFS_MOST, sizeof *to->rings);
    for (int i = 0; i < from->ceiling_count; i++) {
        to->ceilings[i] = from->ceilings[i];
        to->ceilings[i].desk = desk_copy(from->ceilings[i].desk);
    }
    for (int i = 0; i < from->ring_count; i++)
        to->rings[i] = from->rings[i];
    to->left = from->left ? desk_copy(from->left) : NULL;
}

void
proofs_release(struct proofs *proofs)
{
    for (int i = 0; i < proofs->ceiling_count; i++)
        desk_free(proofs->ceilings[i].desk);
    desk_free(proofs->left);
    free(proofs->ceilings);
    free(proofs->rings);
    *proofs = (struct proofs){.ceilings = NULL};
}

/* ---- adding ---- */

static bool
same_made(const struct proof_made *one, const struct proof_made *other)
{
    return strcmp(one->at, other->at) == 0 && strcmp(one->by, other->by) == 0 &&
           strcmp(one->note, other->note) == 0;
}

static bool
has_ceiling(const struct proofs *proofs, const struct proof_ceiling *ceiling)
{
    for (int i = 0; i < proofs->ceiling_count; i++)
        if (proofs->ceilings[i].mix == ceiling->mix &&
            same_made(&proofs->ceilings[i].made, &ceiling->made))
            return true;
    return false;
}

static bool
has_ring(const struct proofs *proofs, const struct proof_ring *ring)
{
    for (int i = 0; i < proofs->ring_count; i++)
        if (proofs->rings[i].mix == ring->mix && proofs->rings[i].hz == ring->hz &&
            same_made(&proofs->rings[i].made, &ring->made))
            return true;
    return false;
}

static void
take_back(struct proofs *proofs, const struct proofs *before)
{
    for (int i = proofs->ceiling_count - 1; i >= 0; i--)
        if (has_ceiling(before, &proofs->ceilings[i]))
            take_ceiling_out(proofs, i);
    for (int i = proofs->ring_count - 1; i >= 0; i--)
        if (has_ring(before, &proofs->rings[i]))
            take_ring_out(proofs, i);
}

static void
drop_oldest(struct proofs *proofs, proved_dropped_fn *dropped, void *context)
{
    dropped(context, &proofs->ceilings[0], NULL);
    take_ceiling_out(proofs, 0);
}

static void
make_room_for_ceiling(struct proofs *proofs, proved_dropped_fn *dropped, void *context)
{
    if (proofs->ceiling_count == PROOFS_MOST)
        drop_oldest(proofs, dropped, context);
}

static void
make_room_for_ring(struct proofs *proofs, proved_dropped_fn *dropped, void *context)
{
    if (proofs->ring_count < PROOFS_MOST)
        return;
    dropped(context, NULL, &proofs->rings[0]);
    take_ring_out(proofs, 0);
}

void
proved_file_add(struct proved_file *file, const struct proofs *own, const struct proofs *before,
                proved_dropped_fn *dropped, void *context)
{
    struct proofs *proofs = &file->proofs;

    take_back(proofs, before);
    for (int i = 0; i < own->ceiling_count; i++) {
        struct proof_ceiling ceiling = own->ceilings[i];

        make_room_for_ceiling(proofs, dropped, context);
        ceiling.desk = desk_copy(ceiling.desk);
        proofs->ceilings[proofs->ceiling_count++] = ceiling;
    }
    for (int i = 0; i < own->ring_count; i++) {
        make_room_for_ring(proofs, dropped, context);
        proofs->rings[proofs->ring_count++] = own->rings[i];
    }
    if (!own->left && own->ceiling_count == 0)
        return;
    desk_free(proofs->left);
    proofs->left = own->left ? desk_copy(own->left) : NULL;
    proofs->left_made = own->left_made;
}

/* ---- as long as may be ---- */

static size_t
length_of(const struct proved_file *file)
{
    char *text = proved_file_text(file);
    size_t length = strlen(text);

    free(text);
    return length;
}

void
proved_file_shrink(struct proved_file *file, size_t most, int least, proved_dropped_fn *dropped,
                   void *context)
{
    while (file->proofs.ceiling_count > least && length_of(file) > most)
        drop_oldest(&file->proofs, dropped, context);
}
