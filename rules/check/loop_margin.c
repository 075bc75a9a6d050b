/* SPDX-License-Identifier: MIT */
/* How far below its first ring a mix is by the stage plan (stage/margin.h), phases at random: by itself
 * with all its microphones, and, for the mix that leads it, the whole stage. An estimate is a note and
 * never more. Where ring-outs proved a margin of the mix, that is told instead.
 */
#include <math.h>
#include <stddef.h>

#include "check/check.h"
#include "core/sum.h"
#include "proof/proof.h"
#include "proof/say.h"
#include "stage/estimate.h"

enum { NOTE_DB };

static const enum param_id reads[] = {LOOPS_READS, PARAM_MIX_NAME, PARAMS};

/* ---- judging ---- */

static bool
is_proved(const struct look *look, int mix)
{
    struct proof *proof = look->ground->proof;

    return proof && proof_desk(proof) == look->desk &&
           proof_of_mix(proof, mix)->state == PROOF_LEFT;
}

/* What is printed to tenths adds up as printed. */
static void
add_figures(struct look *look, const struct loops *loops, const struct margin *margin)
{
    const struct loop_path *path = &margin->leads;
    double desk_db =
        sum_tenth(loops_power_db(loops_desk_power(loops, path->mix, path->microphone, path->band)));
    double path_db = sum_tenth(path->gain_db);

    look_figure(look, "loop_gain_db", sum_tenth(-margin->db));
    look_figure(look, "give_or_take_db", margin->give_or_take_db);
    look_figure(look, "at_hz", band_graphic_nominal_hz(BANDS, path->band));
    look_figure(look, "through_input",
                loops->stage->microphones[path->microphone].inputs.of[0] + 1);
    look_figure(look, "desk_db", desk_db);
    look_figure(look, "air_db", path_db - desk_db);
    look_figure(look, "others_db", sum_tenth(-margin->db) - path_db);
}

static void
find(struct look *look, const struct loops *loops, const struct margin *margin, bool whole)
{
    look_found(look, WEIGHT_NOTE, sum_tenth(-margin->db));
    add_figures(look, loops, margin);
    if (whole)
        look_figure(look, "whole_stage_gain_db", sum_tenth(-margin->db));
}

/* More paths make less margin: a path that is left out hides no finding, but a pass. */
static void
pass_if_whole(struct look *look, const struct loops *loops, int mix, bool closed)
{
    struct loops_gaps gaps = loops_gaps(loops, look, -1, mix);

    if (gaps.unplaced > 0)
        look_miss(look, INDEX_MIX, loops->mixes[mix],
                  "the stage plan does not tell where both ends of an open path are");
    if (gaps.unknown + gaps.unplaced > 0)
        look_not_known(look);
    else if (closed)
        look_closed(look);
    else
        look_pass(look);
}

/* By itself, or with all that rings along: nothing else may stand in for a figure there. */
static void
judge(struct look *look, const struct loops *loops, const struct margin *own,
      const struct margin *stage)
{
    int mix = own->leads.mix;
    bool whole = stage->absolute && stage->db < own->db && stage->leads.mix == mix;
    const struct margin *margin = whole ? stage : own;

    if (!(margin->db < look->settings[NOTE_DB]))
        pass_if_whole(look, loops, mix, false);
    else if (is_proved(look, loops->mixes[mix]))
        look_fold(look);
    else
        find(look, loops, margin, whole);
}

/* Differences alone are no margin: every path into the mix must have all its figures. */
static void
run(struct look *look, struct object object)
{
    struct estimate *estimate = look->ground->estimate;
    const struct loops *loops;
    struct margin own;
    int mix;

    if (!estimate || estimate_desk(estimate) != look->desk) /* a desk that is only thought of */
        return;
    loops = estimate_loops(estimate);
    mix = loops_mix(loops, object.mix);
    if (mix < 0)
        return;
    own = margin_of_mix(loops, mix);
    if (own.db < HUGE_VAL && own.absolute)
        judge(look, loops, &own, estimate_margin(estimate));
    else if (own.db == HUGE_VAL && margin_may_be_absolute(loops, mix))
        pass_if_whole(look, loops, mix, true);
}

/* ---- words ---- */

static void
say(struct wording *wording)
{
    const struct verdict *verdict = wording->verdict;
    double gain_db = verdict_figure(verdict, "loop_gain_db");

    text_add(
        &wording->says, "estimated %f dB %s the first ring%s, give or take %f dB: perhaps near ",
        fabs(gain_db), gain_db > 0 ? "beyond" : "below",
        isnan(verdict_figure(verdict, "whole_stage_gain_db")) ? "" : " with all mixes together",
        verdict_figure(verdict, "give_or_take_db"));
    proof_says_hz(&wording->says, verdict_figure(verdict, "at_hz"));
    text_add(&wording->says, ", through input ");
    look_add_input(wording->look, &wording->says,
                   (int)verdict_figure(verdict, "through_input") - 1);
    text_add(
        &wording->says,
        ". From the stage plan and the desk's numbers, phases at random; nothing was measured");
    text_add(&wording->cure,
             "turn nothing up on this figure. Ring out slowly, in-ears out, with a hand on the "
             "master; what on the stage gives most is told by `gainwarden stage`");
}

static void
work(struct text *text, const struct verdict *verdict)
{
    double desk_db = verdict_figure(verdict, "desk_db"), air_db = verdict_figure(verdict, "air_db");
    double others_db = verdict_figure(verdict, "others_db");
    double gain_db = verdict_figure(verdict, "loop_gain_db");

    text_add(text, "The desk's gain of the path that leads and the acoustic gain from the mix's "
                   "output back to the input's socket add up: ");
    SUM(text, desk_db, air_db);
    text_add(text, " dB of loop gain. ");
    if (others_db > 0.05) {
        text_add(text, "The other paths, phases at random, bring it to ");
        SUM(text, desk_db, air_db, others_db);
        text_add(text, " dB. ");
    }
    text_add(text, "A ring begins at 0 dB, so the estimate is %f dB %s it.", fabs(gain_db),
             gain_db > 0 ? "beyond" : "below");
}

const struct check check_loop_margin = {
    .id = "loop-margin",
    .number = CHECK_LOOP_MARGIN,
    .subject = SUBJECT_ROUTING,
    .objects = OBJECT_MIX,
    .spread = SPREAD_MIXES,
    .of_plan = true,
    .reads = reads,
    .settings = {{"note_db", 3, 0, 20, "less estimated margin than this is a note", 0.5,
                  WEIGHT_NOTE, CREDIT_SYSTEM_DESIGN}},
    .severity = "loop_gain_db",
    .worse_step = 1,
    .fails_when =
        "by the stage plan a loudspeaker mix, or the whole stage that it leads, is estimated to be "
        "less than this below its first ring, phases at random. Asked by audit, compare and review "
        "alone, and only where the plan gives every sensitivity, amplifier gain and the desk's "
        "calibration_db; what a ring-out proved of the mix takes its place.",
    .why = "What leaves a loudspeaker comes back through every open microphone. Where that is as "
           "loud as what went out, it howls; a few dB below, it rings on and colours the voice.",
    .cure = "Turn nothing up on an estimate: ring out. Then what `gainwarden stage` names: "
            "microphones and wedges that do not face each other, a nearer mouth, fewer open "
            "microphones.",
    .formula =
        "margin = -(desk gain + acoustic gain) of a path, dB, in third-octave bands; several "
        "paths, phases at random: the spectral radius of the squares of their magnitudes, which "
        "for N alike is 10 log10 N",
    .source = "A margin of 6 dB, rarely less than 3: Sound System Design Reference Manual (1999), "
              "p. 4-3 and chapter 6. 10 log10 of the open microphones: Handbook for Sound "
              "Engineers, 4th edition, chapter 34. Phases at random between unlike paths: common "
              "practice, no source.",
    .disagreement =
        "How much attenuation off the axis a designer may count on: 4 to 6 dB, the Sound System "
        "Design Reference Manual (p. 4-3); this estimate takes the pattern as the formula has it "
        "down to a floor of 18 dB, and then an allowance for the room. Some count phases at their "
        "worst (`gainwarden stage` prints both), some trust no figure but a ring-out (common "
        "practice, no source).",
    .run = run,
    .say = say,
    .work = work,
};
