/* SPDX-License-Identifier: MIT */
/* Bytes as requests to a watch over the small desk, one a line and a second apart, as the control
 * socket takes them. Each is answered, whatever it is, and the watch goes on.
 */
#include <assert.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "fuzz.h"
#include "loop/stand.h"
#include "rig.h"
#include "watch/control.h"
#include "watch/desk.h"
#include "watch/replay.h"

enum { REQUESTS_MOST = 40, SECOND_MS = 1000 };

static struct json *profile, *head;

static struct json *
parse(const char *text)
{
    struct problems problems = {0};
    struct json *json;

    json = json_parse(text, strlen(text), "text", &problems);
    problems_release(&problems);
    return json;
}

int
LLVMFuzzerInitialize(int *argc, char ***argv)
{
    struct problems problems = {0};

    (void)argc;
    (void)argv;
    profile = json_read(FUZZ_SMALL_DESK, &problems);
    head = parse("{\"link\":\"steady\",\"reading\":{\"questions\":2,\"asked\":2,\"heard\":2,"
                 "\"asked_again\":0,\"never_came\":0,\"took_ms\":4}}");
    /* the watch prints to standard output */
    return profile && head && freopen("/dev/null", "w", stdout) ? 0 : -1;
}

static void
ignore(void *context)
{
    (void)context;
}

static void
pass(struct stand *stand, int64_t ms)
{
    int64_t now_ms = stand_now_ms(stand) + ms;

    while (stand_next_ms(stand) <= now_ms) {
        stand_move(stand, stand_next_ms(stand), stand_next_ms(stand));
        stand_fire(stand);
    }
    stand_move(stand, now_ms, now_ms);
}

static void
ask(struct watch_desk *desk, const char *line)
{
    struct json *request = parse(line), *answer;
    char *text;

    if (request && json_kind(request) == JSON_OBJECT) {
        answer = watch_answer(desk, request);
        assert(json_get(answer, "ok") && json_get(answer, "lines"));
        text = json_print(answer, false);
        assert(!strchr(text, '\n'));
        free(text);
        json_free(answer);
    }
    json_free(request);
}

static void
ask_all(struct watch_desk *desk, struct stand *stand, char *lines)
{
    char *rest = NULL;
    int asked = 0;

    for (char *line = strtok_r(lines, "\n", &rest); line && asked < REQUESTS_MOST;
         line = strtok_r(NULL, "\n", &rest)) {
        ask(desk, line);
        asked++;
        pass(stand, SECOND_MS);
        watch_desk_before_sleep(desk);
    }
}

static void
watch(char *lines)
{
    static char *none[] = {NULL};
    struct options options = {.words = none, .profile = FUZZ_SMALL_DESK, .desk = "desk"};
    struct session_parts parts = {profile, NULL, NULL, NULL, NULL, "desk", 9100};
    struct watch_past past = {.path = "nothing"};
    struct watch_shared shared = {.options = &options,
                                  .output_lost = ignore,
                                  .changed = ignore,
                                  .way = &watch_replayed,
                                  .past = &past};
    struct stand *stand = stand_new();
    struct session session;
    struct problems problems = {0};
    struct watch_desk *desk;

    shared.loop = loop_new_standing(stand);
    if (!session_restore(&session, &parts, "small", &problems))
        abort();
    desk = watch_desk_open(&shared, &session, NULL);
    assert(desk);
    rig_fill(session.engine, RIG_USUAL, 0);
    watch_desk_replay_begin(desk, head);
    watch_desk_before_sleep(desk);
    ask_all(desk, stand, lines);
    watch_desk_close(desk);
    session_release(&session);
    loop_free(shared.loop);
    stand_free(stand);
    problems_release(&problems);
}

int
LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length)
{
    char *text = malloc(length + 1);

    if (!text)
        abort();
    memcpy(text, bytes, length);
    text[length] = '\0';
    watch(text);
    free(text);
    return 0;
}
