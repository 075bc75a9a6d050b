/* SPDX-License-Identifier: MIT */
#include "check/value_jumped.h"

#include <math.h>
#include <stddef.h>
#include <string.h>

#include "check/check.h"
#include "check/leap.h"
#include "core/sum.h"

enum { GAP_MS = 2000 }; /* so long without a reading, the leap is told as one between two */

static const enum param_id reads[] = {LEAP_READS, PARAM_INPUT_NAME, PARAM_MIX_NAME, PARAMS};
static const enum param_id mix_reads[] = {PATH_LEVEL_READS, PARAM_MIX_MUTE, PARAM_MIX_NAME, PARAMS};

/* What can jump: the figure that names it, with the number of its input, mix or group, and its
 * words. */
static const struct jumper {
    enum param_id id;
    const char *figure, *words;
} controls[] = {
    {PARAM_INPUT_PREAMP_GAIN, "preamp_of_input", "the preamp"},
    {PARAM_INPUT_TRIM, "trim_of_input", "the trim"},
    {PARAM_INPUT_FADER, "fader_of_input", "the fader"},
    {PARAM_SEND_LEVEL, "send_into_mix", "the send into mix "},
    {PARAM_MIX_FADER, "master_of_mix", "the master"},
    {PARAM_MIX_TRIM, "trim_of_mix", "the trim"},
    {PARAM_GROUP_FADER, "fader_of_group", "the fader"},
};

static bool
is_of(const struct jump *jump, struct object object)
{
    enum index_kind kind = object.input >= 0 ? INDEX_INPUT
                           : object.mix >= 0 ? INDEX_MIX
                                             : INDEX_GROUP;

    return params[jump->id].row == kind &&
           (kind == INDEX_GROUP || jump->row == (kind == INDEX_INPUT ? object.input : object.mix));
}

/* A look of its own, since others do not read all that this takes. */
static struct look
look_aside(const struct ground *ground, struct verdict *verdict)
{
    struct look look = look_reader(ground->desk, ground->show, reads, verdict);

    look.ground = ground;
    memcpy(look.settings, ground->show->checks[CHECK_VALUE_JUMPED].settings, sizeof look.settings);
    return look;
}

enum sure
value_jumped_stands(const struct look *look, enum param_id id, int row)
{
    enum sure any = SURE_NO;
    const struct jump *jumps;
    struct verdict aside;
    struct look own;
    size_t count = 0;

    if (!look->ground || !look->ground->moves || look->show->checks[CHECK_VALUE_JUMPED].off)
        return SURE_NO;
    own = look_aside(look->ground, &aside);
    jumps = moves_jumps(look->ground->moves, &count);
    for (size_t i = 0; i < count; i++)
        if (jumps[i].id == id && jumps[i].row == row && !jumps[i].unseen &&
            leap_counts(&jumps[i], own.settings))
            any = sure_or(any, leap_is_left(&own, &jumps[i]));
    return any;
}

bool
value_jumped_is_slip(const struct ground *ground, const struct jump *jump)
{
    struct verdict aside;
    struct look look = look_aside(ground, &aside);

    return leap_stands(&look, jump) == SURE_YES;
}

/* The longest jump of the object that stands, NULL: none does, as far as is known; *standing gets how
 * many do, *known whether that is known of all. */
static const struct jump *
longest_jump(struct look *look, struct object object, int *standing, bool *known)
{
    const struct jump *longest = NULL;
    size_t count;
    const struct jump *jumps = moves_jumps(look->ground->moves, &count);

    *standing = 0;
    *known = true;
    for (size_t i = 0; i < count; i++) {
        enum sure stands_there = is_of(&jumps[i], object) ? leap_stands(look, &jumps[i]) : SURE_NO;

        *known &= stands_there != UNSURE;
        if (stands_there != SURE_YES)
            continue;
        ++*standing;
        if (!longest || leap_db(&jumps[i]) > leap_db(longest))
            longest = &jumps[i];
    }
    return longest;
}

static void
add_control(struct look *look, const struct jump *jump)
{
    const struct jumper *control = controls;

    while (control->id != jump->id)
        control++;
    look_figure(look, control->figure,
                1 + (jump->id == PARAM_SEND_LEVEL ? jump->column : jump->row));
}

/* All that is said of it, for the jump is forgotten before the finding ends. */
static void
found(struct look *look, const struct jump *jump, int standing)
{
    look_found(look, leap_weight(look, jump), leap_db(jump));
    look->verdict->mix = jump->id == PARAM_SEND_LEVEL ? jump->column : -1;
    look_figure(look, "leap_db", leap_db(jump));
    look_figure(look, "now_db", jump->to);
    if (jump->from > -HUGE_VAL)
        look_figure(look, "was_db", jump->from);
    add_control(look, jump);
    if (jump->gap_ms > GAP_MS)
        look_figure(look, "seen_after_s", (double)jump->gap_ms / 1000);
    if (standing > 1)
        look_figure(look, "more_jumped_count", standing - 1);
}

static void
run(struct look *look, struct object object)
{
    const struct jump *jump;
    int standing;
    bool known;

    if (!look->ground->moves)
        return;
    jump = longest_jump(look, object, &standing, &known);
    if (jump)
        found(look, jump, standing);
    else if (!known)
        look_not_known(look);
    else
        look_pass(look);
}

/* ---- for whoever tells leaps himself ---- */

/* Above what was approved, or above 0 dB where nothing was. */
static bool
ends_high(const struct ground *ground, const struct jump *jump)
{
    const struct value *approved =
        ground->approved ? desk_value(ground->approved, jump->id, jump->row, jump->column) : NULL;
    bool known = approved && approved->state == VALUE_KNOWN;

    return jump->to > (known ? value_number(approved) : 0) + LEAP_SLACK_DB;
}

static bool
is_larger(const struct leap *one, const struct leap *other)
{
    return one->db != other->db ? one->db > other->db : one->weight > other->weight;
}

/* In place of the smallest, where there is no room. */
static void
put_in(struct leaps *leaps, const struct leap *leap)
{
    size_t i = leaps->count < LEAPS_SHOWN ? leaps->count : LEAPS_SHOWN - 1;
    bool full = leaps->count >= LEAPS_SHOWN;

    leaps->count++;
    leaps->stops += leap->weight == WEIGHT_STOP;
    if (full && !is_larger(leap, &leaps->largest[i]))
        return;
    for (; i > 0 && is_larger(leap, &leaps->largest[i - 1]); i--)
        leaps->largest[i] = leaps->largest[i - 1];
    leaps->largest[i] = *leap;
}

/* False where the value did not leap up, or was not known. */
static bool
leap_at(struct look *look, const struct desk *before, const struct jump *place, struct leap *leap)
{
    struct jump jump = *place;

    jump.from = value_number(desk_value(before, place->id, place->row, place->column));
    jump.to = value_number(desk_value(look->desk, place->id, place->row, place->column));
    if (!(jump.to > jump.from) || leap_stands(look, &jump) != SURE_YES)
        return false;
    *leap = (struct leap){jump, leap_db(&jump), leap_weight(look, &jump)};
    return true;
}

void
value_jumped_between(const struct ground *ground, const struct desk *before, struct leaps *leaps)
{
    struct verdict aside;
    struct look look = look_aside(ground, &aside);
    struct leap leap;

    if (ground->show->checks[CHECK_VALUE_JUMPED].off)
        return;
    for (size_t i = 0; i < sizeof controls / sizeof *controls; i++)
        for (int row = 0; row < desk_rows(before, controls[i].id); row++)
            for (int column = 0; column < desk_columns(before, controls[i].id); column++) {
                struct jump place = {.id = controls[i].id, .row = row, .column = column};

                if (leap_at(&look, before, &place, &leap) && leap.weight >= leaps->from &&
                    (!leaps->high || ends_high(ground, &leap.jump)))
                    put_in(leaps, &leap);
            }
}

bool
value_jumped_ends_high(const struct ground *ground, struct object object)
{
    struct verdict aside;
    struct look look = look_aside(ground, &aside);
    size_t count = 0;
    const struct jump *jumps = ground->moves ? moves_jumps(ground->moves, &count) : NULL;

    for (size_t i = 0; i < count; i++)
        if (is_of(&jumps[i], object) && leap_stands(&look, &jumps[i]) == SURE_YES &&
            ends_high(ground, &jumps[i]))
            return true;
    return false;
}

bool
value_jumped_stays_in(const struct ground *ground, struct object object, const bool *mixes)
{
    struct verdict aside;
    struct look look = look_aside(ground, &aside);
    size_t count = 0;
    const struct jump *jumps = ground->moves ? moves_jumps(ground->moves, &count) : NULL;
    bool any = false;

    for (size_t i = 0; i < count; i++) {
        if (!is_of(&jumps[i], object) || leap_stands(&look, &jumps[i]) == SURE_NO)
            continue;
        if (!leap_stays_in(&look, &jumps[i], mixes))
            return false;
        any = true;
    }
    return any;
}

/* ---- words ---- */

/* The control that jumped, and its number where it has one. */
static const struct jumper *
control_of(const struct verdict *verdict, double *number)
{
    const struct jumper *control = controls;

    while (isnan(*number = verdict_figure(verdict, control->figure)))
        control++;
    return control;
}

static void
say_control(struct wording *wording)
{
    struct text *says = &wording->says;
    double number;
    const struct jumper *control = control_of(wording->verdict, &number);

    text_add(says, "%s", control->words);
    if (control->id == PARAM_SEND_LEVEL)
        look_add_mix(wording->look, says, (int)number - 1);
    if (control->id == PARAM_GROUP_FADER)
        text_add(says, " of group %d", (int)number);
}

static void
say(struct wording *wording)
{
    const struct verdict *verdict = wording->verdict;
    struct text *says = &wording->says;
    double was_db = verdict_figure(verdict, "was_db");
    double gap_s = verdict_figure(verdict, "seen_after_s");
    double more = verdict_figure(verdict, "more_jumped_count"), number;

    was_db = isnan(was_db) ? -HUGE_VAL : was_db;
    say_control(wording);
    text_add(says, " jumped from %f to %f dB while open", was_db,
             verdict_figure(verdict, "now_db"));
    if (!isnan(gap_s))
        text_add(says, ", seen between two readings %f s apart", gap_s);
    if (!isnan(more))
        text_add(says, "; %d more jumped with it", (int)more);
    text_add(&wording->cure, "if nobody did it on purpose, take it back to %f%s", was_db,
             was_db == -HUGE_VAL ? "" : " dB");
    if (control_of(verdict, &number)->id != PARAM_MIX_FADER)
        text_add(&wording->cure, ", slowly, with a hand on the master");
}

static void
work(struct text *text, const struct verdict *verdict)
{
    double now_db = verdict_figure(verdict, "now_db");
    double leap_db = verdict_figure(verdict, "leap_db");
    double shown_db = sum_tenth(leap_db);

    text_add(text, "From %f dB%s to %f dB: ", now_db - leap_db,
             now_db - leap_db <= LEAP_OFF_DB ? ", as which anything lower counts," : "", now_db);
    sum_difference(text, now_db, now_db - leap_db);
    text_add(text,
             " dB, 10^(%f / 20) = %g times the voltage, in every path it lies in. A path with "
             "10 dB of margin before has ",
             shown_db, pow(10, shown_db / 20));
    SUM(text, 10, -leap_db);
    text_add(text, " dB after; below 0 it rings.");
}

const struct check check_value_jumped = {
    .id = "value-jumped",
    .number = CHECK_VALUE_JUMPED,
    .subject = SUBJECT_STRUCTURE,
    .objects = OBJECT_DESK | OBJECT_INPUT | OBJECT_MIX,
    .watch_only = true,
    .urgency = URGENT_NOTE,
    .reads = reads,
    .mix_reads = mix_reads,
    .settings = {{"fader_db", 12, 6, 60, "jump of a fader or send that counts", 0, WEIGHT_NOTE,
                  CREDIT_PRACTICE},
                 {"master_db", 6, 6, 60, "jump of a master that counts", 0, WEIGHT_NOTE,
                  CREDIT_PRACTICE},
                 {"above_db", 0, -60, 10, "where such a jump must end to count", 0, WEIGHT_NOTE,
                  CREDIT_PRACTICE},
                 {"gain_db", 9, 6, 60, "jump of a preamp or trim that counts", 0, WEIGHT_NOTE,
                  CREDIT_PRACTICE}},
    .severity = "leap_db",
    .worse_step = 6,
    .raise_after_s = 0.2,
    .clear_after_s = 1,
    .fails_when =
        "one value jumps upwards while it is open: within 0.4 s, or between two readings "
        "of a desk that does not push its changes. A master counts from 6 dB, because it lifts "
        "every path of its mix; a send from 12, because more of oneself is a normal wish. Into "
        "ears it is stop from 12 dB, else fix. Taken back by half, or left for two minutes, it is "
        "over: then it was meant. So it was where the value comes back to where it was approved or "
        "set up to stand, or where no open path is louder than it was then: the sends came down "
        "before their preamp came up. Many values at once are a recall. While lines are checked, "
        "and in a changeover, it is told "
        "only where it ends above what was approved, or above 0 dB where nothing was. Watches "
        "only.",
    .why = "A finger that slips on a screen or a sleeve on a fader sends one value to the top, and "
           "the loop gain of every path through it with it. Into ears it is a matter of hearing.",
    .cure = "Put it back where it was and move nothing else, and find out who moved it.",
    .formula = "to - from >= fader_db (masters: master_db) and to > above_db; gains: to - from >= "
               "gain_db",
    .source = "Slips on touch screens and bumped masters: common practice, no source.",
    .disagreement =
        "That slips happen nobody disputes. Not settled is what is a slip and what a hand at work: "
        "a solo pushed by 12 dB can be meant, and some engineers open sends in one throw (both "
        "common practice, no source). So the jump of a fader must end above 0 dB to count, and one "
        "that is left "
        "to stand for two minutes counts as meant.",
    .run = run,
    .say = say,
    .work = work,
};
