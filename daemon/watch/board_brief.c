/* SPDX-License-Identifier: MIT */
#include "watch/board_brief.h"

#include <stdlib.h>

#include "core/need.h"
#include "watch/handles.h"

enum { BRIEFS_KEPT = 64, LASTS_MS = 1000 };

/* Of a finding as it was told then, and is so bad. */
struct kept_brief {
    size_t slot;
    int64_t told_ms, made_ms;
    double severity;
    struct brief brief;
};

struct board_briefs {
    struct kept_brief kept[BRIEFS_KEPT];
    size_t count;
};

struct board_briefs *
board_briefs_new(void)
{
    return need_memory(1, sizeof(struct board_briefs));
}

void
board_briefs_free(struct board_briefs *briefs)
{
    free(briefs);
}

void
board_briefs_forget(struct board_briefs *briefs)
{
    briefs->count = 0;
}

/* The finding's own, else a free one, else the oldest. */
static struct kept_brief *
place_of(struct board_briefs *briefs, size_t slot)
{
    struct kept_brief *oldest = &briefs->kept[0];

    for (size_t i = 0; i < briefs->count; i++) {
        if (briefs->kept[i].slot == slot)
            return &briefs->kept[i];
        if (briefs->kept[i].made_ms < oldest->made_ms)
            oldest = &briefs->kept[i];
    }
    if (briefs->count == BRIEFS_KEPT)
        return oldest;
    briefs->kept[briefs->count].made_ms = INT64_MIN;
    return &briefs->kept[briefs->count++];
}

static bool
is_good(const struct kept_brief *kept, const struct finding *finding, int64_t now_ms)
{
    return kept->made_ms != INT64_MIN && kept->slot == finding->slot &&
           kept->told_ms == finding->told_ms && kept->severity == finding->verdict.severity &&
           now_ms - kept->made_ms < LASTS_MS;
}

void
board_brief(const struct watch_desk *desk, const struct standing *one, struct brief *brief)
{
    const struct finding *finding = one->finding;
    struct kept_brief *kept;

    if (!one->fresh) {
        engine_brief(desk->session->engine, finding, false, brief);
        return;
    }
    kept = place_of(desk->briefs, finding->slot);
    if (!is_good(kept, finding, watch_now_ms(desk))) {
        *kept = (struct kept_brief){.slot = finding->slot,
                                    .told_ms = finding->told_ms,
                                    .made_ms = watch_now_ms(desk),
                                    .severity = finding->verdict.severity};
        engine_brief(desk->session->engine, finding, true, &kept->brief);
    }
    *brief = kept->brief;
}
