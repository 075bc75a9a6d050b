/* SPDX-License-Identifier: MIT */
#include "sound/ladder.h"

#include <math.h>
#include <stddef.h>

#include "desk/label.h"
#include "desk/player.h"

static const enum param_id reads[] = {PATH_LEVEL_READS, PARAMS};

const char *
ladder_rung_name(enum rung rung)
{
    static const char *const names[RUNGS] = {"socket", "preamp", "fader", "send", "master"};

    return names[rung];
}

bool
ladder_path(const struct desk *desk, const struct show *show, int input, int mix,
            struct path_level *level)
{
    struct verdict verdict = {.outcome = OUTCOME_NOT_ASKED};
    struct look look = look_reader(desk, show, reads, &verdict);

    return path_level(&look, input, mix, level);
}

bool
ladder_is_own(const struct desk *desk, const struct show *show, int input, int mix)
{
    char player[SHOW_NAME_SIZE];

    player_of_mix(desk, show, mix, player);
    return *player && label_equal(show->inputs[input].player, player);
}

/* Whether this path is to be shown in place of the one that is. */
static bool
is_louder(const struct ladder *ladder, const struct path_level *level, bool own)
{
    double behind_db = level->sum_db - ladder->path.sum_db;

    if (level->sum_db == -HUGE_VAL)
        return false;
    return ladder->mix < 0 || behind_db > 0 || (behind_db == 0 && own && !ladder->own);
}

static void
climb(struct ladder *ladder)
{
    const struct path_level *path = &ladder->path;
    const double steps[RUNGS] = {0, path->preamp_db - path->pad_db + path->trim_db,
                                 path->makeup_db + path->fader_db, path->send_db,
                                 path->master_db + path->mix_trim_db};
    double level_db = 0;

    for (int rung = 0; rung < RUNGS; rung++)
        ladder->level_db[rung] = level_db += steps[rung];
    ladder->behind_db = ladder->level_db[RUNG_MASTER] - ladder->level_db[RUNG_PREAMP];
}

void
ladder_of(const struct desk *desk, const struct show *show, int input, struct ladder *ladder)
{
    const struct value *mute = desk_value(desk, PARAM_INPUT_MUTE, input, 0);
    bool known = true;

    *ladder =
        (struct ladder){.mix = -1, .muted = mute->state == VALUE_KNOWN && value_number(mute) != 0};
    for (int mix = 0; mix < desk_count(desk, INDEX_MIX); mix++) {
        struct path_level level;
        bool own = ladder_is_own(desk, show, input, mix);

        if (!ladder_path(desk, show, input, mix, &level))
            known = false;
        else if (is_louder(ladder, &level, own)) {
            ladder->mix = mix;
            ladder->own = own;
            ladder->path = level;
        }
    }
    ladder->state = !known ? LADDER_NOT_KNOWN : ladder->mix < 0 ? LADDER_CLOSED : LADDER_SHOWN;
    if (ladder->mix >= 0)
        climb(ladder);
}
