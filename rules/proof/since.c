/* SPDX-License-Identifier: MIT */
#include "proof/since.h"

#include <math.h>
#include <stddef.h>
#include <string.h>

#include "proof/tone.h"

static const double moved_db = 0.05;

static const struct {
    const char *what;
    size_t at; /* in struct path_level */
    double sign;
} parts[] = {
    {NULL, 0, 0},
    {"preamp", offsetof(struct path_level, preamp_db), 1},
    {"pad", offsetof(struct path_level, pad_db), -1},
    {"trim", offsetof(struct path_level, trim_db), 1},
    {"make-up", offsetof(struct path_level, makeup_db), 1},
    {"fader", offsetof(struct path_level, fader_db), 1},
    {"send", offsetof(struct path_level, send_db), 1},
    {"master", offsetof(struct path_level, master_db), 1},
    {"mix trim", offsetof(struct path_level, mix_trim_db), 1},
};

enum { PARTS = (int)(sizeof parts / sizeof *parts), INPUT_FILTERS = PARTS, MIX_FILTERS };

const char *
since_part(int part)
{
    return part == INPUT_FILTERS ? "input filters"
           : part == MIX_FILTERS ? "mix filters"
                                 : parts[part].what;
}

void
since_says(struct text *text, const struct since *since)
{
    for (int i = 0; i < since->count; i++)
        text_add(text, "%s its %s%s by %f dB",
                 i == 0                 ? ", since"
                 : i < since->count - 1 ? ","
                                        : " and",
                 since_part(since->of[i].part), i == 0 ? " rose" : "", since->of[i].db);
}

static void
offer(struct since *since, int part, double db)
{
    int at = since->count;

    while (at > 0 && db > since->of[at - 1].db)
        at--;
    if (!(db > moved_db) || at == SINCE_MOST)
        return;
    since->count = since->count < SINCE_MOST ? since->count + 1 : SINCE_MOST;
    for (int i = since->count - 1; i > at; i--)
        since->of[i] = since->of[i - 1];
    since->of[at] = (struct since_part){part, db};
}

static double
part_db(const struct path_level *level, int i)
{
    double db;

    memcpy(&db, (const char *)level + parts[i].at, sizeof db);
    return parts[i].sign * db;
}

static void
offer_tone(struct since *since, int part, const struct tone *was, const struct tone *is, double hz)
{
    if (was->known && is->known && !tone_same(was, is))
        offer(since, part, tone_db(is, hz) - tone_db(was, hz));
}

struct since
since_of(const struct since_end *left, const struct since_end *now, int input, int mix, double hz)
{
    struct since since = {0};
    struct path_level was, is;

    if (!path_level_on(left->desk, input, mix, &was) || !path_level_on(now->desk, input, mix, &is))
        return since;
    for (int i = 1; i < PARTS; i++)
        offer(&since, i, part_db(&is, i) - part_db(&was, i));
    if (isnan(hz))
        return since;
    if (is.filtered)
        offer_tone(&since, INPUT_FILTERS, left->input, now->input, hz);
    offer_tone(&since, MIX_FILTERS, left->mix, now->mix, hz);
    return since;
}
