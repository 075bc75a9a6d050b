/* SPDX-License-Identifier: MIT */
#include "engine/life.h"

const char *
life_state_name(enum life_state state)
{
    static const char *const names[] = {"clear", "rising", "raised", "easing"};

    return names[state];
}

bool
life_is_open(const struct life *life)
{
    return life->state == LIFE_RAISED || life->state == LIFE_EASING;
}

static void
set_state(struct life *life, enum life_state state, int64_t now_ms, const char *why,
          const struct life_log *log)
{
    enum life_state from = life->state;

    life->state = state;
    life->since_ms = life->still_ms = now_ms;
    life->why = why;
    if (log)
        log->tell(log->context, from, state, why);
}

int64_t
life_next_ms(const struct life *life, const struct life_holds *holds)
{
    int64_t still_ms, longest_ms;

    if (life->frozen)
        return INT64_MAX;
    switch (life->state) {
    case LIFE_CLEAR:
    case LIFE_RAISED:
        return INT64_MAX;
    case LIFE_RISING:
        still_ms = life->still_ms + holds->raise_ms;
        longest_ms = life->since_ms + holds->longest_ms;
        return still_ms < longest_ms ? still_ms : longest_ms;
    case LIFE_EASING:
        return life->still_ms + holds->clear_ms;
    }
    return INT64_MAX;
}

void
life_pass(struct life *life, const struct life_holds *holds, int64_t now_ms,
          const struct life_log *log)
{
    if (life_next_ms(life, holds) > now_ms)
        return;
    if (life->state == LIFE_RISING)
        set_state(life, LIFE_RAISED, now_ms, "it held", log);
    else
        set_state(life, LIFE_CLEAR, now_ms, "it stayed away", log);
}

static void
see_known(struct life *life, bool bad, int64_t now_ms, const struct life_log *log)
{
    switch (life->state) {
    case LIFE_CLEAR:
        if (bad)
            set_state(life, LIFE_RISING, now_ms, "the check fails", log);
        break;
    case LIFE_RISING:
        if (!bad)
            set_state(life, LIFE_CLEAR, now_ms, "gone before it held", log);
        break;
    case LIFE_RAISED:
        if (!bad)
            set_state(life, LIFE_EASING, now_ms, "the check passes", log);
        break;
    case LIFE_EASING:
        if (bad)
            set_state(life, LIFE_RAISED, now_ms, "it came back", log);
        break;
    }
}

void
life_see(struct life *life, enum seen seen, bool moved, const struct life_holds *holds,
         int64_t now_ms, const struct life_log *log)
{
    if (seen == SEEN_UNKNOWN) {
        life->frozen = true;
        return;
    }
    if (life->frozen || moved)
        life->still_ms = now_ms;
    if (life->frozen && life->state == LIFE_RISING)
        life->since_ms = now_ms; /* what it was in between nobody knows */
    life->frozen = false;
    see_known(life, seen == SEEN_BAD, now_ms, log);
    life_pass(life, holds, now_ms, log);
}
