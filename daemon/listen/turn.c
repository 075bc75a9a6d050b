/* SPDX-License-Identifier: MIT */
#include "listen/turn.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/escape.h"
#include "base/output.h"
#include "core/need.h"
#include "listen/begun.h"
#include "listen/turn_says.h"

enum {
    HANDS_OFF_MS = 3000,
    QUIET_MS = 1000,  /* what was turned stands still */
    CHANGES_LEAST = 3 /* of a knob that was turned to and fro */
};

/* ---- steps ---- */

static void
enter(struct turn *turn, enum step step, int64_t now_ms)
{
    turn->step = step;
    turn->since_ms = now_ms;
}

/* Whether it is in the file. */
static bool
keep(struct turn *turn)
{
    turn->unwritten = !begun_write(turn->setting.profile, turn->setting.path);
    return !turn->unwritten;
}

static void
begin_hands_off(struct turn *turn, int64_t now_ms)
{
    output_format(0, TURN_REST,
                  "Hands off the desk for %d s: what moves by itself, meters and clocks, is noted.",
                  HANDS_OFF_MS / 1000);
    output_finish();
    stirring_forget(turn->stirring);
    stirring_rest(turn->stirring);
    enter(turn, STEP_HANDS_OFF, now_ms);
}

static void
begin_turning(struct turn *turn, int64_t now_ms)
{
    stirring_turn(turn->stirring);
    turn->skip = 0;
    says_turn(turn, &turn->objects[0]);
    enter(turn, STEP_FIRST, now_ms);
}

static void
take_up(struct turn *turn, int64_t now_ms)
{
    turn->of.param = turn_task_of(turn)->param;
    for (enum index_kind kind = INDEX_INPUT; kind < INDEX_KINDS; kind++)
        turn->of.counts.of[kind] = begun_count(turn->setting.profile, kind);
    turn->of.counts.of[INDEX_NONE] = 1;
    place_objects(&turn->of, turn->objects);
    puts("");
    if (turn->of.param == PARAM_INPUT_PHANTOM)
        output_wrapped(
            0, TURN_REST,
            "48 V: only with the input closed and nothing plugged in that it could harm, "
            "never onto a line output.");
    begin_turning(turn, now_ms);
}

/* From there on in the list. */
static void
next_task(struct turn *turn, int64_t now_ms)
{
    while (turn_task_of(turn)->what && !turn_wants(turn, turn_task_of(turn)))
        turn->at++;
    if (turn_task_of(turn)->what)
        take_up(turn, now_ms);
    else
        enter(turn, STEP_OVER, now_ms);
}

static void
skip_task(struct turn *turn, int64_t now_ms)
{
    turn->at++;
    next_task(turn, now_ms);
}

/* ---- the desk's name and counts ---- */

static void
next_count(struct turn *turn, int64_t now_ms)
{
    while (turn_counts[turn->at].what &&
           begun_is_counted(turn->setting.profile, turn_counts[turn->at].kind))
        turn->at++;
    if (turn_counts[turn->at].what) {
        enter(turn, STEP_COUNTS, now_ms);
        says_count(turn);
        return;
    }
    turn->at = 0;
    output_wrapped(0, TURN_REST,
                   "Before you turn anything: loudspeakers off or at their lowest, in-ears out. "
                   "Controls go to their top. Type ? for help.");
    begin_hands_off(turn, now_ms);
}

static void
take_name(struct turn *turn, const char *line, int64_t now_ms)
{
    char name[TURN_NAME_SIZE];

    escape_clean(name, sizeof name, *line ? line : "My desk");
    begun_set_desk(&turn->setting.profile, name);
    turn->at = 0;
    next_count(turn, now_ms);
}

static void
take_count(struct turn *turn, const char *line, int64_t now_ms)
{
    enum index_kind kind = turn_counts[turn->at].kind;
    int most = kind < INDEX_INPUT_EQ_BAND ? COUNT_LIMIT : BAND_LIMIT, least = kind <= INDEX_MIX;
    char *end;
    long count = strtol(line, &end, 10);

    if ((end == line && least > 0) || *end || count < least || count > most) {
        output_format(2, TURN_REST, "A whole number from %d to %d, please.", least, most);
        says_count(turn);
        return;
    }
    begun_set_count(turn->setting.profile, kind, (int)count);
    turn->at++;
    next_count(turn, now_ms);
}

/* ---- what moved ---- */

static void
take_first(struct turn *turn, int64_t now_ms)
{
    turn->first_count = stirring_find(turn->stirring, turn->first);
    if (turn->first_count <= turn->skip) {
        says_nothing(turn);
        stirring_turn(turn->stirring);
        turn->skip = 0;
        return;
    }
    says_moved(&turn->first[turn->skip], "moved:");
    stirring_turn(turn->stirring);
    says_turn(turn, &turn->objects[1]);
    enter(turn, STEP_OTHER, now_ms);
}

static bool
find_pair(struct turn *turn, const struct stirring_found *others, size_t count, size_t *which)
{
    struct pair_list lists[2] = {{turn->first + turn->skip, turn->first_count - turn->skip},
                                 {others, count}};

    return pair_find(&turn->of, turn->objects, lists, &turn->place, which);
}

/* ---- positions ---- */

/* Adds the entry with its law, where there is one; false, told, where that is no good profile. */
static bool
take_entry(struct turn *turn, const char *law, struct travel range)
{
    enum param_id param = turn->of.param;
    struct json *entry = place_entry(&turn->place, begun_value(param, law, range),
                                     turn_question_is_answered(&turn->question));
    char why[BEGUN_WHY_SIZE];

    if (begun_is_open(turn->setting.profile, param))
        begun_drop(turn->setting.profile, param);
    if (!begun_add_found(turn->setting.profile, param, entry, why)) {
        output_format(2, TURN_REST, "No entry can be written for it: %s.", why);
        return false;
    }
    turn->found++;
    output_format(2, TURN_REST, "%s: %s is %s%s.", keep(turn) ? "Kept" : "Found, not written",
                  params[param].name, turn->place.address,
                  turn_question_is_answered(&turn->question) ? ", and the desk answers there"
                  : turn->setting.ask != NULL                ? ", which it only tells"
                                                             : "");
    return true;
}

static bool
take_law(struct turn *turn)
{
    struct found_law found;
    const char *name = begun_law_name(turn->setting.profile, turn->of.param);

    if (positions_same(&turn->positions))
        return take_entry(turn, positions_same(&turn->positions), (struct travel){NAN, NAN});
    if (!positions_law(&turn->positions, &found)) {
        output_format(2, TURN_REST, "No law: %s. Its value stays not known until there is one.",
                      found.says);
        return take_entry(turn, begun_unknown_law(turn->setting.profile, turn->of.param),
                          found.range);
    }
    if (params[turn->of.param].unit != UNIT_TEXT)
        output_format(2, TURN_REST, "Law: %s.", found.says);
    if (found.law)
        begun_set_law(turn->setting.profile, name, found.law);
    return take_entry(turn, found.law ? name : NULL, found.range);
}

/* A law or entry that is not good leaves nothing behind: all that comes later would fail by it. */
static void
end_positions(struct turn *turn, int64_t now_ms)
{
    struct json *before = json_copy(turn->setting.profile);
    bool good = take_law(turn);

    json_free(good ? before : turn->setting.profile);
    if (!good)
        turn->setting.profile = before;
    skip_task(turn, now_ms);
}

/* Whether there is nothing more to wait for: positions, or an answer of the desk. */
static bool
has_all(struct turn *turn, int64_t now_ms)
{
    return !positions_question(&turn->positions) && turn_question_is_over(&turn->question, now_ms);
}

static void
next_position(struct turn *turn, int64_t now_ms)
{
    if (positions_question(&turn->positions))
        says_position(turn);
    else if (has_all(turn, now_ms))
        end_positions(turn, now_ms);
}

static void
begin_positions(struct turn *turn, int64_t now_ms)
{
    const char *why;

    turn->shown = (struct stirring_value){.number = NAN};
    stirring_now(turn->stirring, &turn->live, &turn->shown);
    why = positions_why_not(turn->of.param, turn->live.type, &turn->shown);
    if (why) {
        output_format(2, TURN_REST, "No law can be found: %s. See gainwarden-desks(7).", why);
        skip_task(turn, now_ms);
        return;
    }
    turn_question_begin(&turn->question, turn->setting.ask && place_may_be_asked(&turn->place)
                                             ? turn->place.at.address
                                             : NULL);
    positions_begin(&turn->positions, turn->of.param, turn->setting.profile);
    enter(turn, STEP_POSITIONS, now_ms);
    if (positions_question(&turn->positions))
        says_position(turn);
}

static void
take_other(struct turn *turn, int64_t now_ms)
{
    struct stirring_found others[STIRRING_FOUND];
    size_t which = 0, count = stirring_find(turn->stirring, others);

    if (count == 0) {
        says_nothing(turn);
    } else if (find_pair(turn, others, count, &which)) {
        says_moved(&others[which], "moved:");
        output_format(2, TURN_REST, "So it is %s, counted from %d.", turn->place.address,
                      turn->place.first);
        turn->live = others[which].at;
        begin_positions(turn, now_ms);
        return;
    } else {
        says_moved(&others[0], "moved:");
        says_no_pair(turn);
    }
    stirring_turn(turn->stirring);
}

/* Of the desk there is only one. */
static void
take_only(struct turn *turn, int64_t now_ms)
{
    size_t which = 0;

    turn->first_count = stirring_find(turn->stirring, turn->first);
    if (turn->first_count <= turn->skip) {
        says_nothing(turn);
        stirring_turn(turn->stirring);
        turn->skip = 0;
    } else if (find_pair(turn, &turn->first[turn->skip], 1, &which)) {
        says_moved(&turn->first[turn->skip], "moved:");
        turn->live = turn->first[turn->skip].at;
        begin_positions(turn, now_ms);
    } else {
        output_format(2, TURN_REST, "It cannot be described: %s.", turn->place.why);
        skip_task(turn, now_ms);
    }
}

static bool
is_only(const struct turn *turn)
{
    return turn->objects[0].row == turn->objects[1].row &&
           turn->objects[0].column == turn->objects[1].column;
}

static void
take_turned(struct turn *turn, int64_t now_ms)
{
    if (turn->step == STEP_OTHER)
        take_other(turn, now_ms);
    else if (is_only(turn))
        take_only(turn, now_ms);
    else
        take_first(turn, now_ms);
}

/* ---- typing ---- */

static void
take_position(struct turn *turn, const char *line, int64_t now_ms)
{
    struct stirring_value value = {.number = NAN};

    stirring_now(turn->stirring, &turn->live, &value);
    if (!positions_take(&turn->positions, line, &value))
        output_wrapped(2, TURN_REST, positions_complaint(&turn->positions));
    next_position(turn, now_ms);
}

static void
take_other_word(struct turn *turn, int64_t now_ms)
{
    if (turn->step == STEP_OTHER && turn->skip + 1 < turn->first_count) {
        turn->skip++;
        says_moved(&turn->first[turn->skip], "then:");
        says_turn(turn, &turn->objects[1]);
        return;
    }
    output_wrapped(2, TURN_REST, "Nothing else moved.");
    begin_turning(turn, now_ms);
}

static bool
is_turning(const struct turn *turn)
{
    return turn->step == STEP_FIRST || turn->step == STEP_OTHER;
}

/* Whether the line was one of the words that may stand anywhere. */
static bool
take_word(struct turn *turn, const char *line, int64_t now_ms)
{
    if (strcmp(line, "done") == 0)
        enter(turn, STEP_OVER, now_ms);
    else if (strcmp(line, "?") == 0 || strcmp(line, "help") == 0)
        says_help();
    else if (turn->step < STEP_FIRST || turn->step == STEP_OVER)
        return false;
    else if (strcmp(line, "again") == 0)
        begin_hands_off(turn, now_ms);
    else if (strcmp(line, "skip") == 0 && is_turning(turn))
        skip_task(turn, now_ms);
    else if (strcmp(line, "skip") == 0)
        end_positions(turn, now_ms);
    else if (strcmp(line, "other") == 0)
        take_other_word(turn, now_ms);
    else
        return false;
    return true;
}

void
turn_line(struct turn *turn, const char *line, int64_t now_ms)
{
    line += strspn(line, " \t");
    if (take_word(turn, line, now_ms))
        return;
    switch (turn->step) {
    case STEP_NAME:
        take_name(turn, line, now_ms);
        break;
    case STEP_COUNTS:
        take_count(turn, line, now_ms);
        break;
    case STEP_FIRST:
    case STEP_OTHER:
        if (*line)
            says_help();
        else
            take_turned(turn, now_ms);
        break;
    case STEP_POSITIONS:
        take_position(turn, line, now_ms);
        break;
    case STEP_HANDS_OFF:
    case STEP_OVER:
        break;
    }
}

/* ---- hearing and time ---- */

void
turn_heard(struct turn *turn, const struct osc_message *message, int64_t now_ms)
{
    turn->heard = true;
    if (!stirring_note(turn->stirring, message, now_ms))
        turn_question_heard(&turn->question, message->address, now_ms);
}

/* Whether it was turned as it was asked for, and let go. */
static bool
is_turned(const struct turn *turn, int64_t now_ms)
{
    struct stirring_found found[STIRRING_FOUND];
    size_t count = stirring_find(turn->stirring, found);
    enum unit unit = params[turn->of.param].unit;
    int least = unit == UNIT_TEXT                          ? 1
                : unit == UNIT_SWITCH || unit == UNIT_WORD ? 2
                                                           : CHANGES_LEAST;

    if (count == 0 || found[0].changes < least || now_ms - found[0].last_ms < QUIET_MS)
        return false;
    return unit == UNIT_TEXT || found[0].turns > 0;
}

void
turn_tick(struct turn *turn, int64_t now_ms)
{
    if (turn->step == STEP_HANDS_OFF && now_ms - turn->since_ms >= HANDS_OFF_MS) {
        if (stirring_chatter(turn->stirring) > 0)
            output_format(2, TURN_REST, "%zu values move by themselves; they are left out.",
                          stirring_chatter(turn->stirring));
        next_task(turn, now_ms);
    } else if (is_turning(turn) && is_turned(turn, now_ms)) {
        take_turned(turn, now_ms);
    } else if (turn->step == STEP_POSITIONS) {
        says_sent(turn, now_ms);
        if (turn_question_is_due(&turn->question, now_ms))
            turn->setting.ask(turn->setting.context, turn->question.address);
        if (has_all(turn, now_ms))
            end_positions(turn, now_ms);
    }
}

bool
turn_is_over(const struct turn *turn)
{
    return turn->step == STEP_OVER;
}

bool
turn_is_kept(const struct turn *turn)
{
    return !turn->unwritten;
}

/* ---- opening and closing ---- */

struct turn *
turn_new(const struct turn_setting *setting, int64_t now_ms)
{
    struct turn *turn = need_memory(1, sizeof *turn);

    *turn = (struct turn){.setting = *setting, .stirring = stirring_new()};
    if (json_size(json_get(setting->profile, "values")) > 0) {
        next_count(turn, now_ms);
        return turn;
    }
    enter(turn, STEP_NAME, now_ms);
    output_wrapped(0, TURN_REST, "What do you call the desk?");
    output_finish();
    return turn;
}

void
turn_free(struct turn *turn)
{
    if (!turn)
        return;
    json_free(turn->setting.profile);
    stirring_free(turn->stirring);
    free(turn);
}
