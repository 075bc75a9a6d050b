/* SPDX-License-Identifier: MIT */
#include "desk/words.h"

#include <math.h>
#include <string.h>

/* The trade's short names where the parameter's own is not plain enough. */
static const struct {
    enum param_id id;
    const char *name;
} names[] = {
    {PARAM_INPUT_NAME, "label"},
    {PARAM_INPUT_PREAMP_GAIN, "preamp"},
    {PARAM_INPUT_PREAMP, "fed by preamp"},
    {PARAM_INPUT_PHANTOM, "48 V"},
    {PARAM_INPUT_HIGH_PASS_ON, "high-pass"},
    {PARAM_INPUT_HIGH_PASS_FREQ, "high-pass corner"},
    {PARAM_INPUT_HIGH_PASS_SLOPE, "high-pass slope"},
    {PARAM_INPUT_EQ_ON, "equaliser"},
    {PARAM_INPUT_COMP_ON, "compressor"},
    {PARAM_INPUT_COMP_THRESHOLD, "compressor threshold"},
    {PARAM_INPUT_COMP_RATIO, "compressor ratio"},
    {PARAM_INPUT_COMP_MAKEUP, "make-up"},
    {PARAM_INPUT_GATE_ON, "gate"},
    {PARAM_INPUT_GROUP, "in the group"},
    {PARAM_SEND_ON, "send"},
    {PARAM_SEND_LEVEL, "send"},
    {PARAM_SEND_TAP, "tap"},
    {PARAM_MIX_NAME, "label"},
    {PARAM_MIX_FADER, "master"},
    {PARAM_MIX_GRAPHIC_ON, "graphic"},
    {PARAM_MIX_GRAPHIC_BAND_GAIN, "graphic"},
    {PARAM_MIX_EQ_ON, "equaliser"},
    {PARAM_MIX_HIGH_PASS_ON, "high-pass"},
    {PARAM_MIX_HIGH_PASS_FREQ, "high-pass corner"},
    {PARAM_MIX_LIMITER_ON, "limiter"},
    {PARAM_MIX_LIMITER_THRESHOLD, "limiter threshold"},
    {PARAM_MIX_LIMITER_RATIO, "limiter ratio"},
    {PARAM_MIX_LIMITER_ATTACK, "limiter attack"},
    {PARAM_MIX_LIMITER_RELEASE, "limiter release"},
};

/* "input.eq.band.freq" as "eq band freq": what is behind the first dot. */
void
words_name(struct text *text, enum param_id id)
{
    const char *dot = strchr(params[id].name, '.');

    for (size_t i = 0; i < sizeof names / sizeof *names; i++)
        if (names[i].id == id) {
            text_add(text, "%s", names[i].name);
            return;
        }
    for (const char *at = dot ? dot + 1 : params[id].name; *at; at++) {
        char letter[2] = {*at == '.' || *at == '_' ? ' ' : *at, '\0'};

        text_add(text, "%s", letter);
    }
}

void
words_number(struct text *text, enum param_id id, double number)
{
    switch (params[id].unit) {
    case UNIT_SWITCH:
        text_add(text, number != 0 ? "on" : "off");
        break;
    case UNIT_WORD:
        text_add(text, "%s", param_words(id)[(int)number]);
        break;
    case UNIT_DB:
    case UNIT_HZ:
    case UNIT_MS:
    case UNIT_SLOPE:
        text_add(text, "%f", number);
        if (number != -HUGE_VAL)
            text_add(text, " %s", unit_name(params[id].unit));
        break;
    case UNIT_FACTOR:
        text_add(text, "%g", number);
        break;
    case UNIT_INDEX:
    case UNIT_TEXT:
        text_add(text, "%f", number);
        break;
    }
}

static void
add_labelled(struct text *text, const struct desk *desk, enum index_kind kind, int number)
{
    enum param_id label = kind == INDEX_INPUT ? PARAM_INPUT_NAME
                          : kind == INDEX_MIX ? PARAM_MIX_NAME
                                              : PARAMS;
    const char *name = label != PARAMS ? desk_text(desk, label, number, 0) : "";

    text_add(text, "%s %d%s%s", index_placeholder(kind), number + 1, *name ? " " : "", name);
}

/* "preamp", "mix 2 Keys: send": what stands in the row of its input or mix. */
static void
add_control(struct text *text, const struct desk *desk, enum param_id id, int column)
{
    if (params[id].column != INDEX_NONE) {
        add_labelled(text, desk, params[id].column, column);
        text_add(text, ": ");
    }
    words_name(text, id);
}

void
words_place(struct text *text, const struct desk *desk, enum param_id id, int row, int column)
{
    if (params[id].row != INDEX_NONE) {
        add_labelled(text, desk, params[id].row, row);
        text_add(text, params[id].column != INDEX_NONE ? ", " : ": ");
    }
    add_control(text, desk, id, column);
}
