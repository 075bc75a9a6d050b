/* SPDX-License-Identifier: MIT */
/* How a check sees the desk and the show. Every value it needs is asked for here; what is unknown
 * or stale is remembered, so that the check can end as not known with the reason.
 */
#ifndef GAINWARDEN_RULES_LOOK_H
#define GAINWARDEN_RULES_LOOK_H

#include <assert.h>
#include <stdbool.h>
#include <stdint.h>

#include "core/text.h"
#include "core/verdict.h"
#include "desk/desk.h"
#include "desk/show.h"
#include "desk/source.h"
#include "look/miss.h"

struct estimate;
struct levels;
struct moves;
struct proof;
struct suspects;

/* What a check may look at. What a watch remembers is NULL where there is none. */
struct ground {
    const struct desk *desk;
    const struct show *show;
    const struct desk *approved; /* the desk as it was approved */
    const struct desk *anchor; /* the desk as this watch took it for set up, its levels as the last
                                    recall left them */
    const struct moves *moves; /* what moved lately */
    double *loudest_db; /* by mix, path_loudest_db() of this run; NAN: not asked for yet. Or NULL */
    const struct levels *levels;     /* what the mixes carried lately */
    struct proof *proof;             /* what ring-outs proved */
    struct estimate *estimate;       /* what the stage plan makes of it */
    const struct suspects *suspects; /* what may be ringing, by the desk's spectra */
    int64_t now_ms;
};

/* The desk as it was meant, which hands may have left: as it was approved, else as the watch took it
 * for set up. NULL: neither is known. */
static inline const struct desk *
ground_meant(const struct ground *ground)
{
    return ground->approved ? ground->approved : ground->anchor;
}

struct look {
    const struct desk *desk;
    const struct show *show;
    const struct ground *ground;     /* NULL in a look for reading alone */
    double settings[CHECK_SETTINGS]; /* of the check, in the order of its table, eased */
    bool stands;                     /* a finding of the check on the object does */
    struct verdict *verdict;
    uint64_t declared;    /* parameters it may ask for, a bit each */
    int missing;          /* values that were asked for and not known */
    int stale;            /* of them, that were known once */
    uint64_t missed;      /* parameters among them */
    struct misses misses; /* the first of them */
    struct strip {
        int input; /* 1-based; 0: not read yet */
        double db;
    } faders, makeup; /* of the input that was asked for last, for its next send */
};

/* A look for reading alone, of no more than `reads`, a list ended by PARAMS. Readies the verdict.
 */
struct look look_reader(const struct desk *desk, const struct show *show,
                        const enum param_id *reads, struct verdict *verdict);

/* Remembers the value, which is not known. */
void look_miss_value(struct look *look, enum param_id id, int row, int column);

/* The value when it is known, else NULL, and the reason is remembered. */
static inline const struct value *
look_value(struct look *look, enum param_id id, int row, int column)
{
    const struct value *value = desk_value(look->desk, id, row, column);

    /* what its table does not name would not run it when it changes */
    assert(look->declared >> id & 1);
    if (value->state == VALUE_KNOWN)
        return value;
    look_miss_value(look, id, row, column);
    return NULL;
}

/* The number, or false when it is not known; then the reason is remembered. */
static inline bool
look_number(struct look *look, enum param_id id, int row, int column, double *number)
{
    const struct value *value = look_value(look, id, row, column);

    if (value)
        *number = value_number(value);
    return value != NULL;
}

/* The same for a switch. */
static inline bool
look_switch(struct look *look, enum param_id id, int row, int column, bool *on)
{
    const struct value *value = look_value(look, id, row, column);

    if (value)
        *on = value_number(value) != 0;
    return value != NULL;
}

/* Which preamp feeds the input. Where the profile does not say, each input has its own. */
bool look_preamp(struct look *look, int input, int *preamp);

/* Kind of source, from the show file or else from the label, which marks the verdict as inferred;
 * NULL when neither tells, and the reason is remembered. */
const struct source *look_source(struct look *look, int input);

/* What the mix feeds, in the same way; FEEDS_UNKNOWN when neither tells. */
enum feeds look_feeds(struct look *look, int mix);

/* One send as it arrives in its mix. */
struct send_level {
    enum tap tap;    /* of a send that is not off */
    double db;       /* the send alone; -HUGE_VAL: off or switched off */
    double fader_db; /* what the input's fader and its groups add: 0 unless the tap is post-fader;
                        -HUGE_VAL when one of them is off or muted */
};

/* False when a part is not known. */
bool look_send_db(struct look *look, int input, int mix, struct send_level *send);

/* Whether the send is on, above off and, for a post-fader tap, its fader and groups are up. Where
 * those are up the tap need not be known. */
bool look_send_open(struct look *look, int input, int mix, bool *open);

/* Faders of all groups the input belongs to. `mutes`: a muted group counts as one that is off. */
bool look_groups_db(struct look *look, int input, bool mutes, double *db);

/* A path behind the preamp: electrical gain in dB from its output to the mix output at mid-band,
 * without equalisers. */
struct behind {
    bool open; /* the send is, whatever the master says */
    double send_db, master_db;
    double sum_db; /* trim + make-up (not of a pre-eq tap) + fader and groups (of a post-fader tap)
                      + send + master + mix trim; -HUGE_VAL: a part is off */
};

/* False when a part is not known. */
bool look_behind_preamp(struct look *look, int input, int mix, struct behind *behind);

/* Ends the check. A finding takes weight and severity. */
void look_pass(struct look *look);
void look_fold(struct look *look);
void look_closed(struct look *look);
void look_not_known(struct look *look);
void look_found(struct look *look, enum weight weight, double severity);

/* Adds a figure to the verdict. `name` must outlive it. */
void look_figure(struct look *look, const char *name, double number);

/* Remembers a reason of another kind about an input or a mix (INDEX_...), in place of a missing
 * value: "mix 3: REASON". The text must outlive the verdict. */
void look_miss(struct look *look, enum index_kind kind, int row, const char *reason);

/* The same, about one setting of it: "mix 3: limiter thresholdREASON". */
void look_miss_setting(struct look *look, enum index_kind kind, enum param_id id, int row,
                       const char *reason);

/* What is missing, for a look that ends as not known or falls through. */
struct misses look_missing(const struct look *look);

/* On a house desk: the way from the preamp's output through the fader and its groups into the house,
 * dB; -HUGE_VAL: off. The house's own master is not ours to know. */
bool look_house_db(struct look *look, int input, double *house_db);

/* What look_send_db() and look_behind_preamp() read, for the tables of checks. */
#define LOOK_SEND_READS                                                                            \
    PARAM_SEND_ON, PARAM_SEND_LEVEL, PARAM_SEND_TAP, PARAM_INPUT_FADER, PARAM_INPUT_GROUP,         \
        PARAM_GROUP_FADER, PARAM_GROUP_MUTE
#define LOOK_BEHIND_READS                                                                          \
    LOOK_SEND_READS, PARAM_INPUT_TRIM, PARAM_INPUT_COMP_ON, PARAM_INPUT_COMP_MAKEUP,               \
        PARAM_MIX_FADER, PARAM_MIX_TRIM

/* "1 Kick In": number and label of the input or mix; the number alone when no label was heard. */
void look_add_input(const struct look *look, struct text *text, int input);
void look_add_mix(const struct look *look, struct text *text, int mix);

#endif
