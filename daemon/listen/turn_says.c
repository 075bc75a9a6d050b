/* SPDX-License-Identifier: MIT */
#include "listen/turn_says.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/no_memory.h"
#include "base/output.h"
#include "listen/begun.h"

enum { SETTLED_MS = 300 };

/* ---- what is asked for ---- */

const struct turn_task *
turn_task_of(const struct turn *turn)
{
    return &turn_tasks[turn->at];
}

/* The switch of an equaliser is of the desk that has its bands. */
static enum index_kind
bands_of(enum param_id id)
{
    switch (id) {
    case PARAM_MIX_GRAPHIC_ON:
        return INDEX_MIX_GRAPHIC_BAND;
    case PARAM_MIX_EQ_ON:
        return INDEX_MIX_EQ_BAND;
    case PARAM_INPUT_EQ_ON:
        return INDEX_INPUT_EQ_BAND;
    default:
        return params[id].column;
    }
}

/* Whether the desk has what this is of, and the profile does not give it. */
bool
turn_wants(const struct turn *turn, const struct turn_task *task)
{
    const struct param *param = &params[task->param];
    const struct json *profile = turn->setting.profile;
    enum index_kind column = bands_of(task->param);

    return (param->row == INDEX_NONE || begun_count(profile, param->row) > 0) &&
           (column == INDEX_NONE || begun_count(profile, column) > 0) &&
           (!begun_gives(profile, task->param) || begun_is_open(profile, task->param));
}

static void
write_object(const struct turn *turn, const struct place_object *object, char *text, size_t size)
{
    const struct param *param = &params[turn->of.param];
    const char *row = index_placeholder(param->row), *column = index_placeholder(param->column);

    if (param->row == INDEX_NONE)
        snprintf(text, size, "The desk");
    else if (param->column == INDEX_NONE)
        snprintf(text, size, "%c%s %d", *row - 'a' + 'A', row + 1, object->row + 1);
    else
        snprintf(text, size, "%c%s %d, %s%s %d", *row - 'a' + 'A', row + 1, object->row + 1,
                 param->column == INDEX_MIX ? "send to " : "", column, object->column + 1);
}

static const char *
what_to_do(enum param_id id)
{
    switch (params[id].unit) {
    case UNIT_SWITCH:
        return "switch %s on and off again, twice";
    case UNIT_TEXT:
        return "change %s";
    case UNIT_WORD:
        return "change %s, and put it back";
    case UNIT_DB:
    case UNIT_HZ:
    case UNIT_MS:
    case UNIT_SLOPE:
    case UNIT_FACTOR:
    case UNIT_INDEX:
        break;
    }
    return "turn %s up and down again, slowly, and let go";
}

static void
write_do(const struct turn *turn, char *text, size_t size)
{
    const char *format = what_to_do(turn->of.param);
    const char *at = strstr(format, "%s");

    snprintf(text, size, "%.*s%s%s", (int)(at - format), format, turn_task_of(turn)->what, at + 2);
}

void
says_turn(const struct turn *turn, const struct place_object *object)
{
    char where[TURN_NAME_SIZE], what[160];

    write_object(turn, object, where, sizeof where);
    write_do(turn, what, sizeof what);
    output_format(0, TURN_REST, "%s: %s.", where, what);
    output_finish();
}

void
says_moved(const struct stirring_found *found, const char *before)
{
    if (isnan(found->low))
        output_format(2, TURN_REST, "%s %s changed", before, found->at.address);
    else
        output_format(2, TURN_REST, "%s %s went from %g to %g", before, found->at.address,
                      found->low, found->high);
}

void
says_help(void)
{
    output_wrapped(2, TURN_REST,
                   "Enter: I turned it. skip: the desk does not have it, or not now. again: from "
                   "hands off on. other: it was another address. done: that is enough; what was "
                   "found is kept.");
}

void
says_count(const struct turn *turn)
{
    output_format(0, TURN_REST, "How many %s does the desk have?", turn_counts[turn->at].what);
    output_finish();
}

void
says_nothing(const struct turn *turn)
{
    if (turn->heard)
        output_wrapped(2, TURN_REST,
                       "Nothing moved that had stood still before. Turn it again, or type skip, or "
                       "again where you touched the desk while hands should be off.");
    else
        output_wrapped(2, TURN_REST,
                       "The desk says nothing at all, so nothing can be found. Is it told to send "
                       "here, or does it want a message first (--ask='/ADDRESS')?");
    output_finish();
}

void
says_no_pair(const struct turn *turn)
{
    output_format(2, TURN_REST,
                  "That is no pair: %s. Turn the one that was asked for, or type again or skip.",
                  turn->place.why);
    output_finish();
}

void
says_position(struct turn *turn)
{
    char where[TURN_NAME_SIZE];

    write_object(turn, &turn->objects[1], where, sizeof where);
    output_format(0, TURN_REST, "%s: %s", where, positions_question(&turn->positions));
    output_finish();
}

void
says_sent(struct turn *turn, int64_t now_ms)
{
    struct stirring_value value;

    if (!stirring_now(turn->stirring, &turn->live, &value) ||
        now_ms - stirring_last(turn->stirring, &turn->live) < SETTLED_MS ||
        (strcmp(value.text, turn->shown.text) == 0 &&
         (value.number == turn->shown.number ||
          (isnan(value.number) && isnan(turn->shown.number)))))
        return;
    turn->shown = value;
    if (*value.text)
        output_format(2, TURN_REST, "it sends \"%s\"", value.text);
    else
        output_format(2, TURN_REST, "it sends %.7g", value.number);
    output_finish();
}

/* ---- the end ---- */

/* The tasks that are open so, as one sentence; how many. */
static size_t
list_tasks(const struct turn *turn, bool lacks_law, const char *what)
{
    const struct json *profile = turn->setting.profile;
    size_t count = 0, size;
    char *text;
    FILE *to = no_memory_stream(&text, &size);

    for (const struct turn_task *task = turn_tasks; task->what; task++) {
        bool given = begun_gives(profile, task->param);

        if (lacks_law ? given && begun_is_open(profile, task->param)
                      : !given && turn_wants(turn, task))
            fprintf(to, "%s%s", count++ > 0 ? ", " : "", params[task->param].name);
    }
    no_memory_stream_end(to);
    if (count > 0)
        output_format(0, TURN_REST, "%s: %s.", what, text);
    free(text);
    return count;
}

bool
turn_end(struct turn *turn)
{
    bool any = json_size(json_get(turn->setting.profile, "values")) > 0;
    size_t open;

    puts("");
    if (any)
        output_format(0, TURN_REST, "%zu control%s found. The profile %s %s.", turn->found,
                      turn->found == 1 ? "" : "s",
                      turn->unwritten ? "could not be written to" : "is in", turn->setting.path);
    else
        output_wrapped(0, TURN_REST, "Nothing was found, and nothing written.");
    open = list_tasks(turn, true, "A law is still to be found, and the value not known until then");
    open += list_tasks(turn, false, "Not found, or skipped, the most useful first");
    if (any && !turn->setting.ask)
        output_wrapped(0, TURN_REST,
                       "Whether the desk answers questions was not tried: the profile only takes "
                       "what it tells. With --ask it is tried.");
    if (any && !turn->unwritten)
        output_format(
            0, TURN_REST,
            "Next: gainwarden check %s, then listen and audit with --profile=%s. The same "
            "command with --turn goes on where this ended.",
            turn->setting.path, turn->setting.path);
    output_finish();
    return open == 0;
}
