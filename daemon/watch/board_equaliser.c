/* SPDX-License-Identifier: MIT */
#include "watch/board_equaliser.h"

#include <math.h>

#include "check/too_many_cuts.h"
#include "proof/say.h"
#include "sound/cuts.h"

enum { WORD_SIZE = 60, FIRST_ORDER_SLOPE = 6 /* dB an octave, for each order */ };

static struct json *
entry(const char *what, const char *hz, const char *gain, const char *width, bool is_cut)
{
    struct json *json = json_new_object();

    json_add_string(json, "what", what);
    json_add_string(json, "hz", hz);
    json_add_string(json, "gain", gain);
    json_add_string(json, "width", width);
    json_add_bool(json, "is_cut", is_cut);
    return json;
}

static const char *
hz_text(double hz, char words[WORD_SIZE])
{
    struct text text;

    text_init(&text, words, WORD_SIZE);
    proof_says_hz(&text, hz);
    return words;
}

static bool
is_graphic(const struct control *control)
{
    return control->gain == PARAM_MIX_GRAPHIC_BAND_GAIN;
}

/* "graphic", "band 3", "band 4 high-shelf" */
static void
add_what(const struct control *control, struct text *text)
{
    if (is_graphic(control))
        text_add(text, "graphic");
    else
        text_add(text, "band %d", control->band + 1);
    if (!is_graphic(control) && control->shape != SHAPE_PEAK)
        text_add(text, " %s", param_words(PARAM_MIX_EQ_BAND_SHAPE)[control->shape]);
}

/* A graphic's bands are as wide as they stand apart, or as the profile says: not said band by band. */
static void
add_width(const struct control *control, struct text *text)
{
    if (!is_graphic(control))
        text_add(text, "Q %g", control->q);
}

static bool
does_something(const struct control *control)
{
    return cuts_is_broad(control) || control->shape == SHAPE_NOTCH || control->gain_db != 0;
}

static struct json *
control_json(const struct look *look, const struct control *control)
{
    bool notch = control->shape == SHAPE_NOTCH;
    char what[WORD_SIZE], hz[WORD_SIZE], gain[WORD_SIZE], width[WORD_SIZE];
    struct text texts[3];

    text_init(&texts[0], what, sizeof what);
    text_init(&texts[1], gain, sizeof gain);
    text_init(&texts[2], width, sizeof width);
    add_what(control, &texts[0]);
    if (!notch)
        text_add(&texts[1], "%s%f dB", control->gain_db > 0 ? "+" : "", control->gain_db);
    add_width(control, &texts[2]);
    return entry(what, hz_text(cuts_printed_hz(look, control), hz), gain, width,
                 notch || (control->shape == SHAPE_PEAK &&
                           control->gain_db <= -too_many_cuts_from_db(look->show)));
}

static struct json *
high_pass_json(const struct filters *filters)
{
    char hz[WORD_SIZE], slope[WORD_SIZE];
    struct text text;

    text_init(&text, slope, sizeof slope);
    text_add(&text, "%d dB per octave", filters->high_pass_order * FIRST_ORDER_SLOPE);
    return entry("high-pass", hz_text(filters->high_pass_hz, hz), "", slope, false);
}

struct json *
board_equaliser(const struct engine *engine, int mix)
{
    static const enum param_id reads[] = {PATH_MIX_FILTER_READS, PARAMS};
    struct verdict verdict = {.outcome = OUTCOME_NOT_ASKED};
    struct look look = look_reader(engine_desk(engine), engine_show(engine), reads, &verdict);
    struct json *list = json_new_array();
    struct filters filters;

    if (!path_mix_filters(&look, mix, &filters)) {
        json_add(list, NULL, entry("the equaliser is not known", "", "", "", false));
        return list;
    }
    if (filters.high_pass_order > 0)
        json_add(list, NULL, high_pass_json(&filters));
    for (int i = 0; i < filters.count; i++)
        if (does_something(&filters.controls[i]))
            json_add(list, NULL, control_json(&look, &filters.controls[i]));
    return list;
}
