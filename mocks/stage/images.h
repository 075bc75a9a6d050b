/* SPDX-License-Identifier: MIT */
/*
 * The image-source method (J. B. Allen and D. A. Berkley, JASA 65, 1979): a wall is a mirror, so a
 * reflection comes from a mirror image of the source, by the product of the walls' reflection
 * factors weaker. The reflection factor is sqrt(1 - absorption), the same at all frequencies.
 */
#ifndef MOCK_IMAGES_H
#define MOCK_IMAGES_H

#include "scene.h"

/* One way of the sound from a source to a receiver. */
struct image {
    double metres;
    double walls;           /* product of reflection factors */
    struct vector seen_at;  /* where the receiver sees the source */
    struct vector aimed_at; /* where the source sees the receiver */
};

enum { IMAGES_MOST = 16384 };

/*
 * The strongest ways by walls / metres, at most space->paths, the strongest first; `out` has room
 * for them. Returns how many.
 */
size_t images_find(const struct space *space, struct vector source, struct vector receiver,
                   struct image *out);

#endif
