/* SPDX-License-Identifier: MIT */
#include "listen/positions.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/escape.h"
#include "core/need.h"

/* ---- what is asked for ---- */

#define SHOWS "and type what the desk shows there"

static const char *const fader_positions[] = {
    "turn it all the way down, " SHOWS " (a number, or off).",
    "set it to about -40 dB, " SHOWS ". Enter alone: leave this out.",
    "set it to about -20 dB, " SHOWS ". Enter alone: leave this out.",
    "set it to about -10 dB, " SHOWS ". Enter alone: leave this out.",
    "set it to 0 dB, " SHOWS ".",
    "turn it all the way up, " SHOWS ".",
    NULL,
};

static const char *const knob_positions[] = {
    "turn it all the way down, " SHOWS " (a number).",
    "set it to the middle, " SHOWS ". Enter alone: leave this out.",
    "turn it all the way up, " SHOWS ".",
    NULL,
};

static bool
is_fader(enum param_id param)
{
    return param_may_be_off(param) && params[param].class == DIFFERENCE_LEVEL;
}

static bool
is_table(enum unit unit)
{
    return unit == UNIT_SWITCH || unit == UNIT_WORD;
}

/* The word of the number-th question; for a switch what it does. NULL: that was all. */
static const char *
word_at(enum param_id param, int at)
{
    if (params[param].unit == UNIT_SWITCH)
        return at < 2 ? params[param].help : NULL;
    return at < POSITIONS_WORDS ? param_words(param)[at] : NULL;
}

static const char *
ask_word(struct positions *positions)
{
    const char *word = word_at(positions->param, positions->at);

    if (!word)
        return NULL;
    if (params[positions->param].unit != UNIT_SWITCH)
        snprintf(positions->question, sizeof positions->question,
                 "set it to %s, then press Enter; no: the desk does not have that.", word);
    else if (positions->at == 0)
        snprintf(positions->question, sizeof positions->question,
                 "switch it on (%s), then press Enter.", word);
    else
        snprintf(positions->question, sizeof positions->question,
                 "switch it off, then press Enter.");
    return positions->question;
}

const char *
positions_question(struct positions *positions)
{
    enum unit unit = params[positions->param].unit;
    const char *position;

    if (unit == UNIT_TEXT || unit == UNIT_INDEX || positions->same)
        return NULL;
    if (is_table(unit))
        return ask_word(positions);
    position = (is_fader(positions->param) ? fader_positions : knob_positions)[positions->at];
    if (!position || positions->at > 0 || !positions->like)
        return position;
    snprintf(positions->question, sizeof positions->question,
             "Enter alone if it reads like %s; else %s", positions->like, position);
    return positions->question;
}

/* The law of a fader that is known, which its fellows often share. */
static const char *
law_like(enum param_id param, const struct json *profile)
{
    const struct json *laws = json_get(profile, "laws");

    if (!is_fader(param))
        return NULL;
    for (enum param_id i = 0; i < PARAMS; i++)
        if (i != param && is_fader(i) && json_get(laws, params[i].name))
            return params[i].name;
    return NULL;
}

const char *
positions_why_not(enum param_id param, char type, const struct stirring_value *value)
{
    enum unit unit = params[param].unit;

    if (type == 'b')
        return "it comes in a blob";
    if (unit != UNIT_TEXT && !is_table(unit) && isnan(value->number))
        return "it comes in a text that is more than a number";
    return NULL;
}

void
positions_begin(struct positions *positions, enum param_id param, const struct json *profile)
{
    *positions = (struct positions){.param = param, .like = law_like(param, profile)};
}

/* ---- what is typed ---- */

static bool
refuse(struct positions *positions, const char *complaint)
{
    positions->complaint = complaint;
    return false;
}

static bool
take_word(struct positions *positions, const char *line, const struct stirring_value *value)
{
    bool is_switch = params[positions->param].unit == UNIT_SWITCH;

    if (*line && strcmp(line, "no") != 0)
        return refuse(positions, "Set it, then press Enter alone; no, where there is none.");
    if (!*line) {
        size_t at = positions->word_count++;

        positions->words[at].wire = *value;
        positions->words[at].word = is_switch ? NULL : word_at(positions->param, positions->at);
        positions->words[at].on = positions->at == 0;
    }
    positions->at++;
    return true;
}

static bool
take_point(struct positions *positions, const char *line, const struct stirring_value *value)
{
    struct find_law_point point;

    if (!find_law_shown(line, &point))
        return refuse(positions, "A number as the desk shows it, such as -10 or 1.2 kHz, or off.");
    if (point.shown == -HUGE_VAL && !param_may_be_off(positions->param))
        return refuse(positions, "This one is never off: a number, please.");
    if (isnan(value->number) || (value->number == -HUGE_VAL && point.shown != -HUGE_VAL))
        return refuse(positions, "The desk sends no number there.");
    point.wire = value->number;
    if (point.wire != -HUGE_VAL) /* "-inf" as a text needs no law */
        positions->points[positions->count++] = point;
    positions->at++;
    return true;
}

bool
positions_take(struct positions *positions, const char *line, const struct stirring_value *value)
{
    positions->complaint = NULL;
    if (!positions_question(positions))
        return true;
    if (is_table(params[positions->param].unit))
        return take_word(positions, line, value);
    if (*line)
        return take_point(positions, line, value);
    if (positions->at == 0 && positions->like)
        positions->same = true;
    positions->at++;
    return true;
}

const char *
positions_complaint(const struct positions *positions)
{
    return positions->complaint ? positions->complaint : "";
}

/* ---- what comes of it ---- */

const char *
positions_same(const struct positions *positions)
{
    return positions->same ? positions->like : NULL;
}

static bool
is_same_wire(const struct stirring_value *one, const struct stirring_value *other)
{
    return strcmp(one->text, other->text) == 0 &&
           (one->number == other->number || (isnan(one->number) && isnan(other->number)));
}

/* A text that no profile can hold as it came: cut, or bytes that are no text. */
static bool
is_unfit(const struct stirring_value *wire)
{
    const char *at = wire->text;
    size_t length;

    while (*at && (length = escape_character(at)) > 0)
        at += length;
    return *at || strlen(wire->text) + 1 == sizeof wire->text;
}

static struct json *
wire_json(const struct stirring_value *wire)
{
    return *wire->text ? json_new_string(wire->text) : json_new_number(wire->number);
}

static bool
table_law(const struct positions *positions, struct found_law *found)
{
    struct json *list;

    *found = (struct found_law){.range = {NAN, NAN}};
    for (size_t i = 0; i < positions->word_count; i++) {
        if (is_unfit(&positions->words[i].wire)) {
            snprintf(found->says, sizeof found->says,
                     "it sends a text that is too long, or no UTF-8");
            return false;
        }
        for (size_t k = 0; k < i; k++)
            if (is_same_wire(&positions->words[i].wire, &positions->words[k].wire)) {
                snprintf(found->says, sizeof found->says, "two positions send the same");
                return false;
            }
    }
    if (positions->word_count < (params[positions->param].unit == UNIT_SWITCH ? 2 : 1)) {
        snprintf(found->says, sizeof found->says, "too few positions were set");
        return false;
    }
    list = json_new_array();
    for (size_t i = 0; i < positions->word_count; i++)
        json_add(list, NULL,
                 json_list(wire_json(&positions->words[i].wire),
                           positions->words[i].word ? json_new_string(positions->words[i].word)
                                                    : json_new_bool(positions->words[i].on)));
    found->law = json_new_object();
    json_add(found->law, "words", list);
    snprintf(found->says, sizeof found->says, "a table of %zu positions", positions->word_count);
    return true;
}

bool
positions_law(struct positions *positions, struct found_law *found)
{
    enum unit unit = params[positions->param].unit;

    if (is_table(unit))
        return table_law(positions, found);
    if (unit == UNIT_TEXT || unit == UNIT_INDEX) {
        *found = (struct found_law){.range = {NAN, NAN}, .says = "none is needed"};
        return true;
    }
    return find_law(positions->points, positions->count, positions->param, found);
}
