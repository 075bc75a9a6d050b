/* SPDX-License-Identifier: MIT */
#include "engine/teach.h"

#include <assert.h>
#include <math.h>

#include "change/moves.h"
#include "change/suspects.h"
#include "proof/proof.h"
#include "stage/estimate.h"

enum { INPUTS = 12, MIXES = 2, GROUPS = 2, EQ_BANDS = 4, GRAPHIC_BANDS = 31 };
enum { NOW_MS = 1000 };
enum { EVERY = -1 }; /* row */

struct preset {
    enum param_id id;
    int row, column;
    double number;
};

/* What the invented desk has wherever a value must be known and 0 is not the neutral one. */
static const struct preset neutral[] = {
    {PARAM_INPUT_PREAMP_GAIN, EVERY, EVERY, 30},
    {PARAM_INPUT_LEVEL, EVERY, EVERY, -18},
    {PARAM_INPUT_HIGH_PASS_ON, EVERY, EVERY, 1},
    {PARAM_INPUT_HIGH_PASS_FREQ, EVERY, EVERY, 100},
    {PARAM_INPUT_HIGH_PASS_SLOPE, EVERY, EVERY, 12},
    {PARAM_INPUT_EQ_BAND_FREQ, EVERY, EVERY, 1000},
    {PARAM_INPUT_EQ_BAND_Q, EVERY, EVERY, 1},
    {PARAM_INPUT_COMP_RATIO, EVERY, EVERY, 1},
    {PARAM_SEND_LEVEL, EVERY, EVERY, -HUGE_VAL},
    {PARAM_SEND_TAP, EVERY, EVERY, TAP_PRE_FADER},
    {PARAM_MIX_EQ_BAND_FREQ, EVERY, EVERY, 1000},
    {PARAM_MIX_EQ_BAND_Q, EVERY, EVERY, 1},
    {PARAM_MIX_HIGH_PASS_FREQ, EVERY, EVERY, 20},
    {PARAM_MIX_HIGH_PASS_SLOPE, EVERY, EVERY, 12},
    {PARAM_MIX_LIMITER_ON, EVERY, EVERY, 1},
    {PARAM_MIX_LIMITER_THRESHOLD, EVERY, EVERY, -6},
    {PARAM_MIX_LIMITER_RATIO, EVERY, EVERY, 20},
};

/* One desk on which one check fails: what is set on the neutral one, or moved while it is watched.
 */
enum { PLACES = 9 };

struct sample {
    struct object object;
    const char *input, *mix; /* labels of all inputs and of all mixes */
    enum role role;
    double send_db;               /* of input 1 into mix 1 */
    struct preset places[PLACES]; /* ended by a label, id 0 */
};

#define OF_INPUT                                                                                   \
    {                                                                                              \
        0, -1                                                                                      \
    }
#define OF_MIX                                                                                     \
    {                                                                                              \
        -1, 0                                                                                      \
    }
#define OF_DESK                                                                                    \
    {                                                                                              \
        -1, -1                                                                                     \
    }
#define BAND(band, db)                                                                             \
    {                                                                                              \
        PARAM_MIX_GRAPHIC_BAND_GAIN, 0, band, db                                                   \
    }

static const struct sample samples[CHECKS] = {
    [CHECK_UNUSED_PREAMP_GAIN] = {OF_INPUT,
                                  "Ld Vox",
                                  "Ld Vox wedge",
                                  ROLE_MONITOR,
                                  -14,
                                  {{PARAM_INPUT_PREAMP_GAIN, 0, 0, 42}}},
    [CHECK_TOO_MANY_CUTS] = {OF_MIX,
                             "Ld Vox",
                             "Ld Vox wedge",
                             ROLE_MONITOR,
                             0,
                             {BAND(9, -3), BAND(11, -6), BAND(13, -6), BAND(15, -6), BAND(16, -3),
                              BAND(18, -6), BAND(20, -4), BAND(22, -6), BAND(24, -3)}},
    [CHECK_HIGH_PASS_MISSING] = {OF_INPUT,
                                 "Ld Vox",
                                 "Ld Vox wedge",
                                 ROLE_MONITOR,
                                 0,
                                 {{PARAM_INPUT_HIGH_PASS_ON, 0, 0, 0}}},
    [CHECK_HIGH_PASS_LOW] = {OF_INPUT,
                             "Ld Vox",
                             "Ld Vox wedge",
                             ROLE_MONITOR,
                             0,
                             {{PARAM_INPUT_HIGH_PASS_FREQ, 0, 0, 30}}},
    [CHECK_HIGH_PASS_HIGH] = {OF_INPUT,
                              "Tenor Sax",
                              "Sax wedge",
                              ROLE_MONITOR,
                              0,
                              {{PARAM_INPUT_HIGH_PASS_FREQ, 0, 0, 180}}},
    [CHECK_MASTER_OFF_UNITY] =
        {OF_MIX, "Ld Vox", "Ld Vox wedge", ROLE_MONITOR, 0, {{PARAM_MIX_FADER, 0, 0, -8}}},
    [CHECK_OWN_SEND_OFF_UNITY] = {OF_INPUT,
                                  "Ld Vox",
                                  "Ld Vox wedge",
                                  ROLE_MONITOR,
                                  6,
                                  {{PARAM_INPUT_NAME, 0, 0, 0}} /* nothing more */},
    [CHECK_SEND_FOLLOWS_FADER] = {OF_MIX,
                                  "Keys",
                                  "Keys wedge",
                                  ROLE_HOUSE,
                                  -2,
                                  {{PARAM_SEND_TAP, 0, 0, TAP_POST_FADER},
                                   {PARAM_INPUT_FADER, 0, 0, -5}}},
    [CHECK_BOOST_INTO_WEDGE] = {OF_INPUT,
                                "Ld Vox",
                                "Ld Vox wedge",
                                ROLE_MONITOR,
                                0,
                                {{PARAM_INPUT_EQ_BAND_FREQ, 0, 0, 2511.886},
                                 {PARAM_INPUT_EQ_BAND_GAIN, 0, 0, 6}}},
    [CHECK_MAKE_UP_INTO_WEDGE] = {OF_INPUT,
                                  "Ld Vox",
                                  "Ld Vox wedge",
                                  ROLE_MONITOR,
                                  0,
                                  {{PARAM_INPUT_COMP_ON, 0, 0, 1},
                                   {PARAM_INPUT_COMP_MAKEUP, 0, 0, 8}}},
    [CHECK_OPEN_UNUSED_INPUT] = {OF_INPUT,
                                 "Spare",
                                 "Ld Vox wedge",
                                 ROLE_MONITOR,
                                 -10,
                                 {{PARAM_INPUT_NAME, 0, 0, 0}} /* nothing more */},
    [CHECK_OPEN_MICROPHONES] =
        {OF_MIX, "Choir Vox", "Ld Vox wedge", ROLE_MONITOR, 0, {{PARAM_SEND_LEVEL, EVERY, 0, -6}}},
    [CHECK_EARS_UNPROTECTED] =
        {OF_MIX, "Drums", "Drums IEM", ROLE_MONITOR, 0, {{PARAM_MIX_LIMITER_RATIO, 0, 0, 4}}},
    [CHECK_PHANTOM_MISMATCH] =
        {OF_INPUT, "OH L", "Drums wedge", ROLE_MONITOR, 0, {{PARAM_INPUT_PHANTOM, 0, 0, 0}}},
    [CHECK_INPUT_HOT] =
        {OF_INPUT, "Snare", "Drums wedge", ROLE_MONITOR, 0, {{PARAM_INPUT_LEVEL, 0, 0, -3}}},
    [CHECK_INPUT_FAINT] =
        {OF_INPUT, "Violin", "Violin wedge", ROLE_MONITOR, 0, {{PARAM_INPUT_LEVEL, 0, 0, -50}}},
    [CHECK_VALUE_JUMPED] =
        {OF_INPUT, "Ld Vox", "Ld Vox wedge", ROLE_MONITOR, -8, {{PARAM_SEND_LEVEL, 0, 0, 10}}},
    [CHECK_MOVED_FROM_APPROVED] = {OF_INPUT,
                                   "Ld Vox",
                                   "Ld Vox wedge",
                                   ROLE_MONITOR,
                                   0,
                                   {{PARAM_INPUT_PREAMP_GAIN, 0, 0, 36}}},
    [CHECK_PROTECTION_LOST] = {OF_MIX,
                               "Ld Vox",
                               "Ld Vox wedge",
                               ROLE_MONITOR,
                               0,
                               {{PARAM_MIX_LIMITER_THRESHOLD, 0, 0, 3}}},
    [CHECK_MARGIN_LEFT] =
        {OF_MIX, "Ld Vox", "Ld Vox wedge", ROLE_MONITOR, -8, {{PARAM_SEND_LEVEL, 0, 0, -3.5}}},
    [CHECK_LOOP_MARGIN] =
        {OF_MIX, "Ld Vox", "Ld Vox wedge", ROLE_MONITOR, 0, {{PARAM_INPUT_PREAMP_GAIN, 0, 0, 46}}},
    [CHECK_MICROPHONE_AIM] = {OF_INPUT,
                              "Ld Vox",
                              "Ld Vox wedge",
                              ROLE_MONITOR,
                              0,
                              {{PARAM_INPUT_NAME, 0, 0, 0}} /* nothing more */},
    [CHECK_MIX_RINGING] =
        {OF_MIX, "Ld Vox", "Ld Vox wedge", ROLE_MONITOR, -8, {{PARAM_SEND_LEVEL, 0, 0, -4}}},
    [CHECK_LEFT_ON] =
        {OF_DESK, "Ld Vox", "Ld Vox wedge", ROLE_MONITOR, 0, {{PARAM_DESK_TALKBACK, 0, 0, 1}}},
};

bool
teach_work(struct text *text, const struct check *check, const struct verdict *verdict)
{
    bool known = verdict->outcome == OUTCOME_FINDING && verdict->figure_count > 0;

    if (known)
        check->work(text, verdict);
    return known;
}

/* ---- the invented desk ---- */

static void
set(struct desk *desk, const struct preset *place)
{
    int rows = desk_rows(desk, place->id), columns = desk_columns(desk, place->id);

    for (int row = 0; row < rows; row++)
        for (int column = 0; column < columns; column++)
            if ((place->row == EVERY || place->row == row) &&
                (place->column == EVERY || place->column == column))
                desk_set(desk, place->id, row, column, place->number, NOW_MS);
}

static void
label(struct desk *desk, enum param_id id, const char *text)
{
    desk_supply(desk, id, SUPPLY_HEARD);
    for (int row = 0; row < desk_rows(desk, id); row++)
        desk_set_text(desk, id, row, 0, text, NOW_MS);
}

/* Whether each value must be known and has no stand-in. */
static bool
is_needed(enum param_id id)
{
    return isnan(params[id].absent) && params[id].unit != UNIT_TEXT && id != PARAM_INPUT_PREAMP &&
           id != PARAM_MIX_GRAPHIC_BAND_FREQ && id != PARAM_DESK_ROOM;
}

static struct desk *
make_desk(const struct sample *sample)
{
    const struct desk_counts counts = {.of = {[INDEX_INPUT] = INPUTS,
                                              [INDEX_MIX] = MIXES,
                                              [INDEX_GROUP] = GROUPS,
                                              [INDEX_INPUT_EQ_BAND] = EQ_BANDS,
                                              [INDEX_MIX_GRAPHIC_BAND] = GRAPHIC_BANDS,
                                              [INDEX_MIX_EQ_BAND] = EQ_BANDS}};
    struct desk *desk = desk_new(&counts);

    desk_set_travel(desk, PARAM_INPUT_PREAMP_GAIN, (struct travel){0, 60});
    desk_set_travel(desk, PARAM_SEND_LEVEL, (struct travel){-90, 10});
    for (int id = 0; id < PARAMS; id++) {
        if (!is_needed((enum param_id)id))
            continue;
        desk_supply(desk, (enum param_id)id, SUPPLY_HEARD);
        set(desk, &(struct preset){(enum param_id)id, EVERY, EVERY, 0});
    }
    for (size_t i = 0; i < sizeof neutral / sizeof *neutral; i++)
        set(desk, &neutral[i]);
    set(desk, &(struct preset){PARAM_SEND_LEVEL, 0, 0, sample->send_db});
    label(desk, PARAM_INPUT_NAME, sample->input);
    label(desk, PARAM_MIX_NAME, sample->mix);
    return desk;
}

/* Sets what the sample says, which a watch takes for moves. */
static void
move(struct desk *desk, struct moves *moves, const struct sample *sample)
{
    for (int i = 0; i < PLACES && sample->places[i].id != PARAM_INPUT_NAME; i++) {
        const struct preset *place = &sample->places[i];
        int row = place->row == EVERY ? 0 : place->row;
        int column = place->column == EVERY ? 0 : place->column;
        struct moved moved = {place->id, row, column, *desk_value(desk, place->id, row, column)};

        set(desk, place);
        moves_note(moves, desk, &moved, NOW_MS);
    }
}

/* It was rung out before it moved: everything 6 dB louder did not ring. */
static struct proofs
ring_out(struct proof_ceiling *ceiling, struct desk *before)
{
    *ceiling = (struct proof_ceiling){.desk = desk_copy(before), .mix = -1, .step_db = 1};
    set(ceiling->desk, &(struct preset){PARAM_MIX_FADER, EVERY, EVERY, 6});
    return (struct proofs){.ceilings = ceiling, .ceiling_count = 1, .left = before};
}

/* In the open, a cardioid of input 1 on a stand, and a wedge of mix 1 at its side. */
static struct stage *
plan_stage(void)
{
    struct stage *stage = stage_new();
    struct stage_microphone *microphone = stage_add_microphone(stage);
    struct stage_loudspeaker *wedge = stage_add_loudspeaker(stage);

    stage->critical_m = (struct stated){HUGE_VAL, GIVEN};
    stage->calibration_db.how = GIVEN;
    microphone->inputs = wedge->mixes = (struct serves){1, {0}};
    microphone->placed = wedge->placed = true;
    microphone->at = (struct place){0, 1, 1.6};
    microphone->axis_how = microphone->pattern_how = GIVEN;
    microphone->sensitivity_mv_per_pa = (struct stated){2, GIVEN};
    wedge->at = (struct place){1.5, 0.6, 0.3};
    wedge->sensitivity_db = (struct stated){97, GIVEN};
    wedge->amplifier_db = (struct stated){20, GIVEN};
    return stage;
}

/* The spectrum of mix 1: a tone at 315 Hz that grows by 20 dB a second, until that is seen. */
static struct suspects *
ring(const struct desk *desk, const struct desk *before)
{
    enum { RATE = 20, QUIET_S = 4, MOST_S = 10, AT = 12, FROM_DB = -70, NEAR_DB = -18 };
    struct spectrum_bands bands;
    struct suspects *suspects;
    struct moved moved = {PARAM_SEND_LEVEL, 0, 0, *desk_value(before, PARAM_SEND_LEVEL, 0, 0)};
    bool fits = spectrum_bands_of_thirds(SPECTRUM_THIRDS, &bands);

    assert(fits);
    suspects = suspects_new(desk, &bands, RATE);
    suspects_moved(suspects, &moved, QUIET_S * 1000);
    for (int frame = 0; frame < MOST_S * RATE && !suspects_of(suspects, 0)->stands; frame++) {
        double levels[SPECTRUM_THIRDS];

        for (int i = 0; i < SPECTRUM_THIRDS; i++)
            levels[i] = FROM_DB;
        levels[AT] = fmax(FROM_DB, FROM_DB + frame - QUIET_S * RATE);
        levels[AT - 1] = levels[AT + 1] = fmax(FROM_DB, levels[AT] + NEAR_DB);
        suspects_take(suspects, 0, levels, frame * 1000 / RATE);
    }
    return suspects;
}

static void
run(struct ground *ground, struct desk *desk, const struct check *check, struct verdict *verdict,
    struct words *words)
{
    const struct sample *sample = &samples[check->number];
    struct desk *before = desk_copy(desk);
    struct moves *moves = moves_new(desk);
    struct suspects *suspects;
    struct proof_ceiling ceiling;
    struct proofs proofs = ring_out(&ceiling, before);

    move(desk, moves, sample);
    ground->proof = check->of_proofs ? proof_new(desk, ground->show, &proofs) : NULL;
    ground->estimate = check->of_plan ? estimate_new(desk, ground->show) : NULL;
    suspects = check->of_spectra ? ring(desk, before) : NULL;
    ground->suspects = suspects;
    if (check->watch_only) {
        ground->moves = moves;
        ground->approved = ground->anchor = before;
    }
    check_run(check, ground, CHECK_AFRESH, sample->object, verdict, NULL);
    if (words)
        check_say(check, ground, CHECK_AFRESH, sample->object, verdict, words);
    proof_free(ground->proof);
    estimate_free(ground->estimate);
    suspects_free(suspects);
    desk_free(ceiling.desk);
    moves_free(moves);
    desk_free(before);
}

void
teach_sample(const struct check *check, struct verdict *verdict, struct words *words)
{
    const struct sample *sample = &samples[check->number];
    struct desk *desk = make_desk(sample);
    struct show *show = check_set_show(check_set_all, INPUTS, MIXES);

    assert(sample->input); /* every check has one */
    show->role = sample->role;
    show->stage = check->of_plan ? plan_stage() : NULL;
    run(&(struct ground){.desk = desk, .show = show, .now_ms = NOW_MS}, desk, check, verdict,
        words);
    show_free(show);
    desk_free(desk);
}
