/* SPDX-License-Identifier: MIT */
#include "watcher/quiet.h"

#include "desk/label.h"
#include "desk/player.h"

static void
make_room(struct quiets *quiets)
{
    size_t i = 0;

    while (i < quiets->count && !quiets->list[i].ended)
        i++;
    if (i == quiets->count)
        return;
    quiets->count--;
    for (; i < quiets->count; i++)
        quiets->list[i] = quiets->list[i + 1];
}

int
quiets_add(struct quiets *quiets, const struct quiet *quiet)
{
    if (quiets->count == QUIETS_KEPT)
        make_room(quiets);
    if (quiets->count == QUIETS_KEPT)
        return 0;
    quiets->list[quiets->count] = *quiet;
    quiets->list[quiets->count].number = ++quiets->last;
    quiets->count++;
    return quiets->last;
}

static void
end(struct quiet *quiet, int64_t now_ms)
{
    quiet->ended = true;
    quiet->until_ms = now_ms;
}

bool
quiets_end(struct quiets *quiets, int number, int64_t now_ms)
{
    for (size_t i = 0; i < quiets->count; i++) {
        if (quiets->list[i].number != number || quiets->list[i].ended)
            continue;
        end(&quiets->list[i], now_ms);
        return true;
    }
    return false;
}

int64_t
quiets_pass(struct quiets *quiets, int64_t now_ms)
{
    int64_t next_ms = INT64_MAX;

    for (size_t i = 0; i < quiets->count; i++) {
        struct quiet *quiet = &quiets->list[i];

        quiet->ended |= quiet->until_ms <= now_ms;
        if (!quiet->ended && quiet->until_ms < next_ms)
            next_ms = quiet->until_ms;
    }
    return next_ms;
}

static bool
is_worse(const struct quiet *quiet, const struct finding *finding)
{
    return finding->verdict.severity >= quiet->up_to + finding->check->worse_step;
}

bool
quiet_matches(const struct quiet *quiet, const struct desk *desk, const struct show *show,
              const struct finding *finding)
{
    int mix = finding->object.mix >= 0 ? finding->object.mix : finding->verdict.mix;
    char player[SHOW_NAME_SIZE];

    if ((finding->verdict.weight == WEIGHT_STOP && !quiet->stop_too) ||
        (quiet->meant && is_worse(quiet, finding)) ||
        (quiet->check >= 0 && quiet->check != finding->check->number) ||
        (quiet->input >= 0 && quiet->input != finding->object.input) ||
        (quiet->mix >= 0 && quiet->mix != mix))
        return false;
    if (!*quiet->player)
        return true;
    player_of(desk, show, finding->object, &finding->verdict, player);
    return label_equal(quiet->player, player);
}

struct quiet *
quiets_find(struct quiets *quiets, const struct desk *desk, const struct show *show,
            const struct finding *finding)
{
    for (size_t i = 0; i < quiets->count; i++)
        if (!quiets->list[i].ended && quiet_matches(&quiets->list[i], desk, show, finding))
            return &quiets->list[i];
    return NULL;
}

/* Whether what weighed stop is seen not to any more. What is not known any more may still. */
static bool
is_over(const struct quiet *quiet, const struct engine *engine)
{
    const struct object objects[] = {{quiet->input, quiet->mix}, {quiet->input, -1}};

    for (size_t i = 0; i < sizeof objects / sizeof *objects; i++) {
        size_t slot = engine_find(engine, quiet->check, objects[i]);
        const struct finding *finding =
            slot < engine_slots(engine) ? engine_slot(engine, slot) : NULL;

        if (finding && finding->life.state != LIFE_CLEAR && finding->verdict.weight == WEIGHT_STOP)
            return false;
    }
    return true;
}

void
quiets_look(struct quiets *quiets, const struct engine *engine, int64_t now_ms)
{
    for (size_t i = 0; i < quiets->count; i++) {
        struct quiet *quiet = &quiets->list[i];

        if (!quiet->ended && quiet->meant && quiet->stop_too && is_over(quiet, engine))
            end(quiet, now_ms);
    }
}
