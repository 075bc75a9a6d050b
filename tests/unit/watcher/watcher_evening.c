/* SPDX-License-Identifier: MIT */
/* A simulated evening of three hours in virtual time, an invented one: line check, approval, doors,
 * an engineer who rides sends and faders, two recalls, a bumped master, a lost link, a changeover,
 * and a finding of weight stop while it is quieted. What is told, and when, stands in
 * tests/reference/evening.jsonl, line by line; nothing else may be told.
 *
 * GW_GOLDEN=write writes that file anew; then somebody has to read it.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "check/check.h"
#include "desk/source.h"
#include "tell/message.h"
#include "unit.h"
#include "watch_rig.h"

enum { INPUTS = 16, MIXES = 6, MINUTE_MS = 60000, OUT_SIZE = 1 << 18 };
enum { KEYS_EARS = 4, DRUM_EARS = 5 };

struct evening {
    struct watch_rig *rig;
    struct dice dice;
    char *out; /* the lines */
    size_t used;
    int64_t told_ms[256]; /* when each message came */
    size_t told;
    size_t lines, chat_bytes; /* on a terminal, and to a hook that takes everything */
};

/* ---- what is written ---- */

static void
add(struct evening *evening, const char *text)
{
    size_t length = strlen(text);

    assert_true(evening->used + length < OUT_SIZE);
    memcpy(evening->out + evening->used, text, length + 1);
    evening->used += length;
}

static void
add_edge(struct evening *evening, const struct edge *edge, bool first)
{
    static const char *const kinds[] = {"raised", "worse", "cleared", "follows", "ends", "stays"};
    const struct finding *finding = edge->finding;
    char text[200];

    snprintf(text, sizeof text, "%s{\"%s\":\"%s\",\"weight\":\"%s\"", first ? "" : ",",
             kinds[edge->kind], finding->check->id, weight_name(finding->verdict.weight));
    add(evening, text);
    if (finding->object.input >= 0)
        snprintf(text, sizeof text, ",\"input\":%d}", finding->object.input + 1);
    else if (finding->object.mix >= 0)
        snprintf(text, sizeof text, ",\"mix\":%d}", finding->object.mix + 1);
    else
        snprintf(text, sizeof text, "}");
    add(evening, text);
}

static void
count_line(void *context, const char *line, bool chat)
{
    struct evening *evening = context;

    evening->lines++;
    evening->chat_bytes += chat ? strlen(line) + 1 : 0;
}

static void
on_message(void *context, const struct message *message)
{
    struct evening *evening = context;
    struct message_more more = {NULL, watcher_quiets(evening->rig->watcher)};
    long long seconds = evening->rig->rig.now_ms / 1000;
    char text[200];

    evening->told_ms[evening->told++ % 256] = evening->rig->rig.now_ms;
    snprintf(text, sizeof text,
             "{\"at\":\"%lld:%02lld:%02lld\",\"room\":\"%s\",\"cause\":\"%s\",\"weight\":\"%s\","
             "\"edges\":[",
             seconds / 3600, seconds / 60 % 60, seconds % 60,
             room_name(watcher_room(evening->rig->watcher)), watch_rig_cause(message->cause.kind),
             weight_name(message->weight));
    add(evening, text);
    for (size_t i = 0; i < message->count; i++)
        add_edge(evening, &message->edges[i], i == 0);
    add(evening, "]}\n");
    message_lines(message, evening->rig->rig.engine, &more, count_line, evening);
}

/* ---- what happens ---- */

static void
set(struct evening *evening, enum param_id id, int row, int column, double number)
{
    rig_set(&evening->rig->rig, id, row, column, number);
}

static void
until(struct evening *evening, int minute)
{
    int64_t left_ms = (int64_t)minute * MINUTE_MS - evening->rig->rig.now_ms;

    assert_true(left_ms >= 0);
    watch_rig_pass(evening->rig, left_ms);
    watch_rig_forget(evening->rig);
}

/* A band on four wedges and two in-ear mixes, set up but for what the evening is about. */
static void
set_up(struct evening *evening)
{
    struct watch_rig *rig = evening->rig;

    watch_rig_start(rig, INPUTS, MIXES, ROOM_LINE_CHECK);
    for (int mix = 0; mix < MIXES; mix++)
        rig->rig.show->mixes[mix].feeds = mix >= KEYS_EARS ? FEEDS_IN_EAR : FEEDS_WEDGE;
    for (int input = 0; input < INPUTS; input++) {
        rig->rig.show->inputs[input].source = rig_source(input < 4 ? "lead-vocal" : "keys");
        rig->rig.show->inputs[input].microphone = MICROPHONE_LINE;
        set(evening, PARAM_SEND_LEVEL, input, input % MIXES, 0);
    }
    for (int band = 0; band < 31; band += 7)
        set(evening, PARAM_MIX_GRAPHIC_BAND_GAIN, 0, band, -6);
    rig->also = on_message;
    rig->also_context = evening;
}

/* Everybody's gains, filters and patches move; once a limiter is off for a while. */
static void
line_check(struct evening *evening)
{
    watch_rig_begin(evening->rig);
    for (int input = 0; input < INPUTS; input++) {
        set(evening, PARAM_INPUT_PREAMP_GAIN, input, 0, 45);
        watch_rig_pass(evening->rig, 20000);
        set(evening, PARAM_INPUT_PHANTOM, input, 0, 1);
        watch_rig_pass(evening->rig, 20000);
        set(evening, PARAM_INPUT_PHANTOM, input, 0, 0);
        set(evening, PARAM_INPUT_PREAMP_GAIN, input, 0, 30);
        set(evening, PARAM_INPUT_HIGH_PASS_FREQ, input, 0, input < 4 ? 120 : 30);
        watch_rig_pass(evening->rig, 20000);
    }
    until(evening, 20);
    set(evening, PARAM_MIX_LIMITER_ON, DRUM_EARS, 0, 0);
    watch_rig_pass(evening->rig, 40000);
    set(evening, PARAM_MIX_LIMITER_ON, DRUM_EARS, 0, 1);
    set(evening, PARAM_MIX_FADER, 2, 0, -1); /* forgotten: a note that doors hears of */
    until(evening, 30);
    engine_set_approved(evening->rig->rig.engine, desk_copy(evening->rig->rig.desk));
}

/* As a hand does it: 2 dB a tenth of a second. */
static void
slide(struct evening *evening, enum param_id id, int row, int column, double to_db)
{
    double db = value_last_heard(desk_value(evening->rig->rig.desk, id, row, column));

    while (fabs(to_db - db) > 2) {
        db += to_db > db ? 2 : -2;
        set(evening, id, row, column, db);
        watch_rig_pass(evening->rig, 100);
    }
    set(evening, id, row, column, to_db);
}

/* Sends around where they stood, faders of pre-fader inputs anywhere, mutes between songs. */
static void
ride(struct evening *evening, int to_minute)
{
    while (evening->rig->rig.now_ms < (int64_t)to_minute * MINUTE_MS - 8000) {
        int input = dice_below(&evening->dice, INPUTS);

        slide(evening, PARAM_SEND_LEVEL, input, input % MIXES, dice_between(&evening->dice, -2, 2));
        slide(evening, PARAM_INPUT_FADER, dice_below(&evening->dice, INPUTS), 0,
              dice_between(&evening->dice, -30, 5));
        if (dice_below(&evening->dice, 20) == 0)
            set(evening, PARAM_INPUT_MUTE, input, 0, dice_below(&evening->dice, 2));
        watch_rig_pass(evening->rig, 500 + dice_below(&evening->dice, 5000));
    }
    for (int input = 0; input < INPUTS; input++)
        set(evening, PARAM_INPUT_MUTE, input, 0, 0);
    until(evening, to_minute);
}

/* A scene of the next song: sends, nothing that protects. */
static void
recall_song(struct evening *evening)
{
    for (int input = 0; input < INPUTS; input++)
        for (int mix = 0; mix < MIXES; mix++)
            if (mix != input % MIXES)
                set(evening, PARAM_SEND_LEVEL, input, mix, -6 - mix);
    watch_rig_pass(evening->rig, 30000);
}

/* The wrong scope: gains, high-passes and a limiter come with it. */
static void
recall_wrong_scope(struct evening *evening, bool wrong)
{
    for (int input = 0; input < INPUTS; input++) {
        set(evening, PARAM_INPUT_PREAMP_GAIN, input, 0, wrong ? 36 : 30);
        if (input < 4)
            set(evening, PARAM_INPUT_HIGH_PASS_ON, input, 0, !wrong);
        set(evening, PARAM_SEND_LEVEL, input, (input + 1) % MIXES, wrong ? -9 : -8);
        watch_rig_pass(evening->rig, 20);
    }
    set(evening, PARAM_MIX_LIMITER_ON, KEYS_EARS, 0, !wrong);
    watch_rig_pass(evening->rig, 90000);
}

static void
bump_master(struct evening *evening)
{
    set(evening, PARAM_MIX_FADER, 0, 0, -9);
    watch_rig_pass(evening->rig, 50000);
    set(evening, PARAM_MIX_FADER, 0, 0, 0);
    watch_rig_pass(evening->rig, 30000);
}

static void
hear_again(struct evening *evening, enum param_id id)
{
    struct rig *rig = &evening->rig->rig;

    for (int row = 0; row < desk_rows(rig->desk, id); row++)
        for (int column = 0; column < desk_columns(rig->desk, id); column++)
            if (desk_value(rig->desk, id, row, column)->state != VALUE_STALE)
                continue;
            else if (params[id].unit == UNIT_TEXT)
                engine_hear_text(rig->engine, id, row, column,
                                 desk_text(rig->desk, id, row, column), rig->now_ms);
            else
                engine_hear(rig->engine, id, row, column,
                            value_last_heard(desk_value(rig->desk, id, row, column)), rig->now_ms);
}

/* A cable is kicked out for 25 s; meanwhile somebody turns a master. */
static void
lose_link(struct evening *evening)
{
    engine_expire(evening->rig->rig.engine, INT64_MAX);
    watcher_lost(evening->rig->watcher);
    watch_rig_pass(evening->rig, 25000);
    set(evening, PARAM_MIX_FADER, 1, 0, 7); /* so it is read; nobody saw it move */
    for (int id = 0; id < PARAMS; id++)
        hear_again(evening, (enum param_id)id);
    watcher_back(evening->rig->watcher, true, evening->rig->rig.now_ms);
    watch_rig_pass(evening->rig, 60000);
    set(evening, PARAM_MIX_FADER, 1, 0, 0);
    watch_rig_pass(evening->rig, 30000);
}

static void
quiet_drums(struct evening *evening, bool stop_too, int minutes)
{
    struct quiet quiet = {.check = -1,
                          .input = -1,
                          .mix = DRUM_EARS,
                          .stop_too = stop_too,
                          .until_ms = evening->rig->rig.now_ms + (int64_t)minutes * MINUTE_MS,
                          .why = "another transmitter"};

    assert_true(quiets_add(watcher_quiets(evening->rig->watcher), &quiet) > 0);
}

/* Another band: everything moves; a limiter is off while its mix is quieted, once without and once
 * with the extra word. It ends by itself. */
static void
changeover(struct evening *evening)
{
    watcher_set_room(evening->rig->watcher, ROOM_CHANGEOVER, "the next band",
                     evening->rig->rig.now_ms + 20 * MINUTE_MS, evening->rig->rig.now_ms);
    for (int input = 4; input < INPUTS; input++) {
        set(evening, PARAM_INPUT_PREAMP_GAIN, input, 0, 24);
        set(evening, PARAM_INPUT_HIGH_PASS_FREQ, input, 0, 35);
        watch_rig_pass(evening->rig, 10000);
    }
    quiet_drums(evening, false, 3);
    set(evening, PARAM_MIX_LIMITER_ON, DRUM_EARS, 0, 0);
    watch_rig_pass(evening->rig, MINUTE_MS);
    set(evening, PARAM_MIX_LIMITER_ON, DRUM_EARS, 0, 1);
    watch_rig_pass(evening->rig, 3 * MINUTE_MS);
    quiet_drums(evening, true, 5);
    set(evening, PARAM_MIX_LIMITER_ON, DRUM_EARS, 0, 0);
    watch_rig_pass(evening->rig, 8 * MINUTE_MS); /* told when the five minutes are over */
    set(evening, PARAM_MIX_LIMITER_ON, DRUM_EARS, 0, 1);
    watch_rig_pass(evening->rig, MINUTE_MS);
    engine_set_approved(evening->rig->rig.engine, desk_copy(evening->rig->rig.desk));
}

static void
play(struct evening *evening)
{
    struct watcher *watcher = evening->rig->watcher;

    line_check(evening);
    watcher_set_room(watcher, ROOM_DOORS, "doors", INT64_MAX, evening->rig->rig.now_ms);
    until(evening, 60);
    watcher_set_room(watcher, ROOM_SHOW, "the show begins", INT64_MAX, evening->rig->rig.now_ms);
    ride(evening, 80);
    recall_song(evening);
    ride(evening, 95);
    bump_master(evening);
    ride(evening, 110);
    lose_link(evening);
    ride(evening, 120);
    recall_wrong_scope(evening, true);
    recall_wrong_scope(evening, false);
    ride(evening, 130);
    changeover(evening);
    ride(evening, 180);
}

/* ---- what must hold ---- */

static size_t
told_between(const struct evening *evening, int from_minute, int to_minute)
{
    size_t count = 0;

    for (size_t i = 0; i < evening->told; i++)
        count += evening->told_ms[i] >= (int64_t)from_minute * MINUTE_MS &&
                 evening->told_ms[i] < (int64_t)to_minute * MINUTE_MS;
    return count;
}

static void
compare_with(const char *path, const char *out)
{
    FILE *file = fopen(path, "r");
    char line[20000];
    const char *at = out;
    int number = 0;

    assert_non_null(file);
    while (fgets(line, sizeof line, file)) {
        const char *end = strchr(at, '\n');

        number++;
        if (!end || strncmp(at, line, strlen(line)) != 0) {
            fprintf(stderr, "%s:%d: expected %s, told %.*s\n", path, number, line,
                    end ? (int)(end - at) : 0, at);
            fail();
        }
        at = end + 1;
    }
    fclose(file);
    assert_string_equal(at, ""); /* and nothing more */
}

static void
write_golden(const char *path, const char *out)
{
    FILE *file = fopen(path, "w");

    assert_non_null(file);
    fputs(out, file);
    assert_int_equal(fclose(file), 0);
}

/* Parts in which nothing happens but a show. */
static const struct {
    int from, to;
} good[] = {{30, 60}, {60, 80}, {82, 95}, {97, 110}, {113, 120}, {124, 130}, {151, 180}};

static void
three_hours(void **state)
{
    const char *golden = getenv("GW_GOLDEN");
    struct evening evening = {.rig = *state, .dice = {20260613}, .out = calloc(1, OUT_SIZE)};

    assert_non_null(evening.out);
    set_up(&evening);
    play(&evening);
    if (golden && strcmp(golden, "write") == 0)
        write_golden(EVENING_GOLDEN, evening.out);
    compare_with(EVENING_GOLDEN, evening.out);
    printf("an evening: %zu messages, %zu lines, %zu bytes to a chat\n", evening.told,
           evening.lines, evening.chat_bytes);
    for (size_t i = 0; i < sizeof good / sizeof *good; i++)
        assert_true(told_between(&evening, good[i].from, good[i].to) <=
                    (size_t)(good[i].to - good[i].from + 9) / 10);
    free(evening.out);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {WATCH_RIG_TEST(three_hours)};

    return cmocka_run_group_tests(tests, NULL, NULL);
}
