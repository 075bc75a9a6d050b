#include "check.h"

#include <math.h>
#include <stddef.h>

#include "difference.h"
#include "words.h"

enum { NOTE_DB, FIX_DB };
enum { NAMED = 4 };

/* What drifts. Faders, sends, masters and mutes are ridden, and stand nowhere here. */
static const enum param_id reads[] = {PARAM_INPUT_PREAMP_GAIN,
                                      PARAM_INPUT_PAD,
                                      PARAM_INPUT_TRIM,
                                      PARAM_INPUT_PREAMP,
                                      PARAM_INPUT_PHANTOM,
                                      PARAM_INPUT_POLARITY,
                                      PARAM_INPUT_HIGH_PASS_ON,
                                      PARAM_INPUT_HIGH_PASS_FREQ,
                                      PARAM_INPUT_HIGH_PASS_SLOPE,
                                      PARAM_INPUT_COMP_MAKEUP,
                                      PARAM_SEND_TAP,
                                      PARAM_MIX_TRIM,
                                      PARAM_MIX_GRAPHIC_ON,
                                      PARAM_MIX_GRAPHIC_BAND_GAIN,
                                      PARAM_MIX_EQ_ON,
                                      PARAM_MIX_EQ_BAND_ON,
                                      PARAM_MIX_EQ_BAND_SHAPE,
                                      PARAM_MIX_EQ_BAND_FREQ,
                                      PARAM_MIX_EQ_BAND_GAIN,
                                      PARAM_MIX_EQ_BAND_Q,
                                      PARAM_MIX_HIGH_PASS_ON,
                                      PARAM_MIX_HIGH_PASS_FREQ,
                                      PARAM_MIX_HIGH_PASS_SLOPE,
                                      PARAM_MIX_LIMITER_ON,
                                      PARAM_MIX_LIMITER_THRESHOLD,
                                      PARAM_MIX_LIMITER_RATIO,
                                      PARAMS};
static const enum param_id mix_reads[] = {PARAM_MIX_TRIM,
                                          PARAM_MIX_GRAPHIC_ON,
                                          PARAM_MIX_GRAPHIC_BAND_GAIN,
                                          PARAM_MIX_EQ_ON,
                                          PARAM_MIX_EQ_BAND_ON,
                                          PARAM_MIX_EQ_BAND_SHAPE,
                                          PARAM_MIX_EQ_BAND_FREQ,
                                          PARAM_MIX_EQ_BAND_GAIN,
                                          PARAM_MIX_EQ_BAND_Q,
                                          PARAM_MIX_HIGH_PASS_ON,
                                          PARAM_MIX_HIGH_PASS_FREQ,
                                          PARAM_MIX_HIGH_PASS_SLOPE,
                                          PARAM_MIX_LIMITER_ON,
                                          PARAM_MIX_LIMITER_THRESHOLD,
                                          PARAM_MIX_LIMITER_RATIO,
                                          PARAMS};

struct drift {
    struct look *look;
    struct text says;
    int count;
    double most_db;  /* of gains */
    bool protection; /* a limiter or phantom power differs */
};

static bool
is_gain(enum param_id id)
{
    return difference_class(id) == DIFFERENCE_GAIN;
}

static void
take(struct drift *drift, enum param_id id, int row, int column)
{
    const struct look *look = drift->look;
    const struct desk *approved = look->ground->approved;
    double moved_db = fabs(desk_value(look->desk, id, row, column)->number -
                           desk_value(approved, id, row, column)->number);

    if (is_gain(id) && moved_db < look->settings[NOTE_DB])
        return;
    if (is_gain(id))
        drift->most_db = fmax(drift->most_db, moved_db);
    drift->protection |= id == PARAM_INPUT_PHANTOM || id == PARAM_MIX_LIMITER_ON ||
                         id == PARAM_MIX_LIMITER_THRESHOLD || id == PARAM_MIX_LIMITER_RATIO;
    if (++drift->count > NAMED)
        return;
    text_add(&drift->says, drift->count == 1 ? "not as approved: " : "; ");
    words_control(&drift->says, look->desk, id, column);
    text_add(&drift->says, " was ");
    words_value(&drift->says, approved, id, row, column);
    text_add(&drift->says, ", is ");
    words_value(&drift->says, look->desk, id, row, column);
}

/* One parameter of the object. */
static void
compare(struct drift *drift, enum param_id id, int row)
{
    struct look *look = drift->look;

    for (int column = 0; column < desk_columns(look->desk, id); column++) {
        double number;

        if (desk_supplied(look->desk, id) != SUPPLY_HEARD ||
            desk_value(look->ground->approved, id, row, column)->state == VALUE_UNKNOWN)
            continue; /* nothing was approved */
        if (look_number(look, id, row, column, &number) &&
            difference_moved(look->ground->approved, look->desk, id, row, column))
            take(drift, id, row, column);
    }
}

static void
run(struct look *look, struct object object)
{
    enum index_kind kind = object.mix >= 0 ? INDEX_MIX : INDEX_INPUT;
    int row = object.mix >= 0 ? object.mix : object.input;
    struct drift drift = {.look = look, .says = look_says(look)};
    struct text cure;

    if (!look->ground || !look->ground->approved)
        return;
    for (const enum param_id *id = check_reads(look->check, kind == INDEX_MIX); *id != PARAMS; id++)
        if (params[*id].row == kind)
            compare(&drift, *id, row);
    if (drift.count == 0) {
        if (look->missing > 0)
            look_not_known(look);
        else
            look_pass(look);
        return;
    }
    if (drift.count > NAMED)
        text_add(&drift.says, ", and %d more", drift.count - NAMED);
    look_found(look,
               drift.protection || drift.most_db >= look->settings[FIX_DB] ? WEIGHT_FIX
                                                                           : WEIGHT_NOTE,
               drift.count);
    look_figure(look, "moved_count", drift.count);
    look_figure(look, "most_gain_db", drift.most_db);
    cure = look_cure(look);
    text_add(&cure, "if it was meant, approve the desk as it is now; if not, put it back, with the "
                    "mix muted where gain or 48 V moves");
}

const struct check check_moved_from_approved = {
    .id = "moved-from-approved",
    .objects = OBJECT_INPUT | OBJECT_MIX,
    .watch_only = true,
    .reads = reads,
    .mix_reads = mix_reads,
    .settings = {{"note_db", 1, 0.1, 60, "by how much a gain must have moved", -0.3, WEIGHT_NOTE},
                 {"fix_db", 6, 0.5, 60, "move of a gain that should be looked into", -0.5,
                  WEIGHT_FIX}},
    .severity = "moved_count",
    .worse_step = 1,
    .fails_when =
        "a gain, tap, high-pass, phantom switch, limiter or output equaliser is not as it "
        "was when the desk was approved (`gainwarden approve`). Faders, sends, masters and "
        "mutes are ridden, and do not count. Without an approved state nothing is asked.",
    .why =
        "What was set up with care is lost in small moves that nobody remembers: a preamp turned "
        "for the house, a file of the support act, hands midweek.",
    .cure = "Approve what was meant, put back what was not.",
    .formula = "|gain now - gain approved| >= note_db; anything else: another value",
    .source = "Common practice, no source.",
    .run = run,
};
