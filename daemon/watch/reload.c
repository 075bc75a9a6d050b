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
#include "saved/proved.h"
#include "show/agreement.h"
#include "show/proved.h"
#include "tell/cue_check.h"
#include "watch/board_brief.h"
#include "watch/changed.h"
#include "watch/handles.h"
#include "watch/kept.h"
#include "watch/margins.h"
#include "watch/news.h"
#include "watch/record.h"

const char watch_not_reloaded[] = "not reloaded: the watch goes on with what it has";

void
watch_check_cues(const struct watch_shared *shared, const struct session *instead_of,
                 const struct session *with, struct problems *problems)
{
    size_t count = (size_t)shared->session_count;
    struct cue_desk *desks = need_memory(count, sizeof *desks);

    for (size_t i = 0; i < count; i++) {
        const struct session *one =
            &shared->sessions[i] == instead_of ? with : &shared->sessions[i];

        desks[i] = (struct cue_desk){one->host, one->profile};
    }
    for (size_t i = 0; i < count; i++)
        cue_check(&shared->sessions[i] == instead_of ? with->file : shared->sessions[i].file, desks,
                  count, problems);
    free(desks);
}

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

/* Of what is kept; 0: nothing. */
static uint64_t
fingerprint_of(const struct proved_file *proved)
{
    char *text = proved ? proved_file_text(proved) : NULL;
    uint64_t fingerprint = text ? fingerprint_add(0, text) : 0;

    free(text);
    return fingerprint;
}

static const char *
proved_change(const struct session *before, const struct session *after)
{
    return fingerprint_of(before->proved) == fingerprint_of(after->proved) ? "" : ", proved anew";
}

static uint64_t
add_file(uint64_t running, const struct json *json)
{
    char *text = json ? json_print(json, false) : NULL;

    if (text)
        running = fingerprint_add(running, text);
    free(text);
    return running;
}

uint32_t
watch_configuration(const struct session *session)
{
    uint64_t running = session->profile->fingerprint;

    running = add_file(running, session->file ? session->file->json : NULL);
    return (uint32_t)(add_file(running, session->plan) & 0xffffffff);
}

static const char *
plan_change(const struct session *before, const struct session *after)
{
    return add_file(0, before->plan) == add_file(0, after->plan) ? "" : ", stage plan changed";
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
             "reloaded: profile %s, show file %s%s%s%s%s; configuration %08lx is running",
             before->profile->fingerprint == after->profile->fingerprint ? "unchanged" : "changed",
             *changes ? "changed in " : "unchanged", changes, plan_change(before, after),
             is_approved_anew(before, after) ? ", approved anew" : "", proved_change(before, after),
             (unsigned long)watch_configuration(after));
}

/* Nothing is said otherwise to the desk, or to another one. */
static bool
is_same_link(const struct session *before, const struct session *after)
{
    return before->profile->fingerprint == after->profile->fingerprint &&
           before->port == after->port && strcmp(before->host, after->host) == 0;
}

/* The link goes on by the profile it was opened with, which the new one is a copy of. */
static void
keep_link(struct watch_desk *desk, struct session *old)
{
    struct profile *copy = desk->session->profile;

    desk->session->profile = old->profile;
    old->profile = copy;
    link_set_engine(desk->link, desk->session->engine);
}

/* Everything of the old session goes on. */
void
watch_take_session(struct watch_desk *desk, struct session *session, struct saying_sinks sinks,
                   bool same_link)
{
    struct session old = *desk->session;
    struct watcher *watcher;

    same_link = same_link && is_same_link(&old, session); /* a recording may say anything */
    engine_carry(session->engine, old.engine);
    watcher = watch_new_watcher(desk, session, watcher_room(desk->watcher));
    watcher_carry(watcher, desk->watcher);
    if (!same_link)
        link_close(desk->link);
    saying_set_sinks(desk->saying, sinks);
    watcher_free(desk->watcher);
    desk->watcher = watcher;
    kept_set_watcher(desk->kept, watcher);
    *desk->session = *session;
    margins_forget(desk->margins);
    if (desk->changed) {
        changed_forget(desk->changed);
        board_briefs_forget(desk->briefs);
    }
    kept_carry(desk->kept, old.engine);
    if (is_approved_anew(&old, session) && desk->judge.begun)
        watcher_anchor(desk->watcher);
    if (same_link)
        keep_link(desk, &old);
    session_release(&old);
    if (!same_link)
        watch_open_link(desk);
    kept_offer(desk->kept);
    table_start(desk);
}

bool
watch_reload(struct watch_desk *desk, struct problems *problems, char said[RELOAD_SAID_SIZE])
{
    struct saying_sinks sinks;
    struct session session;
    size_t before = problems->count;
    bool good, same_link;

    service_reloading(loop_now_us(desk->shared->loop));
    good =
        session_read(&session, desk->shared->options, desk->show, check_set_lasting(), problems) &&
        proved_give(&session, desk->shared->options, problems) &&
        agreement_renew(&session, desk->session, desk->shared->options, problems);
    if (good) {
        watch_check_cues(desk->shared, desk->session, &session, problems);
        good = problems->count == before;
    }
    good = good && saying_open_sinks(desk->saying, &session, &sinks, problems);
    if (good) {
        say_what(desk->session, &session, said);
        same_link = is_same_link(desk->session, &session);
        record_note(desk->record, RECORDED_FILES, record_files(&session, said, same_link));
        watch_take_session(desk, &session, sinks, same_link);
        beat_start(desk);
    } else {
        session_release(&session);
    }
    service_ready();
    if (good)
        saying_line(desk->saying, said);
    return good;
}

void
watch_reload_or_say(struct watch_desk *desk)
{
    struct problems problems = {0};
    char said[RELOAD_SAID_SIZE];

    if (!watch_reload(desk, &problems, said)) {
        for (size_t i = 0; i < problems.count && i < PROBLEMS_KEPT; i++)
            saying_outside(desk->saying, problems.lines[i]);
        saying_outside(desk->saying, watch_not_reloaded);
    }
    problems_release(&problems);
}

bool
watch_proofs_are_new(const struct watch_desk *desk)
{
    struct problems problems = {0};
    struct proved proved;
    bool new = !proved_read(&proved, desk->session, desk->shared->options, &problems) ||
               fingerprint_of(proved.file) != fingerprint_of(desk->session->proved);

    proved_release(&proved);
    problems_release(&problems);
    return new;
}
