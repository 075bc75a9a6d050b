/* SPDX-License-Identifier: MIT */
#include "report/cards.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "advice/say.h"
#include "base/columns.h"
#include "base/output.h"
#include "core/text.h"

enum { CONTROL_COLUMN = 4, NOW_WIDTH = 11, SET_WIDTH = 11, NARROWEST = 26, WIDEST = 44 };

/* ---- text ---- */

static void
print_right(const char *value, int width)
{
    int used = columns_width(value);

    printf("%*s%s", used < width ? width - used : 1, "", value);
}

static const char *
value_of(const struct card_move *move, double number, char buffer[40])
{
    struct text text;

    text_init(&text, buffer, 40);
    say_value(&text, move, number);
    return buffer;
}

/* Where the terminal is too narrow for columns. */
static void
print_sentence(const struct card_move *move, const char *control)
{
    char now[40], to[40];

    if (move->to == move->now)
        output_format(CONTROL_COLUMN, CONTROL_COLUMN + 2, "%s: %s, stays", control,
                      value_of(move, move->now, now));
    else
        output_format(CONTROL_COLUMN, CONTROL_COLUMN + 2, "%s: %s -> %s", control,
                      value_of(move, move->now, now), value_of(move, move->to, to));
}

/* One control a line, so that a thumb can go down the list. */
static void
print_move(const struct desk *desk, const struct card *card, const struct card_move *move,
           int width)
{
    char control[200], now[40], to[40];
    struct text text;

    text_init(&text, control, sizeof control);
    say_control(&text, desk, card, move);
    if (width < NARROWEST) {
        print_sentence(move, control);
        return;
    }
    if (columns_width(control) > width) {
        output_wrapped(CONTROL_COLUMN, CONTROL_COLUMN + 2, control);
        output_padded(CONTROL_COLUMN, CONTROL_COLUMN + width, "");
    } else {
        output_padded(CONTROL_COLUMN, CONTROL_COLUMN + width, control);
    }
    print_right(value_of(move, move->now, now), NOW_WIDTH);
    print_right(move->to == move->now ? "stays" : value_of(move, move->to, to), SET_WIDTH);
    putchar('\n');
}

static void
add_rests(struct text *text, const struct card *card)
{
    for (size_t i = 0; i < card->rest_count; i++)
        text_add(text, i == 0 ? "; only behind card %zu" : ", %zu", card->rests_on[i] + 1);
}

/* Below NARROWEST there are no columns. */
static int
control_width(void)
{
    int width = output_width() - CONTROL_COLUMN - NOW_WIDTH - SET_WIDTH;

    return width > WIDEST ? WIDEST : width;
}

static void
print_card(const struct engine *engine, const struct plan *plan, size_t place)
{
    const struct desk *desk = engine_desk(engine);
    const struct card *card = &plan->cards[place];
    char title[400], worth[200];
    struct text text;

    text_init(&text, worth, sizeof worth);
    say_worth(&text, card);
    text_init(&text, title, sizeof title);
    text_add(&text, "Card %zu: ", place + 1);
    say_card(&text, desk, card);
    text_add(&text, "%s%s", *worth ? "; " : "", worth);
    add_rests(&text, card);
    putchar('\n');
    output_wrapped(2, 4, title);
    if (control_width() >= NARROWEST) {
        output_padded(CONTROL_COLUMN, CONTROL_COLUMN + control_width(), "control");
        print_right("now", NOW_WIDTH);
        print_right("set to", SET_WIDTH);
        putchar('\n');
    }
    for (size_t i = 0; i < card->count; i++)
        print_move(desk, card, &card->moves[i], control_width());
}

const char cards_how_words[] =
    "Each card is whole in itself: all of it, in its order, or none of it. Rest between cards, not "
    "inside one. A control that does not read \"now\": stop, and read the desk again.";

const char cards_role_words[] =
    "No preamp is moved: say whether this desk also feeds the house, with \"role\" under \"desk\" "
    "in the show file or --role=monitor or --role=house.";

static void
print_stops(const struct engine *engine, const struct plan *plan)
{
    char line[400];
    struct text text;

    if (plan->stop_count > 0)
        puts("\nStopped short");
    for (size_t i = 0; i < plan->stop_count; i++) {
        text_init(&text, line, sizeof line);
        say_stop(&text, engine_desk(engine), &plan->stops[i]);
        output_wrapped(2, 4, line);
    }
}

void
cards_text(const struct engine *engine, const struct plan *plan)
{
    if (plan->count > 0) {
        printf("\nWhat to set (%zu card%s)\n", plan->count, plan->count == 1 ? "" : "s");
        output_wrapped(2, 2, cards_how_words);
    }
    for (size_t i = 0; i < plan->count; i++)
        print_card(engine, plan, i);
    print_stops(engine, plan);
    if (plan->asks_role) {
        putchar('\n');
        output_wrapped(0, 2, cards_role_words);
    }
    if (plan->small > 0)
        printf("\n%zu card%s worth less than %g dB: --all lists them\n", plan->small,
               plan->small == 1 ? "" : "s", PLAN_LEAST_DB);
}

/* ---- JSON ---- */

static void
add_place(struct json *json, struct object object)
{
    json_add_number(json, "input", object.input >= 0 ? (double)object.input + 1 : NAN);
    json_add_number(json, "mix", object.mix >= 0 ? (double)object.mix + 1 : NAN);
}

/* A switch as true and false, a word as itself, a level that is off as null beside its unit. */
static void
add_value(struct json *json, const char *key, enum param_id id, double number)
{
    if (params[id].unit == UNIT_SWITCH)
        json_add_bool(json, key, number != 0);
    else if (params[id].unit == UNIT_WORD)
        json_add_string(json, key, param_words(id)[(int)number]);
    else
        json_add_number(json, key, isfinite(number) ? round(number * 1000) / 1000 : number);
}

static struct json *
move_json(const struct card_move *move)
{
    const struct param *param = &params[move->id];
    struct json *json = json_new_object();
    bool band =
        param->column != INDEX_NONE && param->column != INDEX_MIX && param->column != INDEX_GROUP;

    json_add_string(json, "parameter", param->name);
    if (param->row == INDEX_GROUP || param->column == INDEX_GROUP)
        json_add_number(json, "group", 1 + (param->row == INDEX_GROUP ? move->row : move->column));
    add_place(json, (struct object){param->row == INDEX_INPUT ? move->row : -1,
                                    param->row == INDEX_MIX      ? move->row
                                    : param->column == INDEX_MIX ? move->column
                                                                 : -1});
    json_add_number(json, "band", band ? (double)move->column + 1 : NAN);
    add_value(json, "now", move->id, move->now);
    add_value(json, "set_to", move->id, move->to);
    return json;
}

static struct json *
card_json(const struct plan *plan, size_t place)
{
    const struct card *card = &plan->cards[place];
    struct json *json = json_new_object(), *moves = json_new_array(), *rests = json_new_array();

    json_add_number(json, "number", (double)place + 1);
    json_add_string(json, "kind", card_word(card->kind));
    add_place(json, card->object);
    for (size_t i = 0; i < card->count; i++)
        json_add(moves, NULL, move_json(&card->moves[i]));
    json_add(json, "moves", moves);
    json_add_number(json, "gives_db", card->gives_db);
    json_add_number(json, "louder_db", card->louder_db);
    for (size_t i = 0; i < card->rest_count; i++)
        json_add_number(rests, NULL, (double)card->rests_on[i] + 1);
    json_add(json, "rests_on", rests);
    json_add_bool(json, "watch_meter", card->watch_meter);
    return json;
}

void
cards_json(const struct engine *engine, const struct plan *plan, struct json *root)
{
    struct json *cards = json_new_array(), *stops = json_new_array();

    for (size_t i = 0; i < plan->count; i++)
        json_add(cards, NULL, card_json(plan, i));
    for (size_t i = 0; i < plan->stop_count; i++) {
        struct json *json = json_new_object();
        char line[400];
        struct text text;

        text_init(&text, line, sizeof line);
        say_stop(&text, engine_desk(engine), &plan->stops[i]);
        json_add_string(json, "card", card_word(plan->stops[i].kind));
        add_place(json, plan->stops[i].object);
        json_add_string(json, "why", line);
        json_add(stops, NULL, json);
    }
    json_add(root, "cards", cards);
    json_add(root, "stopped", stops);
    json_add_number(root, "small_cards", (double)plan->small);
    json_add_bool(root, "asks_role", plan->asks_role);
}

/* ---- findings ---- */

void
cards_cure(const struct plan *plan, const struct finding *finding, struct words *words)
{
    size_t card = plan_card_of(plan, finding->check->number, finding->object);

    if (card != PLAN_NO_CARD)
        snprintf(words->cure, sizeof words->cure, "card %zu", card + 1);
}

void
cards_finding_json(const struct plan *plan, const struct finding *finding, struct json *json)
{
    size_t card = plan_card_of(plan, finding->check->number, finding->object);

    json_add_number(json, "card", card == PLAN_NO_CARD ? NAN : (double)card + 1);
}
