/* SPDX-License-Identifier: MIT */
#include "check/check.h"

#include <math.h>
#include <stddef.h>

#include "core/sum.h"
#include "look/reach.h"
#include "sound/graphic.h"
#include "sound/lift.h"
#include "sound/path.h"

enum { NOTE_DB, FIX_DB };

static const enum param_id reads[] = {PATH_INPUT_FILTER_READS, PATH_MIX_FILTER_READS, REACH_READS,
                                      PARAM_INPUT_MUTE,        PARAM_INPUT_NAME,      PARAMS};
static const enum param_id mix_reads[] = {PATH_MIX_FILTER_READS, PARAM_MIX_NAME, PARAMS};

/* By how much the settings tell of a lift; as an enum weight, or -1. */
static int
graded(const struct look *look, double lift_db)
{
    if (lift_db < look->settings[NOTE_DB])
        return -1;
    return lift_db >= look->settings[FIX_DB] ? WEIGHT_FIX : WEIGHT_NOTE;
}

static void
found(struct look *look, const struct lift *lift)
{
    look_found(look, (enum weight)graded(look, lift->db), lift->db);
    look_figure(look, "boost_db", lift->db);
    look_figure(look, "at_hz", lift->hz);
}

static void
add_graphic_figures(struct look *look, double least, double most)
{
    if (most == 0)
        return;
    look_figure(look, "graphic_octaves", least);
    look_figure(look, "graphic_octaves_most", most);
}

/* ---- an input ---- */

/* The highest lift of an input: its own, or that of a path through it. */
struct path_lift {
    struct lift lift;
    int mix;                 /* of the path; -1: it is the input's own */
    double input_db, mix_db; /* the shares of that path */
    double graphic_least, graphic_most;
};

/* An input on its way through its mixes. */
struct through {
    struct lift_places places;
    struct lift_curve input;
    double own_db; /* its own lift */
    struct path_lift highest;
};

/* Whether such a lift would tell something new: nothing is printed finer than 0.1 dB. */
static bool
tells_more(const struct look *look, const struct through *through, double db)
{
    int grade = graded(look, db);

    return grade >= 0 &&
           (db > through->highest.lift.db + 0.05 || grade > graded(look, through->highest.lift.db));
}

/* A path counts for its input where it is graver than the mix alone, which is told of the mix. */
static void
try_path(struct look *look, int mix, struct through *through)
{
    struct filters filters;
    struct lift_curve curve;
    struct lift lift;
    double bound_db;

    if (!path_mix_filters(look, mix, &filters))
        return;
    bound_db = lift_bound_db(&filters);
    if (bound_db == 0 || !tells_more(look, through, through->own_db + bound_db))
        return;
    lift_curve_of(&through->places, &filters, &curve);
    lift = lift_of(&through->places, &through->input, &curve);
    if (!tells_more(look, through, lift.db) ||
        graded(look, lift.db) <= graded(look, lift_of(&through->places, &curve, NULL).db))
        return;
    through->highest = (struct path_lift){lift,
                                          mix,
                                          filters_db(through->input.filters, lift.hz),
                                          filters_db(&filters, lift.hz),
                                          filters.graphic_least,
                                          filters.graphic_most};
}

/* Whether the input's filters lie in an open path into a loudspeaker. What is not known is
 * remembered. */
static bool
lies_in(struct look *look, int input, int mix)
{
    double tap;
    bool open;

    return look_send_open(look, input, mix, &open) && open &&
           look_number(look, PARAM_SEND_TAP, input, mix, &tap) && tap != TAP_PRE_EQ &&
           feeds_loudspeaker(look_feeds(look, mix));
}

static void
find_highest(struct look *look, int input, const struct filters *filters, struct through *through)
{
    lift_places_at(filters->rate_hz, &through->places);
    lift_curve_of(&through->places, filters, &through->input);
    through->highest.mix = -1;
    through->highest.lift = lift_of(&through->places, &through->input, NULL);
    through->own_db = through->highest.lift.db;
    for (int mix = 0; mix < desk_count(look->desk, INDEX_MIX); mix++)
        if (lies_in(look, input, mix))
            try_path(look, mix, through);
}

/* What lifts nothing is judged by itself: of the paths through it the mixes tell. */
static void
judge_input(struct look *look, int input, const struct filters *filters)
{
    struct through through;
    const struct path_lift *highest = &through.highest;

    if (lift_bound_db(filters) == 0) {
        look_pass(look);
        return;
    }
    find_highest(look, input, filters, &through);
    if (graded(look, highest->lift.db) < 0) {
        if (look->missing > 0)
            look_not_known(look);
        else
            look_pass(look);
        return;
    }
    found(look, &highest->lift);
    if (highest->mix < 0)
        return;
    look->verdict->mix = highest->mix;
    look_figure(look, "input_boost_db", highest->input_db);
    look_figure(look, "mix_boost_db", highest->mix_db);
    add_graphic_figures(look, highest->graphic_least, highest->graphic_most);
}

static void
run_input(struct look *look, int input)
{
    struct filters filters;
    bool muted;
    int mix;
    enum reach reach;

    if (look->show->inputs[input].source == SOURCE_UNUSED)
        return;
    if (!look_switch(look, PARAM_INPUT_MUTE, input, 0, &muted)) {
        look_not_known(look);
        return;
    }
    reach = muted ? REACH_NOWHERE : reach_of(look, input, true, &mix);
    if (reach == REACH_NOWHERE)
        look_closed(look);
    else if (reach == REACH_UNKNOWN ||
             (reach == REACH_LOUDSPEAKER && !path_input_filters(look, input, &filters)))
        look_not_known(look);
    else if (reach == REACH_LOUDSPEAKER)
        judge_input(look, input, &filters);
}

/* ---- a mix ---- */

static struct lift
lift_of_mix(const struct filters *filters)
{
    struct lift_places places;
    struct lift_curve curve;

    if (lift_bound_db(filters) == 0)
        return (struct lift){0};
    lift_places_at(filters->rate_hz, &places);
    lift_curve_of(&places, filters, &curve);
    return lift_of(&places, &curve, NULL);
}

static void
run_mix(struct look *look, int mix)
{
    enum feeds feeds = look_feeds(look, mix);
    struct filters filters;
    struct lift lift;

    if (feeds != FEEDS_UNKNOWN && !feeds_loudspeaker(feeds))
        return;
    if (feeds == FEEDS_UNKNOWN || !path_mix_filters(look, mix, &filters)) {
        look_not_known(look);
        return;
    }
    lift = lift_of_mix(&filters);
    if (graded(look, lift.db) < 0) {
        look_pass(look);
        return;
    }
    found(look, &lift);
    add_graphic_figures(look, filters.graphic_least, filters.graphic_most);
}

static void
run(struct look *look, struct object object)
{
    if (object.input >= 0)
        run_input(look, object.input);
    else
        run_mix(look, object.mix);
}

static void
add_width(struct text *text, const struct verdict *verdict)
{
    double octaves = verdict_figure(verdict, "graphic_octaves");

    if (isnan(octaves))
        return;
    text_add(text, " (graphic bands taken as ");
    graphic_add_octaves(text, octaves, verdict_figure(verdict, "graphic_octaves_most"));
    text_add(text, " wide)");
}

static void
say(struct wording *wording)
{
    const struct verdict *verdict = wording->verdict;
    double boost_db = verdict_figure(verdict, "boost_db");
    double hz = round(verdict_figure(verdict, "at_hz"));

    if (verdict->mix >= 0 && wording->object.input >= 0) {
        text_add(&wording->says, "the equalisers of the input and of mix ");
        look_add_mix(wording->look, &wording->says, verdict->mix);
        text_add(&wording->says,
                 " together boost by %f dB near %f Hz, %f and %f dB, so this path rings there "
                 "first",
                 boost_db, hz, verdict_figure(verdict, "input_boost_db"),
                 verdict_figure(verdict, "mix_boost_db"));
    } else {
        text_add(&wording->says,
                 "the equaliser of the %s boosts by %f dB near %f Hz, so the mix rings there first",
                 wording->object.input >= 0 ? "input" : "mix", boost_db, hz);
    }
    add_width(&wording->says, verdict);
    text_add(&wording->cure,
             "take the boost out and cut beside it instead; who keeps it pays with preamp gain, "
             "before it goes in");
}

/* Bands that add up can lift by hundreds of dB, which no factor makes clearer. */
enum { FACTOR_MOST_DB = 60 };

static void
work(struct text *text, const struct verdict *verdict)
{
    double boost_db = sum_tenth(verdict_figure(verdict, "boost_db"));
    double mix_db = verdict_figure(verdict, "mix_boost_db");

    text_add(text, "At %f Hz the filters lift by %f dB", round(verdict_figure(verdict, "at_hz")),
             boost_db);
    if (!isnan(mix_db))
        text_add(text, " (those of the input by %f dB, those of the mix by %f dB)",
                 verdict_figure(verdict, "input_boost_db"), mix_db);
    if (boost_db <= FACTOR_MOST_DB)
        text_add(text, ", 10^(%f / 20) = %g times the voltage", boost_db, pow(10, boost_db / 20));
    text_add(text, ". A path that could go 10 dB further there before it rings can now go ");
    SUM(text, 10, -boost_db);
    text_add(text, " dB; below 0 it rings. Paid for with the preamp it is ");
    SUM(text, boost_db, -boost_db);
    text_add(text, " dB against before at that frequency, and ");
    SUM(text, 0, -boost_db);
    text_add(text, " dB where the filters are flat.");
}

const struct check check_boost_into_wedge = {
    .id = "boost-into-wedge",
    .number = CHECK_BOOST_INTO_WEDGE,
    .subject = SUBJECT_EQUALISERS,
    .objects = OBJECT_INPUT | OBJECT_MIX,
    .reads = reads,
    .mix_reads = mix_reads,
    .settings = {{"note_db", 3, 0.5, 30, "boost from which it is a note", -0.5, WEIGHT_NOTE,
                  CREDIT_PRACTICE},
                 {"fix_db", 9, 0.5, 30, "boost from which it should be fixed", -0.5, WEIGHT_FIX,
                  CREDIT_PRACTICE}},
    .severity = "boost_db",
    .worse_step = 3,
    .fails_when = "the equaliser of an input that is open into a loudspeaker mix, or of the mix "
                  "itself, lifts some frequency, or both together do where the mix alone does not "
                  "as much. Sends taken before the equaliser do not count.",
    .why = "A boost is loop gain at one frequency: the mix will ring there first, as many decibels "
           "earlier.",
    .cure = "Cut around it instead of lifting it, or pay for it with preamp gain.",
    .formula =
        "highest point of the cascade of filters of the input, of the mix, or of a path through "
        "both, cookbook biquads at the desk's sample rate: looked for at every band's frequency "
        "and four places in each third of an octave, then climbed",
    .source =
        "Loop gain and the Nyquist criterion: T. van Waterschoot and M. Moonen, Fifty Years of "
        "Acoustic Feedback Control, Proc. IEEE 99(2), 2011, eq. 11. The decibels at which it "
        "becomes a note or a fix: common practice, no source.",
    .disagreement =
        "Agreed: what an equaliser lifts it lifts in the loop (van Waterschoot and Moonen 2011, "
        "eq. 11). Not settled is how much of it is worth it. Some never boost in a wedge, others "
        "lift what makes a voice clear and pay with level (both common practice, no source). "
        "Wedges are also tuned in their amplifier or crossover (\"Working The Monitor Scene At A "
        "Large Festival\"), and then a boost here may undo a dip there, which no desk shows.",
    .run = run,
    .say = say,
    .work = work,
};
