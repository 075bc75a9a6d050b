/* SPDX-License-Identifier: MIT */
#include "watch/lists.h"

#include <stdio.h>

#include "check/check.h"
#include "report/report.h"
#include "screen/view.h"
#include "watch/handles.h"
#include "watch/words.h"

struct unknowns {
    const struct watch_desk *desk;
    lists_line_fn *each;
    void *context;
    size_t count;
};

static void
on_unknown(void *context, const struct check *check, struct object object, const char *why)
{
    struct unknowns *unknowns = context;
    char name[REPORT_OBJECT_SIZE], text[VIEW_TEXT_SIZE + 400];

    if (unknowns->count++ >= LISTS_UNKNOWN)
        return;
    snprintf(text, sizeof text, "%s, %s: %s", check->id,
             report_object(unknowns->desk->session->engine, object, name), why);
    unknowns->each(unknowns->context, text);
}

size_t
lists_unknown(const struct watch_desk *desk, lists_line_fn *each, void *context)
{
    struct unknowns unknowns = {desk, each, context, 0};

    engine_unknown(desk->session->engine, on_unknown, &unknowns);
    return unknowns.count;
}

void
lists_quieted(const struct watch_desk *desk, lists_line_fn *each, void *context)
{
    const struct quiets *quiets = watcher_quiets(desk->watcher);
    char line[VIEW_TEXT_SIZE];

    if (*watch_held_text(desk, line, sizeof line))
        each(context, line);
    for (size_t i = 0; i < quiets->count; i++) {
        if (quiets->list[i].ended)
            continue;
        watch_quiet_text(&quiets->list[i], watch_now_ms(desk), line, sizeof line);
        each(context, line);
    }
}
