/* SPDX-License-Identifier: MIT */
/* A watcher over a rig's desk, in virtual time, and everything it tells, as text and as facts.
 */
#ifndef GAINWARDEN_TESTS_WATCH_RIG_H
#define GAINWARDEN_TESTS_WATCH_RIG_H

#include "rig.h"
#include "watcher/watcher.h"

enum { WATCH_RIG_MESSAGES = 64, WATCH_RIG_TEXT = 8000 };

struct watch_rig {
    struct rig rig;
    struct watcher *watcher;
    bool away;       /* for watch_rig_begin(): it restarts */
    size_t messages; /* told since the last watch_rig_forget() */
    size_t edges;    /* the engine's, told or held back, of the same time */
    struct cause causes[WATCH_RIG_MESSAGES];
    enum weight weights[WATCH_RIG_MESSAGES];
    /* A line for each message, "cause-kind number: " and then its edges, "raised check input 3; ".
     */
    char text[WATCH_RIG_TEXT];
    char rooms[400];                                             /* "doors -> show (why)" */
    void (*also)(void *context, const struct message *message);  /* NULL, or called too */
    void (*also_edge)(void *context, const struct event *event); /* the same */
    void *also_context;
    enum hidden hidden; /* what held the last edge back */
};

/* "input", "preamp", ... */
const char *watch_rig_cause(enum cause_kind kind);

#define WATCH_RIG_TEST(name) cmocka_unit_test_setup_teardown(name, watch_rig_make, watch_rig_drop)
int watch_rig_make(void **state);
int watch_rig_drop(void **state);

/* A neutral desk, a show that is given, and a watcher of this room. Change the desk, then begin.
 */
void watch_rig_start(struct watch_rig *rig, int inputs, int mixes, enum room room);

/* The same with a vocal on input 1 of 8, its own wedge, mix 1 of 4, and an in-ear mix 2 that has a
 * limiter. */
void watch_rig_vocal(struct watch_rig *rig, enum room room);

/* That of a test, and its first reading has ended. */
struct watch_rig *watch_rig_begun(void **state, enum room room);

/* The first reading ends. */
void watch_rig_begin(struct watch_rig *rig);

/* Lets so much time pass, with a wake-up whenever the watcher asks for one, and once a second. */
void watch_rig_pass(struct watch_rig *rig, int64_t ms);

/* Moves a value now and wakes up 50 ms later. */
void watch_rig_move(struct watch_rig *rig, enum param_id id, int row, int column, double number);

/* The desk is lost for so long. */
void watch_rig_lose(struct watch_rig *rig, int64_t ms);

/* It is there again and was read: nothing but what was set meanwhile is another. */
void watch_rig_find_again(struct watch_rig *rig);

void watch_rig_forget(struct watch_rig *rig);

#endif
