/* SPDX-License-Identifier: MIT */
/* Where messages go to is nobody's business who replays it. */
#include "watch/record.h"

#include <stdlib.h>

#include "base/clock.h"
#include "base/escape.h"
#include "saved/proved.h"
#include "show/saved_of.h"
#include "watch/earlier.h"
#include "watch/handles.h"
#include "watch/kept.h"

static void
add_saved(struct json *json, const char *key, const struct session *session,
          const struct desk *desk, int64_t at_ms)
{
    struct saved saved = saved_of(session, desk, at_ms);
    char *text = saved_file_text(&saved);

    json_add_string(json, key, text);
    free(text);
    desk_free(saved.desk);
}

static void
add_proved(struct json *json, const struct proved_file *proved)
{
    char *text = proved ? proved_file_text(proved) : NULL;

    if (text)
        json_add_string(json, "proved", text);
    free(text);
}

static void
add_files(struct json *json, const struct session *session)
{
    const struct desk *approved = engine_approved(session->engine);

    json_add(json, "profile", json_copy(session->profile->json));
    if (session->file) {
        json_add(json, "show", json_copy(session->file->json));
        json_remove(json_get_mutable(json, "show"), "tell");
    }
    if (session->plan)
        json_add(json, "stage", json_copy(session->plan));
    if (approved)
        add_saved(json, "approved", session, approved, 0);
    add_proved(json, session->proved);
}

struct json *
record_files(const struct session *session, const char *said, bool same_link)
{
    struct json *files = json_new_object();
    char clean[600];

    escape_clean(clean, sizeof clean, said);
    add_files(files, session);
    json_add_string(files, "said", clean);
    json_add_bool(files, "same_link", same_link);
    return files;
}

/* What is known of the desk, of a recording that begins while it is watched. */
static void
add_desk(struct json *head, const struct watch_desk *desk)
{
    struct link_figures figures = link_figures(desk->link);

    add_saved(head, "desk", desk->session, engine_desk(desk->session->engine), watch_now_ms(desk));
    json_add_string(head, "link", link_state_name(link_state(desk->link)));
    record_add_reading(head, &figures);
}

struct json *
record_head(void *context, int64_t now_ms, double now_s)
{
    const struct watch_desk *desk = context;
    const struct session *session = desk->session;
    const struct desk *anchored = engine_anchored(session->engine);
    struct json *head = json_new_object();
    char host[300];

    escape_clean(host, sizeof host, session->host);
    json_add_number(head, "recording_format", RECORDING_FORMAT);
    json_add_string(head, "version", GAINWARDEN_VERSION);
    json_add_number(head, "at_s", now_s);
    json_add_number(head, "offset_s", clock_offset_s());
    json_add_string(head, "host", host);
    json_add_number(head, "port", session->port);
    add_files(head, session);
    if (earlier_was_there(desk->earlier) || desk->judge.begun)
        json_add(head, "kept", kept_snapshot(desk->kept));
    if (anchored)
        add_saved(head, "anchor", session, anchored, now_ms);
    if (desk->judge.begun)
        add_desk(head, desk);
    return head;
}
