/* SPDX-License-Identifier: MIT */
#include "watch/board_rings.h"

#include <math.h>

#include "base/clock.h"
#include "proof/proof.h"
#include "proof/say.h"
#include "stage/margin.h"
#include "watch/board_text.h"

enum { LINE_SIZE = 400, AT_TIME = sizeof "2026-06-13T" - 1, MINUTE_LENGTH = 5 };

/* ---- measured ---- */

static void
add_ring(struct proof *proof, int ring, struct json *list)
{
    const struct proof_ring *of = &proof_kept(proof)->rings[ring];
    double below_db = proof_below_ring_db(proof, ring);
    char line[LINE_SIZE], at[MINUTE_LENGTH + 1];
    struct text text;

    text_init(&text, line, sizeof line);
    proof_says_hz(&text, of->hz);
    if (of->input >= 0) {
        text_add(&text, ", through ");
        proof_says_input(&text, proof_desk(proof), of->input);
    }
    if (clock_has_form(of->made.at, "dddd-dd-ddTdd:dd:ddsdd:dd")) {
        for (int i = 0; i < MINUTE_LENGTH; i++)
            at[i] = of->made.at[AT_TIME + i];
        at[MINUTE_LENGTH] = '\0';
        text_add(&text, ", %s", at);
    }
    if (!isnan(below_db))
        text_add(&text, ": its path stands %f dB %s that now", fabs(below_db),
                 below_db < 0 ? "above" : "below");
    board_add_text(list, NULL, line);
}

struct json *
board_rings(const struct engine *engine, int mix)
{
    struct proof *proof = engine_proof((struct engine *)engine);
    struct json *list = json_new_array();

    for (int ring = 0; proof && ring < proof_kept(proof)->ring_count; ring++)
        if (proof_kept(proof)->rings[ring].mix == mix)
            add_ring(proof, ring, list);
    return list;
}

/* ---- estimated ---- */

static void
add_margin(const struct loops *loops, const struct engine *engine, const struct margin *margin,
           struct json *list)
{
    const struct stage_microphone *microphone =
        &loops->stage->microphones[margin->leads.microphone];
    char line[LINE_SIZE];
    struct text text;

    text_init(&text, line, sizeof line);
    if (margin->absolute)
        text_add(&text, "estimated %f dB %s the first ring, give or take %f dB", fabs(margin->db),
                 margin->db < 0 ? "beyond" : "below", margin->give_or_take_db);
    else
        text_add(&text, "estimated to ring first");
    text_add(&text, ": at ");
    proof_says_hz(&text, band_graphic_nominal_hz(BANDS, margin->band));
    text_add(&text, ", through ");
    proof_says_input(&text, engine_desk(engine), microphone->inputs.of[0]);
    text_add(&text, ". From the stage plan and the desk's numbers; nothing was measured");
    board_add_text(list, NULL, line);
}

struct json *
board_stage(const struct engine *engine, int mix)
{
    static const enum param_id reads[] = {LOOPS_READS, PARAMS};
    const struct show *show = engine_show(engine);
    struct verdict verdict = {.outcome = OUTCOME_NOT_ASKED};
    struct look look = look_reader(engine_desk(engine), show, reads, &verdict);
    struct json *list = json_new_array();
    struct loops *loops = show->stage ? loops_new(show->stage) : NULL;
    int place = loops ? loops_mix(loops, mix) : -1;
    struct margin margin;

    if (place >= 0) {
        loops_hear(loops, &look);
        margin = margin_of_mix(loops, place);
        if (margin.db < HUGE_VAL)
            add_margin(loops, engine, &margin, list);
    }
    if (loops)
        loops_free(loops);
    return list;
}
