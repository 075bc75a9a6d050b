/* SPDX-License-Identifier: MIT */
#include "watch/reload.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/fingerprint.h"
#include "base/json.h"
#include "change/difference.h"
#include "core/need.h"
#include "core/text.h"
#include "loop/service.h"
#include "show/agreement.h"
#include "watch/beat.h"
#include "watch/cues.h"
#include "watch/handles.h"
#include "watch/judge.h"
#include "watch/kept.h"
#include "watch/link.h"
#include "watch/news.h"
#include "watch/record.h"
#include "watch/record_head.h"
#include "watch/saying.h"
#include "watch/table.h"

/* Names the top-level keys in which two show files differ. */
static void
name_changes(const struct json *before, const struct json *after, struct text *text)
{
    for (int side = 0; side < 2; side++) {
        const struct json *one = side == 0 ? after : before, *other = side == 0 ? before : after;

        for (const struct json *item = json_first(one); item; item = json_next(item)) {
            const struct json *there = json_get(other, json_key(item));
            char *here_text, *there_text;

            if (side == 1 && there)
                continue; /* seen from the other side */
            here_text = json_print(item, false);
            there_text = there ? json_print(there, false) : need_text("");
            if (strcmp(here_text, there_text) != 0)
                text_add(text, "%s%s", text->used > 0 ? ", " : "", json_key(item));
            free(here_text);
            free(there_text);
        }
    }
}

/* The desk was approved anew: as it stands it is set up. */
static bool
is_approved_anew(const struct session *before, const struct session *after)
{
    const struct desk *old = engine_approved(before->engine), *new = engine_approved(after->engine);
    bool same_size = old && new &&desk_count(old, INDEX_INPUT) == desk_count(new, INDEX_INPUT) &&
                     desk_count(old, INDEX_MIX) == desk_count(new, INDEX_MIX);

    return new && (!same_size || difference_all(old, new, NULL, NULL).values > 0);
}

uint32_t
watch_configuration(const struct session *session)
{
    uint64_t running = session->profile->fingerprint;
    char *text;

    if (session->file) {
        text = json_print(session->file->json, false);
        running = fingerprint_add(running, text);
        free(text);
    }
    return (uint32_t)(running & 0xffffffff);
}

static void
say_what(const struct session *before, const struct session *after, char said[RELOAD_SAID_SIZE])
{
    char changes[300];
    struct text text;

    text_init(&text, changes, sizeof changes);
    if (before->file && after->file)
        name_changes(before->file->json, after->file->json, &text);
    snprintf(said, RELOAD_SAID_SIZE,
             "reloaded: profile %s, show file %s%s%s; configuration %08lx is running",
             before->profile->fingerprint == after->profile->fingerprint ? "unchanged" : "changed",
             *changes ? "changed in " : "unchanged", changes,
             is_approved_anew(before, after) ? ", approved anew" : "",
             (unsigned long)watch_configuration(after));
}

/* Everything of the old session that goes on. */
static void
take_over(struct watch_desk *desk, struct session *session, struct saying_sinks sinks)
{
    struct session old = *desk->session;
    struct watcher *watcher;

    engine_carry(session->engine, old.engine);
    watcher = watch_new_watcher(desk, session, watcher_room(desk->watcher));
    watcher_carry(watcher, desk->watcher);
    link_close(desk->link);
    saying_set_sinks(desk->saying, sinks);
    watcher_free(desk->watcher);
    desk->watcher = watcher;
    kept_set_watcher(desk->kept, watcher);
    *desk->session = *session;
    kept_carry(desk->kept, old.engine);
    if (is_approved_anew(&old, session) && judge_has_begun(desk->judge))
        watcher_anchor(desk->watcher);
    session_release(&old);
    watch_open_link(desk);
    kept_offer(desk->kept);
    table_start(desk->table);
}

void
watch_take_session(struct watch_desk *desk, struct session *session)
{
    take_over(desk, session, (struct saying_sinks){NULL, NULL, NULL});
}

bool
watch_reload(struct watch_desk *desk, struct problems *problems, char said[RELOAD_SAID_SIZE])
{
    struct saying_sinks sinks = {NULL, NULL, NULL};
    struct session session;
    size_t before = problems->count;
    bool good;

    service_reloading(loop_now_us(desk->shared->loop));
    good =
        session_read(&session, desk->shared->options, desk->show, check_set_lasting(), problems) &&
        agreement_renew(&session, desk->session, desk->shared->options, problems);
    if (good) {
        watch_check_cues(desk->shared, desk->session, &session, problems);
        good = problems->count == before;
    }
    if (good && !saying_open_sinks(desk->saying, &session, &sinks, problems)) {
        saying_close_sinks(sinks);
        good = false;
    }
    if (good) {
        say_what(desk->session, &session, said);
        record_note(desk->record, RECORDED_FILES, record_files(&session, said));
        take_over(desk, &session, sinks);
        beat_start(desk->beat);
    } else {
        session_release(&session);
    }
    service_ready();
    return good;
}
