/* SPDX-License-Identifier: MIT */
#include "images.h"

#include <math.h>
#include <stdlib.h>

static const double NEAREST_M = 0.05; /* no source is a point from closer by */

/*
 * One axis of a box: the mirror image number n of a coordinate, and what the walls take away on the
 * way.
 */
struct axis {
    double from, to;
    double factor_from, factor_to; /* of the two walls */
};

static double
mirror(const struct axis *axis, int n, double at)
{
    double width = axis->to - axis->from;

    return n % 2 == 0 ? at + n * width : axis->from + axis->to - at + n * width;
}

/*
 * Image n > 0 lies beyond `to` and is reflected there first; half of an odd number goes to each
 * wall, the odd one to the first.
 */
static double
walls_of(const struct axis *axis, int n)
{
    int bounces = abs(n), first = (bounces + 1) / 2, other = bounces / 2;

    return n > 0 ? pow(axis->factor_to, first) * pow(axis->factor_from, other)
                 : pow(axis->factor_from, first) * pow(axis->factor_to, other);
}

static struct image
make_image(const struct axis axes[3], const int n[3], struct vector source, struct vector receiver)
{
    struct image image = {.walls = 1};

    image.seen_at =
        (struct vector){mirror(&axes[0], n[0], source.x), mirror(&axes[1], n[1], source.y),
                        mirror(&axes[2], n[2], source.z)};
    /*
     * Mirrored back, the way out of the source leads to the image of the receiver: odd images turn
     * round.
     */
    image.aimed_at = (struct vector){mirror(&axes[0], n[0] % 2 == 0 ? -n[0] : n[0], receiver.x),
                                     mirror(&axes[1], n[1] % 2 == 0 ? -n[1] : n[1], receiver.y),
                                     mirror(&axes[2], n[2] % 2 == 0 ? -n[2] : n[2], receiver.z)};
    for (int i = 0; i < 3; i++)
        image.walls *= walls_of(&axes[i], n[i]);
    image.metres = fmax(vector_length(vector_minus(image.seen_at, receiver)), NEAREST_M);
    return image;
}

static int
by_strength(const void *a, const void *b)
{
    const struct image *one = a, *other = b;
    double first = one->walls / one->metres, second = other->walls / other->metres;

    if (first == second)
        return (one->metres > other->metres) - (one->metres < other->metres);
    return first < second ? 1 : -1;
}

static struct axis
axis_of(double from, double to, const double absorption[2])
{
    return (struct axis){from, to, sqrt(1 - absorption[0]), sqrt(1 - absorption[1])};
}

static void
fill_axes(const struct space *space, struct axis axes[3])
{
    const double *walls = space->absorption;

    axes[0] = axis_of(space->from.x, space->to.x, walls);
    axes[1] = axis_of(space->from.y, space->to.y, walls + 2);
    axes[2] = axis_of(space->from.z, space->to.z, walls + 4);
}

/* All images of the box up to its order, unsorted. */
static size_t
list_box(const struct space *space, struct vector source, struct vector receiver, struct image *out)
{
    int most = (int)space->order;
    struct axis axes[3];
    size_t count = 0;
    int n[3];

    fill_axes(space, axes);
    for (n[0] = -most; n[0] <= most; n[0]++)
        for (n[1] = -most; n[1] <= most; n[1]++)
            for (n[2] = -most; n[2] <= most; n[2]++)
                if (abs(n[0]) + abs(n[1]) + abs(n[2]) <= most && count < IMAGES_MOST)
                    out[count++] = make_image(axes, n, source, receiver);
    return count;
}

/* The sound itself, and what the floor at height 0 gives back. */
static size_t
list_open(const struct space *space, struct vector source, struct vector receiver,
          struct image *out)
{
    struct vector below = {source.x, source.y, -source.z};
    struct vector seen = {receiver.x, receiver.y, -receiver.z};

    out[0] = (struct image){fmax(vector_length(vector_minus(source, receiver)), NEAREST_M), 1,
                            source, receiver};
    if (space->kind == SPACE_FREE)
        return 1;
    out[1] = (struct image){fmax(vector_length(vector_minus(below, receiver)), NEAREST_M),
                            sqrt(1 - space->absorption[4]), below, seen};
    return 2;
}

size_t
images_find(const struct space *space, struct vector source, struct vector receiver,
            struct image *out)
{
    struct image *all = calloc(IMAGES_MOST, sizeof *all);
    size_t count;

    if (!all)
        return 0;
    count = space->kind == SPACE_BOX ? list_box(space, source, receiver, all)
                                     : list_open(space, source, receiver, all);
    qsort(all, count, sizeof *all, by_strength);
    if (count > space->paths)
        count = space->paths;
    while (count > 0 && all[count - 1].walls == 0)
        count--;
    for (size_t i = 0; i < count; i++)
        out[i] = all[i];
    free(all);
    return count;
}
