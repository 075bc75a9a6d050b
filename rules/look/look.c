/* SPDX-License-Identifier: MIT */
#include "look/look.h"

#include <assert.h>
#include <math.h>
#include <stddef.h>

static_assert(PARAMS <= 64, "a set of parameters is one word");

struct look
look_reader(const struct desk *desk, const struct show *show, const enum param_id *reads,
            struct verdict *verdict)
{
    struct look look = {.desk = desk, .show = show, .verdict = verdict};

    *verdict = (struct verdict){.outcome = OUTCOME_NOT_ASKED, .mix = -1, .band = -1};
    for (; *reads != PARAMS; reads++)
        look.declared |= UINT64_C(1) << *reads;
    return look;
}

/* ---- what is missing ---- */

/* Keeps the first; later ones are only counted. */
static void
keep_miss(struct look *look, struct miss miss)
{
    if (look->misses.named < MISSES_NAMED)
        look->misses.list[look->misses.named++] = miss;
}

static void
miss_value(struct look *look, enum param_id id, int row, int column, enum value_state state)
{
    enum miss_how how = desk_supplied(look->desk, id) == SUPPLY_NONE ? MISS_UNNAMED
                        : state == VALUE_STALE                       ? MISS_STALE
                                                                     : MISS_UNHEARD;

    look->missing++;
    if (look->missed >> id & 1) /* of many bands or sends the first is named */
        return;
    look->missed |= UINT64_C(1) << id;
    keep_miss(look, (struct miss){NULL, (short)id, (short)row, (short)column, (unsigned char)how});
}

void
look_miss(struct look *look, enum index_kind kind, int row, const char *reason)
{
    look_miss_setting(look, kind, PARAMS, row, reason);
}

void
look_miss_setting(struct look *look, enum index_kind kind, enum param_id id, int row,
                  const char *reason)
{
    look->missing++;
    keep_miss(look, (struct miss){reason, (short)id, (short)row, 0,
                                  kind == INDEX_MIX ? MISS_MIX : MISS_INPUT});
}

struct misses
look_missing(const struct look *look)
{
    struct misses misses = look->misses;

    misses.more = look->missing - misses.named;
    return misses;
}

/* ---- looking ---- */

/* The value when it is known, else NULL with the reason remembered. */
static const struct value *
look_value(struct look *look, enum param_id id, int row, int column)
{
    const struct value *value;

    /* what its table does not name would not run it when it changes */
    assert(look->declared >> id & 1);
    value = desk_value(look->desk, id, row, column);
    if (value->state == VALUE_KNOWN)
        return value;
    miss_value(look, id, row, column, value->state);
    return NULL;
}

bool
look_number(struct look *look, enum param_id id, int row, int column, double *number)
{
    const struct value *value = look_value(look, id, row, column);

    if (value)
        *number = value->number;
    return value != NULL;
}

bool
look_switch(struct look *look, enum param_id id, int row, int column, bool *on)
{
    const struct value *value = look_value(look, id, row, column);

    if (value)
        *on = value->number != 0;
    return value != NULL;
}

bool
look_preamp(struct look *look, int input, int *preamp)
{
    double number;

    if (desk_supplied(look->desk, PARAM_INPUT_PREAMP) == SUPPLY_NONE) {
        *preamp = input;
        return true;
    }
    if (!look_number(look, PARAM_INPUT_PREAMP, input, 0, &number))
        return false;
    *preamp = (int)number;
    return true;
}

const struct source *
look_source(struct look *look, int input)
{
    int source = look->show->inputs[input].source;
    const struct value *label;

    if (source != SOURCE_UNKNOWN)
        return &sources[source];
    label = look_value(look, PARAM_INPUT_NAME, input, 0);
    if (!label)
        return NULL;
    source = (int)label->number;
    if (source == SOURCE_UNKNOWN) {
        look_miss(look, INDEX_INPUT, input,
                  "its label does not tell the source; name it in the show file");
        return NULL;
    }
    look->verdict->inferred = true;
    return &sources[source];
}

enum feeds
look_feeds(struct look *look, int mix)
{
    enum feeds feeds = look->show->mixes[mix].feeds;
    const struct value *label;

    if (feeds != FEEDS_UNKNOWN)
        return feeds;
    label = look_value(look, PARAM_MIX_NAME, mix, 0);
    if (!label)
        return FEEDS_UNKNOWN;
    feeds = (enum feeds)(int)label->number;
    if (feeds == FEEDS_UNKNOWN)
        look_miss(look, INDEX_MIX, mix,
                  "its label does not tell what it feeds; name it in the show file");
    else
        look->verdict->inferred = true;
    return feeds;
}

/* Level of the send with everything behind it that the tap includes, or -HUGE_VAL. */
static bool
look_send_db(struct look *look, int input, int mix, double *send_db, double *fader_db)
{
    double tap;
    bool on;

    *fader_db = 0;
    if (!look_switch(look, PARAM_SEND_ON, input, mix, &on))
        return false;
    *send_db = -HUGE_VAL;
    if (!on)
        return true;
    if (!look_number(look, PARAM_SEND_LEVEL, input, mix, send_db))
        return false;
    if (*send_db == -HUGE_VAL)
        return true;
    if (!look_number(look, PARAM_SEND_TAP, input, mix, &tap))
        return false;
    return tap != TAP_POST_FADER || look_number(look, PARAM_INPUT_FADER, input, 0, fader_db);
}

bool
look_send_open(struct look *look, int input, int mix, bool *open)
{
    double send_db, fader_db;

    if (!look_send_db(look, input, mix, &send_db, &fader_db))
        return false;
    *open = send_db + fader_db > -HUGE_VAL;
    return true;
}

bool
look_after_preamp_db(struct look *look, int input, int mix, double *after_db, double *send_db)
{
    double fader_db, trim_db, master_db, mix_trim_db;

    if (!look_send_db(look, input, mix, send_db, &fader_db))
        return false;
    *after_db = *send_db + fader_db;
    if (*after_db == -HUGE_VAL)
        return true;
    if (!look_number(look, PARAM_INPUT_TRIM, input, 0, &trim_db) ||
        !look_number(look, PARAM_MIX_FADER, mix, 0, &master_db) ||
        !look_number(look, PARAM_MIX_TRIM, mix, 0, &mix_trim_db))
        return false;
    *after_db += trim_db + master_db + mix_trim_db;
    return true;
}

void
look_pass(struct look *look)
{
    look->verdict->outcome = OUTCOME_PASS;
}

void
look_fold(struct look *look)
{
    look->verdict->outcome = OUTCOME_FOLDED;
}

void
look_closed(struct look *look)
{
    look->verdict->outcome = OUTCOME_CLOSED;
}

void
look_not_known(struct look *look)
{
    assert(look->missing > 0);
    look->verdict->outcome = OUTCOME_NOT_KNOWN;
}

void
look_found(struct look *look, enum weight weight, double severity)
{
    look->verdict->outcome = OUTCOME_FINDING;
    look->verdict->weight = weight;
    look->verdict->severity = severity;
}

void
look_figure(struct look *look, const char *name, double number)
{
    struct verdict *verdict = look->verdict;

    assert(verdict->figure_count < VERDICT_FIGURES);
    verdict->figures[verdict->figure_count++] = (struct figure){name, number};
}

static void
add_labelled(const struct desk *desk, struct text *text, enum param_id id, int row)
{
    text_add(text, "%d", row + 1);
    if (*desk_text(desk, id, row, 0))
        text_add(text, " %s", desk_text(desk, id, row, 0));
}

void
look_add_input(const struct look *look, struct text *text, int input)
{
    add_labelled(look->desk, text, PARAM_INPUT_NAME, input);
}

void
look_add_mix(const struct look *look, struct text *text, int mix)
{
    add_labelled(look->desk, text, PARAM_MIX_NAME, mix);
}
