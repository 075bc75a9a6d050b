/* SPDX-License-Identifier: MIT */
#include "check/own_send.h"

#include <math.h>

#include "change/difference.h"
#include "check/list.h"
#include "desk/label.h"
#include "desk/player.h"

static const enum param_id reads[] = {OWN_SEND_READS, PARAMS};

/* Takes the send into one of the player's mixes into account; of several the one farthest from
 * unity. */
static bool
add_own(struct look *look, int input, int mix, struct own_send *own)
{
    struct send_level send;

    if (!look_send_db(look, input, mix, &send))
        return false;
    if (send.db > -HUGE_VAL && send.fader_db == -HUGE_VAL) {
        own->closed = true;
    } else if (own->mix < 0 || fabs(send.db) > fabs(own->db)) {
        own->mix = mix;
        own->db = send.db;
    }
    return true;
}

static bool
own_by_player(struct look *look, int input, struct own_send *own)
{
    const char *player = look->show->inputs[input].player;

    for (int mix = 0; *player && mix < desk_count(look->desk, INDEX_MIX); mix++)
        if (label_equal(player, look->show->mixes[mix].player) && !add_own(look, input, mix, own))
            return false;
    return true;
}

/* A send that is off tells nothing here: the label alone does not make it the player's own. */
static bool
own_by_label(struct look *look, int input, struct own_send *own)
{
    struct own_send found = *own;

    look->verdict->inferred = true;
    for (int mix = 0; mix < desk_count(look->desk, INDEX_MIX); mix++) {
        if (!player_label_has_mix(look->desk, input, mix))
            continue;
        if (!add_own(look, input, mix, &found))
            return false;
        if (found.closed || found.db > -HUGE_VAL)
            *own = found;
        found = *own;
    }
    return true;
}

/* Where no label tells either, the loudest send stands in. */
static bool
own_by_level(struct look *look, int input, struct own_send *own)
{
    for (int mix = 0; mix < desk_count(look->desk, INDEX_MIX); mix++) {
        struct behind path;

        if (!look_behind_preamp(look, input, mix, &path))
            return false;
        if (path.sum_db > -HUGE_VAL && (own->mix < 0 || path.send_db > own->db)) {
            own->mix = mix;
            own->db = path.send_db;
        }
    }
    return true;
}

/* A show file that names no player of an input, or none of a mix, says as little as none. */
static bool
names_players(const struct show *show)
{
    int input = 0, mix = 0;

    while (input < show->input_count && !*show->inputs[input].player)
        input++;
    while (mix < show->mix_count && !*show->mixes[mix].player)
        mix++;
    return input < show->input_count && mix < show->mix_count;
}

bool
own_send_of(struct look *look, int input, struct own_send *own)
{
    *own = (struct own_send){-1, -HUGE_VAL, false};
    if (names_players(look->show))
        return own_by_player(look, input, own);
    if (!own_by_label(look, input, own))
        return false;
    return own->mix >= 0 || own->closed || own_by_level(look, input, own);
}

/* ---- since the desk was as it was meant ---- */

static bool
is_as_meant(const struct look *look, enum param_id id, int input)
{
    return difference_of(ground_meant(look->ground), look->desk, id, input, 0) == SAME;
}

static bool
is_head_as_meant(const struct look *look, int input)
{
    return is_as_meant(look, PARAM_INPUT_PREAMP_GAIN, input) &&
           is_as_meant(look, PARAM_INPUT_PAD, input) && is_as_meant(look, PARAM_INPUT_TRIM, input);
}

static bool
used_preamp(const struct look *look, int input)
{
    double note_db = look->show->checks[CHECK_UNUSED_PREAMP_GAIN].settings[0];
    struct verdict aside;
    struct look then = look_reader(ground_meant(look->ground), look->show, reads, &aside);
    struct surplus surplus;

    return surplus_of(&then, input, &surplus) && surplus.open && surplus.surplus_db < note_db;
}

/* It is far below unity, and was higher. */
static bool
came_down(const struct look *look, int input)
{
    struct verdict aside;
    struct look now = look_reader(look->desk, look->show, reads, &aside);
    struct own_send own;
    const struct value *was;

    if (!own_send_of(&now, input, &own) || own.mix < 0 ||
        own.db >= -look->show->checks[CHECK_OWN_SEND_OFF_UNITY].settings[0])
        return false;
    was = desk_value(ground_meant(look->ground), PARAM_SEND_LEVEL, input, own.mix);
    return value_number(was) > own.db;
}

bool
own_send_slipped(const struct look *look, int input)
{
    return look->ground && ground_meant(look->ground) &&
           !look->show->checks[CHECK_OWN_SEND_OFF_UNITY].off && is_head_as_meant(look, input) &&
           came_down(look, input) && used_preamp(look, input);
}
