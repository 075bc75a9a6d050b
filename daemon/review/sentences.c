/* SPDX-License-Identifier: MIT */
/* What a sheet says, in whatever form: sentences that a student understands without the program. */
#include <math.h>
#include <string.h>

#include "core/text.h"
#include "report/report.h"
#include "review/review.h"

const char review_cannot_show[] =
    "Settings are perhaps a third of a monitor setup. They do not show tone and balance, where "
    "microphones and wedges stand, whether what a label says is what is plugged in, how the "
    "player was asked, or how loud it is. Those marks are given by hand, by someone who was "
    "there.";

const char review_no_show[] =
    "No show file: marked, and advised, as a monitor desk. What plays where is taken from the "
    "labels.";

const char review_wishes[] =
    "What a player wants in the own ears is no fault, and costs nothing. Somebody should have "
    "asked:";

/* ---- the mark ---- */

const char *
review_mark(const struct score_group *all, char says[REVIEW_MARK_SIZE])
{
    double percent = score_percent(all);
    struct text text;

    text_init(&text, says, REVIEW_MARK_SIZE);
    if (isnan(percent))
        text_add(&text, "nothing was there to be assessed, of %f marks", all->open_tenths / 10.0);
    else
        text_add(&text, "%f per cent of what was assessed, which was %f of %f marks", percent,
                 (all->earned_tenths + all->lost_tenths) / 10.0,
                 (all->earned_tenths + all->lost_tenths + all->open_tenths) / 10.0);
    return says;
}

const char *
review_no_pass(const struct setup *setup, char says[REVIEW_NO_PASS_SIZE])
{
    unsigned why = score_no_pass(setup->score, setup->scheme);
    size_t stops = setup->score->stops;
    struct text text;

    text_init(&text, says, REVIEW_NO_PASS_SIZE);
    if (why & SCORE_HAS_STOP)
        text_add(&text, "No pass: %zu finding%s of weight stop, by which somebody can be hurt. ",
                 stops, stops == 1 ? "" : "s");
    if (why & SCORE_TOO_LITTLE)
        text_add(&text,
                 "No pass: %f per cent of the marks were assessed, and at least %f are needed. ",
                 score_assessed_percent(&setup->score->total), setup->scheme->least_assessed);
    if (text.used > 0 && !text.cut)
        says[text.used - 1] = '\0'; /* the blank */
    return says;
}

/* ---- what a check is called here ---- */

static const struct {
    const char *unit;  /* of its leading figure; NULL: the figure is a grade */
    const char *wrong; /* "8 dB WRONG" */
    const char *right; /* "11 of 13 RIGHT" */
} words[CHECKS] = {
    [CHECK_EARS_UNPROTECTED] = {NULL, NULL, "in-ear mixes have a limiter that protects"},
    [CHECK_PHANTOM_MISMATCH] = {NULL, NULL, "inputs have 48 V as they should"},
    [CHECK_UNUSED_PREAMP_GAIN] = {"dB", "not used", "inputs have no more preamp gain than is used"},
    [CHECK_MASTER_OFF_UNITY] = {"dB", "off", "masters stand at 0 dB"},
    [CHECK_OWN_SEND_OFF_UNITY] = {"dB", "off", "own sends stand near 0 dB"},
    [CHECK_MAKE_UP_INTO_WEDGE] = {"dB", "of make-up",
                                  "inputs go into loudspeakers without make-up gain"},
    [CHECK_INPUT_HOT] = {"dB full scale", "", "inputs have room above their peaks"},
    [CHECK_INPUT_FAINT] = {"dB below full scale", "", "inputs are loud enough"},
    [CHECK_HIGH_PASS_MISSING] = {"Hz", "", "inputs that want a high-pass have one"},
    [CHECK_HIGH_PASS_LOW] = {"octaves", "too low", "high-passes are not too low"},
    [CHECK_HIGH_PASS_HIGH] = {"dB", "lost", "high-passes leave the lowest note alone"},
    [CHECK_TOO_MANY_CUTS] = {"cuts", "", "loudspeaker mixes were rung out with few cuts"},
    [CHECK_BOOST_INTO_WEDGE] = {"dB", "of boost",
                                "equalisers in use lift nothing on its way to a "
                                "loudspeaker"},
    [CHECK_SEND_FOLLOWS_FADER] = {"sends", "", "mixes stay as they are when a fader moves"},
    [CHECK_OPEN_UNUSED_INPUT] = {"dB", "of preamp gain", "inputs are in use, or closed"},
    [CHECK_OPEN_MICROPHONES] = {"microphones", "", "loudspeaker mixes have few open microphones"},
};

/* Of a filter that is missing its corner is neither right nor wrong. */
static size_t
told_by_another(const size_t of[JUDGED_COUNT], int check)
{
    return check == CHECK_HIGH_PASS_LOW || check == CHECK_HIGH_PASS_HIGH
               ? 0
               : of[JUDGED_TOLD_BY_ANOTHER];
}

const char *
review_right(const struct setup *setup, int check, char says[REVIEW_RIGHT_SIZE])
{
    const size_t *of = setup->score->of[check];
    size_t judged =
        of[JUDGED_RIGHT] + of[JUDGED_WRONG] + of[JUDGED_ACCEPTED] + told_by_another(of, check);
    struct text text;

    text_init(&text, says, REVIEW_RIGHT_SIZE);
    if (judged > 0)
        text_add(&text, "%zu of %zu %s", of[JUDGED_RIGHT], judged, words[check].right);
    return says;
}

/* ---- what a line costs ---- */

static void
add_marks(struct text *text, int tenths)
{
    text_add(text, "%f mark%s", tenths / 10.0, tenths == 10 ? "" : "s");
}

/* "8 dB off"; a control that is off has no figure. */
static void
add_figure(struct text *text, const struct finding *finding)
{
    const char *figure = finding->check->severity;
    const char *unit = words[finding->check->number].unit;
    const char *wrong = words[finding->check->number].wrong;

    if (strstr(figure, "unity_db") && isnan(verdict_figure(&finding->verdict, figure)))
        text_add(text, "off altogether");
    else if (unit)
        text_add(text, "%g %s%s%s", finding->verdict.severity, unit, *wrong ? " " : "", wrong);
    else
        text_add(text, "grade %g of the fault", finding->verdict.severity);
}

/* "8 dB off: 4 marks (1 at 0.5 dB, rising to 4 at 8 dB)"; nothing where a finding always costs the
 * same. */
static void
add_grade(struct text *text, const struct setup *setup, const struct score_line *line)
{
    int number = line->finding->check->number;
    const struct scheme_check *check = scheme_find(setup->scheme, number, NULL);
    const char *unit = words[number].unit;

    if (check->least_tenths == check->top_tenths)
        return;
    add_figure(text, line->finding);
    text_add(text, ": ");
    add_marks(text, line->alone_tenths);
    text_add(text, " (%f at %s%g%s%s, rising to %f at %s%g%s%s)", check->least_tenths / 10.0,
             unit ? "" : "grade ", check->from, unit ? " " : "", unit ? unit : "",
             check->top_tenths / 10.0, unit ? "" : "grade ", check->to, unit ? " " : "",
             unit ? unit : "");
}

const char *
review_why(const struct setup *setup, const struct score_line *line, char why[REVIEW_WHY_SIZE])
{
    const char *group = setup->scheme->groups[line->group].name;
    const char *id = line->finding->check->id;
    char object[REPORT_OBJECT_SIZE];
    struct text text;

    text_init(&text, why, REVIEW_WHY_SIZE);
    add_grade(&text, setup, line);
    if (line->why == SCORE_COSTS)
        return why;
    if (text.used > 0) {
        text_add(&text, "; but ");
    } else {
        add_marks(&text, line->alone_tenths);
        text_add(&text, " by itself, but ");
    }
    if (line->why == SCORE_SAME_CAUSE)
        text_add(&text, "it has the same cause as %s of %s, and one cause costs once",
                 line->cause->check->id, report_object(setup->engine, line->cause->object, object));
    else
        text_add(&text, "%s has cost the most it may", line->why == SCORE_CHECK_FULL ? id : group);
    return why;
}

/* ---- next time ---- */

static void
add_to_next(struct review_next *next, const struct score_line *line)
{
    next->check = line->finding->check->number;
    next->lost_tenths += line->lost_tenths;
    if (!next->first)
        next->first = line->finding;
    next->count++;
}

int
review_next(const struct setup *setup, struct review_next next[REVIEW_NEXT])
{
    struct review_next all[CHECKS] = {{.count = 0}};
    int count = 0;

    for (size_t i = 0; i < setup->score->line_count; i++)
        if (setup->score->lines[i].lost_tenths > 0)
            add_to_next(&all[setup->score->lines[i].finding->check->number],
                        &setup->score->lines[i]);
    for (; count < REVIEW_NEXT; count++) {
        struct review_next *dearest = &all[0];

        for (int check = 1; check < CHECKS; check++)
            if (all[check].lost_tenths > dearest->lost_tenths)
                dearest = &all[check];
        if (dearest->lost_tenths == 0)
            break;
        next[count] = *dearest;
        dearest->lost_tenths = 0;
    }
    return count;
}

const char *
review_next_says(const struct setup *setup, const struct review_next *next,
                 char says[REVIEW_NEXT_SIZE])
{
    char object[REPORT_OBJECT_SIZE];
    struct text text;

    text_init(&text, says, REVIEW_NEXT_SIZE);
    add_marks(&text, next->lost_tenths);
    text_add(&text, " to win at %s", report_object(setup->engine, next->first->object, object));
    if (next->count > 1)
        text_add(&text, " and %zu more", next->count - 1);
    text_add(&text, ": %s", next->first->check->cure);
    return says;
}

/* ---- what was not assessed ---- */

const char *
review_open(const struct score_group *all, char says[REVIEW_OPEN_SIZE])
{
    static const char *const names[JUDGED_COUNT] = {
        [JUDGED_ACCEPTED] = "accepted in the show file",
        [JUDGED_CLOSED] = "of what is muted, or nothing goes through",
        [JUDGED_UNTOUCHED] = "of equalisers that nobody touched",
        [JUDGED_NOT_KNOWN] = "of what is not known"};
    struct text text;

    text_init(&text, says, REVIEW_OPEN_SIZE);
    for (enum judged judged = 0; judged < JUDGED_COUNT; judged++) {
        if (!names[judged] || all->of[judged] == 0)
            continue;
        if (text.used == 0)
            text_add(&text, "Not assessed: %zu check%s %s", all->of[judged],
                     all->of[judged] == 1 ? "" : "s", names[judged]);
        else
            text_add(&text, ", %zu %s", all->of[judged], names[judged]);
    }
    return says;
}

const char *
review_unmarked(const struct setup *setup, char says[REVIEW_UNMARKED_SIZE])
{
    size_t count = setup->score->unmarked;
    struct text text;

    text_init(&text, says, REVIEW_UNMARKED_SIZE);
    text_add(&text, "%zu finding%s of checks that the scheme does not mark: the audit lists them",
             count, count == 1 ? "" : "s");
    return says;
}
