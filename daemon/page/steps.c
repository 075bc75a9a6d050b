/* SPDX-License-Identifier: MIT */
#include "page/steps.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "advice/say.h"
#include "core/need.h"
#include "core/text.h"
#include "report/report.h"

enum { MOVES_NAMED = 3 };

/* ---- the order ---- */

static size_t
card_of(const struct report_findings *findings, const struct finding *finding)
{
    return plan_card_of(findings->plan, finding->check->number, finding->object);
}

/* What a card rests on is done before it. */
static void
weigh_rests(const struct plan *plan, struct step *cards)
{
    for (size_t at = plan->count; at-- > 0;)
        for (size_t i = 0; i < plan->cards[at].rest_count; i++) {
            struct step *under = &cards[plan->cards[at].rests_on[i]];

            if (under->weight < cards[at].weight)
                under->weight = cards[at].weight;
        }
}

/* The lists stand in order already: within a weight they stay so. */
static void
sort(struct step *steps, size_t count)
{
    for (size_t i = 1; i < count; i++) {
        struct step step = steps[i];
        size_t at = i;

        for (; at > 0 && steps[at - 1].weight < step.weight; at--)
            steps[at] = steps[at - 1];
        steps[at] = step;
    }
}

size_t
steps_of(const struct report_findings *findings, struct step **steps)
{
    const struct plan *plan = findings->plan;
    size_t count = plan->count;

    *steps = need_memory(plan->count + findings->open_count + 1, sizeof **steps);
    for (size_t card = 0; card < plan->count; card++)
        (*steps)[card] = (struct step){.weight = WEIGHT_NOTE, .card = card};
    for (size_t i = 0; i < findings->open_count; i++) {
        const struct finding *finding = findings->list[i];
        size_t card = card_of(findings, finding);

        if (card == PLAN_NO_CARD)
            (*steps)[count++] = (struct step){finding->verdict.weight, card, finding};
        else if (!(*steps)[card].first) /* the worst comes first */
            (*steps)[card] = (struct step){finding->verdict.weight, card, finding};
    }
    weigh_rests(plan, *steps);
    sort(*steps, count);
    return count;
}

bool
step_is_for(const struct report_findings *findings, const struct step *step,
            const struct finding *finding)
{
    return step->card == PLAN_NO_CARD ? step->first == finding
                                      : card_of(findings, finding) == step->card;
}

bool
step_is_to_know(const struct step *step)
{
    return step->card == PLAN_NO_CARD && step->weight == WEIGHT_NOTE;
}

/* ---- the action ---- */

/* By how much the move raises; NAN where that is no figure. */
static double
raise_db(const struct card_move *move)
{
    bool level = params[move->id].unit == UNIT_DB && isfinite(move->now) && isfinite(move->to);

    return level ? round(10 * (move->to - move->now)) / 10 : NAN;
}

/* Moves of several sends that are one for whoever makes them. */
static bool
is_alike(const struct card_move *one, const struct card_move *other)
{
    if (one->id != other->id)
        return false;
    if (one->id == PARAM_SEND_LEVEL)
        return raise_db(one) == raise_db(other);
    return (one->id == PARAM_SEND_TAP || one->id == PARAM_SEND_ON) && one->now == other->now &&
           one->to == other->to;
}

static bool
was_named(const struct card *card, size_t at)
{
    size_t i = 0;

    while (i < at && !is_alike(&card->moves[i], &card->moves[at]))
        i++;
    return i < at;
}

static size_t
count_alike(const struct card *card, size_t at)
{
    size_t count = 0;

    for (size_t i = at; i < card->count; i++)
        count += is_alike(&card->moves[i], &card->moves[at]);
    return count;
}

/* "42 → 28", "ON" */
static void
add_values(struct text *text, const struct card_move *move)
{
    if (params[move->id].unit == UNIT_SWITCH) {
        text_add(text, " %s", move->to != 0 ? "ON" : "OFF");
        return;
    }
    text_add(text, " ");
    say_value(text, move, move->now);
    text_add(text, " \xe2\x86\x92 ");
    say_value(text, move, move->to);
}

/* "7 sends up 14 dB", or "preamp 42 → 28" */
static void
add_move(struct text *text, const struct desk *desk, const struct card *card, size_t at)
{
    const struct card_move *move = &card->moves[at];
    size_t alike = count_alike(card, at);
    double up_db = raise_db(move);

    if (alike > 1 && move->id == PARAM_SEND_LEVEL) {
        text_add(text, "%zu sends %s %f dB", alike, up_db < 0 ? "down" : "up", fabs(up_db));
        return;
    }
    if (alike > 1)
        text_add(text, "%zu %s", alike, move->id == PARAM_SEND_TAP ? "taps" : "sends");
    else
        say_control(text, desk, card, move);
    add_values(text, move);
}

static void
add_card(struct text *text, const struct report_findings *findings, const struct card *card)
{
    const struct desk *desk = engine_desk(findings->engine);
    char object[REPORT_OBJECT_SIZE];
    size_t named = 0, more = 0;

    text_add(text, "%s: ", report_object(findings->engine, card->object, object));
    for (size_t i = 0; i < card->count; i++) {
        if (was_named(card, i) || card->moves[i].now == card->moves[i].to)
            continue;
        if (named == MOVES_NAMED) {
            more++;
            continue;
        }
        text_add(text, "%s", named++ > 0 ? ", " : "");
        add_move(text, desk, card, i);
    }
    if (more > 0)
        text_add(text, ", and %zu more", more);
}

/* The few words without what they say of a command; the whole sentence where they are no more. */
static void
add_cure(struct text *text, struct brief *brief, const struct words *words)
{
    char *command = strstr(brief->cure, ", or `");

    if (command)
        *command = '\0';
    text_add(text, "%s", *brief->cure && !strchr(brief->cure, '`') ? brief->cure : words->cure);
}

static void
add_sentence(struct text *text, const struct report_findings *findings,
             const struct finding *finding)
{
    const struct engine *engine = findings->engine;
    char object[REPORT_OBJECT_SIZE];
    struct brief brief;
    struct words words;

    engine_brief(engine, finding, false, &brief);
    engine_words(engine, finding, &words);
    text_add(text, "%s: ", report_object(engine, finding->object, object));
    add_cure(text, &brief, &words);
}

const char *
step_action(const struct report_findings *findings, const struct step *step,
            char says[STEP_ACTION_SIZE])
{
    struct text text;

    text_init(&text, says, STEP_ACTION_SIZE);
    if (step->card == PLAN_NO_CARD)
        add_sentence(&text, findings, step->first);
    else
        add_card(&text, findings, &findings->plan->cards[step->card]);
    return says;
}
