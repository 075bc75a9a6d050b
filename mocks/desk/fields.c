/* SPDX-License-Identifier: MIT */
#include "fields.h"

#include <math.h>
#include <string.h>

static const char *const taps[] = {"pre-eq", "pre-fader", "post-fader", NULL};
static const char *const shapes[] = {"peak",      "low-shelf", "high-shelf", "low-pass",
                                     "high-pass", "notch",     NULL};

const struct count_row count_rows[COUNTS] = {
    [COUNT_INPUTS] = {"inputs", 1, 128},
    [COUNT_MIXES] = {"mixes", 1, 64},
    [COUNT_INPUT_EQ_BANDS] = {"input_eq_bands", 0, 8},
    [COUNT_GRAPHIC_BANDS] = {"graphic_bands", 0, 31},
    [COUNT_MIX_EQ_BANDS] = {"mix_eq_bands", 0, 8},
    [COUNT_GROUPS] = {"groups", 0, 24},
};

const struct scope_row scope_rows[SCOPES] = {
    [SCOPE_DESK] = {COUNTS, COUNTS},
    [SCOPE_GROUP] = {COUNT_GROUPS, COUNTS},
    [SCOPE_INPUT] = {COUNT_INPUTS, COUNTS},
    [SCOPE_INPUT_GROUP] = {COUNT_INPUTS, COUNT_GROUPS},
    [SCOPE_INPUT_BAND] = {COUNT_INPUTS, COUNT_INPUT_EQ_BANDS},
    [SCOPE_SEND] = {COUNT_INPUTS, COUNT_MIXES},
    [SCOPE_MIX] = {COUNT_MIXES, COUNTS},
    [SCOPE_MIX_BAND] = {COUNT_MIXES, COUNT_MIX_EQ_BANDS},
    [SCOPE_GRAPHIC] = {COUNT_MIXES, COUNT_GRAPHIC_BANDS},
};

/* clang-format off */
#define TEXT(scope, address, key) \
    { scope, FORM_TEXT, address, key, 's', LAW_NONE, UNIT_NONE, 0, 0, 0, NULL }
#define SWITCH(scope, address, key, initial) \
    { scope, FORM_SWITCH, address, key, 'i', LAW_NONE, UNIT_NONE, 0, 1, initial, NULL }
#define WHOLE(scope, address, key, unit, low, high, initial) \
    { scope, FORM_WHOLE, address, key, 'i', LAW_NONE, unit, low, high, initial, NULL }
#define WORD(scope, address, key, tag, words, last, initial) \
    { scope, FORM_WORD, address, key, tag, LAW_NONE, UNIT_NONE, 0, last, initial, words }
#define REAL(scope, address, key, law, unit, low, high, initial) \
    { scope, FORM_REAL, address, key, 'f', law, unit, low, high, initial, NULL }
/* A band message carries its rows in the order they stand here. */
#define BAND(scope) \
    SWITCH(scope, NULL, "on", 1), \
    WORD(scope, NULL, "shape", 's', shapes, 5, 0), \
    REAL(scope, NULL, "freq", LAW_NONE, UNIT_HZ, 16, 21000, 1000), \
    REAL(scope, NULL, "gain", LAW_NONE, UNIT_DB, -21, 14, 0), \
    REAL(scope, NULL, "q", LAW_NONE, UNIT_NONE, 0.2, 50, 1)

const struct field all_fields[] = {
    TEXT(SCOPE_INPUT, "/in/#/name", "name"),
    REAL(SCOPE_INPUT, "/in/#/head/gain", "gain", LAW_HEAD, UNIT_DB, -4, 56, 0),
    SWITCH(SCOPE_INPUT, "/in/#/head/pad", "pad", 0),
    SWITCH(SCOPE_INPUT, "/in/#/head/phantom", "phantom", 0),
    WHOLE(SCOPE_INPUT, "/in/#/head/socket", "socket", UNIT_NONE, 1, 999, 1),
    REAL(SCOPE_INPUT, "/in/#/trim", "trim", LAW_NONE, UNIT_DB, -24, 24, 0),
    SWITCH(SCOPE_INPUT, "/in/#/polarity", "inverted", 0),
    SWITCH(SCOPE_INPUT, "/in/#/open", "open", 1),
    REAL(SCOPE_INPUT, "/in/#/fader", "fader", LAW_FADER, UNIT_DB, -70, 10, 0),
    REAL(SCOPE_INPUT, "/in/#/level", "level", LAW_NONE, UNIT_DB, -120, 0, -120),
    SWITCH(SCOPE_INPUT, "/in/#/hp/on", "high_pass.on", 0),
    REAL(SCOPE_INPUT, "/in/#/hp/freq", "high_pass.freq", LAW_CORNER, UNIT_HZ, 16, 500, 16),
    WHOLE(SCOPE_INPUT, "/in/#/hp/slope", "high_pass.slope", UNIT_DB, 6, 48, 18),
    SWITCH(SCOPE_INPUT, "/in/#/eq/on", "eq.on", 1),
    SWITCH(SCOPE_INPUT, "/in/#/gate/on", "gate.on", 0),
    REAL(SCOPE_INPUT, "/in/#/gate/threshold", "gate.threshold", LAW_NONE, UNIT_DB, -75, 5, -20),
    SWITCH(SCOPE_INPUT, "/in/#/comp/on", "comp.on", 0),
    REAL(SCOPE_INPUT, "/in/#/comp/threshold", "comp.threshold", LAW_NONE, UNIT_DB, -50, 10, -20),
    REAL(SCOPE_INPUT, "/in/#/comp/ratio", "comp.ratio", LAW_NONE, UNIT_NONE, 1, 25, 3),
    REAL(SCOPE_INPUT, "/in/#/comp/makeup", "comp.makeup", LAW_NONE, UNIT_DB, 0, 30, 0),
    SWITCH(SCOPE_INPUT_GROUP, "/in/#/in-group/#", "member", 0),
    BAND(SCOPE_INPUT_BAND),
    REAL(SCOPE_SEND, "/in/#/to/#/level", "level", LAW_FADER, UNIT_DB, -70, 10, (double)-INFINITY),
    SWITCH(SCOPE_SEND, "/in/#/to/#/on", "on", 1),
    WORD(SCOPE_SEND, "/in/#/to/#/tap", "tap", 'i', taps, 2, 1),
    TEXT(SCOPE_MIX, "/mix/#/name", "name"),
    REAL(SCOPE_MIX, "/mix/#/fader", "fader", LAW_FADER, UNIT_DB, -70, 10, 0),
    SWITCH(SCOPE_MIX, "/mix/#/open", "open", 1),
    REAL(SCOPE_MIX, "/mix/#/trim", "trim", LAW_NONE, UNIT_DB, -24, 24, 0),
    REAL(SCOPE_MIX, "/mix/#/level", "level", LAW_NONE, UNIT_DB, -120, 0, -120),
    SWITCH(SCOPE_MIX, "/mix/#/graphic/on", "graphic.on", 1),
    REAL(SCOPE_GRAPHIC, "/mix/#/graphic/#", "gain", LAW_NONE, UNIT_DB, -12, 9, 0),
    SWITCH(SCOPE_MIX, "/mix/#/eq/on", "eq.on", 1),
    BAND(SCOPE_MIX_BAND),
    SWITCH(SCOPE_MIX, "/mix/#/hp/on", "high_pass.on", 0),
    REAL(SCOPE_MIX, "/mix/#/hp/freq", "high_pass.freq", LAW_CORNER, UNIT_HZ, 16, 500, 16),
    WHOLE(SCOPE_MIX, "/mix/#/hp/slope", "high_pass.slope", UNIT_DB, 6, 48, 18),
    SWITCH(SCOPE_MIX, "/mix/#/limit/on", "limiter.on", 0),
    REAL(SCOPE_MIX, "/mix/#/limit/threshold", "limiter.threshold", LAW_NONE, UNIT_DB, -48, 6, -6),
    REAL(SCOPE_MIX, "/mix/#/limit/ratio", "limiter.ratio", LAW_NONE, UNIT_NONE, 1, 64, 20),
    REAL(SCOPE_GROUP, "/group/#/fader", "fader", LAW_FADER, UNIT_DB, -70, 10, 0),
    SWITCH(SCOPE_GROUP, "/group/#/open", "open", 1),
    SWITCH(SCOPE_DESK, "/desk/talkback", "talkback", 0),
    SWITCH(SCOPE_DESK, "/desk/oscillator", "oscillator", 0),
    TEXT(SCOPE_DESK, "/desk/scene", "scene"),
};
/* clang-format on */

const size_t fields_count = sizeof all_fields / sizeof all_fields[0];

const struct field *
field_find(enum scope scope, const char *key)
{
    for (size_t i = 0; i < fields_count; i++)
        if (all_fields[i].scope == scope && strcmp(all_fields[i].key, key) == 0)
            return &all_fields[i];
    return NULL;
}

bool
field_is_branch(enum scope scope, const char *key)
{
    size_t length = strlen(key);

    for (size_t i = 0; i < fields_count; i++) {
        const char *other = all_fields[i].key;

        if (all_fields[i].scope == scope && strncmp(other, key, length) == 0 &&
            other[length] == '.')
            return true;
    }
    return false;
}

size_t
field_index(const struct field *field)
{
    return (size_t)(field - all_fields);
}
