/* SPDX-License-Identifier: MIT */
/* What is kept, as the kept file says it: kept.h has its format. */
#ifndef GAINWARDEN_WATCH_KEPT_JSON_H
#define GAINWARDEN_WATCH_KEPT_JSON_H

#include "base/json.h"
#include "watch/noticed.h"
#include "watcher/watcher.h"

/* What people were told of a finding. */
struct kept_told {
    enum weight weight;
    double severity, since_s;
};

/* {"check", "input", "mix"} */
struct json *kept_place_json(const struct finding *finding);

/* The same with what was told of it. */
struct json *kept_told_json(const struct engine *engine, const struct finding *finding,
                            const struct kept_told *told);

/* The same with who has seen it: somebody has. */
struct json *kept_noticed_json(const struct noticed *noticed, const struct finding *finding);

struct json *kept_message_json(const char *id, enum weight weight, const char *text);
struct json *kept_room_json(const struct watcher *watcher, int64_t now_ms);
struct json *kept_quiets_json(const struct quiets *quiets, int64_t now_ms);
struct json *kept_jumps_json(struct engine *engine, int64_t now_ms);

/* A position from 1 as one from 0; -1 when there is none. */
int kept_index_at(const struct json *json, const char *key);

/* What a kept quieting, or a request for one, is about. Nothing in it is trusted. */
struct quiet kept_quiet_of(const struct json *json);

#endif
