/* SPDX-License-Identifier: MIT */
/* When what rests on proofs is judged. Every move on the desk touches every mix then, and a margin is
 * far more to work out than anything else: so in a watch each mix is judged when one of its own paths
 * may have risen, at once, and else every PROVING_EVERY_MS at most, together with all others that wait:
 * to wake up costs as much as to judge one.
 */
#include "engine/parts.h"

#include <math.h>
#include <stdlib.h>

#include "proof/proof.h"
#include "stage/estimate.h"

enum { PROVING_EVERY_MS = 100 };

void
engine_renew_proof(struct engine *engine)
{
    proof_free(engine->proof);
    engine->proof = engine->proofs ? proof_new(engine->desk, engine->show, engine->proofs) : NULL;
    engine->ground.proof = engine->proof;
    for (int mix = 0; mix < desk_count(engine->desk, INDEX_MIX); mix++)
        engine->proving[mix] = (struct proving){.rose = true};
}

void
engine_set_proofs(struct engine *engine, const struct proofs *proofs)
{
    engine_keep_all(engine);
    engine_forget_plan(engine);
    engine->proofs = proofs;
    engine_renew_proof(engine);
    if (engine->estimate)
        estimate_measured(engine->estimate, engine->onsets,
                          proofs ? onsets_of(proofs, engine->onsets) : 0);
    marks_set_proofs(engine->marks, proofs != NULL);
}

const struct proofs *
engine_proofs(const struct engine *engine)
{
    return engine->proofs;
}

struct proof *
engine_proof(struct engine *engine)
{
    return engine->proof;
}

/* ---- what moved ---- */

/* Gains, which do not rise where the number does not; of the others an attenuation or a switch, which
 * takes sound away when the number rises. What is neither may do either. */
static bool
falls(enum param_id id, double by)
{
    switch (id) {
    case PARAM_INPUT_PREAMP_GAIN:
    case PARAM_INPUT_TRIM:
    case PARAM_INPUT_COMP_MAKEUP:
    case PARAM_INPUT_FADER:
    case PARAM_INPUT_EQ_BAND_GAIN:
    case PARAM_SEND_LEVEL:
    case PARAM_SEND_ON:
    case PARAM_MIX_FADER:
    case PARAM_MIX_TRIM:
    case PARAM_MIX_EQ_BAND_GAIN:
    case PARAM_MIX_GRAPHIC_BAND_GAIN:
    case PARAM_GROUP_FADER:
        return by <= 0;
    case PARAM_INPUT_PAD:
    case PARAM_INPUT_MUTE:
    case PARAM_MIX_MUTE:
    case PARAM_GROUP_MUTE:
        return by >= 0;
    default:
        return false;
    }
}

static bool
may_rise(const struct engine *engine, const struct moved *place)
{
    const struct value *is = desk_value(engine->desk, place->id, place->row, place->column);

    return place->before.state != VALUE_KNOWN || is->state != VALUE_KNOWN ||
           !falls(place->id, value_number(is) - value_number(&place->before));
}

void
engine_note_proof(struct engine *engine, const struct moved *place)
{
    int mix = params[place->id].row == INDEX_MIX      ? place->row
              : params[place->id].column == INDEX_MIX ? place->column
                                                      : -1;

    if (!engine->proof || !proof_moved(engine->proof, place->id, place->row, place->column) ||
        !may_rise(engine, place))
        return;
    for (int i = 0; i < desk_count(engine->desk, INDEX_MIX); i++)
        engine->proving[i].rose |= mix < 0 || i == mix;
}

/* ---- what is due ---- */

/* The same for all. */
static int64_t
next_turn_ms(int64_t now_ms)
{
    return (now_ms / PROVING_EVERY_MS + 1) * PROVING_EVERY_MS;
}

static bool
is_due(void *context, size_t slot)
{
    struct engine *engine = context;
    const struct finding *finding = &engine->slots[slot].finding;
    struct proving *proving;

    if (!finding->check->of_proofs)
        return true;
    proving = &engine->proving[finding->object.mix];
    if (!proving->rose && engine->ground.now_ms < proving->next_ms)
        return false;
    *proving = (struct proving){false, next_turn_ms(engine->ground.now_ms)};
    return true;
}

const size_t *
engine_take_due(struct engine *engine, size_t *count)
{
    if (!engine->proof || !engine->hold)
        return marks_take(engine->marks, count);
    return marks_take_some(engine->marks, is_due, engine, count);
}

void
engine_wake_for_rest(struct engine *engine)
{
    const size_t *marked;
    size_t count;

    marked = marks_list(engine->marks, &count);
    for (size_t i = 0; i < count; i++) {
        const struct finding *finding = &engine->slots[marked[i]].finding;
        int64_t next_ms =
            finding->check->of_proofs ? engine->proving[finding->object.mix].next_ms : INT64_MAX;

        if (next_ms < engine->next_ms)
            engine->next_ms = next_ms;
    }
}
