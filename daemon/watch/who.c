/* SPDX-License-Identifier: MIT */
#include "watch/who.h"

#include <stdlib.h>
#include <string.h>

#include "core/need.h"
#include "core/text.h"
#include "desk/label.h"
#include "desk/player.h"

struct who {
    char (*names)[SHOW_NAME_SIZE]; /* owned: each once */
    size_t count;
};

static bool
has(const struct who *who, const char *name)
{
    for (size_t i = 0; i < who->count; i++)
        if (label_equal(who->names[i], name))
            return true;
    return false;
}

/* What was written behind the last name becomes one, unless it is empty or there. */
static void
keep(struct who *who)
{
    if (*who->names[who->count] && !has(who, who->names[who->count]))
        who->count++;
}

static struct who
find_all(const struct session *session)
{
    const struct show *show = engine_show(session->engine);
    const struct desk *desk = engine_desk(session->engine);
    struct who who = {
        need_memory((size_t)(show->mix_count + show->input_count + 1), sizeof *who.names), 0};

    for (int mix = 0; mix < show->mix_count; mix++) {
        player_of_mix(desk, show, mix, who.names[who.count]);
        keep(&who);
    }
    for (int input = 0; input < show->input_count; input++) {
        memcpy(who.names[who.count], show->inputs[input].player, SHOW_NAME_SIZE);
        keep(&who);
    }
    return who;
}

const char *
who_refuse(const struct session *session, const char *player, char error[WHO_ERROR_SIZE])
{
    struct who who = find_all(session);
    bool known = has(&who, player);
    struct text text;

    text_init(&text, error, WHO_ERROR_SIZE);
    text_add(&text, "nobody here is called \"%s\"; there %s", player,
             who.count == 0 ? "is no player: the show file names them" : "are ");
    for (size_t i = 0; i < who.count; i++)
        text_add(&text, "%s%s", i > 0 ? ", " : "", who.names[i]);
    free(who.names);
    return known ? NULL : error;
}
