/* SPDX-License-Identifier: MIT */
#include "listen/why.h"

#include <math.h>

#include "base/escape.h"
#include "base/text_format.h"

enum { SHOWN = 40 };

static void
say_argument(const struct argument *argument, struct text *text)
{
    char clean[SHOWN];

    if (argument->kind == ARGUMENT_TEXT) {
        escape_clean(clean, sizeof clean, argument->text);
        text_format(text, "\"%s\"", clean);
    } else if (argument->kind == ARGUMENT_SWITCH) {
        text_add(text, "%s", argument->number != 0 ? "true" : "false");
    } else if (argument->kind == ARGUMENT_NUMBER) {
        text_format(text, "%g", argument->number);
    } else {
        text_format(text, "an argument of type %c", argument->type);
    }
}

static bool
wire_value(const struct element *element, const struct argument *argument, double *value)
{
    if (argument->kind == ARGUMENT_NUMBER || argument->kind == ARGUMENT_SWITCH)
        return law_value(&element->law, argument->number, value);
    if (argument->kind != ARGUMENT_TEXT)
        return false;
    if (law_value_of_text(&element->law, argument->text, value))
        return true;
    return law_parse_number(argument->text, value) &&
           (*value == -HUGE_VAL || law_value(&element->law, *value, value));
}

static void
say_law(const struct law *law, struct text *text)
{
    if (law->kind == LAW_LINE || law->kind == LAW_RATIO)
        text_format(text, "; its law goes from %g to %g", law->points[0].wire,
                    law->points[law->count - 1].wire);
    else if (law->words)
        text_add(text, "; its law does not list it");
    else
        text_add(text, "; it must be a number");
}

static void
say_beyond(const struct element *element, double value, struct text *text)
{
    const struct param *param = &params[element->param];
    bool ranged = !isnan(element->range.least);

    text_format(text, " is %g %s; %s goes from %g to %g", value, unit_name(param->unit),
                ranged ? "its range" : param->name, ranged ? element->range.least : param->least,
                ranged ? element->range.most : param->most);
}

/* Whether the value is good; else why not. */
static bool
say_value(const struct element *element, const struct argument *argument, struct text *text)
{
    const struct travel *range = &element->range;
    double value, slack = (range->most - range->least) / 1000;

    if (params[element->param].unit == UNIT_TEXT &&
        (argument->kind == ARGUMENT_TEXT || argument->kind == ARGUMENT_NUMBER))
        return true;
    if (!wire_value(element, argument, &value)) {
        say_argument(argument, text);
        text_format(text, " is no %s", params[element->param].name);
        say_law(&element->law, text);
        return false;
    }
    if (value == -HUGE_VAL && param_may_be_off(element->param))
        return true;
    if (param_accepts(element->param, value) &&
        (isnan(range->least) || (value >= range->least - slack && value <= range->most + slack)))
        return true;
    say_argument(argument, text);
    say_beyond(element, value, text);
    return false;
}

static bool
say_run(const struct profile *profile, const struct element *element,
        const struct osc_message *message, size_t from, struct text *text)
{
    size_t count = (size_t)profile->counts.of[element->each];

    if (message->count - from != count) {
        text_format(text, "the run has %zu values, counts says %zu", message->count - from, count);
        return false;
    }
    for (size_t i = from; i < message->count; i++)
        if (!say_value(element, &message->arguments[i], text))
            return false;
    return true;
}

/* Whether all values of the answer are good. */
static bool
say_answer(const struct profile *profile, const struct pattern *pattern,
           const struct osc_message *answer, struct text *text)
{
    for (size_t i = 0; i < pattern->count && i < answer->count; i++) {
        const struct element *element = &pattern->elements[i];

        if (element->kind != ELEMENT_VALUE || unfold_is_missing(&answer->arguments[i]))
            continue;
        if (element->each != INDEX_NONE ? !say_run(profile, element, answer, i, text)
                                        : !say_value(element, &answer->arguments[i], text))
            return false;
    }
    return true;
}

void
why_refused(const struct profile *profile, const struct entry *entry,
            const struct osc_message *message, struct unfolded *unfolded, struct text *text)
{
    const struct osc_message *answer;

    unfold_begin(unfolded);
    answer = unfold(entry, message, unfolded);
    while (answer && say_answer(profile, &entry->answer, answer, text) && entry->roves) {
        int indexes[ENTRY_VARIABLES] = {-1, -1, -1};

        if (!unfold_rove(entry, &profile->counts, unfolded, indexes))
            return;
    }
}
