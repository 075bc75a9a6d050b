/* SPDX-License-Identifier: MIT */
#include "advice/say.h"

#include <math.h>
#include <stddef.h>

#include "change/difference.h"
#include "check/check.h"
#include "desk/words.h"

static void
add_object(struct text *text, const struct desk *desk, struct object object)
{
    bool input = object.input >= 0;
    int number = input ? object.input : object.mix;
    const char *label;

    if (number < 0) {
        text_add(text, "the desk");
        return;
    }
    label = desk_text(desk, input ? PARAM_INPUT_NAME : PARAM_MIX_NAME, number, 0);
    text_add(text, "%s %d%s%s", input ? "input" : "mix", number + 1, *label ? " " : "", label);
}

void
say_card(struct text *text, const struct desk *desk, const struct card *card)
{
    add_object(text, desk, card->object);
    text_add(text, ": %s", card_name(card->kind));
}

void
say_worth(struct text *text, const struct card *card)
{
    const char *between = "";

    if (card->kind != CARD_PUT_BACK && !isnan(card->gives_db)) {
        text_add(text, "gives %f dB back", card->gives_db);
        between = "; ";
    }
    if (card->louder_db == HUGE_VAL)
        text_add(text, "%sopens what was off, so slowly", between);
    else if (card->louder_db > 0.1)
        text_add(text, "%sends up to %f dB louder, so slowly", between, card->louder_db);
    if (card->watch_meter)
        text_add(text, "%swatch the input's meter: its peaks come up", *between ? "; " : "");
}

/* ---- moves ---- */

void
say_control(struct text *text, const struct desk *desk, const struct card *card,
            const struct card_move *move)
{
    bool input = params[move->id].row == INDEX_INPUT;

    if (input && card->object.mix >= 0 && params[move->id].column == INDEX_MIX) {
        words_name(text, move->id);
        text_add(text, " of ");
        add_object(text, desk, (struct object){move->row, -1});
        return;
    }
    if (input && move->row != card->object.input) {
        add_object(text, desk, (struct object){move->row, -1});
        text_add(text, ", ");
    }
    if (params[move->id].row == INDEX_GROUP)
        text_add(text, "group %d, ", move->row + 1);
    difference_place(text, desk, move->id, move->row, move->column);
}

/* text_add() writes a hyphen; whoever reads a list in the dark takes it for a dash. */
static void
add_level(struct text *text, double db)
{
    double tenths = round(db * 10) / 10;

    text_add(text, tenths < 0 && tenths > -HUGE_VAL ? "\xe2\x88\x92%f" : "%f",
             tenths > -HUGE_VAL ? fabs(tenths) : tenths);
}

void
say_value(struct text *text, const struct card_move *move, double number)
{
    if (params[move->id].unit == UNIT_DB)
        add_level(text, number);
    else
        words_number(text, move->id, number);
}

/* ---- in one sentence ---- */

enum { SENTENCE_MOVES = 6, SENTENCE_SIZE = 500 };

static void
add_move(struct text *text, const struct desk *desk, const struct card *card, size_t place)
{
    const struct card_move *move = &card->moves[place];
    bool level = params[move->id].unit == UNIT_DB && move->to > -HUGE_VAL;

    text_add(text, "%s", place > 0 ? ", " : "");
    say_control(text, desk, card, move);
    text_add(text, " ");
    say_value(text, move, move->now);
    text_add(text, " -> ");
    say_value(text, move, move->to);
    text_add(text, "%s", level ? " dB" : "");
}

void
say_card_in_short(struct text *text, const struct desk *desk, const struct card *card)
{
    char sentence[SENTENCE_SIZE], worth[200];
    struct text moves, gives;

    text_init(&moves, sentence, sizeof sentence);
    for (size_t i = 0; i < card->count && card->count <= SENTENCE_MOVES; i++)
        add_move(&moves, desk, card, i);
    text_init(&gives, worth, sizeof worth);
    say_worth(&gives, card);
    if (card->kind == CARD_PUT_BACK)
        text_add(text, "if a hand slipped, put back: ");
    if (card->count > SENTENCE_MOVES || moves.cut)
        text_add(text, "`gainwarden retrim` lists the %zu moves, in their order", card->count);
    else
        text_add(text, "%s", sentence);
    text_add(text, "%s%s", gives.used > 0 ? "; " : "", worth);
}

/* ---- in a few words ---- */

static void
add_back(struct text *text, const struct desk *desk, const struct card *card, int mix)
{
    const struct card_move *move = &card->moves[0];

    if (card->count > 1) {
        text_add(text, "put %zu values back: `gainwarden retrim`", card->count);
        return;
    }
    if (move->id == PARAM_SEND_LEVEL && move->column == mix && move->row == card->object.input)
        text_add(text, "put it");
    else
        say_control(text, desk, card, move);
    text_add(text, params[move->id].unit == UNIT_SWITCH ? " back " : " back to ");
    if (params[move->id].unit == UNIT_DB)
        text_add(text, "%f", move->to);
    else
        words_number(text, move->id, move->to);
}

bool
say_card_in_brief(struct text *text, const struct desk *desk, const struct card *card, int mix)
{
    if (card->kind == CARD_PUT_BACK)
        add_back(text, desk, card, mix);
    else if (card->count == 1)
        add_move(text, desk, card, 0);
    else
        return false;
    text_add(text, "%s", card->louder_db > 0.1 ? ", slowly" : "");
    return true;
}

/* ---- what keeps a card from being made ---- */

static const struct {
    const char *before, *behind; /* of the control's name */
} reasons[] = {
    [STOP_END] = {"the ", " is at the end of its travel"},
    [STOP_NO_END] = {"how far the ", " goes is not told: add its range to the profile"},
    [STOP_ACCEPTED] = {"the ", " is accepted as it stands"},
    [STOP_APPROVED] = {"the ", " was approved as it stands"},
    [STOP_NOT_KNOWN] = {"the ", " is not known"},
    [STOP_OWNED] = {"the house desk owns the ", ": agree it there"},
    [STOP_ALSO_FEEDS] = {"a recording or stream hears the ", " too: agree it with whoever runs it"},
    [STOP_METER] = {"the ", " would come within 6 dB of full scale"},
    [STOP_SIDEWAYS] = {"moving the ", " back is louder half-way: with the mix turned down, by ear"},
    [STOP_CONSTANT] = {"the ", " is a constant of the profile, so nobody sees it move"},
    [STOP_BRINGS] = {"it would bring ", ""},
};

void
say_stop(struct text *text, const struct desk *desk, const struct card_stop *stop)
{
    add_object(text, desk, stop->object);
    text_add(text, ", %s: %s", card_name(stop->kind), reasons[stop->reason].before);
    if (stop->reason == STOP_BRINGS) {
        text_add(text, "%s to ", check_name(stop->brings));
        add_object(text, desk, stop->on);
        return;
    }
    difference_place(text, desk, stop->id, stop->row, stop->column);
    if (params[stop->id].row == INDEX_INPUT && stop->row != stop->object.input) {
        text_add(text, " of ");
        add_object(text, desk, (struct object){stop->row, -1});
    }
    text_add(text, "%s", reasons[stop->reason].behind);
}
