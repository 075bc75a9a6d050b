/* SPDX-License-Identifier: MIT */
#include "watch/standing.h"

#include <stdlib.h>
#include <string.h>

#include "core/need.h"
#include "watch/handles.h"
#include "watcher/watcher.h"

static int
by_freshness(const void *left, const void *right)
{
    const struct standing *a = left, *b = right;

    if (a->fresh != b->fresh)
        return a->fresh ? -1 : 1;
    if (a->urgent != b->urgent)
        return a->urgent ? -1 : 1;
    if (a->finding->verdict.weight != b->finding->verdict.weight)
        return a->finding->verdict.weight > b->finding->verdict.weight ? -1 : 1;
    if (a->finding->told_ms != b->finding->told_ms)
        return a->finding->told_ms > b->finding->told_ms ? -1 : 1;
    return strcmp(a->player, b->player);
}

/* It began, or grew worse, less than a minute ago or since the room changed, and was not so from the
 * beginning. What is held back is no news. */
static bool
is_fresh(const struct watch_desk *desk, const struct finding *finding)
{
    int64_t told_ms = finding->told_ms;
    int by;

    if (told_ms <= desk->judge.stood_ms ||
        (watch_now_ms(desk) - told_ms >= STANDING_FRESH_MS && told_ms < desk->room_ms))
        return false;
    return finding->verdict.weight == WEIGHT_STOP ||
           watcher_hidden(desk->watcher, finding, &by) == HIDDEN_NOT;
}

static int
quieted_by(const struct watch_desk *desk, const struct finding *finding)
{
    const struct engine *engine = desk->session->engine;
    const struct quiet *quiet = quiets_find(watcher_quiets(desk->watcher), engine_desk(engine),
                                            engine_show(engine), finding);

    return quiet ? quiet->number : 0;
}

struct standing *
standing_list(const struct watch_desk *desk, size_t *count)
{
    const struct finding *const *findings;
    size_t all = engine_findings(desk->session->engine, &findings);
    struct standing *list = need_memory(all, sizeof *list);

    *count = 0;
    for (size_t i = 0; i < all; i++) {
        struct standing *one = &list[*count];

        if (findings[i]->accept >= 0)
            continue;
        one->finding = findings[i];
        one->fresh = is_fresh(desk, findings[i]);
        one->urgent = one->fresh && watcher_is_urgent(findings[i]);
        one->quieted = quieted_by(desk, findings[i]);
        engine_player(desk->session->engine, findings[i], one->player);
        ++*count;
    }
    if (*count > 0)
        qsort(list, *count, sizeof *list, by_freshness);
    return list;
}

bool
standing_is_closed(const struct watch_desk *desk, const struct finding *finding)
{
    return finding->life.frozen &&
           engine_outcome(desk->session->engine, finding->slot) == OUTCOME_CLOSED;
}

bool
standing_is_stale(const struct watch_desk *desk, const struct finding *finding)
{
    return finding->life.frozen && !standing_is_closed(desk, finding);
}
