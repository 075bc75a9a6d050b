#include "words.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

const char *
words_number(enum param_id id, double number, char text[WORDS_VALUE_SIZE])
{
    const char *const *words = param_words(id);

    switch (params[id].unit) {
    case UNIT_SWITCH:
        snprintf(text, WORDS_VALUE_SIZE, "%s", number != 0 ? "on" : "off");
        break;
    case UNIT_WORD:
        snprintf(text, WORDS_VALUE_SIZE, "%s", words[(int)number]);
        break;
    case UNIT_INDEX:
        snprintf(text, WORDS_VALUE_SIZE, "%.0f", number);
        break;
    case UNIT_DB:
        if (number == -HUGE_VAL)
            snprintf(text, WORDS_VALUE_SIZE, "off");
        else
            snprintf(text, WORDS_VALUE_SIZE, "%.4g dB", round(number * 10) / 10 + 0.0);
        break;
    case UNIT_HZ:
        snprintf(text, WORDS_VALUE_SIZE, "%.4g Hz", number);
        break;
    case UNIT_SLOPE:
        snprintf(text, WORDS_VALUE_SIZE, "%.4g dB per octave", number);
        break;
    case UNIT_FACTOR:
        snprintf(text, WORDS_VALUE_SIZE, "%.3g", number);
        break;
    case UNIT_TEXT:
        snprintf(text, WORDS_VALUE_SIZE, "another text");
        break;
    }
    return text;
}

const char *
words_value(const struct desk *desk, enum param_id id, int row, int column,
            char text[WORDS_VALUE_SIZE])
{
    const struct value *value = desk_value(desk, id, row, column);

    if (value->state == VALUE_UNKNOWN)
        snprintf(text, WORDS_VALUE_SIZE, "not known");
    else if (params[id].unit == UNIT_TEXT)
        snprintf(text, WORDS_VALUE_SIZE, "\"%s\"", desk_text(desk, id, row, column));
    else
        words_number(id, value->number, text);
    return text;
}

static size_t
add_labelled(char *text, size_t used, const struct desk *desk, enum index_kind kind, int number)
{
    enum param_id label = kind == INDEX_INPUT ? PARAM_INPUT_NAME
                          : kind == INDEX_MIX ? PARAM_MIX_NAME
                                              : PARAMS;
    const char *name = label != PARAMS ? desk_text(desk, label, number, 0) : "";

    return used + (size_t)snprintf(text + used, WORDS_PLACE_SIZE - used, "%s%s %d%s%s",
                                   used > 0 ? ", " : "", index_placeholder(kind), number + 1,
                                   *name ? " " : "", name);
}

const char *
words_place(const struct desk *desk, enum param_id id, int row, int column,
            char text[WORDS_PLACE_SIZE])
{
    size_t used = 0;
    char name[PARAM_PLAIN_SIZE];

    param_plain(id, name);
    if (params[id].row != INDEX_NONE)
        used = add_labelled(text, used, desk, params[id].row, row);
    if (params[id].column != INDEX_NONE)
        used = add_labelled(text, used, desk, params[id].column, column);
    snprintf(text + used, WORDS_PLACE_SIZE - used, "%s%s", used > 0 ? ": " : "", name);
    return text;
}
