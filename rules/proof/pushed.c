/* SPDX-License-Identifier: MIT */
#include "proof/pushed.h"

#include <math.h>
#include <stddef.h>

static const double put_back_db = 1; /* so near do hands; common practice, no source */

/* Each path of it stands `db` below the ceiling, as hands put it. */
static bool
lies_below_by(const struct row *row, double db)
{
    return row->unknown == 0 && row->unproved < 0 && row->moves.kinds == 0 &&
           (row->input < 0 ||
            (fabs(row->db - db) <= put_back_db && fabs(row->most_fall_db - db) <= put_back_db));
}

/* The one mix that rose to the ceiling, all of its paths alike; -1: it is no push. */
static int
pushed_to(const struct figures *figures, int ceiling)
{
    const struct row *rows = figures->left + (size_t)ceiling * (size_t)figures->mixes;
    int found = -1;

    for (int mix = 0; mix < figures->mixes; mix++) {
        if (figures->loops[mix] == SURE_NO || lies_below_by(&rows[mix], 0))
            continue;
        if (found >= 0 || rows[mix].db <= 0 || !lies_below_by(&rows[mix], rows[mix].db))
            return -1;
        found = mix;
    }
    return found;
}

void
pushed_find(struct figures *figures)
{
    for (int i = 0; i < figures->ceilings; i++)
        figures->pushed[i] = figures->left && figures->kept[i].mix < 0 ? pushed_to(figures, i) : -1;
}

static bool
was_pushed(const struct figures *figures, int mix)
{
    int i = 0;

    while (i < figures->ceilings && figures->pushed[i] != mix)
        i++;
    return i < figures->ceilings;
}

static bool
has_others(const struct figures *figures, int mix)
{
    int other = 0;

    while (other < figures->mixes && (other == mix || figures->loops[other] == SURE_NO ||
                                      row_is_closed(&figures->now[other])))
        other++;
    return other < figures->mixes;
}

double
pushed_less_db(const struct figures *figures, int ceiling, int mix)
{
    bool less = figures->left && figures->kept[ceiling].mix < 0 && !was_pushed(figures, mix) &&
                has_others(figures, mix);

    return less ? PUSHED_LESS_DB : 0;
}

int
pushed_instead(const struct figures *figures, const struct row *rows, int ceiling, int mix)
{
    const struct row *of_mix = rows + mix;
    int stride = figures->mixes, best = -1;

    if (figures->kept[ceiling].mix >= 0)
        return ceiling;
    for (int i = 0; i < figures->ceilings; i++) {
        const struct row *row = &of_mix[i * stride];

        if (figures->pushed[i] == mix && row->unknown == 0 && row->input >= 0 &&
            (best < 0 || row->db > of_mix[best * stride].db))
            best = i;
    }
    return best >= 0 && of_mix[best * stride].db < of_mix[ceiling * stride].db ? best : ceiling;
}
