/* SPDX-License-Identifier: MIT */
/* One value that moved: what it makes louder, what it weighs, and the card that puts it back. */
#include <math.h>
#include <stdio.h>

#include "base/json.h"
#include "base/output.h"
#include "report/compare.h"

enum { FIRST_COLUMN = 4, NEXT_COLUMN = 6 };

const char *
compare_move_says(const struct compare *compare, const struct compare_value *value,
                  char line[COMPARE_LINE_SIZE])
{
    char object[REPORT_OBJECT_SIZE], says[COMPARE_SAYS_SIZE];
    struct text text;

    text_init(&text, line, COMPARE_LINE_SIZE);
    text_add(&text, "%s: %s", compare_owner(compare, value, object),
             compare_says(compare, value, says));
    if (value->stands == COMPARE_DIFFERS)
        effect_says(&text, compare->offsets, value->id, value->row, value->column);
    if (value->card != PLAN_NO_CARD)
        text_add(&text, "; card %zu", value->card + 1);
    else if (value->id == PARAM_INPUT_PHANTOM)
        text_add(&text, "; on no card: by hand, with the input closed");
    return line;
}

void
compare_print(const struct compare *compare, const struct compare_value *value)
{
    char line[COMPARE_LINE_SIZE];

    compare_move_says(compare, value, line);
    if (value->stands == COMPARE_DIFFERS)
        output_led(FIRST_COLUMN, NEXT_COLUMN, "%s: %s", weight_name(value->weight), line);
    else
        output_wrapped(FIRST_COLUMN, NEXT_COLUMN, line);
}

/* "inf": from off, or to it. */
static void
add_db(struct json *json, const char *key, struct effect effect, double db)
{
    if (!effect.known)
        json_add_number(json, key, NAN);
    else if (db == HUGE_VAL)
        json_add_string(json, key, "inf");
    else
        json_add_number(json, key, round(db * 1000) / 1000); /* as levels are taken */
}

static struct json *
mixes_json(const struct compare *compare, const struct compare_value *value)
{
    struct json *list = json_new_array();

    for (int mix = 0; mix < compare->offsets->mixes; mix++) {
        struct effect effect =
            effect_in(compare->offsets, value->id, value->row, value->column, mix);

        if (effect.known && effect_is_any(effect))
            json_add_number(list, NULL, mix + 1);
    }
    return list;
}

void
compare_value_json(const struct compare *compare, const struct compare_value *value,
                   struct json *json)
{
    json_add_bool(json, "folded", value->stands == COMPARE_FOLDED);
    json_add_bool(json, "asleep", value->stands == COMPARE_ASLEEP);
    if (value->stands != COMPARE_DIFFERS)
        return;
    json_add_string(json, "weight", weight_name(value->weight));
    add_db(json, "louder_db", value->effect, value->effect.louder_db);
    add_db(json, "softer_db", value->effect, value->effect.softer_db);
    json_add(json, "mixes", mixes_json(compare, value));
    json_add_number(json, "card", value->card == PLAN_NO_CARD ? NAN : (double)value->card + 1);
}
