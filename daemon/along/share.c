/* SPDX-License-Identifier: MIT */
#include "along/share.h"

#include <stdlib.h>
#include <string.h>

#include "screen/ring_view_json.h"

enum { SECOND_MS = 1000 };

void
share_view(struct share *share, const struct hear *hear, const struct ring_view *view,
           int64_t now_ms)
{
    struct json *json;
    char *text;

    if (now_ms < share->due_ms || !hear_has_watch(hear))
        return;
    json = ring_view_json(view);
    text = json_print(json, false);
    if (share->said && strcmp(share->said, text) == 0 && now_ms < share->again_ms) {
        json_free(json);
        free(text);
        return;
    }
    hear_tell_watch(hear, json);
    free(share->said);
    share->said = text;
    share->due_ms = now_ms + SECOND_MS / SHARE_MOST_A_S;
    share->again_ms = now_ms + SECOND_MS;
}

void
share_release(struct share *share)
{
    free(share->said);
    *share = (struct share){NULL, 0, 0};
}
