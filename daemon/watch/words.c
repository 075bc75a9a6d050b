/* SPDX-License-Identifier: MIT */
#include "watch/words.h"

#include <stdio.h>

#include "base/clock.h"
#include "check/check.h"
#include "core/text.h"
#include "report/findings.h"
#include "report/report.h"

const char *
watch_count_open(struct engine *engine, char text[WATCH_WORDS_SIZE])
{
    const struct finding *const *findings;
    size_t count = engine_findings(engine, &findings);
    size_t weights[WEIGHTS] = {0};

    for (size_t i = 0; i < count; i++)
        weights[findings[i]->verdict.weight] += findings[i]->accept < 0;
    snprintf(text, WATCH_WORDS_SIZE, "%zu stop, %zu fix, %zu note, %zu not known",
             weights[WEIGHT_STOP], weights[WEIGHT_FIX], weights[WEIGHT_NOTE],
             report_unknown(engine));
    return text;
}

const char *
watch_hidden_by(struct watcher *watcher, struct engine *engine, enum hidden hidden, int by,
                char text[WATCH_WORDS_SIZE])
{
    const struct quiets *quiets = watcher_quiets(watcher);
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
    case HIDDEN_BY_MUTE:
        snprintf(text, WATCH_WORDS_SIZE, "%s is muted",
                 report_object(engine, (struct object){-1, by}, object));
        break;
    case HIDDEN_BY_ROOM:
        snprintf(text, WATCH_WORDS_SIZE, "room %s", room_name((enum room)by));
        break;
    }
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
