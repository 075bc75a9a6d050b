/* SPDX-License-Identifier: MIT */
/* Quietings: what one would hold back, begun, listed and ended. */
#include "watch/answer.h"

#include <assert.h>
#include <stdio.h>

#include "base/clock.h"
#include "check/check.h"
#include "report/report.h"
#include "watch/earlier.h"
#include "watch/kept.h"
#include "watch/saying.h"
#include "watch/who.h"
#include "watch/words.h"

/* What is wrong with the request, or NULL with the quieting. */
static const char *
read_quiet(const struct watch_desk *desk, const struct json *request, struct quiet *quiet,
           char *error)
{
    const struct desk *model = engine_desk(desk->session->engine);
    double input = answer_number(request, "input", ANSWER_NUMBER_MOST);
    double mix = answer_number(request, "mix", ANSWER_NUMBER_MOST);
    double for_s = answer_number(request, "for_s", EARLIER_LONGEST_S + 1);

    *quiet = kept_quiet_of(request);
    quiet->until_ms = watch_now_ms(desk) + (int64_t)(for_s * 1000);
    if (*json_string_at(request, "check") && quiet->check < 0)
        return "no such check; `gainwarden explain` lists them";
    if (input > desk_count(model, INDEX_INPUT))
        return "the desk has no such input";
    if (mix > desk_count(model, INDEX_MIX))
        return "the desk has no such mix";
    if (quiet->check < 0 && input < 1 && mix < 1 && !*quiet->player)
        return "quieting everything is not done: name a check, an input, a mix or a player";
    if (for_s < 1 || for_s > EARLIER_LONGEST_S)
        return "quieting lasts from 1 s to a week";
    if (!*quiet->why)
        return "quieting needs a reason";
    return *quiet->player ? who_refuse(desk->session, quiet->player, error) : NULL;
}

/* Lists what stands and matches; how many. */
static size_t
add_matches(const struct watch_desk *desk, const struct quiet *quiet, const struct answer *answer)
{
    struct engine *engine = desk->session->engine;
    size_t count = 0;

    for (size_t slot = 0; slot < engine_slots(engine); slot++) {
        const struct finding *finding = engine_slot(engine, slot);
        char object[REPORT_OBJECT_SIZE];
        struct words words;

        if (finding->life.state == LIFE_CLEAR || finding->accept >= 0 ||
            !quiet_matches(quiet, engine_desk(engine), engine_show(engine), finding))
            continue;
        if (++count > ANSWER_LISTED)
            continue;
        engine_words(engine, finding, &words);
        answer_line(answer, "  %s [%s] %s: %s", weight_name(finding->verdict.weight),
                    finding->check->id, report_object(engine, finding->object, object), words.says);
    }
    return count;
}

static_assert(QUIETS_KEPT == 32, "as the text says");
static const char too_many[] = "32 quietings run already; `gainwarden quiet SHOW --end N` ends one";

const char *
answer_quiet(struct watch_desk *desk, const struct json *request, const struct answer *answer)
{
    bool now = json_bool_at(request, "now");
    struct quiet quiet;
    const char *wrong = read_quiet(desk, request, &quiet, answer->error);
    char line[ANSWER_LINE_SIZE], span[CLOCK_SIZE];
    size_t count;
    int number;

    if (wrong)
        return wrong;
    number = now ? quiets_add(watcher_quiets(desk->watcher), &quiet) : 0;
    if (now && number == 0)
        return too_many;
    count = add_matches(desk, &quiet, answer);
    json_add_number(answer->json, "matches", (double)count);
    clock_span(quiet.until_ms - watch_now_ms(desk), span);
    if (!now) {
        answer_line(
            answer,
            "it would match %zu finding%s that stand%s now, and what comes within %s%s; add "
            "--now to do it",
            count, count == 1 ? "" : "s", count == 1 ? "s" : "", span,
            quiet.stop_too ? "" : "; findings of weight stop are spared");
        return NULL;
    }
    json_add_number(answer->json, "number", number);
    snprintf(line, sizeof line, "quieting %d for %s: %s", number, span, quiet.why);
    answer_line(answer, "%s", line);
    saying_line(desk->saying, line);
    kept_quiets(desk->kept);
    watch_run(desk);
    kept_commit(desk->kept);
    return NULL;
}

void
answer_add_quiets(const struct watch_desk *desk, const struct answer *answer)
{
    const struct quiets *quiets = watcher_quiets(desk->watcher);

    for (size_t i = 0; i < quiets->count; i++) {
        char line[ANSWER_LINE_SIZE];

        watch_quiet_text(&quiets->list[i], watch_now_ms(desk), line, sizeof line);
        answer_line(answer, "%s", line);
    }
}

const char *
answer_quiet_list(struct watch_desk *desk, const struct json *request, const struct answer *answer)
{
    (void)request;
    watch_run(desk);
    answer_add_quiets(desk, answer);
    if (watcher_quiets(desk->watcher)->count == 0)
        answer_line(answer, "nothing is quieted, and nothing was");
    return NULL;
}

const char *
answer_quiet_end(struct watch_desk *desk, const struct json *request, const struct answer *answer)
{
    int number = (int)answer_number(request, "number", ANSWER_NUMBER_MOST);

    if (!quiets_end(watcher_quiets(desk->watcher), number, watch_now_ms(desk)))
        return "no quieting of that number is running; `gainwarden quiet --list SHOW`";
    kept_quiets(desk->kept);
    watch_run(desk);
    kept_commit(desk->kept);
    answer_add_quiets(desk, answer);
    return NULL;
}
