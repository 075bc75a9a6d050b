/* SPDX-License-Identifier: MIT */
#include "watch/words.h"

#include <stdio.h>

#include "check/check.h"
#include "core/text.h"
#include "report/findings.h"
#include "report/report.h"
#include "tell/chat.h"
#include "watch/handles.h"

const char *
watch_count_open(struct engine *engine, char text[WATCH_WORDS_SIZE])
{
    size_t open[WEIGHTS] = {0};
    char counts[WEIGHT_COUNTS_SIZE];

    report_count_open(engine, open);
    snprintf(text, WATCH_WORDS_SIZE, "%s, %zu not known", weight_counts(open, counts),
             report_unknown(engine));
    return text;
}

const char *
watch_count_values(const struct engine *engine, char text[WATCH_WORDS_SIZE])
{
    const struct desk *desk = engine_desk(engine);

    snprintf(text, WATCH_WORDS_SIZE, "%zu values known, %zu stale",
             desk_count_state(desk, VALUE_KNOWN), desk_count_state(desk, VALUE_STALE));
    return text;
}

/* "ring-out of mix 1", "ring-out of mixes 1, 2, 4"; "" while nothing is rung out. */
static const char *
ring_out_text(const struct watch_desk *desk, char line[WATCH_WORDS_SIZE])
{
    int mixes = desk_count(engine_desk(desk->session->engine), INDEX_MIX), count = 0;
    struct text text;

    text_init(&text, line, WATCH_WORDS_SIZE);
    for (int mix = 0; mix < mixes; mix++)
        count += watcher_rings_out(desk->watcher, mix);
    if (count > 0)
        text_add(&text, "ring-out of mix%s", count > 1 ? "es" : "");
    for (int mix = 0, named = 0; mix < mixes; mix++)
        if (watcher_rings_out(desk->watcher, mix))
            text_add(&text, "%s %d", named++ > 0 ? "," : "", mix + 1);
    return line;
}

const char *
watch_hidden_by(const struct watch_desk *desk, enum hidden hidden, int by,
                char text[WATCH_WORDS_SIZE])
{
    const struct quiets *quiets = watcher_quiets(desk->watcher);
    char object[REPORT_OBJECT_SIZE];

    *text = '\0';
    switch (hidden) {
    case HIDDEN_NOT:
        break;
    case HIDDEN_BY_QUIET:
        for (size_t i = 0; i < quiets->count; i++)
            if (quiets->list[i].number == by)
                snprintf(text, WATCH_WORDS_SIZE, "quieting %d (%s)", by, quiets->list[i].why);
        break;
    case HIDDEN_BY_RING_OUT:
        ring_out_text(desk, text);
        break;
    case HIDDEN_BY_MUTE:
        snprintf(text, WATCH_WORDS_SIZE, "%s is muted",
                 report_object(desk->session->engine, (struct object){-1, by}, object));
        break;
    case HIDDEN_BY_ROOM:
        snprintf(text, WATCH_WORDS_SIZE, "room %s", room_name((enum room)by));
        break;
    }
    return text;
}

const char *
watch_held_text(const struct watch_desk *desk, char *line, size_t size)
{
    int64_t until_ms = watcher_ring_out_until_ms(desk->watcher);
    char what[WATCH_WORDS_SIZE], span[CLOCK_SIZE];

    *line = '\0';
    if (until_ms != INT64_MAX)
        snprintf(line, size, "held: %s; ends in %s, unless something of it moves",
                 ring_out_text(desk, what), clock_span(until_ms - watch_now_ms(desk), span));
    return line;
}

const char *
watch_hidden(const struct watch_desk *desk, const struct finding *finding,
             char text[WATCH_WORDS_SIZE])
{
    int by;
    enum hidden hidden = watcher_hidden(desk->watcher, finding, &by);

    return watch_hidden_by(desk, hidden, by, text);
}

const char *
watch_room_left(const struct watch_desk *desk, char text[WATCH_LEFT_SIZE])
{
    int64_t until_ms = watcher_room_until_ms(desk->watcher);
    char span[CLOCK_SIZE];

    *text = '\0';
    if (until_ms != INT64_MAX)
        snprintf(text, WATCH_LEFT_SIZE, "ends in %s",
                 clock_span(until_ms - watch_now_ms(desk), span));
    return text;
}

void
watch_quiet_text(const struct quiet *quiet, int64_t now_ms, char *line, size_t size)
{
    char span[CLOCK_SIZE];
    struct text text;

    text_init(&text, line, size);
    text_add(&text, "quieting %d", quiet->number);
    if (quiet->check >= 0)
        text_add(&text, ", %s", check_name(quiet->check));
    if (quiet->input >= 0)
        text_add(&text, ", input %d", quiet->input + 1);
    if (quiet->mix >= 0)
        text_add(&text, ", mix %d", quiet->mix + 1);
    if (*quiet->player)
        text_add(&text, ", player %s", quiet->player);
    text_add(&text, "%s: %s %s%s, held back %zu (%s%s%s)", quiet->stop_too ? ", stop too" : "",
             quiet->ended ? "ended" : "ends in",
             clock_span(quiet->ended ? now_ms - quiet->until_ms : quiet->until_ms - now_ms, span),
             quiet->ended ? " ago" : "", quiet->hid, quiet->why, *quiet->by ? ", by " : "",
             quiet->by);
}

const char *
watch_hook_text(const struct chat *chat, char *line, size_t size)
{
    struct chat_state state = chat_state(chat);
    bool one = state.waiting == 1;
    char span[CLOCK_SIZE];
    struct text text;

    text_init(&text, line, size);
    if (state.waiting == 0) {
        text_add(&text, "nothing waits for the hook");
        return line;
    }
    text_add(&text, "%d message%s for the hook%s for %s", state.waiting, one ? " waits" : "s wait",
             one ? "" : ", the oldest", clock_span(state.waited_ms, span));
    if (*chat_why(chat))
        text_add(&text, ": %s", chat_why(chat));
    if (chat_has_stopped(chat))
        text_add(&text, "; delivery stopped: mend the hook, then `gainwarden reload SHOW`");
    else if (state.next_try_ms >= 0)
        text_add(&text, "; tried again in %s", clock_span(state.next_try_ms, span));
    else
        text_add(&text, "; being tried now");
    return line;
}
