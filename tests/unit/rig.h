/* SPDX-License-Identifier: MIT */
/* An engine on a small desk whose every value is known and neutral, so that a test moves only what
 * it is about. Neutral: preamps 30 dB, each input its own preamp, nothing muted, faders and masters
 * 0 dB, sends on, pre-fader and off (-inf), equalisers flat and in circuit, high-pass at 100 Hz 12
 * dB per octave, labels "Line N" and "Mix N", which tell neither source nor kind of mix.
 */
#ifndef GAINWARDEN_TESTS_RIG_H
#define GAINWARDEN_TESTS_RIG_H

#include "engine/engine.h"

enum { RIG_EVENTS = 256 };

struct rig_event {
    enum event_kind kind;
    int check;
    struct object object;
    struct verdict verdict;
    int64_t lasted_ms;
};

struct rig {
    struct engine *engine; /* owns desk and show */
    struct desk *desk;
    struct show *show; /* a change after the first run needs rig_remark() */
    int64_t now_ms;
    int day;
    size_t ran;      /* checks run by the last rig_run() */
    int event_count; /* of the last rig_run() */
    struct rig_event events[RIG_EVENTS];
    struct verdict verdict; /* of the last rig_judge...(), */
    struct words words;     /* of a finding, else empty, */
    char why[MISSES_SIZE];  /* and of what is not known */
};

/* *state is a rig, not started; whatever becomes of the test, it is stopped behind it. */
#define RIG_TEST(name) cmocka_unit_test_setup_teardown(name, rig_make, rig_drop)
int rig_make(void **state);
int rig_drop(void **state);

/* 2 groups, 4 bands for each input, 31 graphic and 4 parametric bands for each mix; now_ms is 1000.
 * A rig that runs is stopped first. */
void rig_start(struct rig *rig, int inputs, int mixes);

/* The same with no other checks than these. */
void rig_start_set(struct rig *rig, int inputs, int mixes, struct check_set set);

/* The same with counts of the caller's. */
void rig_start_counts(struct rig *rig, const struct desk_counts *counts);

/* The same as rig_start() with a stage plan, which is taken over. */
struct stage;
void rig_start_plan(struct rig *rig, int inputs, int mixes, struct stage *stage);

/* The same as rig_start() with findings that the show accepts; they are copied. */
void rig_start_accepts(struct rig *rig, int inputs, int mixes, const struct accept *accepts,
                       int count);

/* A value heard now; the model must take it. */
void rig_set(struct rig *rig, enum param_id id, int row, int column, double number);
void rig_set_text(struct rig *rig, enum param_id id, int row, const char *text);

/* Makes every value of the parameter never heard, before the first run; SUPPLY_NONE: the profile
 * does not name it. */
void rig_forget(struct rig *rig, enum param_id id, enum supply supply);

/* Lets the one value go stale: a minute passes in which everything else is heard again. */
void rig_stale(struct rig *rig, enum param_id id, int row, int column);

/* Every check is marked again. */
void rig_remark(struct rig *rig);

/* One wake-up. */
void rig_run(struct rig *rig);

/* Runs the engine, then asks the check anew about the object; fails when engine and check disagree.
 * The answer is valid until the next call. */
const struct verdict *rig_judge_input(struct rig *rig, const char *check, int input);
const struct verdict *rig_judge_mix(struct rig *rig, const char *check, int mix);
const struct verdict *rig_judge_desk(struct rig *rig, const char *check);

/* The same for its words. */
const struct words *rig_words_input(struct rig *rig, const char *check, int input);
const struct words *rig_words_mix(struct rig *rig, const char *check, int mix);
const struct words *rig_words_desk(struct rig *rig, const char *check);

/* Words what was missed into `why`. */
void rig_take_why(struct rig *rig, const struct misses *misses);

/* The open finding, or NULL. */
const struct finding *rig_finding(struct rig *rig, const char *check, int input, int mix);

/* How many events of the kind the last run told for the check. */
int rig_told(const struct rig *rig, const char *check, enum event_kind kind);

/* The figure; fails when the verdict has none of that name. */
double rig_figure(const struct verdict *verdict, const char *name);

/* The source's place in the table; SOURCE_UNKNOWN when none is spelt so. */
int rig_source(const char *id);

#endif
