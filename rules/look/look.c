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

void
look_miss_value(struct look *look, enum param_id id, int row, int column)
{
    bool stale = desk_value(look->desk, id, row, column)->state == VALUE_STALE;
    enum miss_how how = desk_supplied(look->desk, id) == SUPPLY_NONE ? MISS_UNNAMED
                        : stale                                      ? MISS_STALE
                                                                     : MISS_UNHEARD;

    look->missing++;
    look->stale += stale;
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
    source = (int)value_number(label);
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
    feeds = (enum feeds)(int)value_number(label);
    if (feeds == FEEDS_UNKNOWN)
        look_miss(look, INDEX_MIX, mix,
                  "its label does not tell what it feeds; name it in the show file");
    else
        look->verdict->inferred = true;
    return feeds;
}

/* What one group does to an input that may belong to it. */
static bool
add_group(struct look *look, int input, int group, bool mutes, double *db)
{
    double group_db = 0;
    bool member, muted = false;

    if (!look_switch(look, PARAM_INPUT_GROUP, input, group, &member))
        return false;
    if (!member)
        return true;
    if (!look_number(look, PARAM_GROUP_FADER, group, 0, &group_db) ||
        (mutes && !look_switch(look, PARAM_GROUP_MUTE, group, 0, &muted)))
        return false;
    *db += muted ? -HUGE_VAL : group_db;
    return true;
}

bool
look_groups_db(struct look *look, int input, bool mutes, double *db)
{
    bool known = true;

    *db = 0;
    for (int group = 0; group < desk_count(look->desk, INDEX_GROUP); group++)
        known &= add_group(look, input, group, mutes, db);
    return known;
}

/* Fader and groups, which every post-fader send of the input follows. */
static bool
faders_db(struct look *look, int input, double *db)
{
    double groups_db;

    if (look->faders.input != input + 1) {
        if (!look_number(look, PARAM_INPUT_FADER, input, 0, db))
            return false;
        if (*db > -HUGE_VAL) { /* off is off, whatever the groups do */
            if (!look_groups_db(look, input, true, &groups_db))
                return false;
            *db += groups_db;
        }
        look->faders = (struct strip){input + 1, *db};
    }
    *db = look->faders.db;
    return true;
}

bool
look_send_db(struct look *look, int input, int mix, struct send_level *send)
{
    double tap;
    bool on;

    *send = (struct send_level){.db = -HUGE_VAL};
    if (!look_switch(look, PARAM_SEND_ON, input, mix, &on))
        return false;
    if (!on)
        return true;
    if (!look_number(look, PARAM_SEND_LEVEL, input, mix, &send->db))
        return false;
    if (send->db == -HUGE_VAL)
        return true;
    if (!look_number(look, PARAM_SEND_TAP, input, mix, &tap))
        return false;
    send->tap = (enum tap)(int)tap;
    return send->tap != TAP_POST_FADER || faders_db(look, input, &send->fader_db);
}

/* A send that is up is open at whatever tap where its fader is up, too. */
static bool
is_open_at_any_tap(struct look *look, int input, const struct send_level *send)
{
    double fader_db;

    return send->db > -HUGE_VAL && faders_db(look, input, &fader_db) && fader_db > -HUGE_VAL;
}

bool
look_send_open(struct look *look, int input, int mix, bool *open)
{
    struct send_level send;
    bool known = look_send_db(look, input, mix, &send);

    *open = known ? send.db + send.fader_db > -HUGE_VAL : is_open_at_any_tap(look, input, &send);
    return known || *open;
}

static bool
makeup_db(struct look *look, int input, double *db)
{
    bool on;

    if (look->makeup.input != input + 1) {
        *db = 0;
        if (!look_switch(look, PARAM_INPUT_COMP_ON, input, 0, &on) ||
            (on && !look_number(look, PARAM_INPUT_COMP_MAKEUP, input, 0, db)))
            return false;
        look->makeup = (struct strip){input + 1, *db};
    }
    *db = look->makeup.db;
    return true;
}

bool
look_behind_preamp(struct look *look, int input, int mix, struct behind *behind)
{
    double trim_db, mix_trim_db, made_up_db = 0;
    struct send_level send;

    *behind = (struct behind){.sum_db = -HUGE_VAL};
    if (!look_send_db(look, input, mix, &send))
        return false;
    behind->send_db = send.db;
    behind->open = send.db + send.fader_db > -HUGE_VAL;
    if (!behind->open)
        return true;
    if (!look_number(look, PARAM_MIX_FADER, mix, 0, &behind->master_db))
        return false;
    if (behind->master_db == -HUGE_VAL)
        return true;
    if ((send.tap != TAP_PRE_EQ && !makeup_db(look, input, &made_up_db)) ||
        !look_number(look, PARAM_INPUT_TRIM, input, 0, &trim_db) ||
        !look_number(look, PARAM_MIX_TRIM, mix, 0, &mix_trim_db))
        return false;
    behind->sum_db =
        trim_db + made_up_db + send.fader_db + send.db + behind->master_db + mix_trim_db;
    return true;
}

bool
look_house_db(struct look *look, int input, double *house_db)
{
    double trim_db, made_up_db;

    if (!faders_db(look, input, house_db))
        return false;
    if (*house_db == -HUGE_VAL)
        return true;
    if (!makeup_db(look, input, &made_up_db) ||
        !look_number(look, PARAM_INPUT_TRIM, input, 0, &trim_db))
        return false;
    *house_db += trim_db + made_up_db;
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
