/* SPDX-License-Identifier: MIT */
#include "state_value.h"

#include <math.h>
#include <string.h>

static void
load_text(struct walk *walk, const cJSON *json, const struct field *field, size_t object)
{
    if (!cJSON_IsString(json))
        walk_complain(walk, "must be a text");
    else if (strlen(json->valuestring) >= STATE_TEXT_SIZE)
        walk_complain(walk, "longer than %d bytes", STATE_TEXT_SIZE - 1);
    else
        state_set_text(walk->state, field, object, json->valuestring);
}

static void
load_switch(struct walk *walk, const cJSON *json, const struct field *field, size_t object)
{
    if (cJSON_IsBool(json))
        state_set_number(walk->state, field, object, cJSON_IsTrue(json));
    else
        walk_complain(walk, "must be true or false");
}

static void
load_word(struct walk *walk, const cJSON *json, const struct field *field, size_t object)
{
    size_t i = 0;

    if (!cJSON_IsString(json)) {
        walk_complain(walk, "must be a word such as \"%s\"", field->words[0]);
        return;
    }
    while (field->words[i] && strcmp(field->words[i], json->valuestring) != 0)
        i++;
    if (field->words[i])
        state_set_number(walk->state, field, object, (double)i);
    else
        walk_complain(walk, "\"%.40s\" is not a word known here", json->valuestring);
}

static bool
is_off(const cJSON *json)
{
    return cJSON_IsString(json) && strcmp(json->valuestring, "-inf") == 0;
}

static void
load_number(struct walk *walk, const cJSON *json, const struct field *field, size_t object)
{
    bool may_be_off = field->law == LAW_FADER;
    double value = json->valuedouble;

    if (may_be_off && is_off(json))
        state_set_number(walk->state, field, object, (double)-INFINITY);
    else if (!cJSON_IsNumber(json))
        walk_complain(walk, "must be a number%s", may_be_off ? " or \"-inf\"" : "");
    else if (!(value >= field->low && value <= field->high))
        walk_complain(walk, "%g is outside %g to %g", value, field->low, field->high);
    else if (field->form == FORM_WHOLE && value != floor(value))
        walk_complain(walk, "%g is not a whole number", value);
    else
        state_set_number(walk->state, field, object, value);
}

void
state_value_load(struct walk *walk, const cJSON *json, const struct field *field, size_t object)
{
    switch (field->form) {
    case FORM_TEXT:
        load_text(walk, json, field, object);
        break;
    case FORM_SWITCH:
        load_switch(walk, json, field, object);
        break;
    case FORM_WORD:
        load_word(walk, json, field, object);
        break;
    case FORM_WHOLE:
    case FORM_REAL:
        load_number(walk, json, field, object);
        break;
    }
}
