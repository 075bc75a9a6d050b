/* SPDX-License-Identifier: MIT */
#include "watched_rig.h"

#include <math.h>
#include <string.h>

#include "base/json.h"
#include "unit.h"
#include "watch/desk.h"

enum { SECOND_MS = 1000 };

static const char first_line[] =
    "{\"link\":\"steady\",\"reading\":{\"questions\":2,\"asked\":2,\"heard\":2,\"asked_again\":0,"
    "\"never_came\":0,\"took_ms\":4}}";

static void
ignore(void *context)
{
    (void)context;
}

void
watched_pass(struct watched *watched, int64_t ms)
{
    int64_t end_ms = stand_now_ms(watched->stand) + ms;

    watch_desk_before_sleep(watched->desk);
    while (stand_next_ms(watched->stand) <= end_ms) {
        stand_move(watched->stand, stand_next_ms(watched->stand), stand_next_ms(watched->stand));
        stand_fire(watched->stand);
        watch_desk_before_sleep(watched->desk);
    }
    stand_move(watched->stand, end_ms, end_ms);
    watch_desk_before_sleep(watched->desk);
}

void
watched_set(struct watched *watched, enum param_id id, int row, int column, double number)
{
    engine_hear(watched->session.engine, id, row, column, number, stand_now_ms(watched->stand));
}

void
watched_tell_gains(struct watched *watched)
{
    static const enum param_id gains[] = {
        PARAM_INPUT_PREAMP_GAIN, PARAM_INPUT_PAD,   PARAM_INPUT_TRIM,  PARAM_INPUT_COMP_ON,
        PARAM_INPUT_COMP_MAKEUP, PARAM_INPUT_FADER, PARAM_INPUT_GROUP, PARAM_GROUP_FADER,
        PARAM_GROUP_MUTE,        PARAM_MIX_TRIM};
    const struct desk *desk = engine_desk(watched->session.engine);

    for (size_t i = 0; i < sizeof gains / sizeof *gains; i++)
        for (int row = 0; row < desk_rows(desk, gains[i]); row++)
            for (int column = 0; column < desk_columns(desk, gains[i]); column++)
                watched_set(watched, gains[i], row, column, 0);
}

/* Both mixes are wedges that input 1 is sent into; the master of mix 1 is off unity from the
 * beginning. */
static void
set_up(struct watched *watched)
{
    const struct desk *model = engine_desk(watched->session.engine);

    for (int mix = 0; mix < desk_count(model, INDEX_MIX); mix++) {
        engine_hear_text(watched->session.engine, PARAM_MIX_NAME, mix, 0,
                         mix == 0 ? "Gtr wedge" : "Keys wedge", 0);
        watched_set(watched, PARAM_MIX_MUTE, mix, 0, 0);
        watched_set(watched, PARAM_MIX_FADER, mix, 0, mix == 0 ? -8 : 0);
        for (int input = 0; input < desk_count(model, INDEX_INPUT); input++) {
            watched_set(watched, PARAM_SEND_LEVEL, input, mix, input == 0 ? 0 : -HUGE_VAL);
            watched_set(watched, PARAM_SEND_ON, input, mix, 1);
            watched_set(watched, PARAM_SEND_TAP, input, mix, TAP_PRE_FADER);
        }
    }
    for (int input = 0; input < desk_count(model, INDEX_INPUT); input++)
        watched_set(watched, PARAM_INPUT_MUTE, input, 0, 0);
}

void
watched_open(struct watched *watched)
{
    static char *none[] = {NULL};
    struct problems problems = {0};
    struct json *profile = json_read(WATCHED_PROFILE, &problems), *head;
    struct session_parts parts = {profile, NULL, NULL, NULL, NULL, "desk", 9100};

    assert_non_null(profile);
    *watched = (struct watched){
        .stand = stand_new(),
        .past = {.path = "nothing"},
        .options = {.words = none, .profile = WATCHED_PROFILE, .desk = "desk", .board = ""}};
    watched->shared = (struct watch_shared){.options = &watched->options,
                                            .output_lost = ignore,
                                            .changed = ignore,
                                            .has_screen = true,
                                            .way = &watch_replayed,
                                            .past = &watched->past};
    watched->shared.loop = loop_new_standing(watched->stand);
    assert_true(session_restore(&watched->session, &parts, "small", &problems));
    stand_move(watched->stand, SECOND_MS, SECOND_MS);
    watched->desk = watch_desk_open(&watched->shared, &watched->session, NULL);
    assert_non_null(watched->desk);
    set_up(watched);
    head = json_parse(first_line, strlen(first_line), "head", &problems);
    watch_desk_replay_begin(watched->desk, head);
    watch_desk_before_sleep(watched->desk);
    json_free(head);
    json_free(profile);
}

void
watched_close(struct watched *watched)
{
    watch_desk_close(watched->desk);
    session_release(&watched->session);
    loop_free(watched->shared.loop);
    stand_free(watched->stand);
}
