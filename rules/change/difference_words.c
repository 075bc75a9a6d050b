/* SPDX-License-Identifier: MIT */
/* Differences as people say them. */
#include "change/difference.h"

#include <math.h>
#include <string.h>

#include "desk/words.h"
#include "sound/band.h"

/* The switch that makes the parameter count, for its whole row or band by band. PARAMS: none. */
static const struct {
    enum param_id id, row_switch, band_switch;
} switches[] = {
    {PARAM_INPUT_HIGH_PASS_FREQ, PARAM_INPUT_HIGH_PASS_ON, PARAMS},
    {PARAM_INPUT_HIGH_PASS_SLOPE, PARAM_INPUT_HIGH_PASS_ON, PARAMS},
    {PARAM_INPUT_EQ_BAND_ON, PARAM_INPUT_EQ_ON, PARAMS},
    {PARAM_INPUT_EQ_BAND_SHAPE, PARAM_INPUT_EQ_ON, PARAM_INPUT_EQ_BAND_ON},
    {PARAM_INPUT_EQ_BAND_FREQ, PARAM_INPUT_EQ_ON, PARAM_INPUT_EQ_BAND_ON},
    {PARAM_INPUT_EQ_BAND_GAIN, PARAM_INPUT_EQ_ON, PARAM_INPUT_EQ_BAND_ON},
    {PARAM_INPUT_EQ_BAND_Q, PARAM_INPUT_EQ_ON, PARAM_INPUT_EQ_BAND_ON},
    {PARAM_INPUT_GATE_THRESHOLD, PARAM_INPUT_GATE_ON, PARAMS},
    {PARAM_INPUT_COMP_THRESHOLD, PARAM_INPUT_COMP_ON, PARAMS},
    {PARAM_INPUT_COMP_RATIO, PARAM_INPUT_COMP_ON, PARAMS},
    {PARAM_INPUT_COMP_MAKEUP, PARAM_INPUT_COMP_ON, PARAMS},
    {PARAM_MIX_GRAPHIC_BAND_GAIN, PARAM_MIX_GRAPHIC_ON, PARAMS},
    {PARAM_MIX_GRAPHIC_BAND_FREQ, PARAM_MIX_GRAPHIC_ON, PARAMS},
    {PARAM_MIX_EQ_BAND_ON, PARAM_MIX_EQ_ON, PARAMS},
    {PARAM_MIX_EQ_BAND_SHAPE, PARAM_MIX_EQ_ON, PARAM_MIX_EQ_BAND_ON},
    {PARAM_MIX_EQ_BAND_FREQ, PARAM_MIX_EQ_ON, PARAM_MIX_EQ_BAND_ON},
    {PARAM_MIX_EQ_BAND_GAIN, PARAM_MIX_EQ_ON, PARAM_MIX_EQ_BAND_ON},
    {PARAM_MIX_EQ_BAND_Q, PARAM_MIX_EQ_ON, PARAM_MIX_EQ_BAND_ON},
    {PARAM_MIX_HIGH_PASS_FREQ, PARAM_MIX_HIGH_PASS_ON, PARAMS},
    {PARAM_MIX_HIGH_PASS_SLOPE, PARAM_MIX_HIGH_PASS_ON, PARAMS},
    {PARAM_MIX_LIMITER_THRESHOLD, PARAM_MIX_LIMITER_ON, PARAMS},
    {PARAM_MIX_LIMITER_RATIO, PARAM_MIX_LIMITER_ON, PARAMS},
    {PARAM_MIX_LIMITER_ATTACK, PARAM_MIX_LIMITER_ON, PARAMS},
    {PARAM_MIX_LIMITER_RELEASE, PARAM_MIX_LIMITER_ON, PARAMS},
};

static enum sure
is_off(const struct desk *desk, enum param_id id, int row, int column)
{
    const struct value *value;

    if (id == PARAMS || desk_supplied(desk, id) == SUPPLY_NONE)
        return SURE_NO;
    value = desk_value(desk, id, row, column);
    return value->state == VALUE_KNOWN ? sure(value_is(value, 0)) : UNSURE;
}

enum sure
difference_dormant(const struct desk *desk, enum param_id id, int row, int column)
{
    for (size_t i = 0; i < sizeof switches / sizeof *switches; i++)
        if (switches[i].id == id)
            return sure_or(is_off(desk, switches[i].row_switch, row, 0),
                           is_off(desk, switches[i].band_switch, row, column));
    return SURE_NO;
}

/* ---- words ---- */

/* A graphic's band by its frequency, where it has one; any other by its number. */
static void
add_band(struct text *text, const struct desk *desk, enum param_id id, int row, int column)
{
    int bands = desk_columns(desk, id);
    double hz = 0;

    if (params[id].column == INDEX_MIX_GRAPHIC_BAND) {
        const struct value *told = desk_value(desk, PARAM_MIX_GRAPHIC_BAND_FREQ, row, column);

        hz = told->state == VALUE_KNOWN ? value_number(told)
                                        : band_graphic_nominal_hz(bands, column);
    }
    if (hz <= 0 || id == PARAM_MIX_GRAPHIC_BAND_FREQ) {
        text_add(text, " %d", column + 1);
        return;
    }
    text_add(text, " %f Hz", hz < 100 ? hz : round(hz));
}

void
difference_place(struct text *text, const struct desk *desk, enum param_id id, int row, int column)
{
    words_name(text, id);
    switch (params[id].column) {
    case INDEX_INPUT_EQ_BAND:
    case INDEX_MIX_GRAPHIC_BAND:
    case INDEX_MIX_EQ_BAND:
        add_band(text, desk, id, row, column);
        break;
    case INDEX_MIX:
        text_add(text, " into mix %d", column + 1);
        if (*desk_text(desk, PARAM_MIX_NAME, column, 0))
            text_add(text, " %s", desk_text(desk, PARAM_MIX_NAME, column, 0));
        break;
    case INDEX_GROUP:
        text_add(text, " %d", column + 1);
        break;
    case INDEX_NONE:
    case INDEX_INPUT:
    case INDEX_INPUT_SPECTRUM_BAND:
    case INDEX_MIX_SPECTRUM_BAND:
    case INDEX_KINDS:
        break;
    }
}

/* The number alone; the unit stands once, behind both. */
static void
add_number(struct text *text, enum param_id id, double number)
{
    bool fine = params[id].unit == UNIT_FACTOR;

    if (params[id].unit == UNIT_HZ && number >= 100)
        number = round(number);
    text_add(text, fine ? "%g" : "%f", number);
}

static const char *
unit_of(enum param_id id)
{
    switch (params[id].unit) {
    case UNIT_DB:
        return " dB";
    case UNIT_HZ:
        return " Hz";
    case UNIT_MS:
        return " ms";
    case UNIT_SLOPE:
        return " dB per octave";
    case UNIT_FACTOR:
    case UNIT_INDEX:
    case UNIT_SWITCH:
    case UNIT_WORD:
    case UNIT_TEXT:
        break;
    }
    return "";
}

static const char *
word_of(const struct desk *desk, enum param_id id, int row, int column)
{
    double number = value_last_heard(desk_value(desk, id, row, column));

    if (params[id].unit == UNIT_TEXT)
        return desk_text(desk, id, row, column);
    if (params[id].unit == UNIT_WORD)
        return param_words(id)[(int)number];
    return number != 0 ? "on" : "off";
}

static void
add_numbers(struct text *text, enum param_id id, double was, double is)
{
    char one[32], other[32];
    struct text before, after;

    text_init(&before, one, sizeof one);
    text_init(&after, other, sizeof other);
    add_number(&before, id, was);
    add_number(&after, id, is);
    if (strcmp(one, other) == 0)
        text_add(text, " moved a little, at %s%s", other, unit_of(id));
    else
        text_add(text, " %s -> %s%s", one, other, is == -HUGE_VAL ? "" : unit_of(id));
}

void
difference_says(struct text *text, const struct desk *before, const struct desk *after,
                enum param_id id, int row, int column)
{
    difference_place(text, after, id, row, column);
    switch (params[id].unit) {
    case UNIT_TEXT:
        text_add(text, " was \"%s\", is \"%s\"", word_of(before, id, row, column),
                 word_of(after, id, row, column));
        break;
    case UNIT_SWITCH:
    case UNIT_WORD:
        text_add(text, " was %s, is %s", word_of(before, id, row, column),
                 word_of(after, id, row, column));
        break;
    case UNIT_DB:
    case UNIT_HZ:
    case UNIT_MS:
    case UNIT_SLOPE:
    case UNIT_FACTOR:
    case UNIT_INDEX:
        add_numbers(text, id, value_last_heard(desk_value(before, id, row, column)),
                    value_last_heard(desk_value(after, id, row, column)));
        break;
    }
}
