/* SPDX-License-Identifier: MIT */
/* Where messages go to is nobody's business who replays it. */
#include "watch/record_head.h"

#include <stdlib.h>

#include "base/clock.h"
#include "base/escape.h"
#include "show/saved_of.h"
#include "watch/record.h"

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
add_files(struct json *json, const struct session *session)
{
    const struct desk *approved = engine_approved(session->engine);

    json_add(json, "profile", json_copy(session->profile->json));
    if (session->file) {
        json_add(json, "show", json_copy(session->file->json));
        json_remove(json_get_mutable(json, "show"), "tell");
    }
    if (approved)
        add_saved(json, "approved", session, approved, 0);
}

struct json *
record_files(const struct session *session, const char *said)
{
    struct json *files = json_new_object();
    char clean[600];

    escape_clean(clean, sizeof clean, said);
    add_files(files, session);
    json_add_string(files, "said", clean);
    return files;
}

struct json *
record_head(const struct session *session, double now_s)
{
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
    return head;
}

void
record_head_anchor(struct json *head, const struct session *session, int64_t now_ms)
{
    const struct desk *anchored = engine_anchored(session->engine);

    if (anchored)
        add_saved(head, "anchor", session, anchored, now_ms);
}

void
record_head_desk(struct json *head, const struct session *session, const struct link *link,
                 int64_t now_ms)
{
    struct link_figures figures = link_figures(link);

    add_saved(head, "desk", session, engine_desk(session->engine), now_ms);
    json_add_string(head, "link", link_state_name(link_state(link)));
    record_add_reading(head, &figures);
}
