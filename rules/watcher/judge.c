/* SPDX-License-Identifier: MIT */
/* What both the watcher and its recalls do when the desk has come to rest. */
#include "watcher/parts.h"

void
watcher_judge_at_once(struct watcher *watcher, const struct telling *telling)
{
    causes_close_all(&watcher->causes);
    engine_hold(watcher->engine, false);
    engine_run(watcher->engine, watcher->now_ms, watcher_on_event, watcher);
    engine_hold(watcher->engine, true);
    watcher_say_all(watcher, telling);
    moves_settle(engine_moves(watcher->engine), engine_desk(watcher->engine));
}

void
watcher_say_anchored(struct watcher *watcher)
{
    if (watcher->owner.anchored)
        watcher->owner.anchored(watcher->owner.context);
}
