/* SPDX-License-Identifier: MIT */
/* Judging makes no text, whatever it finds: every text begins with text_init(), which is counted
 * here. Words come only when somebody asks for them, and once where one that is not clear stops
 * being judged bad, so that it can be said as it was. */
#include "unit.h"

#include <math.h>

#include "core/text.h"
#include "rig.h"

enum { INPUTS = 6, MIXES = 3, ROUNDS = 3000, MOVES = 3 };

void __real_text_init(struct text *text, char *buffer, size_t size);
void __wrap_text_init(struct text *text, char *buffer, size_t size);

static size_t texts;

void
__wrap_text_init(struct text *text, char *buffer, size_t size)
{
    texts++;
    __real_text_init(text, buffer, size);
}

static void
move(struct rig *rig, struct dice *dice)
{
    enum param_id id = (enum param_id)dice_below(dice, PARAMS);
    double number = dice_below(dice, 30) - 20;

    if (params[id].unit == UNIT_TEXT || desk_supplied(rig->desk, id) != SUPPLY_HEARD)
        return;
    number = fmin(fmax(number, params[id].least), params[id].most);
    engine_hear(rig->engine, id, dice_below(dice, desk_rows(rig->desk, id)),
                dice_below(dice, desk_columns(rig->desk, id)), number, rig->now_ms);
}

enum { SLOTS = 1000 };

/* Frozen or easing. */
static bool
lasts(const struct rig *rig, size_t slot)
{
    const struct life *life = &engine_slot(rig->engine, slot)->life;

    return life->state == LIFE_EASING || (life->frozen && life->state != LIFE_CLEAR);
}

/* One wake-up; how many findings it froze or began to ease. */
static size_t
judge(struct rig *rig, struct dice *dice)
{
    bool before[SLOTS];
    size_t slots = engine_slots(rig->engine), froze = 0;

    assert_true(slots <= SLOTS);
    for (size_t slot = 0; slot < slots; slot++)
        before[slot] = lasts(rig, slot);
    for (int i = 0; i < MOVES; i++)
        move(rig, dice);
    texts = 0;
    engine_run(rig->engine, rig->now_ms += 1000, NULL, NULL);
    for (size_t slot = 0; slot < slots; slot++)
        froze += !before[slot] && lasts(rig, slot);
    return froze;
}

static void
judging_makes_no_text(void **state)
{
    struct rig *rig = *state;
    struct dice dice = dice_new();
    const struct finding *const *findings;
    size_t found = 0, froze = 0;

    rig_start(rig, INPUTS, MIXES);
    for (int mix = 0; mix < MIXES; mix++)
        rig_set_text(rig, PARAM_MIX_NAME, mix, mix ? "Wedge" : "IEM");
    engine_remember(rig->engine);
    engine_anchor(rig->engine);
    engine_set_approved(rig->engine, desk_copy(rig->desk));
    for (int round = 0; round < ROUNDS; round++) {
        size_t count = judge(rig, &dice);

        assert_int_equal(texts > 0, count > 0);
        found += count == 0 ? engine_findings(rig->engine, &findings) : 0;
        froze += count;
    }
    assert_true(found > 1000 && froze > 10);
}

static void
words_do(void **state)
{
    struct rig *rig = *state;
    const struct finding *const *findings;
    struct words words;

    rig_start(rig, INPUTS, MIXES);
    rig_set(rig, PARAM_SEND_LEVEL, 0, 0, 0); /* a mix that nothing is sent into is not judged */
    rig_set(rig, PARAM_MIX_FADER, 0, 0, -8);
    engine_run(rig->engine, rig->now_ms, NULL, NULL);
    assert_true(engine_findings(rig->engine, &findings) > 0);
    texts = 0;
    engine_words(rig->engine, findings[0], &words);
    assert_true(texts > 0);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {RIG_TEST(judging_makes_no_text), RIG_TEST(words_do)};

    return cmocka_run_group_tests_name("judging", tests, NULL, NULL);
}
