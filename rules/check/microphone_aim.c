/* SPDX-License-Identifier: MIT */
/* A microphone on a stand that hears a loudspeaker more than it needs to: turning it wins more than
 * the voice loses, the room's part and all other loudspeakers counted (stage/help.h). One that a singer
 * holds is never told to be turned.
 */
#include <math.h>
#include <stddef.h>

#include "check/check.h"
#include "core/sum.h"
#include "stage/estimate.h"
#include "stage/help.h"

enum { WINS_DB, WITHIN_DB };

static const enum param_id reads[] = {LOOPS_READS, PARAM_MIX_NAME, PARAMS};

/* ---- judging ---- */

/* The microphone of which the input is the first, so that it is asked about once; -1: none. */
static int
microphone_of(const struct stage *stage, int input)
{
    for (int i = 0; i < stage->microphone_count; i++)
        if (stage->microphones[i].inputs.of[0] == input)
            return i;
    return -1;
}

/* Which one, where several play the mix. */
static void
add_loudspeaker(struct look *look, const struct loops *loops, const struct help *help)
{
    const struct stage_loudspeaker *one = &loops->stage->loudspeakers[help->loudspeaker];

    if (!one->placed || stage_loudspeakers_of(loops->stage, loops->mixes[help->path.mix]) < 2)
        return;
    look_figure(look, "loudspeaker_x_m", one->at.x_m);
    look_figure(look, "loudspeaker_y_m", one->at.y_m);
}

static void
find(struct look *look, const struct loops *loops, const struct help *help)
{
    double voice_db = sum_tenth(-help_turn_voice_db(loops, help->path.microphone, help->degrees));
    double wins_db = sum_tenth(help->path_db);

    look_found(look, WEIGHT_NOTE, wins_db);
    look->verdict->mix = loops->mixes[help->path.mix];
    look_figure(look, "wins_db", wins_db);
    look_figure(look, "voice_loses_db", voice_db);
    look_figure(look, "comes_back_less_db", wins_db + voice_db);
    look_figure(look, "turn_degrees", help->degrees); /* above 0: away from it */
    look_figure(look, "at_hz", band_graphic_nominal_hz(BANDS, help->path.band));
    add_loudspeaker(look, loops, help);
}

static void
judge(struct look *look, struct estimate *estimate, int microphone)
{
    const struct loops *loops = estimate_loops(estimate);
    struct help help;

    if (help_loudest_into(loops, microphone).gain_db <
        estimate_first_db(estimate) - look->settings[WITHIN_DB])
        look_pass(look);
    else if (help_turn(loops, microphone, &help) && help.path_db >= look->settings[WINS_DB])
        find(look, loops, &help);
    else
        look_pass(look);
}

/* A way back that is not known could be the one that a turn makes louder. */
static bool
is_known(struct look *look, const struct loops *loops, int microphone, int input)
{
    struct loops_gaps gaps = loops_gaps(loops, look, microphone, -1);

    if (gaps.unplaced > 0)
        look_miss(look, INDEX_INPUT, input,
                  "the stage plan does not tell where a loudspeaker is that it is sent into");
    return gaps.unknown + gaps.unplaced == 0;
}

static void
run(struct look *look, struct object object)
{
    struct estimate *estimate = look->ground->estimate;
    const struct loops *loops;
    int microphone;

    if (!estimate || estimate_desk(estimate) != look->desk) /* a desk that is only thought of */
        return;
    loops = estimate_loops(estimate);
    microphone = microphone_of(loops->stage, object.input);
    if (microphone < 0 || !help_may_turn(loops->stage, microphone))
        return;
    if (!is_known(look, loops, microphone, object.input))
        look_not_known(look);
    else if (help_loudest_into(loops, microphone).gain_db == -HUGE_VAL)
        look_closed(look);
    else
        judge(look, estimate, microphone);
}

/* ---- words ---- */

static void
say(struct wording *wording)
{
    const struct verdict *verdict = wording->verdict;
    double x_m = verdict_figure(verdict, "loudspeaker_x_m");

    text_add(&wording->says, "turned by %f degrees %s the loudspeaker of mix ",
             fabs(verdict_figure(verdict, "turn_degrees")),
             verdict_figure(verdict, "turn_degrees") > 0 ? "away from" : "towards");
    look_add_mix(wording->look, &wording->says, verdict->mix);
    if (!isnan(x_m))
        text_add(&wording->says, " at x %f, y %f m", x_m,
                 verdict_figure(verdict, "loudspeaker_y_m"));
    text_add(&wording->says,
             ", its microphone would win %f dB: %f dB less comes back, room and all loudspeakers "
             "counted, and its voice or instrument loses %f dB",
             verdict_figure(verdict, "wins_db"), verdict_figure(verdict, "comes_back_less_db"),
             verdict_figure(verdict, "voice_loses_db"));
    text_add(&wording->cure,
             "with the input closed, turn the microphone so on its stand, mouth or instrument "
             "staying where it is: that gets %f dB softer, and duller off the axis. Listen before "
             "anything is turned up for it",
             verdict_figure(verdict, "voice_loses_db"));
}

static void
work(struct text *text, const struct verdict *verdict)
{
    text_add(text,
             "Turned by %f degrees, the loudest way back into the microphone, whichever that is "
             "then, is softer by %f dB, and the voice by %f dB: ",
             verdict_figure(verdict, "turn_degrees"), verdict_figure(verdict, "comes_back_less_db"),
             verdict_figure(verdict, "voice_loses_db"));
    sum_difference(text, verdict_figure(verdict, "comes_back_less_db"),
                   verdict_figure(verdict, "voice_loses_db"));
    text_add(text, ". So the turn wins %f dB of margin.", verdict_figure(verdict, "wins_db"));
}

const struct check check_microphone_aim = {
    .id = "microphone-aim",
    .number = CHECK_MICROPHONE_AIM,
    .subject = SUBJECT_ROUTING,
    .objects = OBJECT_INPUT,
    .of_plan = true,
    .reads = reads,
    .settings = {{"wins_db", 3, 1, 20, "what a turn must win to be a note", -0.5, WEIGHT_NOTE,
                  CREDIT_PRACTICE},
                 {"within_db", 10, 0, 60,
                  "microphones this far below the one that rings first are left alone", 1,
                  WEIGHT_NOTE, CREDIT_PRACTICE}},
    .severity = "wins_db",
    .worse_step = 1,
    .fails_when =
        "by the stage plan a microphone on a stand would win this much, or more, if it were turned "
        "by up to 45 degrees: what comes back less through the loudest way into it, room and all "
        "loudspeakers counted, less what the voice loses. Asked by audit, compare and review "
        "alone; never of a microphone in a hand.",
    .why = "A directional microphone hears least at its null, and that is no use while the null "
           "faces a curtain and the wedge stands where the microphone hears well.",
    .cure = "Close the input, turn the microphone on its stand so that its null faces the wedge, "
            "and leave the mouth where it was; then listen: the voice is a little softer and "
            "duller off the axis. Moving the wedge to the null costs the voice nothing.",
    .formula = "20 log10 |a + (1 - a) cos phi|, not below the pattern's floor, for wedge and mouth "
               "before and after the turn; the room's part, random energy of the pattern against "
               "the critical distance, is added as power and does not turn",
    .source = "Patterns: DPA Microphones dictionary, \"1st Order Pattern\"; random energy: G. "
              "Martin, Introduction to Sound Recording. The floor, and how far a stand may be "
              "turned: common practice, no source.",
    .disagreement =
        "Super- or hypercardioid: their nulls, at 126 and 110 degrees, suit two wedges at the "
        "sides and are wrong for one wedge straight behind, where a cardioid hears least and they "
        "hear 12 and 6 dB below the front. How much a designer may count on: 4 to 6 dB off the "
        "axis, the Sound System Design Reference Manual (1999), p. 4-3; the formula promises more, "
        "and the room takes it back. Some never turn a microphone from the mouth (common practice, "
        "no source).",
    .run = run,
    .say = say,
    .work = work,
};
