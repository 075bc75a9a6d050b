/* SPDX-License-Identifier: MIT */
/* CPU of making the facts that a board shows of a desk of 128 inputs x 64 mixes with some 300
 * findings, and of printing them. The peer is the full evaluation of the same desk in the same run.
 *
 *   bench-facts [PROFILE --print]      prints the facts themselves
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/json.h"
#include "big_desk.h"
#include "loop/stand.h"
#include "rig.h"
#include "watch/board_facts.h"
#include "watch/desk.h"
#include "watch/handles.h"
#include "watch/replay.h"

enum { ROUNDS = 50, SECOND_MS = 1000 };

#define GOAL_MS 10.0

static const char first_line[] =
    "{\"link\":\"steady\",\"reading\":{\"questions\":2,\"asked\":2,\"heard\":2,\"asked_again\":0,"
    "\"never_came\":0,\"took_ms\":4}}";

struct watched {
    struct stand *stand;
    struct watch_shared shared;
    struct watch_past past;
    struct options options;
    struct session session;
    struct watch_desk *desk;
    int64_t evaluation_ns;
};

static void
ignore(void *context)
{
    (void)context;
}

static void
hear(struct watched *watched, enum param_id id, int row, int column, double number)
{
    engine_hear(watched->session.engine, id, row, column, number, stand_now_ms(watched->stand));
}

/* Nobody looked at its gains: preamps up and sends down, no high-pass in, half of the masters low. */
static void
neglect(struct watched *watched)
{
    for (int input = 0; input < BIG_INPUTS; input++) {
        hear(watched, PARAM_INPUT_PREAMP_GAIN, input, 0, 30);
        hear(watched, PARAM_INPUT_HIGH_PASS_ON, input, 0, 0);
        for (int mix = 0; mix < BIG_MIXES; mix++)
            hear(watched, PARAM_SEND_LEVEL, input, mix, -30 + (input + mix) % 20);
    }
    for (int mix = 0; mix < BIG_MIXES; mix += 2)
        hear(watched, PARAM_MIX_FADER, mix, 0, -6);
    hear(watched, PARAM_DESK_ROOM, 0, 0, ROOM_DOORS); /* in which everything is told */
}

static void
pass(struct watched *watched, int64_t ms)
{
    int64_t end_ms = stand_now_ms(watched->stand) + ms;

    while (stand_next_ms(watched->stand) <= end_ms) {
        stand_move(watched->stand, stand_next_ms(watched->stand), stand_next_ms(watched->stand));
        stand_fire(watched->stand);
        watch_desk_before_sleep(watched->desk);
    }
    stand_move(watched->stand, end_ms, end_ms);
    watch_desk_before_sleep(watched->desk);
}

static void
begin(struct watched *watched)
{
    struct problems problems = {0};
    struct json *head = json_parse(first_line, strlen(first_line), "head", &problems);
    int64_t before;

    stand_move(watched->stand, SECOND_MS, SECOND_MS);
    watched->desk = watch_desk_open(&watched->shared, &watched->session, NULL);
    before = rig_cpu_ns();
    watch_desk_replay_begin(watched->desk, head);
    watch_desk_before_sleep(watched->desk);
    watched->evaluation_ns = rig_cpu_ns() - before;
    pass(watched, 10 * SECOND_MS);
    json_free(head);
}

/* A watch on a clock that stands, over a profile that is only there to name the desk. */
static void
open_watch(struct watched *watched, const char *path)
{
    static char *none[] = {NULL};
    struct problems problems = {0};
    struct json *profile = json_read(path, &problems);
    struct session_parts parts = {profile, NULL, NULL, NULL, NULL, "desk", 9100};

    *watched =
        (struct watched){.stand = stand_new(),
                         .past = {.path = "nothing"},
                         .options = {.words = none, .profile = path, .desk = "desk", .board = ""}};
    watched->shared = (struct watch_shared){.options = &watched->options,
                                            .output_lost = ignore,
                                            .changed = ignore,
                                            .has_screen = true,
                                            .way = &watch_replayed,
                                            .past = &watched->past};
    watched->shared.loop = loop_new_standing(watched->stand);
    if (!profile || !session_restore(&watched->session, &parts, "bench", &problems)) {
        problems_tell(&problems);
        exit(EXIT_FAILURE);
    }
    json_free(profile);
    engine_free(watched->session.engine);
    watched->session.engine = big_desk_engine(ROLE_MONITOR);
    neglect(watched);
    engine_remember(watched->session.engine); /* what was so from the first is no move */
    begin(watched);
}

static void
close_watch(struct watched *watched)
{
    watch_desk_close(watched->desk);
    session_release(&watched->session);
    loop_free(watched->shared.loop);
    stand_free(watched->stand);
}

/* A master goes up, which is news for a minute, and needs the whole plan to say what to do. */
static void
slip(struct watched *watched)
{
    static int mix = 1; /* those of even mixes stand low */

    hear(watched, PARAM_MIX_FADER, mix, 0, 8);
    mix += 2;
    pass(watched, 10 * SECOND_MS);
}

/* `move`: a send moves before each time, so that all that is kept for the desk as it stood is gone. */
static void
measure(const char *what, struct watched *watched, bool move)
{
    double made_ms = 0, most_ms = 0, printed_ms = 0;
    size_t length = 0;

    for (int round = 0; round < ROUNDS; round++) {
        struct json *facts;
        int64_t before;
        char *text;

        if (move)
            hear(watched, PARAM_SEND_LEVEL, 3, 5, -20 - round % 2);
        pass(watched, 100);
        before = rig_cpu_ns();
        facts = board_facts(&watched->desk, 1, "bench");
        made_ms += (double)(rig_cpu_ns() - before) / 1e6 / ROUNDS;
        most_ms = (double)(rig_cpu_ns() - before) / 1e6 > most_ms
                      ? (double)(rig_cpu_ns() - before) / 1e6
                      : most_ms;
        before = rig_cpu_ns();
        text = json_print(facts, false);
        printed_ms += (double)(rig_cpu_ns() - before) / 1e6 / ROUNDS;
        length = strlen(text);
        free(text);
        json_free(facts);
    }
    printf("  %-28s %6.2f ms, at most %6.2f, = %5.2f x every check; printing %zu bytes %6.2f "
           "ms%s\n",
           what, made_ms, most_ms, made_ms * 1e6 / (double)watched->evaluation_ns, length,
           printed_ms, made_ms < GOAL_MS ? "" : "  goal missed");
}

static void
print(struct watched *watched)
{
    struct json *facts = board_facts(&watched->desk, 1, "bench");

    json_put(facts);
    json_free(facts);
}

int
main(int argc, char *argv[])
{
    const struct finding *const *findings;
    struct watched watched;

    json_init();
    if (argc < 2)
        return EXIT_FAILURE;
    open_watch(&watched, argv[1]);
    if (argc > 2) {
        slip(&watched);
        print(&watched);
    } else {
        printf("the facts of 128 inputs x 64 mixes with %zu findings (goal: under %.0f ms)\n",
               engine_findings(watched.session.engine, &findings), GOAL_MS);
        measure("nothing moves", &watched, false);
        measure("a send moves", &watched, true);
        slip(&watched);
        measure("behind a slip, which is new", &watched, false);
        slip(&watched);
        measure("the same, and a send moves", &watched, true);
    }
    close_watch(&watched);
    return EXIT_SUCCESS;
}
