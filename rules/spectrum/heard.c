/* SPDX-License-Identifier: MIT */
#include "spectrum/heard.h"

#define FALLEN_DB 6.0 /* below its highest: it stands no more */

void
heard_take(struct heard_thirds *thirds, const struct rise *rise, int64_t now_ms)
{
    struct risen risen;

    if (rise_looser(rise, &risen))
        thirds->of[risen.third] = (struct heard){risen.hz, risen.level_db, now_ms, now_ms};
    for (int i = 0; i < SPECTRUM_THIRDS; i++) {
        struct heard *heard = &thirds->of[i];
        double level_db = rise_level(rise, i);

        if (heard->hz <= 0 || level_db < heard->level_db - FALLEN_DB)
            continue;
        heard->level_db = level_db > heard->level_db ? level_db : heard->level_db;
        heard->at_ms = now_ms;
    }
}
