/* SPDX-License-Identifier: MIT */
#include "desk/param.h"

#include <math.h>
#include <string.h>

#define PARAM_ROW(id, name, row, column, unit, class, kind, least, most, absent, help)             \
    {name,  INDEX_##row, INDEX_##column, UNIT_##unit, DIFFERENCE_##class, DIFFERENCE_OF_##kind,    \
     least, most,        absent,         help},
const struct param params[PARAMS] = {PARAM_LIST(PARAM_ROW)};
#undef PARAM_ROW

static const char *const tap_words[] = {"pre-eq", "pre-fader", "post-fader", NULL};

static const char *const shape_words[] = {"peak",      "low-shelf", "high-shelf", "low-pass",
                                          "high-pass", "notch",     NULL};

/* In the order of enum room. */
static const char *const room_words[] = {"line-check", "doors", "show", "changeover", NULL};

static const struct {
    const char *count;
    const char *placeholder;
} indexes[INDEX_KINDS] = {
    [INDEX_NONE] = {"", ""},
    [INDEX_INPUT] = {"input", "input"},
    [INDEX_MIX] = {"mix", "mix"},
    [INDEX_GROUP] = {"group", "group"},
    [INDEX_INPUT_EQ_BAND] = {"input.eq.band", "band"},
    [INDEX_MIX_GRAPHIC_BAND] = {"mix.graphic.band", "band"},
    [INDEX_MIX_EQ_BAND] = {"mix.eq.band", "band"},
    [INDEX_INPUT_SPECTRUM_BAND] = {"input.spectrum.band", "band"},
    [INDEX_MIX_SPECTRUM_BAND] = {"mix.spectrum.band", "band"},
};

static const char *const units[] = {
    [UNIT_DB] = "dB",
    [UNIT_HZ] = "Hz",
    [UNIT_MS] = "ms",
    [UNIT_SLOPE] = "dB per octave",
    [UNIT_FACTOR] = "ratio",
    [UNIT_INDEX] = "number",
    [UNIT_SWITCH] = "on or off",
    [UNIT_WORD] = "word",
    [UNIT_TEXT] = "text",
};

enum param_id
param_find(const char *name)
{
    int id = 0;

    while (id < PARAMS && strcmp(params[id].name, name) != 0)
        id++;
    return (enum param_id)id;
}

const char *const *
param_words(enum param_id id)
{
    if (params[id].unit != UNIT_WORD)
        return NULL;
    return id == PARAM_SEND_TAP ? tap_words : id == PARAM_DESK_ROOM ? room_words : shape_words;
}

int
param_word(enum param_id id, const char *word)
{
    const char *const *words = param_words(id);

    for (int i = 0; words && words[i]; i++)
        if (strcmp(words[i], word) == 0)
            return i;
    return -1;
}

const char *
index_name(enum index_kind kind)
{
    return indexes[kind].count;
}

const char *
index_placeholder(enum index_kind kind)
{
    return indexes[kind].placeholder;
}

const char *
unit_name(enum unit unit)
{
    return units[unit];
}

bool
param_may_be_off(enum param_id id)
{
    return params[id].unit == UNIT_DB && params[id].least <= PARAM_OFF_BELOW_DB;
}

bool
param_accepts(enum param_id id, double number)
{
    const struct param *param = &params[id];

    if (isnan(number))
        return false;
    if (number == -HUGE_VAL)
        return param_may_be_off(id);
    if ((param->unit == UNIT_INDEX || param->unit == UNIT_WORD || param->unit == UNIT_SWITCH) &&
        number != floor(number))
        return false;
    return number >= param->least && number <= param->most;
}
