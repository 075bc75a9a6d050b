/* SPDX-License-Identifier: MIT */
#include "listen/pair.h"

/* Of one score the one that needs no law: "-12.5 dB" rather than a position. */
static int
score_of(const struct stirring_found *one, const struct stirring_found *other)
{
    return 2 * (one->score + other->score) + (one->at.type == 's');
}

bool
pair_find(const struct place_of *of, const struct place_object objects[2],
          const struct pair_list lists[2], struct place *place, size_t *which)
{
    struct place tried;
    int best = -1;

    for (size_t i = 0; i < lists[0].count; i++)
        for (size_t k = 0; k < lists[1].count; k++) {
            struct stirring_at at[2] = {lists[0].found[i].at, lists[1].found[k].at};
            int score = score_of(&lists[0].found[i], &lists[1].found[k]);
            bool good = place_find(of, at, objects, &tried);

            if (!good && best < 0 && i + k == 0)
                *place = tried;
            if (!good || score <= best)
                continue;
            best = score;
            *place = tried;
            *which = k;
        }
    return best >= 0;
}
