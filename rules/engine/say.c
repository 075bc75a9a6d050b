/* SPDX-License-Identifier: MIT */
/* The words of findings. Judging makes none: they come from the figures and another look at the
 * desk, when somebody is told. The look must find the desk as it was judged. What moved since is
 * put back for it (journal.h); and a finding that is judged bad no more, because it eases, its
 * input was muted or a value went stale, keeps the words it had until it is.
 */
#include <stdlib.h>
#include <string.h>

#include "advice/plan.h"
#include "advice/say.h"
#include "check/brief.h"
#include "core/need.h"
#include "engine/parts.h"

void
engine_drop_words(struct slot *slot)
{
    free(slot->kept);
    slot->kept = NULL;
}

void
engine_put_words(struct slot *slot, const struct words *words)
{
    size_t says = strlen(words->says) + 1, cure = strlen(words->cure) + 1;

    engine_drop_words(slot);
    slot->kept = need_memory(says + cure, 1);
    memcpy(slot->kept, words->says, says);
    memcpy(slot->kept + says, words->cure, cure);
}

static void
take_kept(const struct slot *slot, struct words *words)
{
    size_t says = strlen(slot->kept) + 1;

    memcpy(words->says, slot->kept, says);
    memcpy(words->cure, slot->kept + says, strlen(slot->kept + says) + 1);
}

/* The desk is the engine's own, and is as it was when this returns. */
static void
make(const struct engine *engine, const struct slot *slot, struct words *words)
{
    const struct finding *finding = &slot->finding;
    struct journal journal = engine->journal;
    bool before = slot->judged != engine->run; /* what was noted since moved behind the judging */

    if (before)
        journal_back(&journal, engine->desk);
    check_say(finding->check, &engine->ground, slot->standing, finding->object, &finding->verdict,
              words);
    if (before)
        journal_forth(&journal, engine->desk);
}

void
engine_words(const struct engine *engine, const struct finding *finding, struct words *words)
{
    const struct slot *slot = &engine->slots[finding->slot];

    *words->says = *words->cure = '\0';
    if (slot->kept)
        take_kept(slot, words);
    else if (finding->life.state != LIFE_CLEAR)
        make(engine, slot, words);
}

/* ---- cards ---- */

struct plan *
engine_advise(const struct engine *engine, unsigned ways)
{
    struct plan_wish wish = {
        .ground = &engine->ground, .set = &engine->set, .day = engine->day, .ways = ways};

    return plan_new(&wish);
}

void
engine_forget_plan(struct engine *engine)
{
    plan_free(*engine->plan);
    *engine->plan = NULL;
}

/* The card for the finding, NULL: none that stands alone. Whoever is told that something moved is not told how to make
 * up for it: perhaps a hand slipped, and then it goes back. */
static const struct card *
card_for(const struct engine *engine, const struct finding *finding)
{
    const struct plan *plan;
    const struct card *card;
    size_t place;

    if (!*engine->plan)
        *engine->plan = engine_advise(engine, 0);
    plan = *engine->plan;
    place = plan_card_of(plan, finding->check->number, finding->object);
    card = place == PLAN_NO_CARD ? NULL : &plan->cards[place];
    if (!card || card->kind == CARD_MASTER || card->kind == CARD_TRIM || card->rest_count > 0)
        return NULL;
    return card;
}

void
engine_advice(const struct engine *engine, const struct finding *finding, struct words *words)
{
    const struct card *card;
    struct text cure;

    engine_words(engine, finding, words);
    card = card_for(engine, finding);
    if (!card)
        return;
    text_init(&cure, words->cure, sizeof words->cure);
    say_card_in_short(&cure, engine->desk, card);
}

/* ---- in a few words ---- */

static const char *
label_of(const struct desk *desk, struct object object)
{
    bool input = object.input >= 0;

    return desk_text(desk, input ? PARAM_INPUT_NAME : PARAM_MIX_NAME,
                     input ? object.input : object.mix, 0);
}

static void
add_object(struct text *text, const struct desk *desk, struct object object)
{
    bool input = object.input >= 0;
    const char *label = label_of(desk, object);

    text_add(text, "%s %d%s%s", input ? "input" : "mix", 1 + (input ? object.input : object.mix),
             *label ? " " : "", label);
}

/* "Ld Vox -> 1 Ld Vox wedge" */
static void
add_path(struct text *text, const struct desk *desk, int input, int mix)
{
    struct object from = {input, -1}, to = {-1, mix};

    if (*label_of(desk, from))
        text_add(text, "%s", label_of(desk, from));
    else
        add_object(text, desk, from);
    text_add(text, " -> ");
    if (*label_of(desk, to))
        text_add(text, "%d %s", mix + 1, label_of(desk, to));
    else
        add_object(text, desk, to);
}

/* A path where an input's finding shows in one mix. */
static void
add_where(struct text *text, const struct desk *desk, const struct finding *finding)
{
    struct object object = finding->object;

    if (object.input < 0 && object.mix < 0)
        text_add(text, "desk");
    else if (object.input >= 0 && finding->verdict.mix >= 0)
        add_path(text, desk, object.input, finding->verdict.mix);
    else
        add_object(text, desk, object);
}

void
engine_brief(const struct engine *engine, const struct finding *finding, bool advised,
             struct brief *brief)
{
    const struct card *card = advised ? card_for(engine, finding) : NULL;
    int check = finding->check->number;
    struct text figure, place, cure;

    text_init(&figure, brief->figure, sizeof brief->figure);
    text_init(&place, brief->place, sizeof brief->place);
    text_init(&cure, brief->cure, sizeof brief->cure);
    brief_figure(&figure, check, &finding->verdict);
    add_where(&place, engine->desk, finding);
    if (!card || !say_card_in_brief(&cure, engine->desk, card, finding->verdict.mix))
        brief_cure(&cure, check, &finding->verdict);
}

/* ---- keeping ---- */

void
engine_keep_words(struct engine *engine, struct slot *slot)
{
    struct words words;

    if (slot->kept || slot->finding.life.state == LIFE_CLEAR)
        return;
    make(engine, slot, &words);
    engine_put_words(slot, &words);
}

void
engine_keep_all(struct engine *engine)
{
    for (size_t i = 0; i < marks_slots(engine->marks); i++)
        engine_keep_words(engine, &engine->slots[i]);
}

void
engine_unknown(const struct engine *engine, engine_unknown_fn *each, void *context)
{
    for (size_t i = 0; i < marks_slots(engine->marks); i++) {
        const struct slot *slot = &engine->slots[i];
        char why[MISSES_SIZE];
        struct text text;

        if (slot->outcome != OUTCOME_NOT_KNOWN)
            continue;
        text_init(&text, why, sizeof why);
        misses_add(&text, &slot->misses);
        each(context, slot->finding.check, slot->finding.object, why);
    }
}
