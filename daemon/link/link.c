/* SPDX-License-Identifier: MIT */
#include "link/link.h"

#include <stdlib.h>

#include "link/way.h"

enum link_state
link_state(const struct link *link)
{
    return link->state;
}

struct link_figures
link_figures(const struct link *link)
{
    struct link_figures figures = link->figures;

    figures.now_ms = loop_now_ms(link->loop);
    link->way->add_figures(link, &figures);
    return figures;
}

void
link_set_state(struct link *link, enum link_state state, const char *why)
{
    enum link_state from = link->state;

    if (from == state)
        return;
    link->state = state;
    link->state_ms = loop_now_ms(link->loop);
    switch (state) {
    case LINK_RESOLVING:
        break;
    case LINK_READING:
        link->way->begin(link);
        break;
    case LINK_STEADY:
        link->way->rest(link);
        break;
    case LINK_LOST:
        link->fast = false;
        link->way->lose(link);
        engine_expire(link->engine, INT64_MAX);
        break;
    }
    link->owner.changed(link->owner.context, from, state, why);
}

void
link_expire(struct link *link, int64_t before_ms)
{
    size_t stale = engine_expire(link->engine, before_ms);

    if (stale == 0)
        return;
    if (link->owner.tap)
        link->owner.tap->expired(link->owner.tap->context, before_ms);
    if (link->owner.expired)
        link->owner.expired(link->owner.context, stale);
}

bool
link_is_reading(const struct link *link)
{
    return link->state == LINK_READING || link->fast;
}

bool
link_asks(const struct link *link)
{
    return link->probe_entry < link->profile->entry_count;
}

int64_t
link_silent_ms(const struct link *link)
{
    int64_t heard_ms = link->figures.last_heard_ms;

    return heard_ms >= 0 && link_asks(link) ? loop_now_ms(link->loop) - heard_ms : 0;
}

void
link_read_again(struct link *link)
{
    if (link->state != LINK_STEADY || link->fast || !link_asks(link))
        return;
    link->fast = true;
    link->way->read_again(link);
}

/* ---- opening and closing ---- */

void
link_init(struct link *link, router_answer_fn *answered)
{
    const struct profile *profile = link->profile;

    link->router = router_new(profile, link->engine, answered, link);
    link->forms =
        link->owner.heard ? (struct osc_forms){.untyped = true, .bare = true} : profile->forms;
    link->figures.last_heard_ms = -1;
    while (link->probe_entry < profile->entry_count &&
           (link->owner.quiet || !profile->entries[link->probe_entry].asks))
        link->probe_entry++;
    link->state_ms = loop_now_ms(link->loop);
}

void
link_free(struct link *link)
{
    router_free(link->router);
    free(link);
}

void
link_set_engine(struct link *link, struct engine *engine)
{
    link->engine = engine;
    router_set_engine(link->router, engine);
}

void
link_close(struct link *link)
{
    if (link)
        link->way->close(link);
}
